"""Faults, warnings and missed targets as one types, and their mends."""

import json
import os
import pathlib
import subprocess

import pytest
from conftest import applied, words_of
from lsprotocol import types

SOUND = "stock blade = 1 bar of 1084, 6 x 40 x 120 mm\ndraw blade to 5 mm thick, heats 2\n"
ROOT = pathlib.Path(__file__).resolve().parents[2]


@pytest.mark.asyncio(loop_scope="function")
async def test_a_fault_comes_and_goes(desk):
    uri, found = await desk.open(SOUND.replace("thick", "thik"))
    fault = found[0]
    assert (fault.code, fault.source, fault.severity) == ("syntax", "heatbook", types.DiagnosticSeverity.Error)
    assert "`thik` makes no sense here" in fault.message and "help: did you mean `thick`" in fault.message
    assert words_of(SOUND.replace("thick", "thik"), fault.range) == "thik"
    found = await desk.change(uri, SOUND)
    assert [f for f in found if f.severity == types.DiagnosticSeverity.Error] == []
    assert await desk.change(uri, "drawe b") != []
    desk.client.diagnostics.pop(uri)
    desk.close(uri)
    assert await desk.findings(uri) == []


@pytest.mark.asyncio(loop_scope="function")
async def test_second_labels_are_related(desk):
    text = "stock a = 2 bars of 1084, 3 x 40 x 120 mm\nstack p = a\nstack q = a\n"
    uri, found = await desk.open(text)
    spent = next(f for f in found if f.code == "spent")
    places = {(r.location.uri, r.location.range.start.line, r.message) for r in spent.related_information}
    assert places == {(uri, 1, "they went in here"), (uri, 0, "made here")}


@pytest.mark.asyncio(loop_scope="function")
async def test_a_fault_in_a_used_file_is_shown_where_it_is_used(desk):
    ladder = "recipe rung(w: length = 40 mm) {\n  stock s = 1 bar of 1084, 3 mm x w x 120 mm\n  draw s to 9 mm thick\n  give s\n}\n"
    ladder_uri = desk.write("ladder.heat", ladder)
    uri, found = await desk.open('use "ladder.heat"\nstock a = rung()\n')
    fault = next(f for f in found if f.severity == types.DiagnosticSeverity.Error)
    assert fault.range.start.line == 1 and "ladder.heat`)" in fault.message
    assert ladder_uri in {r.location.uri for r in fault.related_information}
    # Opened and mended, but not saved: what is open goes before what is on disk.
    mended = ladder.replace("9 mm thick", "2 mm thick")
    desk.client.diagnostics.pop(uri)
    _, own = await desk.open(mended, "ladder.heat")
    assert [f for f in own if f.severity == types.DiagnosticSeverity.Error] == []
    errors = lambda found: [f for f in found if f.severity == types.DiagnosticSeverity.Error]
    await desk.findings(uri, lambda found: not errors(found))
    # Closed unsaved, the fault is back.
    desk.client.diagnostics.pop(uri)
    desk.close(ladder_uri)
    await desk.findings(uri, errors)
    # And a file that is not there is a fault at its name.
    text = 'use "stairs.heat"\n'
    found = await desk.change(uri, text)
    assert found[0].code == "use_missing" and words_of(text, found[0].range) == '"stairs.heat"'


@pytest.mark.asyncio(loop_scope="function")
async def test_the_same_findings_as_check(desk):
    """Each recipe and build log of the house has the codes that `check` gives, in the editor too."""
    recipes = sorted(p for folder in ("tests/faults", "examples", "recipes") for p in (ROOT / folder).rglob("*.heat"))
    assert len(recipes) > 120
    for recipe in recipes:
        text = recipe.read_text(encoding="utf-8")
        program = [os.environ["HEATBOOK"], "check", "--error-format", "json", str(recipe)]
        told = subprocess.run(program, capture_output=True, text=True, check=False).stderr
        checked = sorted(json.loads(line)["code"].removeprefix("heatbook::") for line in told.splitlines())
        _, found = await desk.open(text, str(recipe))
        assert sorted(f.code for f in found) == checked, recipe.name


async def mends(desk, uri, text, found):
    params = types.CodeActionParams(
        types.TextDocumentIdentifier(uri), found.range, types.CodeActionContext(diagnostics=[found])
    )
    return await desk.client.text_document_code_action_async(params)


@pytest.mark.asyncio(loop_scope="function")
@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        ("draw blade to 5 mm thick, heats 2", "draw blade to 5 mm thik, heats 2"),
        ("draw blade to 5 mm thick, heats 2", "drw blade to 5 mm thick, heats 2"),
        ("draw blade to 5 mm thick, heats 2", "draw blad to 5 mm thick, heats 2"),
        ("5 mm", "5 mn"),
        ("heats 2", "heats 2,"),
        ("5 mm thick", "5,5 mm thick"),
    ],
)
async def test_slips_are_mended_by_one_key(desk, wrong, right):
    text = SOUND.replace(wrong, right)
    uri, found = await desk.open(text)
    offered = [a for f in found for a in await mends(desk, uri, text, f) or []]
    assert offered and offered[0].kind == "quickfix", found
    edits = offered[0].edit.changes[uri]
    mended = applied(text, edits)
    left = await desk.change(uri, mended)
    assert offered[0].diagnostics[0].code not in [f.code for f in left], mended


@pytest.mark.asyncio(loop_scope="function")
async def test_the_number_of_a_steel_is_never_guessed(desk):
    text = SOUND.replace("of 1084", "of 10844")
    uri, found = await desk.open(text)
    assert [f.code for f in found] == ["unknown_steel"]
    assert not await mends(desk, uri, text, found[0])


@pytest.mark.asyncio(loop_scope="function")
async def test_a_missed_target_is_mended_by_its_figure(desk):
    text = (ROOT / "examples/ferry-galley.heat").read_text(encoding="utf-8").replace("62 mm wide", "76 mm wide")
    text = text.replace("60 mm wide", "76 mm wide")
    uri, _ = await desk.open(text)
    found = await desk.findings(uri, lambda fs: any(f.code == "target_missed" and "help:" in f.message for f in fs))
    missed = next(f for f in found if f.code == "target_missed")
    assert missed.related_information
    (action,) = [a for a in await mends(desk, uri, text, missed) if a.diagnostics[0].code == "target_missed"]
    assert action.title.startswith("write `")
    left = await desk.change(uri, applied(text, action.edit.changes[uri]))
    assert "target_missed" not in [f.code for f in left]
