"""The page of `watch --page` in the browser: it follows the file, is refused to others, and ends with Ctrl-C."""

import re
import signal
import subprocess
import threading

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from conftest import HEATBOOK, answer
from test_pages import BEYOND, every_figure_is_told

RECIPE = """stock d = 3 bars of 1084, 4 x 40 x 150 mm
stock b = 2 bars of 15N20, 2 x 40 x 150 mm
stack bar = alternate d, b
weld bar at 1230 C, thinning 15 %, heats 3
target bar {
  length >= 150 mm
}
"""


@pytest.fixture
def watch(tmp_path):
    made = []

    def begin(name, text=RECIPE):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        child = subprocess.Popen(
            [HEATBOOK, "watch", path, "--page"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, encoding="utf-8",
            # A shell's background has it ignored, and hands that on.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )
        made.append(child)
        address = None
        for line in child.stdout:
            found = re.search(r"http://127\.0\.0\.1:\d+/", line)
            address = found.group() if found else address
            if "watching" in line:
                break
        threading.Thread(target=child.stdout.read, daemon=True).start()
        return path, address, child

    yield begin
    for child in made:
        child.kill()
        child.wait()


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.said, page.asked = [], []
    page.on("console", lambda message: page.said.append(message.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    yield page
    context.close()


def test_the_page_follows_the_file_while_it_is_edited(watch, page):
    path, address, child = watch("a.heat")
    page.goto(address)
    verdict = page.locator(".verdict").first
    expect(verdict).to_have_text("the recipe makes its spec")
    for part in ["steps", "charts", "pattern", "targets"]:
        expect(page.locator(f"#{part}")).to_be_visible()
    expect(page.locator("#gone")).to_be_hidden()
    every_figure_is_told(page, answer("sheet", path))
    # A save that misses a target, one with a fault and somebody's markup, and the first again.
    path.write_text(RECIPE.replace("150 mm\n}", "170 mm\n}"), encoding="utf-8")
    expect(verdict).to_contain_text("does not make its spec", timeout=15_000)
    expect(page.locator("#changed")).to_be_visible()
    path.write_text(RECIPE.replace("thinning", "<b>thinning</b>"), encoding="utf-8")
    expect(verdict).to_contain_text("cannot be worked as written", timeout=15_000)
    expect(page.locator("#found")).to_be_visible()
    expect(page.locator("b")).to_have_count(0)
    path.write_text(RECIPE, encoding="utf-8")
    expect(verdict).to_have_text("the recipe makes its spec", timeout=15_000)
    assert all(url.startswith((address, "data:")) for url in page.asked), page.asked
    assert not page.said, page.said
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    for wide in [360, 768, 1280]:
        page.set_viewport_size({"width": wide, "height": 900})
        assert not page.evaluate(BEYOND), wide
    # Ctrl-C ends it, and the page says that nobody watches any more.
    child.send_signal(signal.SIGINT)
    assert child.wait(timeout=20) in (0, 130, -signal.SIGINT)
    expect(page.locator("#gone")).to_be_visible(timeout=15_000)
    # The port is free again: a second watcher may have it, and the page finds it.
    _, again, _ = watch("a.heat")
    assert again == address
    expect(page.locator("#gone")).to_be_hidden(timeout=15_000)


def test_a_second_one_finds_its_own_port_and_other_sites_read_nothing(watch, page, browser):
    _, first, _ = watch("a.heat")
    _, second, _ = watch("b.heat", RECIPE.replace("length >= 150 mm", "length >= 151 mm"))
    assert first != second
    page.goto(second)
    expect(page.locator("h1")).to_contain_text("b.heat")
    # The second page is another origin than the first: its scripts can neither read nor frame that.
    tried = page.evaluate(
        """async first => {
          try { return await (await fetch(first)).text(); } catch (error) { return 'refused'; }
        }""",
        first,
    )
    assert tried == "refused"
    # Nor can a page of anybody else's, whose own rules forbid nothing.
    context = browser.new_context()
    other = context.new_page()
    other.route("http://other.example/", lambda route: route.fulfill(body="<p>other</p>", content_type="text/html"))
    other.goto("http://other.example/")
    for mode in ["cors", "no-cors"]:
        read = other.evaluate(
            """async ([first, mode]) => {
              try { const answer = await fetch(first, {mode}); return [answer.type, await answer.text()]; } catch (error) { return ['refused', '']; }
            }""",
            [first, mode],
        )
        assert read[1] == "", read
    other.evaluate("first => { const frame = document.createElement('iframe'); frame.src = first; document.body.append(frame); }", first)
    other.wait_for_timeout(500)
    assert not any("steps" in frame.content() for frame in other.frames[1:])
    context.close()
