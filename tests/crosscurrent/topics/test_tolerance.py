"""Bands within tolerances against closed forms: a rod of direct current, whose R is that of its area and metal."""

from __future__ import annotations

import json
import math
from functools import cache
from typing import Any

import numpy as np
import pytest
from scipy.special import iv, kv
from topic_cases import bars, chapter

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.varied import varied
from crosscurrent.postprocess.files.results import as_json
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.field.solve import solve

DIAMETER, SIGMA, CURRENT = 0.010, 50e6, 100.0


def rod(diameter: str, conductivity: str, **more: Any) -> Result:
    data = {
        "frequency": {"at": ["0 Hz"]},
        "material": {"own": {"conductivity": conductivity}},
        "conductor": [{"name": "rod", "shape": "round", "diameter": diameter, "material": "own"}],
        "circuit": [{"name": "feed", "current": "100 A", "out": ["rod"]}],
    } | more
    return solve_case(checked_case(data))


def resistance(diameter: Any = DIAMETER, conductivity: Any = SIGMA) -> Any:
    return 4 / (math.pi * diameter**2 * conductivity)


def band(result: Result, key: str = "resistance_ohm_per_m") -> Any:
    point = chapter(result, "tolerance").record["points"][0]  # type: ignore[call-overload, index]
    return point["circuits"]["feed"][key] if key in point["circuits"]["feed"] else point[key]


def tube(outer: float, inner: Any, sigma: float, frequency: float) -> Any:
    """Impedance of a tube that carries its current alone (S. A. Schelkunoff, BSTJ 13, 532, 1934, from memory)."""
    k = np.sqrt(2j * np.pi * frequency * 4e-7 * np.pi * sigma)
    a, b = k * outer, k * inner
    above = iv(0, a) * kv(1, b) + kv(0, a) * iv(1, b)
    return k / (2 * np.pi * outer * sigma) * above / (iv(1, a) * kv(1, b) - kv(1, a) * iv(1, b))


def coaxial(radius: float, bore: Any, wall: float, sigma: Any, frequency: float) -> Any:
    """R and L of a rod in a tube of the same metal that takes its current back (Schelkunoff as above, from memory)."""
    k = np.sqrt(2j * np.pi * frequency * 4e-7 * np.pi * sigma)
    r, a, b = k * radius, k * bore / 2, k * (bore / 2 + wall)
    inside = k / (2 * np.pi * radius * sigma) * iv(0, r) / iv(1, r)
    back = k / (np.pi * bore * sigma) * (iv(0, a) * kv(1, b) + kv(0, a) * iv(1, b))
    z = inside + back / (iv(1, b) * kv(1, a) - kv(1, b) * iv(1, a))
    return z.real, z.imag / (2 * np.pi * frequency) + 2e-7 * np.log(bore / 2 / radius)


@pytest.fixture(scope="module")
def both() -> Result:
    return rod("10 mm +- 2 %", "50 MS/m +- 3 %")


def test_two_solves_give_the_exact_worst_cases(both: Result) -> None:
    record = chapter(both, "tolerance").record
    assert (record["solves"], record["order"]) == (2, "second by slopes")
    exact = [resistance(DIAMETER * (1 + 0.02 * way), SIGMA * (1 + 0.03 * way)) for way in (1, -1)]
    assert band(both)["worst_case"] == pytest.approx(exact, rel=1e-5)
    assert band(both, "total_loss_w_per_m")["worst_case"] == pytest.approx([CURRENT**2 * r for r in exact], rel=1e-5)


def test_the_bar_of_computing_widens_the_band() -> None:
    """Bars at 85 kHz, a narrow band: it is of a better solve than was asked for, its bar and those of slopes beside."""
    data = bars(named={"near": "2 mm +- 0.01 mm"}, frequency={"at": ["85 kHz"]}, accuracy={"resistance": "1 %"})
    data["conductor"][1]["place"] = {"below": data["conductor"][0]["name"], "gap": "near"}
    data["conductor"][1].pop("centre", None)
    result = solve_case(checked_case(data))
    found, circuit = band(result), result.points[0].circuits["feed"]
    assert circuit.resistance is not None
    assert circuit.resistance_error is not None
    bar = found["computing_bar"]
    assert 0 < bar < 0.1 * circuit.resistance * circuit.resistance_error
    alone, whole = found["worst_case_by_tolerances_alone"], found["worst_case"]
    assert whole == pytest.approx([alone[0] - bar, alone[1] + bar])
    fine = solve_case(checked_case(data | {"accuracy": {"resistance": "0.001 %"}}))
    low, high = band(fine)["worst_case_by_tolerances_alone"]
    assert whole[0] < low < high < whole[1]


def test_95_per_cent_lie_where_random_rods_do(both: Result) -> None:
    u = np.random.default_rng(1).uniform(-1, 1, (2, 200_000))
    exact = np.quantile(resistance(DIAMETER * (1 + 0.02 * u[0]), SIGMA * (1 + 0.03 * u[1])), [0.025, 0.975])
    found = band(both)["within_95_percent"]
    assert found == pytest.approx(exact, abs=0.03 * (exact[1] - exact[0]))


def test_shares_go_with_the_squares_of_what_each_cause_does(both: Result) -> None:
    shares = band(both)["shares"]
    assert shares["rod.diameter"] == pytest.approx(16 / 25, abs=0.01)  # 4 % against 3 %
    assert shares["own.conductivity"] == pytest.approx(9 / 25, abs=0.01)


def test_wide_tolerances_get_more_solves() -> None:
    wide = rod("10 mm +- 15 %", "50 MS/m +- 15 %")
    record = chapter(wide, "tolerance").record
    assert record["order"] == "second with products"
    assert record["missed_there_of_half_width"] < 0.1  # type: ignore[operator]
    exact = [resistance(DIAMETER * (1 + 0.15 * way), SIGMA * (1 + 0.15 * way)) for way in (1, -1)]
    assert band(wide)["worst_case"] == pytest.approx(exact, rel=1e-5)
    u = np.random.default_rng(2).uniform(-1, 1, (2, 200_000))
    ends = np.quantile(resistance(DIAMETER * (1 + 0.15 * u[0]), SIGMA * (1 + 0.15 * u[1])), [0.025, 0.975])
    assert band(wide)["within_95_percent"] == pytest.approx(ends, abs=0.03 * (ends[1] - ends[0]))


@pytest.mark.parametrize("accuracy", ["1 %", "0.5 %"])
def test_a_coarse_accuracy_hides_no_bend(accuracy: str) -> None:
    """R of a tube near its least, at pi / 2 skin depths of wall: 2000 draws of the exact answer."""
    data = {
        "frequency": {"at": ["85 kHz"]}, "accuracy": {"resistance": accuracy},
        "material": {"own": {"conductivity": "58 MS/m"}},
        "conductor": [{"name": "pipe", "shape": "tube", "diameter": "20 mm", "wall": "0.3 mm +- 0.06 mm",
                       "material": "own"}],
        "circuit": [{"name": "feed", "current": "100 A", "out": ["pipe"]}],
    }  # fmt: skip
    found = band(solve_case(checked_case(data)))
    walls = 3e-4 + 6e-5 * np.random.default_rng(8).uniform(-1, 1, 2000)
    exact = tube(0.01, 0.01 - walls, 58e6, 85e3).real
    low, high = np.quantile(exact, [0.025, 0.975])
    assert found["within_95_percent_by_tolerances_alone"] == pytest.approx([low, high], abs=0.03 * (high - low))


@pytest.mark.parametrize(("bore", "metal"), [(0.10, 0.06), (0.02, 0.15), (0.10, 0.15)])
def test_95_per_cent_of_a_coaxial_pair_against_2000_draws(bore: float, metal: float) -> None:
    """The worst corners of L hide, in its value there, how it bends with the bore; R has corners of its own."""
    result = solve_case(checked_case({
        "frequency": {"at": ["2 kHz"]}, "material": {"own": {"conductivity": f"50 MS/m +- {100 * metal} %"}},
        "conductor": [{"name": "rod", "shape": "round", "diameter": "10 mm", "material": "own"},
                      {"name": "pipe", "shape": "tube", "bore": f"15 mm +- {100 * bore} %", "wall": "1.5 mm",
                       "material": "own"}],
        "circuit": [{"name": "feed", "current": "100 A", "out": ["rod"], "back": ["pipe"]}],
    }))  # fmt: skip
    u = np.random.default_rng(4).uniform(-1, 1, (2, 2000))
    exact = coaxial(0.005, 0.015 * (1 + bore * u[0]), 0.0015, 50e6 * (1 + metal * u[1]), 2e3)
    for key, values in zip(("resistance_ohm_per_m", "inductance_h_per_m"), exact, strict=True):
        low, high = np.quantile(values, [0.025, 0.975])
        found = band(result, key)["within_95_percent_by_tolerances_alone"]
        assert found == pytest.approx([low, high], abs=0.03 * (high - low)), chapter(result, "tolerance").record
    assert chapter(result, "tolerance").record["solves"] <= 4  # type: ignore[operator]


def test_forces_within_limits_go_by_slopes() -> None:
    """Two round wires of direct current: F = mu0 I^2 / (2 pi d), and the two worst corners are all that is solved."""
    wire = {"shape": "round", "diameter": "10 mm", "material": "copper"}
    result = solve_case(checked_case({
        "frequency": {"at": ["0 Hz"]}, "named": {"apart": "60 mm +- 0.3 mm"},
        "conductor": [wire | {"name": "a"}, wire | {"name": "b", "centre": ["apart", "0 mm"]}],
        "circuit": [{"name": "feed", "current": "1 kA", "out": ["a"], "back": ["b"]}], "limits": {"force": "5 N/m"},
    }))  # fmt: skip
    record = chapter(result, "tolerance").record
    assert (record["solves"], record["order"]) == (2, "first")
    kept = record["limits"][0]  # type: ignore[call-overload, index]
    assert kept["worst_case"] == pytest.approx([0.2 / 0.0603, 0.2 / 0.0597], rel=1e-4)


def test_a_limit_on_mass_takes_no_further_solves() -> None:
    """The mass of a rod goes with the square of its diameter: 8000 kg/m3."""
    metal = {"own": {"conductivity": "50 MS/m +- 1 %", "density": "8000 kg/m3"}}
    record = chapter(rod("10 mm +- 1 %", "", material=metal, limits={"mass": "0.63 kg/m"}), "tolerance").record
    assert record["solves"] == 2
    kept = record["limits"][0]  # type: ignore[call-overload, index]
    least, most = (8000 * math.pi / 4 * (0.01 * (1 + way)) ** 2 for way in (-0.01, 0.01))
    assert kept["worst_case_by_tolerances_alone"] == pytest.approx([least, most], rel=1e-5)


def test_two_standard_deviations_are_normal() -> None:
    found = band(rod("10 mm", "50 MS/m +- 1 %", tolerance={"read_as": "two standard deviations"}))
    low, high = found["within_95_percent"]
    assert (high - low) / resistance() == pytest.approx(2 * 0.98 * 0.01, rel=0.005)


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.95, "in 75 %"), (1.0999, "in less than 1 %"), (1.15, "in none"), (0.8, "in all")],
)
def test_how_many_keep_a_limit(share: float, words: str) -> None:
    """The loss goes with one over conductivity: it keeps the limit from the share of it that the limit is set for."""
    allowed = CURRENT**2 * resistance(conductivity=share * SIGMA)
    found = chapter(rod("10 mm", "50 MS/m +- 10 %", limits={"loss": f"{allowed!r} W/m"}), "tolerance")
    (row,) = found.record["limits"]  # type: ignore[misc, union-attr]
    assert row["passes"] == words  # type: ignore[index, call-overload]
    assert any(words in text for text in (found.warnings if share > 0.9 else found.sentences))


def test_sections_that_cannot_be_are_told() -> None:
    data = bars(named={"place": "20 mm +- 20 mm"}, frequency={"at": ["0 Hz"]})
    data["conductor"][1]["centre"] = ["place", "0 mm"]
    data["conductor"][0]["centre"] = ["0 mm", "0 mm"]
    found = chapter(solve_case(checked_case(data)), "tolerance")
    assert any("cannot be" in text for text in found.warnings)


def test_temperatures_come_from_the_ends_of_each_cause() -> None:
    circuit = [{"name": "feed", "current": "300 A +- 5 %", "out": ["rod"]}]
    result = rod("10 mm", "50 MS/m", circuit=circuit, cooling={})
    found = band(result, "hottest_degc")
    bar = found["computing_bar"]
    assert found["worst_case"] == pytest.approx([end + way * bar for end, way in zip(
        found["worst_case_by_tolerances_alone"], (-1, 1), strict=True)])  # fmt: skip
    for end, current in zip(found["worst_case_by_tolerances_alone"], (285.0, 315.0), strict=True):
        other = solve_case(varied(result.case, {"feed.current": current}))
        assert end == pytest.approx(chapter(other, "temperature").measured["temperature"][0].value, abs=1e-6)
    assert chapter(result, "tolerance").record["order"] == "second"


def test_nothing_where_no_figure_has_a_tolerance() -> None:
    assert not any(c.key == "tolerance" for c in rod("10 mm", "50 MS/m").chapters)
    swept = {"sweep": {"from": "50 Hz", "to": "100 Hz", "points": 2}}
    told = chapter(rod("10 mm +- 1 %", "50 MS/m", frequency=swept), "tolerance").warnings
    assert told == ("tolerances: no bands, since they belong to frequencies asked for one by one: list some in at",)
    said = chapter(rod("10 mm", "50 MS/m", tolerance={}), "tolerance").sentences
    assert said[0].startswith("no figure of the case has a tolerance")


def test_the_document_holds_it(both: Result) -> None:
    document = json.loads(as_json(both.heading, both.points, both.chapters))
    assert [c["key"] for c in document["tolerance"]["causes"]] == ["own.conductivity", "rod.diameter"]


def of_one_thickness(accuracy: str) -> Case:
    data = bars(named={"thick": "5 mm +- 0.1 mm"}, frequency={"at": ["85 kHz"]}, accuracy={"resistance": accuracy})
    for row in data["conductor"]:
        row["width"] = "thick"
    data["conductor"][1] = data["conductor"][1] | {"place": {"right_of": "a", "gap": "2 mm"}}
    del data["conductor"][1]["centre"]
    return checked_case(data)


@cache
def ends_of_most_thicknesses() -> tuple[float, ...]:
    """R of tight solves at 0.95 of either end, rising."""
    case, ends = of_one_thickness("1 %"), []
    for share in (-0.95, 0.95):
        solution = solve(varied(case, {"thick": 5e-3 + share * 1e-4}).problem(), 85e3, accuracy=2e-5)
        feed = solution.problem.circuits[0]
        ends.append((solution.fine.circuit(feed) / feed.current).real)
    return tuple(sorted(ends))


@pytest.mark.parametrize("accuracy", ["1 %", "0.5 %"])
def test_a_narrow_band_of_a_coarse_case_is_that_of_tight_solves(accuracy: str) -> None:
    """R goes one way with the thickness: 95 % lie between what tight solves at 0.95 of either end come to."""
    low, high = ends_of_most_thicknesses()
    found = band(solve_case(of_one_thickness(accuracy)))["within_95_percent_by_tolerances_alone"]
    assert found == pytest.approx([low, high], abs=0.03 * (high - low))


def test_a_bundle_of_fine_strands_alone() -> None:
    """Direct current, and what its own field loses in thin strands: pi w^2 sigma d^4 B^2 / 64 in each (textbooks)."""
    count, frequency, take_up = 400, 100e3, 1.04

    def exact(strand: Any, outer: Any) -> Any:
        at_rest = take_up * 4 / (count * math.pi * strand**2 * SIGMA)
        omega, square = 2 * math.pi * frequency, (4e-7 / outer) ** 2 / 2  # B^2 of 1 A, mean over the section
        return at_rest + take_up * (count - 1) * math.pi * omega**2 * SIGMA * strand**4 * square / 64

    strands = {
        "name": "lead", "shape": "bundle", "strands": count, "strand_diameter": "0.1 mm +- 2 um", "material": "own",
        "insulated_diameter": "0.105 mm", "outer_diameter": "2.8 mm +- 0.1 mm", "take_up": take_up,
    }  # fmt: skip
    result = solve_case(checked_case({
        "frequency": {"at": [f"{frequency:g} Hz"]}, "material": {"own": {"conductivity": f"{SIGMA:g} S/m"}},
        "conductor": [strands], "circuit": [{"name": "feed", "current": "1 A", "out": ["lead"]}],
        "accuracy": {"resistance": "0.02 %"},
    }))  # fmt: skip
    found = band(result)
    ends = exact(*np.meshgrid(1e-4 + np.array([-2e-6, 2e-6]), 2.8e-3 + np.array([-1e-4, 1e-4])))
    nominal, width = exact(1e-4, 2.8e-3), float(np.ptp(ends))
    assert exact(1e-4, 2.8e-3) > 1.02 * take_up * 4 / (count * math.pi * 1e-8 * SIGMA)
    assert result.points[0].circuits["feed"].resistance == pytest.approx(nominal, rel=1e-3)
    alone = found["worst_case_by_tolerances_alone"]
    assert alone == pytest.approx([ends.min(), ends.max()], abs=0.005 * width)
    assert chapter(result, "tolerance").record["solves"] <= 8  # type: ignore[operator]
