//! The plans of the workspace: which file is a plan, which a part of one, and what was computed.
//!
//! A file is read anew only when its text has changed, and then only the things in it that have; a
//! plan none of whose files has changed keeps everything that was computed of it.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::{Path, PathBuf},
    sync::Arc,
};

use ampwright_notation::{File, Kind};
use ampwright_plan::{Finding, Plan, Related, Severity, Site, Sources};
use tower_lsp::lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location,
    NumberOrString, Range, Url,
};

use crate::{
    analysis::{Analyse, Study},
    documents::Text,
    files::Files,
    transport::CancelToken,
};

/// A computed plan and the addresses of its files, in the order of its sources.
#[derive(Clone, Debug)]
pub struct Computed {
    /// The plan.
    pub plan: Arc<Plan>,
    /// The addresses of its files.
    pub urls: Arc<Vec<Url>>,
}

impl Computed {
    /// The index of a file in the plan.
    pub fn index_of(&self, url: &Url) -> Option<u32> {
        self.urls
            .iter()
            .position(|known| known == url)
            .map(|index| index as u32)
    }
}

/// A file as it was read.
#[derive(Clone, Debug)]
pub struct ReadFile {
    text: Arc<Text>,
    file: Arc<File>,
}

impl ReadFile {
    /// The file as parsed.
    pub fn file(&self) -> &File {
        &self.file
    }
}

/// The computation of the wiring plans.
#[derive(Clone, Copy, Debug, Default)]
pub struct Plans;

impl Analyse for Plans {
    fn analyse(
        &self,
        files: &Files,
        before: Option<&Arc<Study>>,
        cancel: &CancelToken,
    ) -> Option<Study> {
        let mut desk = Desk {
            files,
            before: before.map(|study| &**study),
            read: BTreeMap::new(),
        };
        let mut study = Study::default();
        let boats = files.boats();
        let mut used: BTreeSet<Url> = BTreeSet::new();
        let (roots, parts) = desk.roots_and_parts(&boats);
        for root in roots {
            desk.compute(&root, &mut study, &mut used, cancel)?;
        }
        // A part that no plan uses is shown by itself, so that what it says is checked at all.
        for part in parts {
            if !used.contains(&part) {
                desk.compute(&part, &mut study, &mut used, cancel)?;
            }
        }
        study.files = desk.read;
        desk.files.clone_into(&mut study.of);
        publish(&mut study);
        Some(study)
    }
}

struct Desk<'a> {
    files: &'a Files,
    before: Option<&'a Study>,
    read: BTreeMap<Url, ReadFile>,
}

impl Desk<'_> {
    /// The file at an address, as read before where its text is the same.
    fn read(&mut self, url: &Url) -> Result<Arc<File>, String> {
        if let Some(known) = self.read.get(url) {
            return Ok(Arc::clone(&known.file));
        }
        let text = self.files.read(url).map_err(|why| why.to_string())?;
        let before = self.before.and_then(|study| study.files.get(url));
        let file = match before {
            Some(before) if Arc::ptr_eq(&before.text, &text) => Arc::clone(&before.file),
            Some(before) => Arc::new(before.file.reparse(&text.text)),
            None => Arc::new(File::parse(&text.text)),
        };
        self.read.insert(
            url.clone(),
            ReadFile {
                text,
                file: Arc::clone(&file),
            },
        );
        Ok(file)
    }

    /// Files with a boat, and files without.
    fn roots_and_parts(&mut self, boats: &[Url]) -> (Vec<Url>, Vec<Url>) {
        let mut sorted = (Vec::new(), Vec::new());
        for url in boats {
            let Ok(file) = self.read(url) else { continue };
            let has_boat = file
                .chunks
                .iter()
                .any(|chunk| chunk.thing.kind == Some(Kind::Boat));
            if has_boat {
                &mut sorted.0
            } else {
                &mut sorted.1
            }
            .push(url.clone());
        }
        sorted
    }

    /// Computes a plan, or takes it over where none of its files has changed. `None` when cancelled.
    fn compute(
        &mut self,
        root: &Url,
        study: &mut Study,
        used: &mut BTreeSet<Url>,
        cancel: &CancelToken,
    ) -> Option<()> {
        if cancel.is_cancelled() {
            return None;
        }
        let Some((sources, urls)) = self.gather(root) else {
            return Some(());
        };
        used.extend(urls.iter().cloned());
        let known = self.before.and_then(|study| {
            study
                .plans
                .iter()
                .find(|known| known.urls.first() == Some(root))
        });
        let same = known.filter(|known| is_same(&known.plan.sources, &sources));
        let computed = match same {
            Some(known) => known.clone(),
            None => Computed {
                plan: Arc::new(Plan::of(sources)),
                urls: Arc::new(urls),
            },
        };
        study.plans.push(computed);
        Some(())
    }

    fn gather(&mut self, root: &Url) -> Option<(Sources, Vec<Url>)> {
        let place = self.files.place(root);
        let (folder, path) = place.unwrap_or_else(|| {
            (
                PathBuf::new(),
                root.path().trim_start_matches('/').to_owned(),
            )
        });
        let outside = self.files.place(root).is_none();
        let address = |files: &Files, other: &str| {
            if other == path {
                Some(root.clone())
            } else if outside {
                None
            } else {
                files.address(Path::new(&folder), other)
            }
        };
        let mut wanted: BTreeMap<String, Url> = BTreeMap::new();
        let desk = std::cell::RefCell::new(&mut *self);
        let addresses = std::cell::RefCell::new(&mut wanted);
        let read = |other: &str| {
            let mut desk = desk.borrow_mut();
            let url = address(desk.files, other)
                .ok_or_else(|| "it is outside the workspace".to_owned())?;
            addresses.borrow_mut().insert(other.to_owned(), url.clone());
            desk.read(&url)
        };
        let sources = Sources::gather(&path, &read).ok()?;
        let urls = sources
            .list
            .iter()
            .filter_map(|source| wanted.get(&*source.path).cloned())
            .collect();
        Some((sources, urls))
    }
}

/// The same files with the same things, and the same lines that could not be followed.
fn is_same(a: &Sources, b: &Sources) -> bool {
    let same_file = |(a, b): (
        &ampwright_plan::sources::Source,
        &ampwright_plan::sources::Source,
    )| { a.path == b.path && Arc::ptr_eq(&a.file, &b.file) };
    a.list.len() == b.list.len()
        && a.list.iter().zip(&b.list).all(same_file)
        && a.unusable.len() == b.unusable.len()
        && a.unusable
            .iter()
            .zip(&b.unusable)
            .all(|(a, b)| a.site == b.site && a.why == b.why)
}

/// Puts every plan's findings on the files that they are shown in; a file of two plans shows each
/// finding once.
fn publish(study: &mut Study) {
    let mut plans_of: BTreeMap<&Url, usize> = BTreeMap::new();
    for url in study.plans.iter().flat_map(|computed| &*computed.urls) {
        *plans_of.entry(url).or_default() += 1;
    }
    let mut findings: BTreeMap<Url, Vec<Diagnostic>> = BTreeMap::new();
    for computed in &study.plans {
        for finding in &computed.plan.findings {
            let Some(url) = computed.urls.get(finding.site.file as usize) else {
                continue;
            };
            let Some(diagnostic) = diagnostic(study, computed, finding) else {
                continue;
            };
            if !findings.contains_key(url) {
                findings.insert(url.clone(), Vec::new());
            }
            let shared = plans_of.get(url).is_some_and(|plans| *plans > 1);
            if let Some(list) = findings.get_mut(url)
                && !(shared && list.contains(&diagnostic))
            {
                list.push(diagnostic);
            }
        }
    }
    study.findings = findings;
}

fn diagnostic(study: &Study, computed: &Computed, finding: &Finding) -> Option<Diagnostic> {
    let severity = match finding.severity {
        _ if finding.accepted.is_some() => DiagnosticSeverity::HINT,
        Severity::Error => DiagnosticSeverity::ERROR,
        Severity::Warning => DiagnosticSeverity::WARNING,
        Severity::Advice => DiagnosticSeverity::INFORMATION,
    };
    let message = match &finding.accepted {
        Some(accepted) => format!("{} ({})", finding.message, accepted.words()),
        None => finding.message.clone(),
    };
    let related: Vec<DiagnosticRelatedInformation> = finding
        .related
        .iter()
        .filter_map(|related| place(study, computed, related))
        .collect();
    Some(Diagnostic {
        range: study.range(computed, finding.site)?,
        severity: Some(severity),
        code: Some(NumberOrString::String(finding.code.word().to_owned())),
        code_description: None::<CodeDescription>,
        source: Some("ampwright".to_owned()),
        message,
        related_information: (!related.is_empty()).then_some(related),
        tags: None,
        data: None,
    })
}

fn place(
    study: &Study,
    computed: &Computed,
    related: &Related,
) -> Option<DiagnosticRelatedInformation> {
    let uri = computed.urls.get(related.site.file as usize)?.clone();
    let range = study.range(computed, related.site)?;
    Some(DiagnosticRelatedInformation {
        location: Location { uri, range },
        message: related.message.clone(),
    })
}

impl Study {
    /// A finding as a client is told it.
    pub fn diagnostic(&self, computed: &Computed, finding: &Finding) -> Option<Diagnostic> {
        diagnostic(self, computed, finding)
    }

    /// The plans that a file belongs to, in the order of their roots.
    pub fn plans_of<'s>(&'s self, url: &'s Url) -> impl Iterator<Item = (&'s Computed, u32)> {
        self.plans
            .iter()
            .filter_map(move |computed| Some((computed, computed.index_of(url)?)))
    }

    /// The positions of some bytes of a file.
    pub fn positions(&self, url: &Url, bytes: std::ops::Range<usize>) -> Option<Range> {
        Some(self.of.range(&self.files.get(url)?.text, bytes))
    }

    /// The positions of a site's words.
    pub fn range(&self, computed: &Computed, site: Site) -> Option<Range> {
        let url = computed.urls.get(site.file as usize)?;
        self.positions(url, computed.plan.sources.range(site))
    }
}
