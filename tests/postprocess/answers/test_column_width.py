"""Tables in narrow terminals: nothing folds, nothing is lost, every row still says what it is of."""

import io

import pytest
from rich.console import Console

from crosscurrent.command.output import show_table
from crosscurrent.postprocess.answers.column_width import fitted
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import error_bar

LOOPS = TextTable(
    "Circuits at 85 kHz (rms, out and back together)",
    ("circuit", "current", "R loop", "+-", "Rac/Rdc", "L loop", "+-", "loss"),
    (
        ("feed of the pad", "900.0 A", "1.5694 mohm/m", "0.007 %", "22.82", "15.156 nH/m", "0.006 %", "1.271 kW/m"),
        ("screen", "-", "812.40 mohm/m", "0.02 %", "-", "-", "-", "12.40 mW/m"),
    ),
)
LIMITS = TextTable(
    "Limits",
    ("limit", "of", "value", "+-", "verdict"),
    (
        ("temperature bare", "outgoing", "71.20 degC", "4.0 K", "pass"),
        ("field", "walkway at 85 kHz", "734.6 nT", "132 pT", "cannot tell within the error bar"),
    ),
)


def printed(table, width):
    stream = io.StringIO()
    show_table(Console(file=stream, width=width, highlight=False), table)
    return stream.getvalue()


@pytest.mark.parametrize("table", [LOOPS, LIMITS], ids=["loops", "limits"])
@pytest.mark.parametrize("width", [60, 80, 120])
def test_every_figure_stands_whole_in_its_row(table, width):
    out = printed(table, width)
    assert "…" not in out
    assert max(map(len, out.splitlines())) <= width
    for name, *cells in table.rows:
        rows = [line for line in out.splitlines() if line.startswith(f" {name} ")]
        assert len(rows) == len(fitted(table, width))  # one line in each part
        for cell in cells:
            if len(cell) < 20 and cell != "-":  # longer ones are prose
                assert any(cell in row or cell.rpartition(" ")[0] in row for row in rows), cell


def test_a_table_that_fits_is_left_alone():
    assert fitted(LOOPS, 120) == (LOOPS,)


def test_a_unit_that_all_share_goes_into_the_head_and_any_other_stays():
    (part,) = fitted(LOOPS, 80)
    assert part.columns[2:] == ("R loop\n[mohm/m]", "+-\n[%]", "Rac/Rdc", "L loop\n[nH/m]", "+-\n[%]", "loss")
    assert part.rows[0][1:] == ("900.0", "1.5694", "0.007", "22.82", "15.156", "0.006", "1.271 kW/m")
    assert part.rows[1][-1] == "12.40 mW/m"


def test_an_error_bar_stays_beside_its_figure_and_a_row_with_its_names():
    first, second = fitted(LIMITS, 48)
    assert first.columns == ("limit", "of", "value", "+-")
    assert second.columns == ("limit", "of", "verdict")
    assert (first.heading, second.heading) == ("Limits", "")


def test_an_empty_table_keeps_its_heads():
    (part,) = fitted(TextTable("None", ("circuit", "current"), ()), 10)
    assert (part.columns, part.rows) == (("circuit", "current"), ())


def test_bars_below_what_anybody_reads_are_said_to_be_so():
    assert [error_bar(x) for x in (0.0, 3e-7, 1e-6, 1.2e-6)] == ["0 %", "< 0.0001 %", "0.0001 %", "0.0002 %"]
