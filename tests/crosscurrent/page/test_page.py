"""The page in a real browser: drag, type, slide, pin, text, undo, save, open, upload, run, cancel, report, keys."""

from __future__ import annotations

import math
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from open_page import OpenPage, open_page
from playwright.sync_api import Browser, Page, expect, sync_playwright

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
CASE = Path("cases/feed-facing.toml").read_text(encoding="utf-8")
LONG = 60_000  # ms
pytestmark = pytest.mark.skipif(BROWSER is None, reason="no chromium on this machine")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=BROWSER, args=QUIET)
        yield found
        found.close()


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("work")


@pytest.fixture(scope="module")
def bench(work: Path) -> Iterator[OpenPage]:
    (work / "feed.toml").write_text(CASE, encoding="utf-8")
    with open_page(work, "feed.toml") as found:
        yield found


@pytest.fixture
def page(browser: Browser, bench: OpenPage, work: Path) -> Iterator[Page]:
    (work / "feed.toml").write_text(CASE, encoding="utf-8")
    (work / ".feed.toml.draft").unlink(missing_ok=True)
    with bench.tab() as tab:
        tab.until("state")
        tab.ask(do="open", name="feed.toml")
        tab.until("state", name="feed.toml", changed=False)
    shown = browser.new_page(viewport={"width": 1280, "height": 900})
    wrong: list[str] = []
    shown.on("pageerror", lambda error: wrong.append(str(error)))
    shown.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    shown.goto(bench.address)
    settled(shown)
    yield shown
    shown.close()
    assert not wrong


def settled(page: Page) -> None:
    expect(page.locator("#standing.settled")).to_be_visible(timeout=LONG)


def figure(page: Page, name: str) -> str:
    return page.get_by_role("row", name=re.compile(f"^{name}")).locator("td.value").inner_text()


def findings(page: Page) -> list[str]:
    return [v["id"] for v in Axe().run(page).response["violations"]]


def test_it_shows_the_answer(page: Page) -> None:
    assert figure(page, "R of feed") == "1.569 mohm/m"  # as the case says of itself, at the top of its file
    assert figure(page, "L of feed") == "15.16 nH/m"
    assert page.title() == "Feed from inverter to pad, bars face to face - crosscurrent bench"
    colours = page.evaluate(
        "() => { const c = document.getElementById('paint'); const d = c.getContext('2d')"
        ".getImageData(0, 0, c.width, c.height).data; const s = new Set();"
        "for (let k = 0; k < d.length; k += 4) if (d[k + 3]) s.add(d[k] << 16 | d[k + 1] << 8 | d[k + 2]);"
        "return s.size; }"
    )
    assert colours > 100  # the skin is seen


def test_drag_type_undo_and_save(page: Page, work: Path) -> None:
    box = page.locator("#draw g[data-name=outgoing] path").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y - 40, steps=8)
    expect(page.locator("#standing.following")).to_be_visible(timeout=LONG)
    page.mouse.up()
    settled(page)
    assert figure(page, "R of feed") != "1.569 mohm/m"
    page.get_by_role("button", name="Undo").click()
    settled(page)
    expect(page.get_by_role("row", name="R of feed")).to_contain_text("1.569 mohm/m", timeout=LONG)
    page.locator("#f-width").fill("3 in")
    page.keyboard.press("Tab")
    expect(page.get_by_role("row", name="R of feed")).not_to_contain_text("1.569 mohm/m", timeout=LONG)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_visible(timeout=LONG)
    assert (work / "feed.toml").read_text(encoding="utf-8") == CASE.replace("100 mm", "3 in", 1)


def test_a_fault_stands_under_its_field_and_at_its_line(page: Page) -> None:
    page.locator("#draw g[data-name=outgoing]").focus()
    page.keyboard.press("Enter")
    page.locator("#f-thickness").fill("6 kHz")
    page.keyboard.press("Enter")
    expect(page.locator("#standing.fault")).to_be_visible(timeout=LONG)
    expect(page.locator("label[data-key=thickness] .fault")).to_contain_text("expected a length")
    expect(page.locator("#figures.old")).to_be_visible()
    page.locator("#sentences button", has_text="line").click()  # which opens the text there
    expect(page.locator("#text")).to_be_focused()
    assert page.evaluate("getSelection().toString()") == 'thickness = "6 kHz"'
    line = 1 + CASE.splitlines().index('thickness = "6 mm"')
    expect(page.locator("#numbers b")).to_have_text(f"\u25b8{line}\n")
    page.locator("#text").fill(CASE)
    settled(page)
    expect(page.get_by_role("row", name="R of feed")).to_contain_text("1.569 mohm/m", timeout=LONG)


def test_the_frequency_is_slid_and_typed(page: Page) -> None:
    page.locator("#slide").focus()
    for _ in range(5):
        page.keyboard.press("ArrowLeft")
    expect(page.get_by_role("row", name="R of feed")).not_to_contain_text("1.569 mohm/m", timeout=LONG)
    page.locator("#typed").fill("50 Hz")
    page.keyboard.press("Enter")
    expect(page.get_by_role("row", name="R over")).to_contain_text("1.01", timeout=LONG)
    page.locator("#typed").fill("1e400 Hz")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text('found "1e400 Hz"')
    page.locator("#typed").fill("much")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("expected a number with Hz")


def test_the_arrow_stands_where_the_skin_takes_over(page: Page) -> None:
    # area over perimeter of 100 x 6 mm is one skin depth of copper at 70 degC, 17.24 nohm m and 0.00393 / K (IEC 60028)
    over = 17.24e-9 * (1 + 50 * 0.00393) / (math.pi * 4e-7 * math.pi * (0.6 / 212) ** 2)
    track, words = page.locator("#marks").bounding_box(), page.locator("#marks .over").bounding_box()
    assert track is not None
    assert words is not None
    assert abs(words["x"] + 4.4 - track["x"] - track["width"] * math.log10(over) / 9) < 3  # half an arrow, 0.72 rem


def test_a_board_is_emptied_and_begun_anew(page: Page) -> None:
    for name in ("outgoing", "return"):
        page.locator(f"#draw g[data-name={name}]").focus()
        page.keyboard.press("Delete")
        expect(page.locator(f"#draw g[data-name={name}]")).to_have_count(0, timeout=LONG)
    expect(page.locator("#sentences")).to_contain_text("Add a shape first")
    page.locator("#start-toggle").click()
    page.get_by_role("button", name="tube", exact=True).click()
    expect(page.locator("#draw g[data-name=tube]")).to_have_count(1, timeout=LONG)
    expect(page.locator("#f-centre-x")).to_have_value("0 mm", timeout=LONG)
    page.get_by_role("button", name="Out", exact=True).click()
    settled(page)
    expect(page.locator("#figures")).to_contain_text("L to a return on a circle of")
    # pi ((6 mm)^2 - (5 mm)^2) of copper at 35 degC are 17.241 nohm m (1 + 15 0.00393) / 34.56 mm2 (IEC 60028)
    page.locator("#typed").fill("0 Hz")
    page.keyboard.press("Enter")
    expect(page.get_by_role("row", name="R of feed")).to_contain_text("528.3 uohm/m", timeout=LONG)


def test_run_cancel_and_report(page: Page, work: Path) -> None:
    page.get_by_role("button", name="Run").click()
    page.get_by_role("button", name="Cancel").click()
    expect(page.locator("#ran")).to_contain_text("Run cancelled", timeout=LONG)
    page.get_by_role("button", name="Run").click()
    link = page.get_by_role("link", name="Open the report")
    expect(link).to_be_visible(timeout=2 * LONG)
    with page.context.expect_page() as opened:
        link.click()
    expect(opened.value).to_have_title(re.compile("Feed from inverter to pad"), timeout=LONG)
    opened.value.close()
    assert (work / "feed" / "report.html").exists()


def test_open_and_upload(page: Page) -> None:
    page.locator("#start-toggle").click()
    page.locator("#upload").set_input_files("cases/drawings/t-slot-busbar.dxf")
    expect(page.locator("#faults li")).to_have_count(0)
    expect(page.locator("#standing")).not_to_be_empty()
    page.locator("#text-toggle").click()
    expect(page.locator("#text")).to_have_value(re.compile('file = "t-slot-busbar.dxf"'), timeout=LONG)
    page.keyboard.press("Escape")
    page.locator("#start-toggle").click()
    page.get_by_role("button", name="25 mm rod at 100 kHz").click()
    expect(page.locator("#name")).to_have_value("rod-100khz.toml", timeout=LONG)
    settled(page)


def test_keys_alone_from_an_empty_page_to_a_pinned_comparison(browser: Browser, tmp_path: Path) -> None:
    with open_page(tmp_path) as bench:
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(bench.address)
        settled(page)
        page.keyboard.press("p")
        expect(page.locator(".card")).to_have_count(1, timeout=LONG)
        for _ in range(40):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.dataset.name === 'outgoing'"):
                break
        for _ in range(3):
            page.keyboard.press("Shift+ArrowUp")
        page.keyboard.press("n")
        expect(page.locator("#standing.fault")).to_be_visible(timeout=LONG)  # a circuit that nothing takes out
        page.keyboard.press("o")
        settled(page)
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == "f-width"
        page.keyboard.press("Control+a")
        page.keyboard.type("60 mm")
        page.keyboard.press("Enter")
        settled(page)
        expect(page.locator(".card")).to_contain_text("in brackets against now", timeout=LONG)
        page.locator("#draw g[data-name=return]").focus()
        page.keyboard.press("c")
        expect(page.locator("#compare figure")).to_have_count(2)
        expect(page.get_by_role("row", name="mass of the metal")).to_contain_text("\u221220.0 %")  # 40 + 40 for 60 + 40
        assert page.evaluate("document.activeElement.id") == "compare-close"
        assert findings(page) == []
        page.keyboard.press("Escape")
        expect(page.locator("#compare")).to_be_hidden()
        page.close()


def test_temperatures_where_they_are_asked_for(page: Page) -> None:
    page.locator("#kind").select_option("temperature")
    expect(page.locator("#warmth")).to_contain_text("Nothing takes the heat away yet", timeout=LONG)
    page.keyboard.press("Escape")
    page.locator("#f-current-of-feed").fill("90 A")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="It stands in free air").click()
    expect(page.locator("#warmth")).to_contain_text("return is the hottest, 43", timeout=LONG)
    expect(page.locator("#draw g[data-name=outgoing] text")).to_contain_text("\u00b0C")
    expect(page.locator("#legend")).to_contain_text("\u00b0C")
    expect(page.locator("#warmth")).to_contain_text("A temperature in air is no better than its correlations")
    assert findings(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_findings_of_the_accessibility_checker(page: Page, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page.locator("#pin").click()
    expect(page.locator(".card").first).to_be_visible()
    assert findings(page) == []
    page.locator("#start-toggle").click()
    assert findings(page) == []
    page.locator("#start-toggle").click()
    page.locator("#text-toggle").click()
    assert findings(page) == []


def test_a_telephone_scrolls_down_only(page: Page) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    page.locator("#draw g[data-name=outgoing]").focus()
    page.keyboard.press("Enter")
    page.wait_for_timeout(200)
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.locator("#pin").click()
    page.locator("#compare-open").click()
    page.wait_for_timeout(200)
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_another_key_is_told(browser: Browser, bench: OpenPage) -> None:
    page = browser.new_page()
    page.goto(bench.address.split("#")[0] + "#guessed")
    expect(page.locator("#said")).to_contain_text("The bench has ended (another key)", timeout=LONG)
    page.close()


def test_a_form_follows_what_was_typed_in_it_and_a_first_click_takes_the_whole_field(page: Page) -> None:
    page.locator("#draw g[data-name=outgoing]").focus()
    page.keyboard.press("Enter")
    page.locator("#f-thickness").click()
    page.keyboard.type("5 mm")
    page.keyboard.press("Enter")
    settled(page)
    gap = page.get_by_role("row", name=re.compile("^gap")).locator("td.value")
    expect(gap).to_have_text("1.5 mm", timeout=LONG)  # of 1 mm: 6 mm became 5 mm about the same centre
    expect(page.locator("#f-gap-to-return")).to_have_value("1.5 mm")
    page.locator("#f-gap-to-return").click()
    page.keyboard.type("4 mm")
    page.keyboard.press("Enter")
    expect(gap).to_have_text("4 mm", timeout=LONG)
    expect(page.locator("#f-centre-y")).to_have_value("6 mm", timeout=LONG)  # 3.5 mm + 4 mm - 1.5 mm
    page.locator("#f-width").click()
    page.keyboard.type("90 mm")
    page.keyboard.press("Tab")
    settled(page)
    page.keyboard.type("4 mm")  # what Tab chose is still chosen in the form made anew
    assert page.locator("#f-thickness").input_value() == "4 mm"


def test_limits_stand_beside_their_figures_and_every_row_has_its_form(page: Page) -> None:
    page.locator("#also").select_option("limits")
    page.locator("#f-limits-loss").fill("1 kW/m")
    page.keyboard.press("Enter")
    limit = page.locator("#figures tr.limit")
    expect(limit).to_have_text("limit 1.000 kW/m: \u2717 fails", timeout=LONG)
    page.locator("#f-limits-loss").fill("2 kW/m")
    page.keyboard.press("Enter")
    expect(limit).to_have_text("limit 2.000 kW/m: \u2713 passes", timeout=LONG)
    page.locator("#also").select_option("duty")
    page.locator("#f-duty-add").click()
    page.locator("#f-duty-0-name").wait_for()
    page.locator("#f-duty-add").click()
    page.locator("#f-duty-1-on").fill("3 kHz")
    page.keyboard.press("Enter")
    expect(page.locator("label[for=f-duty-1-on] .fault")).to_contain_text("expected a time", timeout=LONG)
    page.locator("#f-duty-0-remove").click()
    expect(page.locator("label[for=f-duty-0-on] .fault")).to_contain_text("expected a time", timeout=LONG)
    assert findings(page) == []


def test_gaps_alike_of_copies_are_one_row(page: Page) -> None:
    place, step = ["conductor", 1, "repeat"], '{ count = 4, step = ["0 mm", "-9 mm"] }'
    page.evaluate("(words) => bench.drawing.ask(words)", {"do": "write", "place": place, "toml": step})
    gaps = page.get_by_role("row", name=re.compile("^gap"))
    expect(gaps).to_have_count(2, timeout=LONG)  # to the first copy 1 mm, and 3 mm from each to the next
    expect(gaps.nth(1)).to_contain_text("gap return.1 to return.2 (and 2 alike)")


def test_a_typed_frequency_goes_into_the_case_and_a_slid_one_does_not(page: Page) -> None:
    page.locator("#typed").click()
    page.keyboard.type("400 Hz")
    page.keyboard.press("Enter")
    expect(page.locator("#text")).to_have_value(re.compile('at = \\["400 Hz"\\]'), timeout=LONG)
    expect(page.locator("#keep")).to_be_hidden()
    page.locator("#slide").focus()
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#keep")).to_be_visible(timeout=LONG)
    expect(page.locator("#text")).to_have_value(re.compile('at = \\["400 Hz"\\]'))
    page.get_by_role("button", name="Undo").click()
    page.locator("#typed").fill("50 Hz")
    page.keyboard.press("Enter")
    expect(page.get_by_role("row", name="R over")).to_contain_text("1.01", timeout=LONG)
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#typed")).to_have_value("85 kHz", timeout=LONG)


def test_another_part_chosen_on_a_telephone_does_not_move_the_page(page: Page) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    page.locator("#draw g[data-name=outgoing]").focus()
    page.keyboard.press("Enter")
    page.locator("#f-width").focus()
    page.evaluate("scrollTo(0, 0)")
    page.locator("#draw g[data-name=return] path").click()
    expect(page.locator("#part h2").first).to_have_text("return: bar")
    assert page.evaluate("scrollY") == 0
    page.locator("#start-toggle").click()
    page.get_by_role("button", name="25 mm rod at 100 kHz").click()
    expect(page.locator("#name")).to_have_value("rod-100khz.toml", timeout=LONG)
    settled(page)
    expect(page.locator("#draw g.chosen")).to_have_count(0)
