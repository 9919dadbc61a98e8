"""The program, the pages that it makes, and a browser that looks at them."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

sys.dont_write_bytecode = True
HEATBOOK = os.environ["HEATBOOK"]
HOUSE = Path(__file__).resolve().parents[2]
# Nothing of its own that it might ask the network for; no sandbox, as in a container there is none to be had.
SWITCHES = """--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking
--disable-component-update --disable-sync""".split()

# One crowded, one long, one tiny, one in inches, one of a real build.
COMMISSIONS = HOUSE / "examples" / "commissions"
LONG = """stock b = 1 bar of 1084, 30 x 40 x 200 mm
repeat 15 {
  grind b faces 0.05 mm
  turn b
  heat b at 900 C for 2 min
  turn b
}
target b {
  length >= 100 mm
}
"""
TINY = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ngrind b faces 1 mm\n"
RTL = "\u202e"
EVIL = "</p><script>alert(1)</script>&amp;'\"" + RTL + "\x1b[31m<!-- <img src=x onerror=alert(2)>"
LENGTHY = "x" * 10_000
HOSTILE = (
    f'steel "<b>&" = like 1084\nstock {LENGTHY} = 1 bar of "<b>&", 10 x 40 x 200 mm\n'
    f'note "{EVIL.replace(chr(34), "")}"\nnote "{LENGTHY}"\nheat {LENGTHY} at 1000 C # <i>\n'
    f"target {LENGTHY} {{\n  length >= 190 mm\n}}\n"
)


def heatbook(*args, folder=HOUSE, code=(0, 1), text=None):
    """What the program says; a missed target is no reason to stop."""
    said = subprocess.run(
        [HEATBOOK, *map(str, args)], cwd=folder, input=text, capture_output=True, encoding="utf-8", timeout=120
    )
    assert said.returncode in code, said.stderr
    return said.stdout


def answer(*args, **more):
    return json.loads(heatbook(*args, "--format", "json", **more))


@pytest.fixture(scope="session")
def recipes(tmp_path_factory):
    """Recipes by name, each a file."""
    folder = tmp_path_factory.mktemp("recipes")
    found = {
        "crowded": COMMISSIONS / "composite.heat",
        "inches": COMMISSIONS / "chopper.heat",
        "layered": HOUSE / "examples" / "ferry-galley.heat",
        "built": HOUSE / "examples" / "lock-keeper" / "build.heat",
        "priced": HOUSE / "examples" / "loose-galley.heat",
    }
    for name, text in [("long", LONG), ("tiny", TINY)]:
        found[name] = folder / f"{name}.heat"
        found[name].write_text(text, encoding="utf-8")
    hostile = folder / '<img src=x onerror=alert(3)>&".heat'
    hostile.write_text(HOSTILE, encoding="utf-8")
    found["hostile"] = hostile
    return found


@pytest.fixture(scope="session")
def browser(tmp_path_factory):
    with sync_playwright() as driver:
        made = driver.chromium.launch(executable_path=os.environ["HEATBOOK_CHROMIUM"], args=SWITCHES)
        yield made
        made.close()


class Seen:
    """A page in the browser, with all that it asked for and all that it said."""

    def __init__(self, page):
        self.page, self.asked, self.said = page, [], []
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("console", lambda message: self.said.append(message.text))
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("dialog", lambda dialog: (self.said.append(f"dialog {dialog.message}"), dialog.dismiss()))

    def open(self, path):
        self.page.goto(Path(path).as_uri())
        return self

    def stands_alone(self):
        """It asked for nothing but itself and what it carries, and nothing went wrong."""
        beyond = [url for url in self.asked[1:] if not url.startswith("data:")]
        assert not beyond, beyond
        assert not self.said, self.said


@pytest.fixture
def seen(browser):
    """A page at a width, in a window of its own."""
    made = []

    def at(path, wide=1280, tall=900, media=None):
        context = browser.new_context(viewport={"width": wide, "height": tall}, offline=True)
        made.append(context)
        page = context.new_page()
        if media:
            page.emulate_media(media=media)
        return Seen(page).open(path)

    yield at
    for context in made:
        context.close()


@pytest.fixture(scope="session")
def pages(recipes, tmp_path_factory):
    """Every page that the program makes of these recipes, by name, with the JSON that says the same."""
    folder, found = tmp_path_factory.mktemp("pages"), {}

    def keep(name, told, *args, ending="html"):
        path = folder / f"{name}.{ending}"
        path.write_text(told, encoding="utf-8")
        found[name] = (path, answer(*args))

    for name in ["crowded", "inches", "layered", "built", "long", "tiny", "hostile"]:
        keep(f"sheet {name}", heatbook("sheet", recipes[name]), "sheet", recipes[name])
    order = ["--order", f"12 <b>{RTL}", "--words", EVIL.replace("\x1b", ""), "--date", "2026-11-27"]
    for who in [[], ["--customer"]]:
        name, args = f"quote{''.join(who)}", ["quote", recipes["priced"], *order, *who]
        heatbook(*args, "--out", folder / f"{name}.html")
        found[name] = (folder / f"{name}.html", answer(*args))
    return found
