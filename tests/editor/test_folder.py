"""The recipes of a folder that are not open, and what an editor is told of whole documents: colours, calls, selections, measures."""

import pytest
from conftest import applied, edits_of, words_of
from lsprotocol import types

LADDER = """\
let gap = 2 mm
# A rung of plain steel.
recipe rung(w: length = 40 mm, n: count = 1) {
  stock s = n bars of 1084, 3 mm x w x 120 mm
  grind s edges gap
  give s
}
"""
FIRST = 'use "ladder.heat"\nstock a = rung(w = 30 mm)\ngrind  a edges gap\n'
SECOND = 'use "ladder.heat"\nstock b = rung()\n'


@pytest.mark.asyncio(loop_scope="function")
async def test_a_rename_reaches_files_that_are_not_open(desk):
    first, second = desk.write("first.heat", FIRST), desk.write("second.heat", SECOND)
    uri, _ = await desk.open(LADDER, "ladder.heat")
    desk.write("ladder.heat", LADDER)
    where = desk.place(uri, LADDER, "recipe rung", 8)
    edit = await desk.client.text_document_rename_async(types.RenameParams(*where, "step"))
    edits = edits_of(edit)
    if edit.document_changes is not None:
        versions = {c.text_document.uri: c.text_document.version for c in edit.document_changes}
        assert versions == {uri: 1, first: None, second: None}
    for u, text in ((uri, LADDER), (first, FIRST), (second, SECOND)):
        assert applied(text, edits[u]) == text.replace("rung(", "step("), u
    params = types.ReferenceParams(types.ReferenceContext(include_declaration=False), *where)
    found = await desk.client.text_document_references_async(params)
    assert {f.uri for f in found} == {first, second}


@pytest.mark.asyncio(loop_scope="function")
async def test_names_are_sought_in_the_folders_that_are_worked_in(desk):
    (desk.folder / "deep").mkdir()
    ladder = desk.write("deep/ladder.heat", LADDER)
    seek = lambda: desk.client.workspace_symbol_async(types.WorkspaceSymbolParams("run"))
    assert not await seek()
    folder = types.WorkspaceFolder(uri=desk.folder.as_uri(), name="shop")
    for added, removed, there in (([folder], [], [ladder]), ([], [folder], [])):
        event = types.WorkspaceFoldersChangeEvent(added=added, removed=removed)
        desk.client.workspace_did_change_workspace_folders(types.DidChangeWorkspaceFoldersParams(event))
        assert [s.location.uri for s in await seek() or []] == there


@pytest.mark.asyncio(loop_scope="function")
async def test_words_are_coloured(desk):
    text = "let gap = 2 mm # né\nstock b = 1 bar of 1084, 3 mm x 40 mm x 120 mm\ngrind b edges gap\ndraw b to 2 mm thik\n"
    uri, _ = await desk.open(text)
    document = types.TextDocumentIdentifier(uri)
    told = await desk.client.text_document_semantic_tokens_full_async(types.SemanticTokensParams(document))
    legend = desk.client.agreed.capabilities.semantic_tokens_provider.legend
    line = column = 0
    words = {}
    for i in range(0, len(told.data), 5):
        down, right, long, kind, _ = told.data[i:i + 5]
        line, column = line + down, right if down else column + right
        place = types.Range(types.Position(line, column), types.Position(line, column + long))
        words[line, words_of(text, place)] = legend.token_types[kind]
    assert words[0, "gap"] == words[1, "b"] == words[2, "gap"] == "variable"
    assert (words[0, "# né"], words[1, "1084"], words[3, "draw"]) == ("comment", "enumMember", "keyword")
    assert (3, "thik") not in words


@pytest.mark.asyncio(loop_scope="function")
async def test_a_call_tells_what_it_takes(desk):
    text = LADDER + "stock c = rung(w = 3 mm, "
    uri, _ = await desk.open(text)
    where = desk.place(uri, text, "w = 3 mm, ", len("w = 3 mm, "))
    told = await desk.client.text_document_signature_help_async(types.SignatureHelpParams(*where))
    (signature,) = told.signatures
    assert signature.label == "rung(w: length = 40 mm, n: count = 1)"
    assert signature.parameters[told.active_parameter].label == "n: count = 1"
    assert signature.documentation.value == "A rung of plain steel."


@pytest.mark.asyncio(loop_scope="function")
async def test_selections_grow_and_lines_are_laid_out_alone(desk):
    text = LADDER + "stock  c = rung()\ndraw   c to 2 mm thick, heats 2\n"
    uri, _ = await desk.open(text)
    document, place = desk.place(uri, text, "edges gap", 7)
    (grown,) = await desk.client.text_document_selection_range_async(types.SelectionRangeParams(document, [place]))
    widths = []
    while grown is not None:
        widths.append((grown.range.start.line, grown.range.end.line))
        grown = grown.parent
    assert widths == [(4, 4), (4, 4), (4, 4), (2, 6), (0, 9)]
    options = types.FormattingOptions(tab_size=2, insert_spaces=True)
    lines = types.Range(types.Position(8, 0), types.Position(8, 4))
    params = types.DocumentRangeFormattingParams(document, lines, options)
    edits = await desk.client.text_document_range_formatting_async(params)
    assert applied(text, edits) == text.replace("draw   c", "draw c")


@pytest.mark.asyncio(loop_scope="function")
async def test_pieces_are_measured_and_files_offered(desk):
    desk.write("ladder.heat", LADDER)
    text = 'use "ladder.heat"\nstock c = rung()\ndraw c to 2 mm thick, heats 2\n'
    uri, _ = await desk.open(text)
    lenses = await desk.client.text_document_code_lens_async(types.CodeLensParams(types.TextDocumentIdentifier(uri)))
    (lens,) = [lens for lens in lenses if lens.range.start.line == 2]
    assert lens.command.title.startswith("c: 2 x ") and lens.command.title.endswith("1 layer")
    await desk.change(uri, 'use "')
    assert list(await desk.complete(uri, 'use "', 'use "')) == ["ladder.heat"]
