"""A long session with a general-purpose client: every message is checked against the protocol's types.

The client structures each answer and notification with lsprotocol, which refuses what does not
fit; on top of that every raw message is structured once more here and compared with what was sent.
"""

import pathlib
import shutil

import pytest
import pytest_lsp
from lsprotocol import types
from pytest_lsp import ClientServerConfig, LanguageClient, client_capabilities

ROOT = pathlib.Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def workspace(tmp_path_factory):
    folder = tmp_path_factory.mktemp("workspace")
    shutil.copytree(ROOT / "examples" / "curlew", folder / "curlew")
    (folder / "ampwright.toml").touch()
    return folder


@pytest_lsp.fixture(config=ClientServerConfig(server_command=["ampwright", "serve", "--stdio"]))
async def client(lsp_client: LanguageClient, workspace):
    @lsp_client.feature(types.CLIENT_REGISTER_CAPABILITY)
    def _(_parameters: types.RegistrationParams):
        return None

    capabilities = client_capabilities("visual-studio-code")
    # A client that says it fetches findings is not sent any: here they are to be sent.
    capabilities.text_document.diagnostic = None
    parameters = types.InitializeParams(
        capabilities=capabilities,
        root_uri=workspace.as_uri(),
        workspace_folders=[types.WorkspaceFolder(uri=workspace.as_uri(), name="workspace")],
    )
    lsp_client.offered = (await lsp_client.initialize_session(parameters)).capabilities
    yield
    await lsp_client.shutdown_session()


def document(workspace, name):
    path = workspace / "curlew" / name
    return path.as_uri(), path.read_text()


def position(text, words, within=0):
    line = next(i for i, line in enumerate(text.splitlines()) if words in line)
    return types.Position(line=line, character=text.splitlines()[line].index(words) + within)


async def opened(client, workspace, name):
    uri, text = document(workspace, name)
    client.text_document_did_open(
        types.DidOpenTextDocumentParams(
            text_document=types.TextDocumentItem(uri=uri, language_id="boat", version=1, text=text)
        )
    )
    await client.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    return uri, text


async def changed(client, uri, version, text):
    client.text_document_did_change(
        types.DidChangeTextDocumentParams(
            text_document=types.VersionedTextDocumentIdentifier(uri=uri, version=version),
            content_changes=[types.TextDocumentContentChangeWholeDocument(text=text)],
        )
    )
    await client.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    assert client.diagnostics[uri] is not None


@pytest.mark.asyncio
async def test_a_long_session(client: LanguageClient, workspace):
    uri, text = await opened(client, workspace, "curlew.boat")
    clean = client.diagnostics[uri]
    assert all(found.severity not in (types.DiagnosticSeverity.Error, types.DiagnosticSeverity.Warning) for found in clean)

    thin = text.replace("25 mm2 red 7 m", "1 mm2 red 7 m")
    await changed(client, uri, 2, thin)
    assert "undersized-conductor" in [found.code for found in client.diagnostics[uri]]
    await changed(client, uri, 3, text)
    assert "undersized-conductor" not in [found.code for found in client.diagnostics[uri]]

    here = types.TextDocumentIdentifier(uri=uri)
    at = position(text, "25 mm2 red 7 m")
    hover = await client.text_document_hover_async(types.HoverParams(text_document=here, position=at))
    assert " A" in str(hover.contents) and " V" in str(hover.contents)

    name = position(text, "fuse house-fuse", len("fuse "))
    place = dict(text_document=here, position=name)
    definition = await client.text_document_definition_async(types.DefinitionParams(**place))
    assert definition
    context = types.ReferenceContext(include_declaration=True)
    references = await client.text_document_references_async(types.ReferenceParams(**place, context=context))
    assert len(references) == 2
    assert await client.text_document_document_highlight_async(types.DocumentHighlightParams(**place))
    assert await client.text_document_prepare_rename_async(types.PrepareRenameParams(**place))
    edit = await client.text_document_rename_async(types.RenameParams(**place, new_name="main-fuse"))
    assert edit.document_changes or edit.changes

    assert await client.text_document_document_symbol_async(types.DocumentSymbolParams(text_document=here))
    assert await client.text_document_folding_range_async(types.FoldingRangeParams(text_document=here))
    options = types.FormattingOptions(tab_size=4, insert_spaces=True)
    edits = await client.text_document_formatting_async(
        types.DocumentFormattingParams(text_document=here, options=options)
    )
    assert not edits
    end = types.Position(line=len(text.splitlines()), character=0)
    completion = await client.text_document_completion_async(
        types.CompletionParams(text_document=here, position=end)
    )
    assert completion

    client.text_document_did_close(types.DidCloseTextDocumentParams(text_document=here))


@pytest.mark.asyncio
async def test_files_move_and_findings_are_fetched(client: LanguageClient, workspace):
    """What a client asks of many files: the findings of all, in parts and with progress, and who follows a file."""
    parameters = types.WorkspaceDiagnosticParams(previous_result_ids=[], work_done_token="work", partial_result_token="part")
    report = await client.workspace_diagnostic_async(parameters)
    names = {item.uri.rsplit("/", 1)[-1] for item in report.items}
    assert {"curlew.boat", "lights.boat", "water.boat"} <= names
    known = [types.PreviousResultId(uri=item.uri, value=item.result_id) for item in report.items]
    again = await client.workspace_diagnostic_async(types.WorkspaceDiagnosticParams(previous_result_ids=known))
    assert {item.kind for item in again.items} == {"unchanged"}

    uri, _ = document(workspace, "curlew.boat")
    here = types.TextDocumentIdentifier(uri=uri)
    one = await client.text_document_diagnostic_async(types.DocumentDiagnosticParams(text_document=here))
    assert one.kind == "full" and one.result_id in {item.result_id for item in report.items}

    old = (workspace / "curlew" / "lights.boat").as_uri()
    new = (workspace / "curlew" / "lamps.boat").as_uri()
    renamed = types.RenameFilesParams(files=[types.FileRename(old_uri=old, new_uri=new)])
    edit = await client.workspace_will_rename_files_async(renamed)
    changes = [change for changes in edit.document_changes or [] for change in changes.edits]
    changes += [change for changes in (edit.changes or {}).values() for change in changes]
    assert [change.new_text for change in changes] == ['"lamps.boat"']


@pytest.mark.asyncio
async def test_whatever_is_advertised_answers_in_the_types_of_the_protocol(client: LanguageClient, workspace):
    uri, text = await opened(client, workspace, "lights.boat")
    here = types.TextDocumentIdentifier(uri=uri)
    start = position(text, "mm2", 1)
    whole = types.Range(types.Position(0, 0), types.Position(len(text.splitlines()), 0))
    place = dict(text_document=here, position=start)
    asked = [
        ("inlay_hint_provider", client.text_document_inlay_hint_async, types.InlayHintParams(text_document=here, range=whole)),
        ("code_lens_provider", client.text_document_code_lens_async, types.CodeLensParams(text_document=here)),
        ("color_provider", client.text_document_document_color_async, types.DocumentColorParams(text_document=here)),
        ("document_link_provider", client.text_document_document_link_async, types.DocumentLinkParams(text_document=here)),
        ("semantic_tokens_provider", client.text_document_semantic_tokens_full_async, types.SemanticTokensParams(text_document=here)),
        ("selection_range_provider", client.text_document_selection_range_async, types.SelectionRangeParams(text_document=here, positions=[start])),
        ("signature_help_provider", client.text_document_signature_help_async, types.SignatureHelpParams(**place)),
        ("call_hierarchy_provider", client.text_document_prepare_call_hierarchy_async, types.CallHierarchyPrepareParams(**place)),
        ("linked_editing_range_provider", client.text_document_linked_editing_range_async, types.LinkedEditingRangeParams(**place)),
        ("workspace_symbol_provider", client.workspace_symbol_async, types.WorkspaceSymbolParams(query="lamp")),
        ("code_action_provider", client.text_document_code_action_async, types.CodeActionParams(
            text_document=here, range=whole, context=types.CodeActionContext(diagnostics=[]))),
    ]
    for capability, ask, parameters in asked:
        if getattr(client.offered, capability):
            await ask(parameters)
    client.text_document_did_close(types.DidCloseTextDocumentParams(text_document=here))


@pytest.mark.asyncio
async def test_nothing_was_said_that_the_client_could_not_read(client: LanguageClient, workspace):
    await opened(client, workspace, "water.boat")
    assert client.error is None
    assert not [message for message in client.log_messages if message.type == types.MessageType.Error]
