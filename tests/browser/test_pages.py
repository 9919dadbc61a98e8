"""Pages from disk: they stand alone, fit where they are shown, can be read aloud, and say what the JSON says."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe

from conftest import EVIL, LENGTHY, RTL

SHEETS = [f"sheet {name}" for name in ["crowded", "inches", "layered", "built", "long", "tiny", "hostile"]]
PAGES = [*SHEETS, "quote", "quote--customer"]
# What lies between the margins of the page's own style, px of 1/96 in: A4 and Letter less 12 mm on each side.
PAPERS = {"A4": (210 - 24) / 25.4 * 96, "Letter": (215.9 - 24) / 25.4 * 96}


@pytest.mark.loading
@pytest.mark.parametrize("name", PAGES)
def test_a_page_loads_from_disk_without_network(name, pages, seen):
    path, _ = pages[name]
    one = seen(path)
    assert one.page.locator("h1").count() == 1
    one.stands_alone()


# Elements that reach beyond the window, and text that its own box cuts off.
BEYOND = """() => {
  const wide = document.documentElement.clientWidth, found = [];
  if (document.documentElement.scrollWidth > wide) found.push(['page', document.documentElement.scrollWidth, wide]);
  for (const each of document.querySelectorAll('body *')) {
    const box = each.getBoundingClientRect();
    // A drawing may be moved along in its own frame on a phone; there is a test of its letters.
    if (each.closest('figure') && (each.tagName !== 'FIGURE' || wide < 480)) continue;
    if (box.right > wide + 0.5 || box.left < -0.5) found.push([each.tagName, each.textContent.slice(0, 40), box.left, box.right]);
    if (each.scrollWidth > each.clientWidth + 1 && each.clientWidth > 0 && getComputedStyle(each).display !== 'inline')
      found.push([each.tagName, each.textContent.slice(0, 40), each.scrollWidth, each.clientWidth]);
  }
  return found.slice(0, 5);
}"""


@pytest.mark.parametrize("name", PAGES)
def test_nothing_reaches_beyond_the_window_or_the_paper(name, pages, seen):
    path, _ = pages[name]
    for wide in [360, 768, 1280]:
        beyond = seen(path, wide).page.evaluate(BEYOND)
        assert not beyond, f"{name} at {wide} px: {beyond}"
    for paper, wide in PAPERS.items():
        beyond = seen(path, int(wide), media="print").page.evaluate(BEYOND)
        assert not beyond, f"{name} on {paper}: {beyond}"


@pytest.mark.parametrize("name", PAGES)
def test_a_page_has_nothing_that_keeps_anybody_from_reading_it(name, pages, seen):
    path, _ = pages[name]
    for wide in [360, 1280]:
        found = Axe().run(seen(path, wide).page)
        assert found.violations_count == 0, found.generate_report()


LETTERS = """() => Array.from(document.querySelectorAll('svg text'), e => parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a)"""


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("wide", [360, 768])
def test_letters_of_drawings_can_be_read_on_a_phone(name, wide, pages, seen):
    sizes = seen(pages[name][0], wide).page.evaluate(LETTERS)
    assert sizes and min(sizes) > 9, min(sizes)


# Everything that has a colour of its own, and how large the letters of a step are, in points.
INKS = """() => {
  const inks = new Set(), all = Array.from(document.querySelectorAll('body, body *'));
  for (const each of all) {
    const style = getComputedStyle(each);
    for (const of of ['color', 'backgroundColor', 'borderTopColor', 'fill', 'stroke']) inks.add(style[of]);
  }
  const sizes = all.filter(e => e.closest('li') && e.innerText).map(e => parseFloat(getComputedStyle(e).fontSize) * 0.75);
  return [Array.from(inks), Math.min(...sizes)];
}"""


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_is_grey_and_large_enough_to_be_read_from_the_wall(name, pages, seen):
    inks, least = seen(pages[name][0], int(PAPERS["A4"]), media="print").page.evaluate(INKS)
    for ink in inks:
        parts = re.findall(r"[0-9.]+", ink)[:3]
        assert len(set(parts)) <= 1, ink
    assert least >= 11.9, least


def at(told, place):
    for part in place.split("/")[1:]:
        told = told[int(part)] if isinstance(told, list) else told[part]
    return told


UNITS = {"kg": 1000, "cm3": 1000, "%": 0.01}


def shows(place, shown, value):
    """Asserts that what is shown in mm, g, C, min or a bare count is the value to half of its last digit."""
    figure, _, unit = shown.partition(" ")
    scale, digits = UNITS.get(unit, 1), len(figure.partition(".")[2])
    tens = place.endswith(("stop_c", "at_c")) or place.endswith("minutes") and value >= 99.5
    half = 0.500001 * 10**-digits * scale * (10 if tens else 1)
    # A margin is told without its sign, by `short` or `over`.
    assert abs(float(figure.lstrip("€$")) * scale - abs(value)) <= half, f"{place}: {shown} for {value}"


MARKED = """() => Array.from(document.querySelectorAll('data'), each => {
  const box = each.getBoundingClientRect();
  return [each.dataset.at, each.value, each.innerText, box.width > 0 && box.height > 0];
})"""

# What is said outside of what is marked, of what somebody wrote, of findings as `check` tells them, and of drawings.
REST = """() => {
  const walker = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT), found = [];
  for (let node; (node = walker.nextNode());)
    if (!node.parentElement.closest('data, bdi, svg, pre') && /[0-9]/.test(node.data)) found.push(node.data);
  return found;
}"""


def words_of(told):
    """Every string of a JSON value."""
    if isinstance(told, str):
        yield told
    for under in told.values() if isinstance(told, dict) else told if isinstance(told, list) else ():
        yield from words_of(under)


def numbers_of(told):
    if isinstance(told, (int, float)) and not isinstance(told, bool):
        yield float(told)
    for under in told.values() if isinstance(told, dict) else told if isinstance(told, list) else ():
        yield from numbers_of(under)


def every_figure_is_told(page, told, metric=True):
    """Asserts that what a page shows is what a JSON says."""
    marked = page.evaluate(MARKED)
    assert marked
    for place, value, shown, visible in marked:
        assert visible, place
        assert at(told, place) == float(value), place
        if metric and "/targets" not in place:
            shows(place, shown, float(value))
    # A figure without a mark stands in words that the JSON has, whole.
    figure = re.compile(r"[^\s(;]*[0-9][^\s);]*")
    words = {part.strip(".,:") for said in words_of(told) for part in figure.findall(said)}
    for text in page.evaluate(REST):
        for part in figure.findall(text):
            # The heats before the last are counted: `1: 28.81 mm`.
            assert part.strip(".,:") in words or re.fullmatch(r"\d+:", part), f"`{part}` of `{text}`"
    # What a drawing stands for is a figure of the JSON.
    all_numbers = set(numbers_of(told))
    drawn = page.evaluate("() => Array.from(document.querySelectorAll('svg [data-value]'), e => [e.getAttribute('class'), e.dataset.value])")
    drawn = [float(value) for which, value in drawn if which != "mark"]
    assert all(value in all_numbers for value in drawn)


@pytest.mark.parametrize("name", PAGES)
def test_every_figure_on_the_page_is_the_jsons(name, pages, seen):
    path, told = pages[name]
    every_figure_is_told(seen(path).page, told, metric=name != "sheet inches")


def test_whatever_somebody_wrote_is_text(pages, seen):
    path, told = pages["sheet hostile"]
    one = seen(path)
    assert one.page.locator("main :is(script, img, b, i, iframe, object)").count() == 0
    text = one.page.inner_text("main")
    assert "<script>alert(1)</script>&amp;'" in text and LENGTHY in text and 'onerror=alert(3)>&".heat' in text
    assert RTL not in text and "\x1b" not in text
    path, told = pages["quote--customer"]
    other = seen(path)
    text = other.page.inner_text("main")
    assert EVIL.split(RTL)[0] in text and "<b>" in text and RTL not in text
    for each in [one, other]:
        each.stands_alone()
