"""What all commands share of the terminal: text as it is, tables within the width, no bar in a file."""

from __future__ import annotations

import io
import sys
import time

import pytest
from rich.console import Console

from crosscurrent.command import output as output_module
from crosscurrent.command.output import (
    STEPS,
    RunPace,
    new_table,
    output,
    progress_bar,
    say,
    show_hanging,
    show_line,
    show_table,
)
from crosscurrent.postprocess.answers.tables import TextTable


def console(width: int) -> tuple[Console, io.StringIO]:
    stream = io.StringIO()
    return Console(file=stream, width=width, highlight=False), stream


def test_a_line_is_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    say("at [bold]85 kHz[/bold]")
    assert capsys.readouterr().out == "at [bold]85 kHz[/bold]\n"


def test_an_entry_is_indented_however_many_lines_it_takes() -> None:
    to, stream = console(20)
    show_line(to, "one two three four five [six]")
    lines = stream.getvalue().splitlines()
    assert len(lines) == 2
    assert all(line.startswith("  ") for line in lines)
    assert " ".join(stream.getvalue().split()) == "one two three four five [six]"


@pytest.mark.parametrize("width", range(30, 90, 7))
def test_a_line_too_wide_goes_on_indented_and_keeps_numbers_with_their_units(width: int) -> None:
    to, stream = console(width)
    line = "feed, 900 A, 85 kHz, 70 degC: R 1.569 mohm/m +- 0.007 % (Rac/Rdc 22.82), L 15.16 nH/m +- 0.006 %"
    show_hanging(to, line)
    lines = stream.getvalue().splitlines()
    assert " ".join(part.strip() for part in lines) == line
    assert all(len(part) <= width for part in lines)
    assert [part.startswith("    ") for part in lines] == [False] + [True] * (len(lines) - 1)
    together = ("900 A", "1.569 mohm/m", "+- 0.007 %", "L 15.16 nH/m")
    assert all(any(whole in part for part in lines) for whole in together)


def test_a_table_shows_its_heading_and_every_cell_as_it_is() -> None:
    to, stream = console(120)
    show_table(to, TextTable("Losses [W/m]", ("of", "loss [W/m]"), (("rod [a]", "1.5"), ("back", "20"))))
    text = stream.getvalue()
    assert text.splitlines()[0].strip() == "Losses [W/m]"
    assert [line.split() for line in text.splitlines()[-3:] if line.strip()] == [["rod", "[a]", "1.5"], ["back", "20"]]
    ends = {len(line.rstrip()) for line in text.splitlines() if line.strip()[:4] in ("rod ", "back")}
    assert len(ends) == 1  # figures are flush right


def test_a_table_too_wide_is_cut_into_several_with_the_names_in_each() -> None:
    to, stream = console(40)
    columns = ("of", *(f"figure {k}" for k in range(8)))
    show_table(to, TextTable("Many", columns, (("rod", *("1234567890" for _ in range(8))),)))
    lines = stream.getvalue().splitlines()
    assert max(map(len, lines)) <= 40
    assert stream.getvalue().count("1234567890") == 8
    assert sum(line.split()[:1] == ["rod"] for line in lines) > 1


def test_a_file_or_a_pipe_is_120_wide(capsys: pytest.CaptureFixture[str]) -> None:
    assert not sys.stdout.isatty()
    assert output().width == 120


def test_a_table_may_have_a_title_in_brackets() -> None:
    title = new_table("Shapes [all]").title
    assert str(title) == "Shapes [all]"
    assert new_table(None).title is None


def test_no_bar_where_there_is_no_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    with progress_bar() as progress:
        progress("meshing", 0.1)
        progress("solving", 1.0)
    found = capsys.readouterr()
    assert found.out == ""
    assert found.err.strip() == ""


def test_a_run_of_many_steps_says_how_long_it_takes() -> None:
    """A minute for a tenth: nine minutes are left; one of few steps, as long as they may take, does not say."""
    now = [0.0]
    many, few = RunPace(clock=lambda: now[0]), RunPace(clock=lambda: now[0])
    few.reach(0.3)
    for k in range(1, 21):
        now[0] = 3.0 * k
        many.reach(0.005 * k)
        assert bool(many.words()) == (k >= STEPS)
    assert many.words() == ", about 9 min left"
    now[0] += 480.0
    assert many.words() == ", about 60 s left"
    now[0] += 61.0
    assert many.words() == few.words() == ""


def test_a_long_run_without_a_terminal_says_where_it_is(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also within one long step; and no more once it is over."""
    monkeypatch.setattr(output_module, "EVERY", 0.02)
    with progress_bar() as progress:
        progress("meshing", 0.1)
        progress("solving, order 4", 0.25)
        time.sleep(0.3)
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) >= 2
    assert all(line.endswith(" s, 25 % done: solving, order 4") for line in lines)
    time.sleep(0.1)
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("forecast", [True, False])
def test_a_study_that_tells_how_long_it_takes_is_not_told_it_twice(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, forecast: bool
) -> None:
    monkeypatch.setattr(output_module, "EVERY", 0.02)
    with progress_bar(forecast=forecast) as progress:
        for k in range(1, 2 * STEPS):
            time.sleep(0.005)  # so that there is a pace
            progress(f"{k} of 1000 designs, about 24 s left", k / 1000)
        time.sleep(0.3)
    last = capsys.readouterr().err.splitlines()[-1]
    assert last.count(" left") == (2 if forecast else 1)
