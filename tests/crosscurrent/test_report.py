"""The report: valid HTML, one self-contained file, what was typed shown literally; in a real browser, and printed."""

from __future__ import annotations

import base64
import io
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import html5lib
import matplotlib.image
import numpy as np
import pypdf
import pytest
from topic_cases import solved_tubes

from crosscurrent.__main__ import main
from crosscurrent.api import case, circuit
from crosscurrent.postprocess.answers.drawn_picture import DrawnPicture
from crosscurrent.postprocess.report import as_html
from crosscurrent.report import report_of
from crosscurrent.run import solve_case

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
CASES = Path(__file__).resolve().parents[2] / "cases"
MARKUP = "</title><script>window.hurt = 1</script> & \"quotes\" 'too'"
FOOTER = 40.0  # below it stand the number of the page and the version [pt]
LONG = "A very long name " * 18
RIGHT_TO_LEFT = "\u0645\u0631\u0633\u0649 \u0627\u0644\u0634\u062d\u0646"
PLATED = """
title = {title}
length = "3 m"
[report]
project = {project}
customer = {customer}
date = "2026-03-01"
sheet = "Letter"
prepared_by = "workshop \U0001f527"
requirement = {requirement}
[frequency]
at = ["85 kHz"]
[[conductor]]
name = "tube"
shape = "tube"
diameter = "16 mm"
wall = "1.5 mm"
material = "copper"
plating = [{{ material = "tin", thickness = "8 um" }}]
centre = ["-11 mm", "0 mm"]
repeat = {{ count = 2, step = ["22 mm", "0 mm"] }}
[[circuit]]
name = "pad"
current = "120 A"
out = ["tube.1"]
back = ["tube.2"]
"""


def reported(case: Path, folder: Path) -> Path:
    assert main(["run", str(case), "--report", "--out", str(folder)]) == 0
    return folder


def quoted(text: str) -> str:
    return "'''" + text + "'''"


@pytest.fixture(scope="module")
def typed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plated pair whose title block is full of trouble."""
    folder = tmp_path_factory.mktemp("typed")
    words = {"title": MARKUP, "project": LONG, "customer": RIGHT_TO_LEFT, "requirement": "<b>cool & quiet</b>"}
    text = PLATED.format(**{key: quoted(value) for key, value in words.items()})
    (folder / "pair.toml").write_text(text, encoding="utf-8")
    return reported(folder / "pair.toml", folder / "pair")


@pytest.fixture(scope="module")
def reports(typed: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("reports")
    names = ("feed-facing", "switchboard-three-phase")
    return {name: reported(CASES / f"{name}.toml", folder / name) for name in names} | {"plated-tubes": typed}


def test_it_is_valid_html(reports: dict[str, Path]) -> None:
    for folder in reports.values():
        parser = html5lib.HTMLParser(strict=False)
        parser.parse((folder / "report.html").read_text(encoding="utf-8"))
        assert parser.errors == []


def test_it_asks_for_nothing_outside_itself(reports: dict[str, Path]) -> None:
    for folder in reports.values():
        text = (folder / "report.html").read_text(encoding="utf-8")
        assert all(source.startswith("data:") for source in re.findall(r'(?:src|href)="([^"]*)"', text))
        assert "http" not in re.sub(r"base64,[^\"]*", "", text)
        assert len(text) < 3e6


def test_what_was_typed_is_shown_literally(typed: Path) -> None:
    document = html5lib.parse((typed / "report.html").read_text(encoding="utf-8"), namespaceHTMLElements=False)
    assert not list(document.iter("script"))
    heading = next(document.iter("h1"))
    assert heading.text == MARKUP
    cells = ["".join(cell.itertext()) for kind in ("dd", "td") for cell in document.iter(kind)]
    for words in (LONG, RIGHT_TO_LEFT, "workshop \U0001f527", "<b>cool & quiet</b>"):
        assert words.strip() in [cell.strip() for cell in cells]


def test_it_holds_what_a_customer_needs(reports: dict[str, Path]) -> None:
    text = (reports["feed-facing"] / "report.html").read_text(encoding="utf-8")
    # 1.569 mohm/m of two 100 x 6 mm bars at 85 kHz is 478 uohm/ft
    for part in ("1.5694 mohm/m", "478.3", "15.156 nH/m", "two bars face to face", "IEC 60028", "licensed people",
                 "96 % of the current in the lower face", "inductance of feed 15.16 nH/m", "[[conductor]]",
                 "SHA-256"):  # fmt: skip
        assert part in text, part


def test_every_picture_shows_something(reports: dict[str, Path]) -> None:
    for folder in reports.values():
        text = (folder / "report.html").read_text(encoding="utf-8")
        pictures = re.findall(r'<img src="data:image/png;base64,([^"]*)" alt="([^"]+)">', text)
        assert len(pictures) >= 4
        for content, alt in pictures:
            image = matplotlib.image.imread(io.BytesIO(base64.b64decode(content)))
            assert np.ptp(image[..., :3]) > 0.5, alt


def filled(page: pypdf.PageObject) -> float:
    """Down to where a page is written on, as a share of its height; every picture has a line below it."""
    heights: list[float] = []

    def visit(text: str, page: list[float], line: list[float], *_: Any) -> None:
        if text.strip():
            heights.append(line[5] * page[3] + page[5])

    page.extract_text(visitor_text=visit)
    body = [height for height in heights if height > FOOTER]
    return 1 - min(body) / float(page.mediabox.height)


def test_the_print_begins_with_the_answers_and_ends_with_the_appendix(reports: dict[str, Path]) -> None:
    pytest.importorskip("weasyprint", reason="the extra pdf is not installed", exc_type=(ImportError, OSError))
    for name in ("feed-facing", "switchboard-three-phase"):
        folder = reports[name]
        printed = pypdf.PdfReader(folder / "report.pdf").pages
        texts = [page.extract_text() for page in printed]
        first = next(number for number, text in enumerate(texts) if "Appendix: assumptions" in text)
        assert first in (1, 2), name
        for part in ("Verdict", "Found", "Requirement", "Answers", "the whole section"):
            assert part in texts[0], (name, part)
        assert all(f"page {number} of {len(texts)}" in text for number, text in enumerate(texts, 1))
        assert (folder / "report.pdf").stat().st_size < 3e6


def test_the_page_is_smaller_than_its_pictures_in_the_folder(reports: dict[str, Path]) -> None:
    for name, folder in reports.items():
        pictures = sum(png.stat().st_size for png in (folder / "pictures").glob("*.png"))
        assert len((folder / "report.html").read_bytes()) < 4 / 3 * pictures, name  # base64: 4 letters for 3 bytes


def test_printed_pictures_take_no_more_than_on_the_page(reports: dict[str, Path]) -> None:
    """What a PDF holds beyond them are words and letters of two kinds, 60 kB."""
    pytest.importorskip("weasyprint", reason="the extra pdf is not installed", exc_type=(ImportError, OSError))
    for name, folder in reports.items():
        page = (folder / "report.html").read_text(encoding="utf-8")
        shown = sum(3 * len(one) // 4 for one in re.findall(r"data:image/png;base64,([\w+/=]+)", page))
        assert (folder / "report.pdf").stat().st_size < shown + 60e3, name


def test_no_printed_page_is_more_than_half_empty(reports: dict[str, Path]) -> None:
    pytest.importorskip("weasyprint", reason="the extra pdf is not installed", exc_type=(ImportError, OSError))
    for name, folder in reports.items():
        for number, page in enumerate(pypdf.PdfReader(folder / "report.pdf").pages, 1):
            assert filled(page) >= 0.5, (name, number)


def test_the_sheet_is_the_one_asked_for(reports: dict[str, Path]) -> None:
    pytest.importorskip("weasyprint", reason="the extra pdf is not installed", exc_type=(ImportError, OSError))
    # ISO 216 A4: 210 x 297 mm; ANSI/ASME Y14.1 size A: 8.5 x 11 in; 72 points to the inch
    sizes = {"feed-facing": (210 / 25.4 * 72, 297 / 25.4 * 72), "plated-tubes": (8.5 * 72, 11 * 72)}
    for name, size in sizes.items():
        for page in pypdf.PdfReader(reports[name] / "report.pdf").pages:
            assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.5)


def test_empty_fields_of_the_title_block_are_left_out(typed: Path, reports: dict[str, Path]) -> None:
    blocks = [(folder / "report.html").read_text(encoding="utf-8") for folder in (typed, reports["feed-facing"])]
    labels = re.findall(r"<div><dt>([^<]*)</dt>", blocks[0])
    assert labels == ["Project", "Customer", "Date", "Prepared by"]
    assert '<dl class="block">' not in blocks[1]


def test_a_sweep_of_200_points_stays_short_and_light(tmp_path: Path) -> None:
    left = reported(CASES / "feed-sweep.toml", tmp_path / "sweep")
    text = (left / "report.html").read_text(encoding="utf-8")
    assert "50 Hz to 10 MHz, 200 points" in text
    captions = re.findall(r'<figcaption dir="auto">(Over frequency[^<]*)</figcaption>', text)
    assert len(captions) >= 3  # the curves in pieces, and maps
    assert sum("the skin takes over at" in caption for caption in captions) == 1
    assert len(text) < 3e6
    pytest.importorskip("weasyprint", reason="the extra pdf is not installed", exc_type=(ImportError, OSError))
    pages = [page.extract_text() for page in pypdf.PdfReader(left / "report.pdf").pages]
    assert any("Appendix: assumptions" in text for text in pages[:3])
    assert len(pages) <= 10
    assert (left / "report.pdf").stat().st_size < 3e6


def test_the_same_case_gives_the_same_page(typed: Path, tmp_path: Path) -> None:
    again = reported(typed.parent / "pair.toml", tmp_path / "again")
    assert (again / "report.html").read_bytes() == (typed / "report.html").read_bytes()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    if BROWSER is None:
        pytest.skip("no chromium on this machine")
    playwright = pytest.importorskip("playwright.sync_api", reason="the browser driver is not installed")
    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=BROWSER, args=QUIET)
        yield opened
        opened.close()


@pytest.mark.parametrize("width", [1280, 390])
def test_it_opens_silently_and_fits(browser: Any, reports: dict[str, Path], width: int) -> None:
    for path in (folder / "report.html" for folder in reports.values()):
        page = browser.new_page(viewport={"width": width, "height": 900})
        said: list[str] = []
        asked: list[str] = []
        page.on("console", lambda message: said.append(message.text))  # noqa: B023
        page.on("pageerror", lambda error: said.append(str(error)))  # noqa: B023
        page.on("request", lambda request: asked.append(request.url))  # noqa: B023
        page.goto(path.as_uri())
        assert said == []
        assert [url for url in asked if not url.startswith(("data:", path.as_uri()))] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        wide = "[...document.querySelectorAll('.wide')].map(box => box.scrollWidth - box.clientWidth)"
        assert max(page.evaluate(wide)) <= 1  # no table has to be moved sideways
        boxes = page.evaluate(
            "[...document.images].map(i => [i.complete, i.naturalWidth, i.getBoundingClientRect().left,"
            " i.getBoundingClientRect().right, i.getBoundingClientRect().height])"
        )
        assert len(boxes) >= 5  # the section and four pictures, tall ones in pieces
        for complete, natural, left, right, height in boxes:
            assert complete
            assert natural > 100
            assert left >= 0
            assert right <= width
            assert height > 20
        page.close()


def test_an_accessibility_checker_finds_nothing(browser: Any, reports: dict[str, Path]) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="the checker is not installed")
    for path in (folder / "report.html" for folder in reports.values()):
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(path.as_uri())
        found = axe.Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        page.close()


def test_a_message_stands_under_the_first_of_the_pictures_it_goes_with(reports: dict[str, Path]) -> None:
    pngs = sorted((reports["feed-facing"] / "pictures").glob("*.png"))[:3]
    said = ("Fault", "it peaks"), ("Fault", "it peaks"), ("Ladder", "it peaks")
    drawn = [DrawnPicture(f"f{k}", png, png, *words) for k, (png, words) in enumerate(zip(pngs, said, strict=True))]
    captions = [picture.caption for picture in report_of(solved_tubes(), drawn).pictures]
    assert [caption for caption in captions if "(2 of" not in caption and "(3 of" not in caption] == [
        "Fault: it peaks.", "Fault.", "Ladder: it peaks."
    ]  # fmt: skip


def test_a_tall_picture_that_has_no_gaps_is_printed_so_that_it_can_be_read(tmp_path: Path) -> None:
    dots = np.full((1000, 1140, 3), 255, dtype=np.uint8)
    dots[70:990, 5:1135] = 90
    matplotlib.image.imsave(tmp_path / "map.png", dots)
    path = tmp_path / "map.png"
    (shown,) = report_of(solved_tubes(), [DrawnPicture("map", path, path, "Map", "it fills")]).pictures
    assert shown.width == pytest.approx(0.86 * 25.4 * (1130 + 6) / 160)  # of 160 dots to the inch; text of 7 pt in 6


def test_a_report_without_pictures_has_its_section() -> None:
    page = as_html(report_of(solved_tubes(), []))
    assert page.count("<img") == 1
    assert "data:image/svg+xml" in page
    assert "temperatures: go at 20 degC, back at 20 degC" in page


def test_a_report_of_a_coil_says_nothing_per_metre() -> None:
    size = {"shape": "bar", "width": "8 mm", "thickness": "6 mm", "material": "copper"}
    turns = size | {"name": "turn", "centre": ["30 mm", "-8 mm"], "repeat": {"count": 3, "step": ["0 mm", "8 mm"]}}
    billet = {"name": "billet", "shape": "bar", "width": "30 mm", "thickness": "40 mm", "material": "copper"}
    coil = circuit("coil", "100 A", out=["turn.*"], sharing="series")
    result = solve_case(case("Coil", [turns, billet], coil, at=["5 kHz"], symmetry="axial"))
    report = report_of(result, [])
    page = as_html(report)
    assert "per metre" not in page
    assert not re.search(r"\b(W|V|ohm|H|N)/(m|ft)\b", re.sub(r'data:[^"]*', "", page))
    assert "of a circuit for all its turns in series, of a turn or a piece all round the axis" in page
    drawing = report.section.content.decode()
    assert all(words in drawing for words in ("axis", "dia 30", "inner dia 52", "outer dia 68"))
    assert ("current of coil", "100 A rms through 3 turns in series, turn.1, turn.2, turn.3") in report.requirement
    assert any("turns of coil are in series" in text for text in report.assumptions)
    assert "temperatures: all at 20 degC" in report.assumptions
    assert not any("straight run" in text for text in report.assumptions)
    assert not report.answers[0].rows[0].customary


def test_steel_with_a_curve_is_not_called_linear() -> None:
    steel = {"st": {"conductivity": "5 MS/m", "initial_permeability": 200, "saturation": "1.8 T"}}
    rod = {"name": "rod", "shape": "round", "diameter": "10 mm", "material": "st"}
    turn = {"name": "turn", "shape": "round", "diameter": "4 mm", "centre": ["20 mm", "0 mm"], "material": "copper"}
    coil, ladder = circuit("coil", "100 A", out=["turn"]), {"from": "1 kHz", "to": "2 kHz"}
    more = {"materials": steel, "symmetry": "axial", "accuracy": {"resistance": "5 %"}, "ladder": ladder}
    report = report_of(solve_case(case("Rod", [rod, turn], coil, at=["1 kHz"], **more)), [])
    curved = "linear metals but st, of a permeability that follows the crest of the field, no displacement current"
    assert any(text.endswith(curved) for text in report.assumptions)
    assert [row[3] for row in report.materials.rows] == ["200 at first", "1"]
    assert any("no ladder.cir" in text for text in report.warnings)
    assert not any(c.key == "ladder" for c in report.chapters)  # no heading over nothing
