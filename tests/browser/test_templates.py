"""Templates, read back by libraries that are not ours: DXF by ezdxf, what the browser prints of SVG and tiles by pdfminer."""

import io

import ezdxf
import pytest
from ezdxf import units
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTCurve, LTLine

from conftest import HOUSE, heatbook

# A blade by its own figures: what lies behind the heel, 300 less 240 mm, is as wide as the bar was.
BLADE = """stock b = 1 bar of 1084, 5 x 42 x 300 mm
profile b to 240 mm long, 40 mm wide, belly 90 mm
taper b from heel to tip, to 3 mm thick, ground
bevel b edge 0.8 mm, height 24 mm, ground
"""
LAYERS = {"OUTLINE", "SECTIONS", "BEVEL", "CORE", "STATIONS", "BAR", "TEXT"}
MM = 25.4 / 72


@pytest.fixture
def recipe(tmp_path):
    path = tmp_path / "blade.heat"
    path.write_text(BLADE, encoding="utf-8")
    return path


def spread(points):
    """How far points reach along and across."""
    return [max(p[axis] for p in points) - min(p[axis] for p in points) for axis in (0, 1)]


def strokes(drawing, layer):
    return [[(v.dxf.location.x, v.dxf.location.y) for v in e.vertices] for e in drawing.modelspace().query(f'POLYLINE[layer=="{layer}"]')]


@pytest.mark.parametrize("unit, says, per, bar", [("mm", units.MM, 1.0, 100.0), ("in", units.IN, 25.4, 101.6)])
def test_a_dxf_needs_no_repair_and_is_as_large_as_the_blade(unit, says, per, bar, recipe, tmp_path):
    path = tmp_path / f"{unit}.dxf"
    heatbook("template", recipe, "--dxf", path, "--units", unit)
    drawing = ezdxf.readfile(path)
    audit = drawing.audit()
    assert not audit.errors and not audit.fixes, [*audit.errors, *audit.fixes]
    assert drawing.header["$INSUNITS"] == says and drawing.header["$MEASUREMENT"] == (1 if unit == "mm" else 0)
    assert LAYERS <= {layer.dxf.name for layer in drawing.layers}
    assert {e.dxf.layer for e in drawing.modelspace()} <= LAYERS
    (outline,) = strokes(drawing, "OUTLINE")
    long, wide = [v * per for v in spread(outline)]
    assert abs(long - 300) < 0.01 and abs(wide - 42) < 0.01, (long, wide)
    assert all(e.is_closed for e in drawing.modelspace().query('POLYLINE[layer=="OUTLINE"]'))
    assert abs(max(x for x, _ in outline) * per - 240) < 0.01
    # A section is as wide as the blade there and as thick: at the heel 40 by 5.
    section = strokes(drawing, "SECTIONS")[0]
    thick, tall = [v * per for v in spread(section)]
    assert abs(tall - 40) < 0.01 and abs(thick - 5) < 0.01, (thick, tall)
    lines = [spread(points)[0] * per for points in strokes(drawing, "BAR")]
    assert any(abs(long - bar) < 0.01 for long in lines), lines
    assert any("heel" in e.dxf.text for e in drawing.modelspace().query("TEXT"))


def test_a_name_in_other_letters_comes_out_in_those_that_a_dxf_has(recipe, tmp_path):
    name = "\u043a\u043b\u0438\u043d\u043e\u043a-\u00e9"
    recipe.write_text(BLADE.replace("stock b", f"stock {name}").replace(" b to", f" {name} to").replace("taper b", f"taper {name}").replace("bevel b", f"bevel {name}"), encoding="utf-8")
    heatbook("template", recipe, "--dxf", tmp_path / "a.dxf")
    drawing = ezdxf.readfile(tmp_path / "a.dxf")
    texts = [e.dxf.text for e in drawing.modelspace().query("TEXT")]
    assert any(text.startswith("klinok-e: 240 mm") for text in texts), texts


@pytest.mark.parametrize("name, cored", [("sandwich", True), ("composite", True), ("chopper", False)])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_commissions_need_no_repair_either(name, cored, unit, tmp_path):
    path = tmp_path / "a.dxf"
    heatbook("template", HOUSE / "examples" / "commissions" / f"{name}.heat", "--dxf", path, "--units", unit)
    drawing = ezdxf.readfile(path)
    audit = drawing.audit()
    assert not audit.errors and not audit.fixes, [*audit.errors, *audit.fixes]
    layers = {e.dxf.layer for e in drawing.modelspace()}
    assert layers == LAYERS if cored else layers <= LAYERS, layers
    # What is closed comes back to where it began, and nothing lies off the plane.
    assert all(e.is_closed for e in drawing.modelspace().query('POLYLINE[layer=="SECTIONS"]'))
    assert all(v.dxf.location.z == 0 for e in drawing.modelspace().query("POLYLINE") for v in e.vertices)


def drawn(pdf):
    """What a PDF draws, sheet by sheet: points in mm."""
    found = []
    for sheet in extract_pages(io.BytesIO(pdf)):
        curves = [e for e in walk(sheet) if isinstance(e, (LTCurve, LTLine))]
        found.append(([v * MM for v in sheet.bbox[2:]], [[(x * MM, y * MM) for x, y in e.pts] for e in curves]))
    return found


def walk(element):
    yield element
    for under in element if hasattr(element, "__iter__") else ():
        yield from walk(under)


@pytest.mark.parametrize("paper, size", [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_tiles_print_at_true_size_and_lie_on_each_other(paper, size, recipe, seen, tmp_path):
    path = tmp_path / "tiles.html"
    heatbook("template", recipe, "--tiles", path, "--paper", paper)
    one = seen(path)
    one.stands_alone()
    sheets = drawn(one.page.pdf(prefer_css_page_size=True))
    assert len(sheets) == one.page.locator("svg").count() > 1
    crosses, bars = [], []
    for box, curves in sheets:
        # A browser lays its paper in whole points or px: to a third of a mm.
        assert all(abs(a - b) < 0.4 for a, b in zip(sorted(box), sorted(size))), box
        spans = [spread(points) for points in curves]
        bars += [along for along, across in spans if across < 0.001 and abs(along - 100) < 0.5]
        level = [points for points, (along, across) in zip(curves, spans) if across < 0.001 and abs(along - 8) < 0.05]
        crosses.append(sorted((sum(x for x, _ in points) / len(points), points[0][1]) for points in level))
    assert bars and all(abs(bar - 100) < 0.01 for bar in bars), bars
    for marks in crosses:
        assert len(marks) == 4, marks
    # What the drawing's middle is on one sheet is 10 mm of overlap from the next: crosses stand as far apart on all.
    across = {round(marks[-1][0] - marks[0][0], 2) for marks in crosses}
    assert len(across) == 1, across


def test_an_svg_is_as_large_as_it_says(recipe, seen, tmp_path):
    path = tmp_path / "a.svg"
    heatbook("template", recipe, "--svg", path)
    long, wide = seen(path).page.evaluate("""() => {
      const outline = document.querySelector('path').getBBox(), svg = document.querySelector('svg');
      const per = svg.width.baseVal.value / 96 * 25.4 / svg.viewBox.baseVal.width;
      return [outline.width * per, outline.height * per];
    }""")
    assert abs(long - 300) < 0.01 and abs(wide - 42) < 0.01, (long, wide)
