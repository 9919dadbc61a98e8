"""Completion, and where names are given and used."""

import pytest
from conftest import applied, edits_of, words_of
from lsprotocol import types
from pygls.exceptions import JsonRpcException

TEXT = """\
let finish = 0.4 mm
recipe slab(bars: count = 4, skin: length = 1 mm, kind: steel = 1084) {
  let twice = skin * 2
  stock dark = bars bars of kind, 3 x 40 x 120 mm
  stock bright = 3 bars of 15N20, 1.5 x 40 x 120 mm
  stack p = alternate dark, bright
  weld p at 1230 C, thinning 15 %, heats 3
  grind p edges twice
  give p
}
stock blade = slab(bars = 4, skin = finish)
stock p = 2 bars of 1084, 3 x 40 x 120 mm
stack p = p
weld p at 1230 C, thinning 15 %, heats 3
cut blade into low, top
cut p 8 mm off each end
stock crop = p-offcut-1 from rack
grind low faces finish
target low {
  width >= 1 mm
  thickness of dark >= 0.1 mm
}
"""


@pytest.mark.asyncio(loop_scope="function")
@pytest.mark.parametrize(
    ("line", "there", "not_there"),
    [
        ("", {"draw", "weld", "let", "target", "recipe"}, {"give", "forge", "width"}),
        ("dr", {"draw"}, {"forge"}),
        ("draw ", {"low", "top", "crop", "p"}, {"blade", "dark", "draw"}),
        ("draw low ", {"to", "heats", "at", "bite"}, {"thinning", "into", "low"}),
        ("draw low to 9 ", {"mm", "in", "thou"}, {"heats"}),
        ("draw low to 9 mm ", {"thick", "wide", "long", "heats"}, {"thinning"}),
        ("draw low to 9m", {"mm"}, {"heats"}),
        ("draw low to 9 mm thick, ", {"heats", "at", "with"}, {"low"}),
        ("draw low to 9 mm thick,\n  ", {"heats", "at", "with"}, {"weld"}),
        ("draw low to 9 mm thick, at 1200 ", {"C", "F"}, {"mm", "kg"}),
        ("draw low to 9 mm thick, heats ", {"finish"}, {"at"}),
        ("draw low with ", {"flat die", "peen"}, {"heats"}),
        ("weld p th", {"thinning", "soak"}, {"bite 20 mm", "into"}),
        ("harden low from 815 C in ", {"oil", "brine"}, {"heats"}),
        ("stock n = ", {"slab"}, {"low", "alternate"}),
        ("stock n = 3 bars of ", {"1084", "15N20", "wrought-iron"}, {"low"}),
        ("stock n = slab(", {"bars", "skin", "kind"}, {"low"}),
        ("stock n = slab(bars = 3, ", {"skin", "kind"}, {"bars"}),
        ("stock n = slab(kind = ", {"1084"}, {"finish"}),
        ("stack n = ", {"alternate", "low", "top"}, {"dark"}),
        ("stack n = alternate low, ", {"top", "p"}, {"alternate"}),
        ("target ", {"low", "top"}, {"blade"}),
        ("let n = finish + 3 ", {"mm", "kg"}, {"finish"}),
        ("expect low: ", {"width", "layers"}, {"low"}),
        ("shop {\n  ", {"forge", "kerf", "power hammer"}, {"draw", "width"}),
        ("shop {\n  forge ", {"gas", "coke", "reducing"}, {"kerf"}),
        ("shop {\n  press 25 tonf, ", {"flat", "die", "strokes"}, {"forge"}),
        ("target top {\n  ", {"width", "hardness"}, {"draw", "forge"}),
        ("target top {\n  thickness of ", {"dark", "bright"}, {"1084"}),
        ("target top {\n  hardness >= 58 ", {"HRC"}, {"mm"}),
        ("# draw ", set(), {"low"}),
        ('note "draw ', set(), {"low"}),
    ],
)
async def test_completion(desk, line, there, not_there):
    text = TEXT + line
    uri, _ = await desk.open(text)
    where = desk.place(uri, text + "$", "$")
    offers = await desk.client.text_document_completion_async(types.CompletionParams(*where))
    labels = {o.label for o in offers or []}
    assert there <= labels, there - labels
    assert not (not_there & labels), not_there & labels
    for offer in offers or []:
        assert offer.text_edit.range.end == where[1]


@pytest.mark.asyncio(loop_scope="function")
async def test_completion_inside_a_recipe_knows_its_own_names(desk):
    text = TEXT.replace("  give p\n", "  draw \n  give p\n")
    uri, _ = await desk.open(text)
    assert set(await desk.complete(uri, text, "  draw ")) == {"p"}
    text = TEXT.replace("  give p\n", "  grind p faces \n  give p\n")
    await desk.change(uri, text)
    assert {"twice", "skin", "bars", "finish"} <= set(await desk.complete(uri, text, "grind p faces "))
    text = TEXT.replace("  give p\n", "  \n  give p\n")
    await desk.change(uri, text)
    assert "give" in await desk.complete(uri, text, "edges twice\n  ")


async def references(desk, uri, text, words, behind=0, times=1, own=True):
    where = desk.place(uri, text, words, behind, times)
    params = types.ReferenceParams(types.ReferenceContext(include_declaration=own), *where)
    found = await desk.client.text_document_references_async(params) or []
    return sorted((f.range.start.line, words_of(text, f.range)) for f in found if f.uri == uri)


async def definition(desk, uri, text, words, behind=0, times=1):
    where = desk.place(uri, text, words, behind, times)
    found = await desk.client.text_document_definition_async(types.DefinitionParams(*where)) or []
    return [(f.uri, f.range.start.line) for f in found]


@pytest.mark.asyncio(loop_scope="function")
async def test_definitions_and_references_keep_to_their_scope(desk):
    uri, found = await desk.open(TEXT)
    assert [f.message for f in found if f.severity == types.DiagnosticSeverity.Error] == []
    # `p` of the file is not the `p` of the recipe; of its givings a use means the last before it.
    assert await definition(desk, uri, TEXT, "weld p", 5, times=2) == [(uri, 12)]
    assert await definition(desk, uri, TEXT, "stack p = p", 10) == [(uri, 11)]
    assert await definition(desk, uri, TEXT, "weld p", 5) == [(uri, 5)]
    assert await references(desk, uri, TEXT, "give p", 5) == [(5, "p"), (6, "p"), (7, "p"), (8, "p")]
    own = await references(desk, uri, TEXT, "stock p", 6)
    assert own == [(11, "p"), (12, "p"), (12, "p"), (13, "p"), (15, "p"), (16, "p")]
    # Lets, parameters, recipes, parts.
    assert await definition(desk, uri, TEXT, "faces finish", 7) == [(uri, 0)]
    assert await references(desk, uri, TEXT, "let finish", 5, own=False) == [(10, "finish"), (17, "finish")]
    assert await references(desk, uri, TEXT, "skin: length") == [(1, "skin"), (2, "skin"), (10, "skin")]
    assert await definition(desk, uri, TEXT, "edges twice", 7) == [(uri, 2)]
    assert await definition(desk, uri, TEXT, "of kind", 4) == [(uri, 1)]
    assert await definition(desk, uri, TEXT, "= slab(", 3) == [(uri, 1)]
    assert await definition(desk, uri, TEXT, "of dark", 4) == [(uri, 3)]
    assert await definition(desk, uri, TEXT, "grind low", 7) == [(uri, 14)]
    assert await definition(desk, uri, TEXT, "heats 3") == []


async def rename(desk, uri, text, words, new, behind=0, times=1):
    where = desk.place(uri, text, words, behind, times)
    params = types.RenameParams(where[0], where[1], new)
    return edits_of(await desk.client.text_document_rename_async(params))


@pytest.mark.asyncio(loop_scope="function")
@pytest.mark.parametrize(
    ("words", "behind", "old", "count"),
    [
        ("stock p", 6, "p", 6),
        ("give p", 5, "p", 4),
        ("let finish", 5, "finish", 3),
        ("skin: length", 0, "skin", 3),
        ("kind: steel", 0, "kind", 2),
        ("let twice", 5, "twice", 2),
        ("= slab(", 2, "slab", 2),
        ("of dark", 3, "dark", 3),
        ("cut blade into low", 15, "low", 3),
    ],
)
async def test_rename_changes_every_place_and_nothing_else(desk, words, behind, old, count):
    uri, before = await desk.open(TEXT)
    edits = (await rename(desk, uri, TEXT, words, "other-name", behind))[uri]
    assert len(edits) == count and all(words_of(TEXT, e.range) == old for e in edits)
    renamed = applied(TEXT, edits)
    after = await desk.change(uri, renamed)
    assert [f.code for f in after] == [f.code for f in before]
    # And back again.
    back = (await rename(desk, uri, renamed, "other-name", old))[uri]
    assert applied(renamed, back) == TEXT


@pytest.mark.asyncio(loop_scope="function")
@pytest.mark.parametrize(
    ("words", "behind", "new", "why"),
    [
        ("stock p", 6, "weld", "a verb"),
        ("stock p", 6, "heats", "a word of the language"),
        ("stock p", 6, "target", "a word of the language"),
        ("stock p", 6, "9lives", "is no name"),
        ("stock p", 6, "two words", "is no name"),
        ("stock p", 6, "", "is no name"),
        ("stock p", 6, "blade", "`blade` is a piece already"),
        ("let finish", 5, "twice", "already"),
        ("let finish", 5, "skin", "already"),
        ("stock crop", 3, "x1", "no name of yours stands here"),
    ],
)
async def test_rename_is_refused_with_a_reason(desk, words, behind, new, why):
    uri, _ = await desk.open(TEXT)
    with pytest.raises(JsonRpcException) as refused:
        await rename(desk, uri, TEXT, words, new, behind)
    assert why in str(refused.value)


@pytest.mark.asyncio(loop_scope="function")
async def test_prepare_rename(desk):
    uri, _ = await desk.open(TEXT)

    async def prepare(words, behind):
        params = types.PrepareRenameParams(*desk.place(uri, TEXT, words, behind))
        return await desk.client.text_document_prepare_rename_async(params)

    found = await prepare("let finish", 5)
    assert found.placeholder == "finish" and words_of(TEXT, found.range) == "finish"
    with pytest.raises(JsonRpcException):
        await prepare("1230 C", 1)
    # While a line cannot be read, a name may stand in it.
    broken = TEXT + "weld p att 1230 C\n"
    await desk.change(uri, broken)
    with pytest.raises(JsonRpcException) as refused:
        await rename(desk, uri, broken, "let finish", "other", 5)
    assert "cannot be read" in str(refused.value)


@pytest.mark.asyncio(loop_scope="function")
async def test_names_reach_into_used_files(desk):
    ladder = "let gap = 2 mm\nrecipe rung(w: length = 40 mm) {\n  stock s = 1 bar of 1084, 3 mm x w x 120 mm\n  grind s edges gap\n  give s\n}\n"
    ladder_uri = desk.write("ladder.heat", ladder)
    text = 'use "ladder.heat"\nstock a = rung(w = 30 mm)\ngrind a edges gap\n'
    uri, found = await desk.open(text)
    assert [f for f in found if f.severity == types.DiagnosticSeverity.Error] == []
    assert await definition(desk, uri, text, "rung", 1) == [(ladder_uri, 1)]
    assert await definition(desk, uri, text, '"ladder', 2) == [(ladder_uri, 0)]
    assert await definition(desk, uri, text, "edges gap", 7) == [(ladder_uri, 0)]
    changes = await rename(desk, uri, text, "edges gap", "space", 6)
    assert set(changes) == {uri, ladder_uri}
    assert applied(ladder, changes[ladder_uri]) == ladder.replace("gap", "space")
    assert applied(text, changes[uri]) == text.replace("gap", "space")
    # The same asked from the used file, open as well.
    await desk.open(ladder, "ladder.heat")
    again = await rename(desk, ladder_uri, ladder, "let gap", "space", 5)
    assert {u: len(e) for u, e in again.items()} == {u: len(e) for u, e in changes.items()}
