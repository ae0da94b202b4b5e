"""Words and table of a measurement, from an overlay made by hand."""

import csv
import io

import numpy as np
import pytest

from crosscurrent.postprocess.answers.units import engineering
from crosscurrent.postprocess.topics.measured import (
    MeasuredAnswer,
    measured_csv,
    record,
    sentences,
    table,
    verdict,
    warnings,
)
from crosscurrent.solver.meter.overlay import Overlay
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.run_impedance import RunImpedance

F = np.geomspace(1e3, 1e5, 21)
W, ZERO = 2 * np.pi * F, np.zeros(21)
Z = 1e-3 + 1j * W * 1e-6


def answer(factor=1.0 + 0j, **changed):
    shown = Z.real * factor.real + 1j * Z.imag * (1 + factor.imag)
    reading = MeterReading(frequencies=F, resistance=shown.real, reactance=shown.imag, gain=ZERO + 0.01, angle=ZERO,
                           floor=ZERO, noise_resistance=ZERO, noise_reactance=ZERO, ranges=np.zeros(21, dtype=int),
                           length=2.4, temperature=22.0, joints=2)
    known = RunImpedance(F, Z, *6 * (ZERO,))
    return MeasuredAnswer("bench.csv", "feed", Overlay(reading, known), known, (float(F[10]), 1e7), **changed)


def test_within_the_bars_nothing_is_said_against_the_case() -> None:
    found = answer(1.005 + 0.004j)
    assert verdict(found).startswith("the difference is within the bars")
    said = list(sentences(found))
    assert said[1] == (
        "R of feed: measured 0.5 % above what is calculated; 21 of 21 frequencies within the bars of both, "
        "furthest apart at 1 kHz, +0.5 standard uncertainties"
    )
    assert "not measured: 10 MHz" in said


@pytest.mark.parametrize(("factor", "which"), [(1.1 + 0j, "R is"), (1 + 0.1j, "L is"), (1.1 + 0.1j, "R and L are")])
def test_beyond_the_bars_it_says_which(factor: complex, which: str) -> None:
    assert verdict(answer(factor)).startswith(f"{which} off by more than meter, computing and tolerances leave open")


def test_first_sentence_does_not_contradict_the_diagnosis() -> None:
    near, far = answer(1.005 + 0j), answer(1.1 + 0j)
    assert next(sentences(near, "within")) == verdict(near)
    for causes in ("named", "undecided", "none"):
        assert verdict(near, causes).endswith("all rows together say more")
        assert verdict(far, causes) == verdict(far)
    assert verdict(far, "within").endswith("it says nothing against the case")


def test_table_has_the_frequencies_of_the_case_and_some_measured() -> None:
    found = table(answer(1.1 + 0j))
    assert [row[0] for row in found.rows] == ["1 kHz", "1.995 kHz", "5.012 kHz", "10 kHz", "19.95 kHz", "50.12 kHz",
                                              "100 kHz"]  # fmt: skip
    assert found.rows[0] == (
        "1 kHz", "1.100 mohm", "2 %", "1.000 mohm", "+10 %", "+9.1", "1.000 uH", "2 %", "1.000 uH", "+0 %", "+0.0",
    )  # fmt: skip
    assert "2.40 m of feed at 22 degC" in found.heading


def test_leads_tolerances_and_doubts_are_said() -> None:
    found = answer(leads=((18e-6, 1e-6), (0.0, 0.0)), tolerances=("gap",), left_out=("go.width: none",), allowed=12e-6,
                   recognised=("bench.csv: 21 rows",), doubts=("a doubt",))  # fmt: skip
    said = list(sentences(found))
    leads = next(one for one in said if one.startswith("leads in series if nothing else is off, constant over"))
    assert f"R = {engineering(18e-6, 'ohm', 3)} +- 2.0 uohm, taken off in table and picture; causes are" in leads
    assert "the tolerance band is that of gap" in said
    assert "not in the tolerance band: go.width: none" in said
    assert "joints that the case allows for, 12 uohm, are in the calculated R" in said
    apart = " ".join(sentences(answer(elsewhere=12e-6)))
    assert "12 uohm, are not in the calculated R: what was measured is not as long as the case" in apart
    assert said[-1] == "bench.csv: 21 rows"
    assert list(warnings(found)) == ["a doubt"]
    assert "about 5e+02 times" in next(iter(warnings(answer(500 + 0j))))
    through = answer(1e6 + 0j, recognised=("a.s2p: series-through",))
    assert "more than a thousand times what is calculated: check the connection (series-th" in next(warnings(through))
    assert any("measured up to more than a thousand times what is calculated" in one for one in sentences(through))


def test_rows_and_record_hold_every_frequency() -> None:
    found = answer(1.1 + 0j)
    rows = list(csv.DictReader(io.StringIO(measured_csv(found))))
    assert len(rows) == 21
    assert float(rows[3]["resistance_ohm"]) == pytest.approx(1.1e-3)
    kept = record(found)
    assert (kept["joints"], kept["length_m"], kept["temperature_degc"]) == (2, 2.4, 22.0)
    assert kept["points"][3]["resistance_residual"] == pytest.approx(0.1 / 0.011)
    assert kept["resistance_within"] == 0.0
