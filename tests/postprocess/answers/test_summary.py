"""The first screen in words: at most eleven lines below the title, whatever the case holds."""

from __future__ import annotations

import pytest
from made_answers import circuit_summary, summary

from crosscurrent.geometries.plane.neighbours import Neighbours
from crosscurrent.postprocess.answers.chapter import CircuitBand
from crosscurrent.postprocess.answers.summary import (
    WIDE,
    HoldingCurrent,
    Hottest,
    SectionLoss,
    SharedConductor,
    lines,
    lines_beside_answers,
    shortened,
)

MOST = 11


def test_verdict_loss_temperature_circuit_and_gap_in_this_order() -> None:
    assert lines(summary()) == (
        "Limits: none stated, so nothing is judged",
        "Loss: 100.0 mW/m +- 1 % at 1 kHz",
        "Temperature: not computed; the figures hold at 70 degC as stated",
        "feed, 10 A, 1 kHz, 70 degC: R 1.000 mohm/m +- 0.01 % (Rac/Rdc 2), L 1.000 uH/m +- 0.001 %",
        "rod to back: 3 mm face to face over 100 mm",
    )


def test_a_work_piece_heated_in_time_stands_with_the_temperatures() -> None:
    billet = Hottest("billet", 1200.14, 163.0, "", None)
    found = lines(summary(heating=billet))[2]
    assert found == (
        "Temperature: billet is heated to 1200 degC +- 163 K; else not computed; the figures hold at 70 degC as stated"
    )
    water = Hottest("turn.6", 25.31, 0.77, "water at 10 kHz", None)
    assert lines(summary(hottest=water, heating=billet))[2].startswith(
        "Temperature: billet is heated to 1200 degC +- 163 K; else turn.6 is the hottest, 25.3 degC +- 0.77 K (water"
    )


def test_a_crowded_case_keeps_to_its_lines_and_says_what_it_left_out() -> None:
    phases = tuple(circuit_summary(f"L{k}", resistance_of="own conductors") for k in range(1, 7))
    gaps = tuple(Neighbours(f"L{k}", f"L{k + 1}", 1e-3 * k, 0.1, False) for k in range(1, 9))
    found = lines(
        summary(
            circuits=phases,
            shared=tuple(SharedConductor(name, ("L1", "L2"), 180.0, 3.0) for name in ("N", "PE")),
            sequences={"positive": 1e-3 + 2e-3j, "negative": 1e-3 + 2e-3j, "zero": 2e-3 + 5e-3j},
            gaps=gaps,
            worst_warning="the currents " + "do not sum to zero " * 20,
            warnings=4,
            verdict_words="as computed this cannot be: " + "a has no stable temperature; " * 20,
        )
    )
    assert len(found) <= MOST
    assert all(len(line) <= WIDE for line in found)
    assert found[5].endswith("; 3 more")
    assert found[6] == "N, shared by L1, L2: 180.0 A, loss 3.000 W/m; 1 more"
    assert found[7] == (
        "Sequence impedance: 1.000 + j2.000 mohm/m (positive and negative), 2.000 + j5.000 mohm/m (zero)"
    )
    assert found[9].endswith("; 6 more")
    assert found[10].startswith("Warning (1 of 4): the currents do not")
    assert found[10].endswith(" ...")


def test_what_tolerances_do_stands_last_where_there_is_room() -> None:
    band = CircuitBand("feed", 50.0, 1.544e-3, 1.6021e-3, "gap 92 %", 1e-6, 1.1e-6, "gap 99 %")
    words = "Tolerances, feed, 50 Hz: R 1.544 to 1.602 mohm/m (gap 92 %), L 1.000 to 1.100 uH/m (gap 99 %) at worst"
    assert lines(summary(bands=(band,)))[-1] == words
    assert lines(summary(bands=(band, band)))[-1] == f"{words}; 1 more"
    assert words in lines_beside_answers(summary(bands=(band,)))
    gaps = tuple(Neighbours(f"L{k}", f"L{k + 1}", 1e-3 * k, 0.1, False) for k in range(1, 9))
    phases = tuple(circuit_summary(f"L{k}") for k in range(1, 7))
    shared = (SharedConductor("N", ("L1", "L2"), 180.0, 3.0),)
    crowded = summary(circuits=phases, gaps=gaps, shared=shared, sequences={"zero": 1j}, worst_warning="hot",
                      bands=(band,))  # fmt: skip
    assert len(lines(crowded)) == MOST
    assert words not in lines(crowded)


def test_alike_gaps_are_one_line() -> None:
    foils = tuple(Neighbours(f"foil.{k}", f"foil.{k + 1}", 1e-4, 0.04, False) for k in range(1, 20))
    assert lines(summary(gaps=foils))[-1] == "foil.1 to foil.2 (and 18 alike): 100 um face to face over 40 mm"
    coax = (Neighbours("core", "screen", 8e-3, 0.0, True), Neighbours("a", "b", 2e-3, 0.0, False))
    assert lines(summary(gaps=coax))[-2:] == ("core to screen: 8 mm all round", "a to b: 2 mm at the nearest")


def test_a_stated_temperature_is_replaced_visibly() -> None:
    hottest = Hottest("go", 154.2, 9.4, "steady, 50 Hz", 80.0)
    words = "go is the hottest, 154.2 degC +- 9.4 K (steady, 50 Hz); 80 degC was stated"
    assert lines(summary(hottest=hottest))[2] == f"Temperature: {words}"
    near = Hottest("go", 80.4, 9.4, "steady, 50 Hz", 80.0)
    assert "stated" not in lines(summary(hottest=near))[2]


def test_a_temperature_that_was_taken_is_said_once() -> None:
    all_of = lines(summary(temperature_low=20.0, temperature_high=20.0, taken=("rod", "back")))
    assert all_of[2] == (
        "Temperature: not computed; the figures hold at 20 degC, the ambient taken where none is stated"
    )
    some = lines(summary(temperature_low=20.0, taken=("back",)))[2]
    assert some.endswith("hold at 20 to 70 degC, the ambient taken where none is stated for back")
    assert sum("ambient" in line for line in all_of) == 1


def test_a_runaway_names_the_currents_that_hold() -> None:
    holds = (HoldingCurrent(90.0, 0.3, {"feed": 1200.0}), HoldingCurrent(None, 0.5, {"feed": 2000.0}))
    assert lines(summary(runs_away=("go", "back"), holds=holds))[2] == (
        "Temperature: no stable temperature (go, back): holds feed 1.20 kA (limit 90 degC); feed 2.00 kA (stable at "
        "all)"
    )


def test_the_waveform_governs_and_totals_stand_beside() -> None:
    losses = (SectionLoss("with the waveform", 120.0, 0.1, 288.0), SectionLoss("at 85 kHz", 100.0, 1e-8, 240.0))
    assert lines(summary(losses=losses))[1] == (
        "Loss: 120.0 W/m +- 0.09 % with the waveform, 288.0 W over the run; 100.0 W/m +- 0.0001 % at 85 kHz"
    )


def test_direct_current_has_no_inductance_and_no_current_no_resistance() -> None:
    resting = circuit_summary(frequency=0.0, inductance=None, inductance_error=None, resistance_ratio=1.0)
    idle = circuit_summary("idle", resistance=None)
    assert lines(summary(circuits=(resting, idle)))[3:5] == (
        "feed, 10 A, direct current, 70 degC: R 1.000 mohm/m +- 0.01 % (Rac/Rdc 1)",
        "idle at 1 kHz: no current",
    )


@pytest.mark.parametrize(("wide", "cut"), [(30, "a line, of words"), (16, "a line, of words"), (14, "a line, of ...")])
def test_lines_are_cut_at_words(wide: int, cut: str) -> None:
    assert shortened("a line, of words", wide) == cut


def test_figures_below_their_bars_are_none() -> None:
    found = lines(
        summary(
            circuits=(circuit_summary(resistance_error=1.5, resistance_ratio=None, inductance_error=2.0),),
            losses=(SectionLoss("at 1 kHz", 1e-14, 1e-12, 2e-14),),
            shared=(SharedConductor("N", ("L1", "L2"), 0.0, 1e-14, 1e-12),),
        )
    )
    assert found[1] == "Loss: none at 1 kHz"
    assert found[3] == "feed, 10 A, 1 kHz, 70 degC: R none, L none"
    assert found[4] == "N, shared by L1, L2: no net current, loss none"


def test_coupled_circuits_say_whose_r_and_l_they_show() -> None:
    own = circuit_summary("L1", resistance_of="own conductors")
    shared = circuit_summary(
        "ab", resistance=None, resistance_error=None, resistance_ratio=None, resistance_of="shared conductors",
        inductance=-5e-6,
    )  # fmt: skip
    found = lines(summary(circuits=(own, shared, circuit_summary("spare", size=0.0, resistance=None))))
    assert found[3].endswith("own R 1.000 mohm/m +- 0.01 % (Rac/Rdc 2), terminal L 1.000 uH/m +- 0.001 %")
    assert found[4].endswith("70 degC: shares all its conductors, terminal L -5.000 uH/m +- 0.001 %")
    assert found[5] == "spare at 1 kHz: no current"


def test_a_long_name_gives_way_to_its_figures() -> None:
    (line,) = (one for one in lines(summary(circuits=(circuit_summary("incomer " * 9),))) if "1 kHz, 70" in one)
    assert len(line) <= WIDE
    assert line.startswith("incomer inc")
    assert line.endswith("..., 10 A, 1 kHz, 70 degC: R 1.000 mohm/m +- 0.01 % (Rac/Rdc 2), L 1.000 uH/m +- 0.001 %")
