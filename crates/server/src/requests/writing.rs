//! Swatches of colours, links to used files, names that are typed together, what a line may say.

use ampwright_assist::{colours, linked, links, signature};
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        Color, ColorInformation, ColorPresentation, ColorPresentationParams, DocumentColorParams,
        DocumentLink, DocumentLinkParams, Documentation, LinkedEditingRangeParams,
        LinkedEditingRanges, ParameterInformation, ParameterLabel, SignatureHelp,
        SignatureHelpParams, SignatureInformation, TextEdit,
        request::{
            ColorPresentationRequest, DocumentColor, DocumentLinkRequest, LinkedEditingRange,
            SignatureHelpRequest,
        },
    },
};

use super::place::Asked;
use crate::{
    state::Snapshot,
    transport::{CancelToken, Table},
};

/// What a name may be typed of: the notation's own, as far as every client's patterns go.
const NAME: &str = r##"[^\s"#+/%.,;:]+"##;

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<DocumentColor>(json!({"colorProvider": true}), swatches)
        .on::<ColorPresentationRequest>(json!({}), words)
        .on::<DocumentLinkRequest>(
            json!({"documentLinkProvider": {"resolveProvider": false}}),
            linked_files,
        )
        .on::<LinkedEditingRange>(json!({"linkedEditingRangeProvider": true}), together)
        .on::<SignatureHelpRequest>(
            json!({"signatureHelpProvider": {"triggerCharacters": [" "]}}),
            help,
        )
}

fn swatches(
    snapshot: &Snapshot,
    params: &DocumentColorParams,
    cancel: &CancelToken,
) -> Result<Vec<ColorInformation>> {
    let asked = Asked::about(snapshot, &params.text_document.uri, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(Vec::new());
    };
    let found = colours::swatches(&computed.plan, file).into_iter();
    let shown = found.map(|swatch| {
        let [red, green, blue] = colours::shade(swatch.colour).map(|part| f32::from(part) / 255.0);
        ColorInformation {
            range: asked.range(swatch.at),
            color: Color {
                red,
                green,
                blue,
                alpha: 1.0,
            },
        }
    });
    Ok(shown.collect())
}

fn words(
    snapshot: &Snapshot,
    params: &ColorPresentationParams,
    _: &CancelToken,
) -> Result<Vec<ColorPresentation>> {
    let text = snapshot.text(&params.text_document.uri)?;
    let bytes = text.bytes(params.range, snapshot.files.encoding);
    let written = text.text.get(bytes).unwrap_or_default();
    let Color {
        red, green, blue, ..
    } = params.color;
    // A share that is none becomes a bound of the range.
    let picked = [red, green, blue].map(|share| (share.clamp(0.0, 1.0) * 255.0).round() as u8);
    let offered = colours::words_for(picked, written).into_iter();
    let shown = offered.map(|word| ColorPresentation {
        label: word.to_owned(),
        text_edit: Some(TextEdit::new(params.range, word.to_owned())),
        additional_text_edits: None,
    });
    Ok(shown.collect())
}

fn linked_files(
    snapshot: &Snapshot,
    params: &DocumentLinkParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<DocumentLink>>> {
    let asked = Asked::about(snapshot, &params.text_document.uri, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let found = links::links(&computed.plan, file).into_iter();
    let shown = found.filter_map(|link| {
        Some(DocumentLink {
            range: asked.range(link.at),
            target: Some(computed.urls.get(link.to as usize)?.clone()),
            tooltip: None,
            data: None,
        })
    });
    Ok(Some(shown.collect()))
}

fn together(
    snapshot: &Snapshot,
    params: &LinkedEditingRangeParams,
    cancel: &CancelToken,
) -> Result<Option<LinkedEditingRanges>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position_params, cancel)?;
    // In a file of several plans a name may stand for more than one of them sees.
    let mut plans = asked.plans();
    let (Some((computed, file)), None) = (plans.next(), plans.next()) else {
        return Ok(None);
    };
    let found = linked::linked(&computed.plan, file, byte);
    let ranges: Vec<_> = found.into_iter().map(|at| asked.range(at)).collect();
    Ok((!ranges.is_empty()).then(|| LinkedEditingRanges {
        ranges,
        word_pattern: Some(NAME.to_owned()),
    }))
}

fn help(
    snapshot: &Snapshot,
    params: &SignatureHelpParams,
    cancel: &CancelToken,
) -> Result<Option<SignatureHelp>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position_params, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let told = signature::signature(&computed.plan, file, byte);
    Ok(told.map(|told| {
        let active = told.active.map(|active| active as u32);
        SignatureHelp {
            signatures: vec![shown(told)],
            active_signature: Some(0),
            active_parameter: active,
        }
    }))
}

fn shown(told: signature::Signature) -> SignatureInformation {
    let said = |words: String| (!words.is_empty()).then_some(Documentation::String(words));
    // The label is ASCII, so that its bytes are its characters in every encoding.
    let parts = told.parts.into_iter().map(|part| ParameterInformation {
        label: ParameterLabel::LabelOffsets([part.at.start as u32, part.at.end as u32]),
        documentation: said(part.about),
    });
    SignatureInformation {
        parameters: Some(parts.collect()),
        documentation: said(told.about),
        label: told.label,
        active_parameter: None,
    }
}
