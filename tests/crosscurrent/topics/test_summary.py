"""The first screen of solved cases: what is picked from the answers."""

from __future__ import annotations

import pytest
from topic_cases import rod, solved_bars, solved_rods

from crosscurrent.casefile.case import checked_case
from crosscurrent.result import Result
from crosscurrent.run import solve_case


@pytest.fixture(scope="module")
def rods() -> Result:
    return solved_rods(limits={"loss": "1 kW/m"}, frequency={"at": ["0 Hz", "1 kHz", "100 kHz"]})


def test_verdict_losses_circuits_and_gaps(rods: Result) -> None:
    found = rods.summary
    assert (found.verdict, found.verdict_words) == ("pass", rods.chapter("limits").sentences[0])
    assert [one.loss for one in found.losses] == [rods.points[0].total_loss, rods.points[-1].total_loss]
    assert [one.total for one in found.losses] == [2 * one.loss for one in found.losses]
    assert [(c.name, c.frequency) for c in found.circuits] == [("pair", 0.0), ("pair", 1e5)]
    assert found.circuits[1].resistance == rods.at("100 kHz").circuits["pair"].resistance
    assert [(g.one, g.other, round(g.gap, 9)) for g in found.gaps] == [("rod.1", "rod.2", 0.034)]


def test_temperatures_nobody_stated_were_taken(rods: Result) -> None:
    assert rods.summary.taken == ("rod.1", "rod.2")
    assert (rods.summary.temperature_low, rods.summary.temperature_high) == (20.0, 20.0)
    assert rods.conductors["rod.1"].temperature == rods.circuits["pair"].temperature_high == 20.0


def test_a_runaway_says_what_holds() -> None:
    found = rod("2 kA", cooling={"temperature_limit": "90 degC"}).summary
    assert found.hottest is None
    assert found.runs_away == ("rod",)
    within, largest = found.holds
    assert (within.limit, largest.limit) == (90.0, None)
    assert within.currents["feed"] == pytest.approx(2000 * within.factor)
    assert within.factor < largest.factor < 1


def test_where_air_cools_the_hottest_conductor_has_its_band() -> None:
    result = solved_bars(cooling={})
    found = result.summary.hottest
    (figure,) = (m for m in result.chapter("temperature").measured["temperature"] if m.of == found.conductor)
    assert (found.temperature, found.error, found.load) == (figure.value, figure.error, "steady, 50 Hz")
    assert found.stated is None


def test_coupled_circuits_show_their_own_conductors_and_nothing_negative() -> None:
    """Flat, close and at a frequency where the outer phases pass each other power."""
    bar = {"shape": "bar", "width": "10 mm", "thickness": "60 mm", "material": "copper"}
    places, phases = ("-30 mm", "0 mm", "30 mm"), ("0 deg", "-120 deg", "120 deg")
    data = {
        "frequency": {"at": ["400 Hz"]},
        "conductor": [bar | {"name": f"L{k}", "centre": [x, "0 mm"]} for k, x in enumerate(places, 1)],
        "circuit": [
            {"name": f"phase {k}", "current": "500 A", "phase": angle, "out": [f"L{k}"]}
            for k, angle in enumerate(phases, 1)
        ],
    }
    result = solve_case(checked_case(data))
    assert min(c.resistance for c in result.circuits.values()) < 0
    assert all(c.resistance > 0 and c.resistance_of == "own conductors" for c in result.summary.circuits)
    assert set(result.summary.sequences) == {"positive", "negative"}
    assert not any(" -" in line for line in result.summary.lines)


def test_a_coupled_circuit_without_conductors_of_its_own_shows_no_terminal_r() -> None:
    """Three loops between three bars: a strong one drives power into a weak one, whose terminal R is below zero."""
    bar = {"shape": "bar", "width": "40 mm", "thickness": "5 mm", "material": "copper"}
    loops = (("ab", "10 A", "0 deg"), ("bc", "700 A", "80 deg"), ("ca", "400 A", "0 deg"))
    data = {
        "frequency": {"at": ["400 Hz"]},
        "conductor": [bar | {"name": name, "centre": ["0 mm", f"{7 * k} mm"]} for k, name in enumerate("abc")],
        "circuit": [
            {"name": name, "current": size, "phase": angle, "out": [name[0]], "back": [name[1]]}
            for name, size, angle in loops
        ],
        "limits": {"inductance": "1 uH/m"},  # that of ab is below zero
    }
    result = solve_case(checked_case(data))
    assert min(c.resistance for c in result.circuits.values()) < 0
    assert [c.resistance for c in result.summary.circuits] == [None] * 3
    assert (min(c.inductance for c in result.circuits.values()) < 0, result.summary.verdict) == (True, "pass")
    assert sum("shares all its conductors, terminal L " in line for line in result.summary.lines) == 3
    assert not any(" R -" in line or "oss -" in line for line in result.summary.lines)


def test_gaps_of_strands_are_those_of_their_bundle() -> None:
    """Seven touching strands 0.32 mm apart over their enamel, and a bar 1 mm below what stands over them."""
    lead = {"name": "lead", "shape": "bundle", "strands": 7, "strand_diameter": "0.3 mm", "centre": ["0 mm", "0 mm"],
            "insulated_diameter": "0.32 mm", "material": "copper"}  # fmt: skip
    below = {"name": "bar", "shape": "bar", "width": "6 mm", "thickness": "1 mm", "material": "copper",
             "place": {"below": "lead", "gap": "1 mm"}}  # fmt: skip
    feed = {"name": "feed", "current": "1 A", "out": ["lead"], "back": ["bar"]}
    case = {"title": "few", "frequency": {"at": ["50 Hz"]}, "conductor": [lead, below], "circuit": [feed]}
    (gap,) = solve_case(checked_case(case)).summary.gaps
    assert {gap.one, gap.other} == {"lead", "bar"}
    assert gap.gap == pytest.approx(1e-3, abs=0.3e-3)
