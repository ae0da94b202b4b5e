"""The chapter "measured": a reading made with the exact wire, laid over what is calculated."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.special import ive

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.faults import CaseError
from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.topics.measured import answered, chapter_of, from_file, run_of

F = np.geomspace(1e2, 1e5, 25)
W, MU0, SIGMA = 2 * np.pi * F, 4e-7 * np.pi, 58e6 / (1 + 0.00393 * 5)


def coax():
    """Internal impedance of a wire of 10 mm by Bessel functions (Ramo, Whinnery and Van Duzer, 3rd ed., 4.9), at 25
    degC, in a tube so thick that its own part is the other wire's: R alone is used."""
    gamma = np.sqrt(1j * W * MU0 * SIGMA)
    return 2.0 * gamma * ive(0, gamma * 5e-3) / ive(1, gamma * 5e-3) / (2 * np.pi * 5e-3 * SIGMA)


def rod(joint=(), **measured):
    said = {"temperature": "25 degC", "accuracy": {"impedance": "0.1 %", "floor": "1 uohm"}} | measured
    metal = conductor("rod", "round", material="copper", diameter="10 mm +- 0.02 mm")
    return case("rod", metal, circuit("feed", "1 A", out=["rod"]), length="2 m", at=["1 kHz", "1 MHz"], measured=said,
                joint=list(joint))  # fmt: skip


@cache
def calculated_inductance():
    one = rod()
    return answered(one, run_like(one)).overlay.calculated.inductance


def bench(path, extra=0.0, step=1):
    """R of the exact wire and of something in series; L of the section itself, which the tests leave alone.

    With every sixth row there are too few to look for causes, which takes nearly all the time.
    """
    known = calculated_inductance()
    rows = [f"{f:.12g},{r:.12g},{h:.12g}" for f, r, h in zip(F, coax().real + extra, known, strict=True)][::step]
    path.write_text("f [Hz],Rs [ohm],Ls [H]\n" + "\n".join(rows), encoding="utf-8")
    return path


def run_like(one):
    from crosscurrent.casefile.measured import MeasuredRun

    zero = np.zeros(len(F))
    reading = MeterReading(frequencies=F, resistance=zero + 1e-3, reactance=W * 1e-6, gain=zero + 1e-3, angle=zero,
                           floor=zero, noise_resistance=zero, noise_reactance=zero, ranges=zero.astype(int),
                           length=2.0, temperature=25.0)
    return MeasuredRun(reading, (), (), "reading")


def test_the_exact_wire_is_within_the_bars(tmp_path) -> None:
    one = rod()
    found = chapter_of(one, from_file(one, bench(tmp_path / "bench.csv")))
    assert found.record["resistance_within"] == 1.0
    assert found.record["reduced_model"] is True
    points = found.record["points"]
    shown = np.array([p["calculated_resistance_ohm"] for p in points])
    assert shown == pytest.approx(coax().real, rel=1e-3)
    assert found.sentences[0].startswith("the difference is within the bars of meter and calculation")
    assert "the tolerance band is that of rod.diameter" in found.sentences
    assert "not measured: 1 MHz" in found.sentences
    assert [row[0] for row in found.tables[0].rows][:2] == ["100 Hz", "316.2 Hz"]
    assert "1 kHz" in [row[0] for row in found.tables[0].rows]


def test_something_in_series_is_told_and_found(tmp_path) -> None:
    one, path = rod(), bench(tmp_path / "bench.csv", extra=40e-6)
    found = chapter_of(one, from_file(one, bench(tmp_path / "few.csv", extra=40e-6, step=6)))
    assert found.record["resistance_within"] < 0.9
    assert found.sentences[0].startswith("R is off by more than meter, computing and tolerances leave open")
    other = rod(find_leads=["resistance"])
    again = chapter_of(other, from_file(other, path))
    error = again.record["found_lead_resistance_uncertainty_ohm"]
    assert abs(again.record["found_lead_resistance_ohm"] - 40e-6) < 2 * error
    assert error < 4e-6
    assert again.record["resistance_within"] == 1.0


def test_joints_of_the_case_are_on_the_bench_too(tmp_path) -> None:
    bolted = {"name": "bolted", "circuit": "feed", "resistance": "20 uohm", "number": 2}
    one, path = rod(joint=[bolted]), bench(tmp_path / "bench.csv", extra=40e-6)
    found = chapter_of(one, from_file(one, path))
    assert found.record["resistance_within"] == 1.0
    assert "joints that the case allows for, 40 uohm, are in the calculated R" in found.sentences
    assert found.record["diagnosis"]["verdict"] == "within"
    worse = bench(tmp_path / "worse.csv", extra=60e-6)
    (cause,) = chapter_of(one, from_file(one, worse)).record["diagnosis"]["explanations"][0]["causes"]
    assert (cause["key"], cause["stated"]) == ("contact", 40e-6)
    assert cause["value"] == pytest.approx(60e-6, abs=2 * cause["standard_uncertainty"])
    half, few = rod(joint=[bolted], length="1 m"), bench(tmp_path / "few.csv", extra=40e-6, step=6)
    assert any(s.startswith("joints that the case allows for, 40 uohm, are not in") for s in
               chapter_of(half, from_file(half, few)).sentences)  # fmt: skip


def test_a_unit_that_is_off_is_asked_about(tmp_path) -> None:
    one, path = rod(), bench(tmp_path / "bench.csv", step=6)
    path.write_text(path.read_text(encoding="utf-8").replace("Rs [ohm]", "Rs [mohm]"), encoding="utf-8")
    found = chapter_of(one, from_file(one, path))
    assert any(w.startswith("measured R is about 0.001 times what is calculated: check units") for w in found.warnings)


@pytest.mark.usefixtures("no_pictures")
def test_a_case_that_names_a_file_has_the_chapter(tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    one = rod(file=bench(tmp_path / "bench.csv", step=6).name)
    result = solve_case(one)
    found = result.chapter("measured")
    assert found.title == "Measured against calculated"
    assert set(found.files) == {"bench.csv", "measured.csv"}
    assert found.files["measured.csv"].count("\n") == 6
    again = Result.read(result.write(tmp_path / "results")).chapter("measured")  # with its file beside it
    assert again.record["points"] == found.record["points"]
    assert any("small signal" in text for text in result.cautions)
    assert any("live parts" in text for text in result.cautions)


def test_compare_measured_takes_frames_readings_and_files(tmp_path) -> None:
    import pandas

    result = solve_case(rod())
    path = bench(tmp_path / "bench.csv", step=6)
    frame = pandas.read_csv(path)
    by = [result.compare_measured(one) for one in (frame, frame.set_index("f [Hz]"), str(path))]
    reading = run_of(rod(file=str(path))).reading
    by.append(result.compare_measured(reading))
    assert all(one.record["points"] == by[0].record["points"] for one in by)
    assert pandas.DataFrame(by[0].record["points"])["resistance_residual"].abs().max() < 2


def test_frames_without_numbers_are_told() -> None:
    import pandas

    result = solve_case(rod())
    with pytest.raises(MeterFileError, match=r'numbers in column "Rs .mohm.".*leave the column out'):
        result.compare_measured(pandas.DataFrame({"f [kHz]": [1.0, 2.0], "Rs [mohm]": ["low", "high"]}))
    with pytest.raises(MeterFileError, match="a MeterReading or the file of a meter, found a list"):
        result.compare_measured([1.0, 2.0])


def test_only_the_measured_circuit_carries_current(tmp_path) -> None:
    """Another rod beside it has eddies, and no current of its own."""
    parts = [conductor(n, "round", material="copper", diameter="10 mm", centre=[x, "0 mm"])
             for n, x in (("a", "0 mm"), ("b", "11 mm"))]  # fmt: skip
    two = case("two", parts, [circuit("one", "1 A", out=["a"]), circuit("two", "1 A", out=["b"])],
               length="2 m", at=["1 kHz"], measured={"circuit": "one", "temperature": "25 degC"})  # fmt: skip
    there = answered(two, run_like(two)).overlay.calculated.impedance.real
    alone = answered(rod(), run_like(rod())).overlay.calculated.impedance.real
    # eddies of a thin wire across a field B: pi sigma w^2 B^2 a^4 / 4 per metre (as in Sullivan 1999), rms
    eddies = np.pi * SIGMA * (W[0] * 2e-7 / 11e-3) ** 2 * 5e-3**4 / 4
    assert there[0] == pytest.approx(alone[0] + 2 * eddies, rel=2e-3)


def test_a_circuit_without_a_return_is_compared_by_its_resistance(tmp_path) -> None:
    one = rod()
    said = chapter_of(one, from_file(one, bench(tmp_path / "bench.csv", step=6))).warnings
    assert any(w.startswith("feed has no way back in the section: its L counts to a circle") for w in said)


def test_what_a_case_does_not_say_is_asked(tmp_path) -> None:
    result = solve_case(rod())
    no_length = replace(result.case, data=result.case.data.model_copy(update={"length": None}))
    with pytest.raises(CaseError, match="the length of the run that was measured"):
        from_file(no_length, bench(tmp_path / "bench.csv"))
