"""The pages: everything typed is escaped, nothing outside is asked for, the version is that handed over."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from made_answers import point

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.compared_rows import ComparedDesign
from crosscurrent.postprocess.answers.comparison import compared
from crosscurrent.postprocess.answers.tables import TextTable, tables
from crosscurrent.postprocess.report import PAPERS, AnswerRow, Group, Picture, Report, as_html, comparison_html

TYPED = "<script>\x07 & 'x'"
SHOWN = "&lt;script&gt; &amp; &#39;x&#39;"
PICTURE = Picture(b"<svg></svg>", "seen", "told")


@pytest.fixture
def report() -> Report:
    return Report(
        title="Feed", paper=PAPERS["a4"], block=(("Project", "Hall"),), verdict="none stated", verdict_words="none",
        summary=("Loss: 1 W/m",), helps=(), requirement=(("asked for", "500 A"),), section=PICTURE, current=None,
        answers=(Group("circuit feed", (AnswerRow("resistance", "1 mohm/m", "0.3 mohm/ft", "1 %"),)),),
        sentences=("it flows",), front_pictures=(), pictures=(PICTURE,), front_chapters=(),
        chapters=(Chapter("limits", "Limits", {}),), details=tables(point()), assumptions=("a straight run",),
        warnings=(), cautions=("hot",), materials=TextTable("Metals", ("metal",), (("copper",),)), case="title = 1",
        version="9.9", digest="0" * 64,
    )  # fmt: skip


def test_the_page_needs_no_other_file(report: Report) -> None:
    page = as_html(report)
    assert as_html(report) == page
    assert page.startswith("<!DOCTYPE html>")
    assert not re.search(r'(?:src|href)="(?!data:)', page)
    assert "crosscurrent 9.9" in page
    assert page.count("<img") == 2
    assert "<td>1 mohm/m</td><td>0.3 mohm/ft</td><td>1 %</td>" in page


def test_what_was_typed_is_shown_literally(report: Report) -> None:
    typed = replace(
        report, title=TYPED, block=(("Project", TYPED),), sentences=(TYPED,), case=TYPED, warnings=(TYPED,),
        chapters=(Chapter("x", TYPED, {}),), pictures=(replace(PICTURE, caption=TYPED, alt=TYPED),),
    )  # fmt: skip
    page = as_html(typed)
    assert "<script" not in page
    assert "\x07" not in page
    assert page.count(SHOWN) >= 8


def test_warnings_have_a_place_only_where_there_are_some(report: Report) -> None:
    assert "<h3>Warnings</h3>" not in as_html(report)
    assert "<h3>Warnings</h3>" in as_html(replace(report, warnings=("too hot",)))


def test_the_verdict_stands_first_with_its_reason_and_what_would_help(report: Report) -> None:
    failed = replace(report, verdict="fail", verdict_words="the limit fails: loss", helps=("what would help: less",))
    page = as_html(failed)
    places = [page.index(words) for words in ("A limit fails", "the limit fails: loss", "what would help: less",
                                              "Loss: 1 W/m", "500 A", "1 mohm/m")]  # fmt: skip
    assert places == sorted(places)
    assert "No limits stated" in as_html(report)


def test_an_empty_title_block_is_left_out(report: Report) -> None:
    assert '<dl class="block">' in as_html(report)
    assert '<dl class="block">' not in as_html(replace(report, block=()))


@pytest.mark.parametrize("name", ["a4", "letter"])
def test_the_sheet_is_that_of_the_report(report: Report, name: str) -> None:
    paper = PAPERS[name]
    assert f"@page {{ size: {paper.width}mm {paper.height}mm }}" in as_html(replace(report, paper=paper))


def test_cells_of_wide_tables_say_what_they_are_of(report: Report) -> None:
    wide = TextTable("Wide", ("name", "a", "b & c", "d"), (("rod", "1", "2", "3"),))
    page = as_html(replace(report, details=(wide,)))
    assert '<td data-of="b &amp; c">2</td>' in page
    assert 'class="whole cards"' in page


def test_no_two_landmarks_share_a_name(report: Report) -> None:
    """Tables of several frequencies have one heading."""
    page = as_html(replace(report, details=(*report.details, *report.details)))
    landmarks = re.findall(r'role="region" aria-label="([^"]*)"', page)
    assert len(landmarks) == len(set(landmarks))
    assert page.count('tabindex="0" role="group"') > len(report.details)


def test_units_and_bars_stay_on_a_line(report: Report) -> None:
    page = as_html(replace(report, summary=("R 1 mohm/m +- 0.3 %",)))
    assert "R 1 mohm/\u2060m +-\u2060\u00a00.3\u00a0%" in page


def test_the_page_of_a_comparison() -> None:
    found = compared([ComparedDesign(name, name, (point(),), (), {"width": name}) for name in ("wide", TYPED)])
    page = comparison_html(found, pictures=[PICTURE], warnings=[], cautions=["hot"], version="9.9")
    assert "crosscurrent 9.9" in page
    assert "<script" not in page
    assert SHOWN in page
    assert "Differences" in page
    assert page.index("Verdict") < page.index("Answers")
    assert "no figure tells the designs apart" in page


def test_a_table_of_many_figures_is_set_small(report: Report) -> None:
    columns = tuple(f"figure {k}" for k in range(10))
    tables = (TextTable("few", columns[:3], (("1.2 W/m",) * 3,)), TextTable("many", columns, (("1.23 mohm/m",) * 10,)))
    page = as_html(replace(report, details=tables))
    looks = re.findall(r'<table class="([^"]*)">\n<caption dir="auto">(?:few|many)', page)
    assert looks == ["whole ", "small-print cards"]


def test_texts_stand_on_the_left_and_units_of_headings_on_a_line(report: Report) -> None:
    columns = ("metal", "[MS/m]", "source")
    rows = ("copper", "58", "annealed copper, 100 % IACS: IEC 60028"), ("tin", "9", "-")
    page = as_html(replace(report, details=(TextTable("metals", columns, rows),)))
    assert '<th scope="col">[MS/\u2060m]</th><th scope="col" class="prose">source</th>' in page
    assert '<td data-of="[MS/m]">9</td><td class="prose" data-of="source">-</td>' in page
    assert '<table class="whole ">' in page


def test_answers_may_begin_a_page(report: Report) -> None:
    assert '<section class="below">' in as_html(report)
    assert '<section class="below next">' in as_html(replace(report, apart=True))
