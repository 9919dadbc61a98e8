"""Sheets as PDF, in two readers; and printed by the browser at A4 and Letter."""

import io

import pytest
from pdfminer.high_level import extract_text
from pypdf import PdfReader

from conftest import heatbook

PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4)}


def plain(text):
    return " ".join(text.split())


@pytest.mark.parametrize("name", ["crowded", "layered", "long", "tiny", "hostile"])
def test_a_pdf_opens_in_two_readers_and_can_be_searched(name, recipes, pages, seen, tmp_path):
    _, told = pages[f"sheet {name}"]
    # As PDF it says what the page says, figure for figure, in the page's own order.
    shown = seen(pages[f"sheet {name}"][0]).page.evaluate("Array.from(document.querySelectorAll('main data'), e => e.innerText)")
    for paper, (wide, tall) in PAPERS.items():
        path = tmp_path / f"{paper}.pdf"
        heatbook("sheet", recipes[name], "--pdf", path, "--paper", paper)
        reader = PdfReader(path, strict=True)
        for page in reader.pages:
            box = [float(v) / 72 * 25.4 for v in page.mediabox[2:]]
            assert abs(box[0] - wide) < 0.01 and abs(box[1] - tall) < 0.01
        read = [plain(" ".join(page.extract_text() for page in reader.pages)), plain(extract_text(path))]
        for text in read:
            for figure in shown:
                assert plain(figure) in text, figure
            for step in told["steps"]:
                words = plain(step["words"])
                # Words longer than a line are broken where that ends.
                assert words[:40] in text or len(max(words.split(), key=len)) > 60, step["words"]


def test_letters_that_a_pdf_lacks_are_written_in_those_that_it_has(tmp_path):
    recipe = tmp_path / "a.heat"
    recipe.write_text(
        "stock b = 1 bar of 1084, 10 x 40 x 200 mm\n"
        'note "caf\u00e9 \u0160kofja \u2013 \u20ac5 \u2264 6; \u017b\u00f3\u0142w \u0436\u0443\u043a"\ngrind b faces 1 mm\n',
        encoding="utf-8",
    )
    heatbook("sheet", recipe, "--pdf", tmp_path / "a.pdf")
    for text in [plain(extract_text(tmp_path / "a.pdf")), plain(" ".join(p.extract_text() for p in PdfReader(tmp_path / "a.pdf").pages))]:
        assert "caf\u00e9 \u0160kofja \u2013 \u20ac5 <= 6; Z\u00f3lw zhuk" in text, text
        assert "some letters of this recipe are in none of the faces" in text
    recipe.write_text("stock b = 1 bar of 1084, 10 x 40 x 200 mm\nnote \"caf\u00e9 \u2264 6\"\ngrind b faces 1 mm\n", encoding="utf-8")
    heatbook("sheet", recipe, "--pdf", tmp_path / "a.pdf")
    assert "some letters" not in extract_text(tmp_path / "a.pdf")


# A step takes a quarter of a sheet at the most, if all else on the page has its room: what is bought, targets, drawings, notes.
@pytest.mark.parametrize("name, most", [("layered", 8), ("crowded", 14), ("long", 17), ("tiny", 1)])
def test_a_pdf_takes_no_more_sheets_than_the_browser_prints(name, most, recipes, pages, seen, tmp_path):
    heatbook("sheet", recipes[name], "--pdf", tmp_path / "a.pdf")
    ours = len(PdfReader(tmp_path / "a.pdf").pages)
    printed = seen(pages[f"sheet {name}"][0]).page.pdf(format="A4")
    assert ours <= min(most, len(PdfReader(io.BytesIO(printed)).pages)), (ours, most)


def test_a_table_has_its_head_on_every_sheet(tmp_path):
    asked = "\n".join(f"  length >= {n} mm" for n in range(1, 81))
    recipe = f"stock b = 1 bar of 1084, 10 x 40 x 200 mm\ngrind b faces 1 mm\ntarget b {{\n{asked}\n}}\n"
    heatbook("sheet", "-", "--pdf", tmp_path / "a.pdf", folder=tmp_path, text=recipe)
    rows = [page.extract_text() for page in PdfReader(tmp_path / "a.pdf").pages]
    rows = [text for text in rows if "b: length >=" in text]
    assert len(rows) > 2
    assert all(text.count("comes to") - text.count("run comes to") == 1 for text in rows)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_browser_prints_every_figure(paper, pages, seen):
    page = seen(pages["sheet crowded"][0]).page
    shown = page.evaluate("Array.from(document.querySelectorAll('main data'), e => e.innerText)")
    printed = plain(extract_text(io.BytesIO(page.pdf(format=paper))))
    # A cell breaks its words where it ends.
    lacking = [figure for figure in shown if figure.replace(" ", "") not in printed.replace(" ", "")]
    assert not lacking, lacking
