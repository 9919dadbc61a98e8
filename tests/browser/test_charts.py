"""Drawings, as a browser lays them out: nothing is cut off, no words lie on others, and each stands for its figures."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from conftest import HOUSE, answer, heatbook
from test_pages import SHEETS, numbers_of

LOOSE = HOUSE / "examples" / "loose-galley.heat"
GALLEY = HOUSE / "examples" / "ferry-galley.heat"
# What commands draw into a file of their own.
DRAWN = {
    **{f"{of} of the galley": ["chart", GALLEY, "--of", of] for of in ["thickness", "width", "mass", "layers", "steel", "fire"]},
    "a measured build": ["chart", HOUSE / "examples" / "lock-keeper" / "build.heat", "--of", "width"],
    "the fire's share of a crowded one": ["chart", HOUSE / "examples" / "commissions" / "composite.heat", "--of", "fire"],
    "along a blade": ["chart", HOUSE / "examples" / "commissions" / "composite.heat", "--of", "along"],
    "along a blade in inches": ["chart", HOUSE / "examples" / "commissions" / "chopper.heat", "--of", "along"],
    "why": ["why", "width", "blade", GALLEY],
    "odds": ["odds", LOOSE, "--samples", "2000"],
    "one figure": ["sweep", GALLEY, "--vary", "spread 1 wide = 52 mm .. 80 mm"],
    "one figure in two": ["sweep", GALLEY, "--vary", "spread 1 wide = 52 mm .. 80 mm", "--vary", "dark thick = 2 mm .. 5 mm"],
}

# Of each drawing: words that leave it, and words that lie on other words (letters, not the room above and below them).
LAID = """() => Array.from(document.querySelectorAll('svg'), svg => {
  const view = svg.viewBox.baseVal, found = [], boxes = [];
  for (const words of svg.querySelectorAll('text:not([aria-hidden])')) {
    const box = words.getBBox(), said = words.textContent;
    if (box.x < view.x - 0.5 || box.y < view.y - 0.5 || box.x + box.width > view.x + view.width + 0.5
        || box.y + box.height > view.y + view.height + 0.5) found.push(`cut off: ${said}`);
    const own = [box.x + 0.5, box.y + 0.25 * box.height, box.x + box.width - 0.5, box.y + 0.8 * box.height, said];
    for (const [left, top, right, foot, other] of boxes)
      if (own[0] < right && left < own[2] && own[1] < foot && top < own[3]) found.push(`${said} on ${other}`);
    boxes.push(own);
  }
  return found;
}).flat()"""


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    folder = tmp_path_factory.mktemp("drawn")
    for name, args in DRAWN.items():
        heatbook(*args, "--svg", folder / f"{name}.svg")
    return folder


@pytest.mark.parametrize("name", DRAWN)
def test_words_of_a_drawing_can_be_read(name, drawn, seen):
    one = seen(drawn / f"{name}.svg")
    laid = one.page.evaluate(LAID)
    assert not laid, laid
    assert one.page.evaluate("document.querySelectorAll('text').length") > 5
    one.stands_alone()
    # On a page of somebody's own it is told to those who do not see it.
    svg = (drawn / f"{name}.svg").read_text(encoding="utf-8")
    one.page.goto("about:blank")
    one.page.set_content(f'<!doctype html><html lang="en"><title>drawing</title><main><h1>drawing</h1>{svg}</main></html>')
    found = Axe().run(one.page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("name", [name for name in DRAWN if name != "why"])
def test_what_a_drawing_stands_for_is_a_figure_of_the_json(name, drawn, seen):
    # Of a step that changes a size twice for one cause `why` draws one bar: a test beside the sources adds them up.
    page = seen(drawn / f"{name}.svg").page
    marked = page.evaluate("Array.from(document.querySelectorAll('[data-value]'), e => [e.getAttribute('class'), Number(e.dataset.value)])")
    figures = set(numbers_of(answer(*DRAWN[name])))
    # The axis has round figures of its own, and the limits of a sweep are its recipe's.
    left_out = ["mark", "limit"] if "figure" in name else ["mark"]
    stands = [value for of, value in marked if of not in left_out]
    assert all(value in figures for value in stands)
    assert stands or name == "one figure in two"


@pytest.mark.parametrize("name", SHEETS)
def test_words_of_the_drawings_on_a_sheet_can_be_read(name, pages, seen):
    laid = seen(pages[name][0]).page.evaluate(LAID)
    assert not laid, laid


def test_a_blade_is_drawn_as_wide_as_it_is(drawn, seen):
    told = answer(*DRAWN["along a blade"])
    lines = seen(drawn / "along a blade.svg").page.evaluate("""() => {
      const of = which => Array.from(document.querySelectorAll(which));
      const line = e => [Number(e.dataset.value), Number(e.getAttribute('y1')), Number(e.getAttribute('x1')), Number(e.getAttribute('x2'))];
      return [of('line.mark').map(line), of('line.limit').map(line), Array.from(of('polyline')[0].points, p => [p.x, p.y])];
    }""")
    marks, limits, points = lines
    (low, foot, left, right), (high, top, _, _) = marks[0], marks[-1]
    far = max(p["at_mm"] for p in told["points"])
    y = lambda mm: foot + (top - foot) * (mm - low) / (high - low)
    x = lambda mm: left + (right - left) * mm / far
    assert len(points) == len(told["points"])
    for (px, py), p in zip(points, told["points"]):
        assert abs(px - x(p["at_mm"])) < 0.01 and abs(py - y(p["width_mm"])) < 0.01
    asked = [(end, l["from_mm"], l["to_mm"]) for l in told["limits"] for end in [l["low"], l["high"]] if end is not None]
    assert asked and len(asked) == len(limits)
    for (value, at, x1, x2), (end, from_mm, to_mm) in zip(limits, asked):
        assert value == end and abs(at - y(end)) < 0.01
        assert abs(x1 - x(from_mm)) < 0.01 and abs(x2 - x(to_mm)) < 0.01


def test_a_sweep_says_what_is_met_what_is_missed_and_what_cannot_be_worked(drawn, seen):
    told = answer(*DRAWN["one figure"])["tries"]
    page = seen(drawn / "one figure.svg").page
    worked = [t for t in told if t["got"]]
    assert 0 < len(worked) < len(told)
    circles = page.evaluate("Array.from(document.querySelectorAll('circle'), c => [Number(c.dataset.value), c.getAttribute('fill')])")
    width = [(t["got"][0]["value"], "black" if t["got"][0]["met"] else "white") for t in worked]
    assert [tuple(c) for c in circles[: len(worked)]] == width
    panels = len(circles) // len(worked)
    assert page.locator("rect.gap").count() == panels
    text = page.text_content("svg")
    for said in ["throughout, met", "at 52 mm: ", "spread 1 wide, mm", "at least 58 mm"]:
        assert said in text, text
    # Of two figures as many cells as there are tries, and each as it was told.
    two = answer(*DRAWN["one figure in two"])["tries"]
    page = seen(drawn / "one figure in two.svg").page
    cells = page.evaluate("Array.from(document.querySelectorAll('rect.met, rect.gap'), r => [r.getAttribute('class'), r.width.baseVal.value * r.height.baseVal.value])")
    frame = page.evaluate("(() => { const f = document.querySelector('rect[fill=none]'); return f.width.baseVal.value * f.height.baseVal.value })()")
    for which, many in [("met", sum(t["met"] for t in two)), ("gap", sum(t["got"] is None for t in two))]:
        area = sum(area for of, area in cells if of == which)
        assert many > 0 and abs(area / frame - many / len(two)) < 1e-4, which
    text = page.text_content("svg")
    assert "throughout, met" in text and "a: " in text and "spread 1 wide" in text and "dark thick across" in text
