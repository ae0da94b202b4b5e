"""Words and tables of tolerances, of bands made by hand."""

from __future__ import annotations

from dataclasses import replace

from crosscurrent.postprocess.answers.chapter import CircuitBand
from crosscurrent.postprocess.topics.tolerance import (
    Band,
    Cause,
    KeptLimit,
    ToleranceAnswer,
    circuit_bands,
    record,
    sentences,
    tables,
    warnings,
)

CAUSES = (Cause("gap", "3 mm +- 10 %", 3e-3, 3e-4, "m"), Cause("bar.width", "40 mm +- 1 mm", 0.04, 1e-3, "m"))
R = Band("resistance", "feed", 50.0, "ohm/m", 1e-4, 1e-8, (9e-5, 1.1e-4), (9.2e-5, 1.08e-4), (0.9, 0.1),
         ((9.1e-5, 1.09e-4), (1.01e-4, 9.9e-5)))  # fmt: skip
LOSS = Band("loss", "", 50.0, "W/m", 100.0, 0.1, (90.0, 110.0), (92.0, 108.0), (0.9, 0.1),
            ((91.0, 109.0), (101.0, 99.0)))  # fmt: skip
FOUND = ToleranceAnswer("bound", CAUSES, (LOSS, R), (KeptLimit(LOSS, 107.0, "some", 96, 96),), solves=2,
                        checked="loss at 50 Hz", missed=0.02)  # fmt: skip


def test_record_names_figures_with_their_units() -> None:
    found = record(FOUND)
    (point,) = found["points"]  # type: ignore[misc, union-attr]
    assert point["circuits"]["feed"]["resistance_ohm_per_m"]["worst_case"] == [9e-5 - 1e-8, 1.1e-4 + 1e-8]  # type: ignore
    assert point["total_loss_w_per_m"]["shares"] == {"gap": 0.9, "bar.width": 0.1}  # type: ignore
    (limit,) = found["limits"]  # type: ignore[misc, union-attr]
    assert (limit["passes"], limit["allowed"]) == ("in 96 %", 107.0)  # type: ignore


def test_tables_say_bands_causes_and_limits() -> None:
    bands, shares, limits = tables(FOUND)
    assert bands.rows[1] == ("R of feed", "100.0 uohm/m", "89.99 to 110.0 uohm/m", "91.99 to 108.0 uohm/m",
                             "10 nohm/m", "gap 90 %")  # fmt: skip
    assert shares.rows[0] == ("gap", "3 mm +- 10 %", "90 %", "90 %")
    assert limits.rows[0][-1] == "in 96 %"


def test_sentences_say_how_bands_were_found() -> None:
    said = list(sentences(FOUND))
    assert said[0].startswith("R of feed at 50 Hz is 89.99 to 110.0 uohm/m within tolerances")
    assert said[-1].endswith("they missed by 2 % of half their width; 2 changed cases solved")
    assert "not checked" in list(sentences(replace(FOUND, missed=None)))[-1]
    assert "normal" in list(sentences(replace(FOUND, read_as="two standard deviations")))[-3]


def test_what_may_fail_is_a_warning() -> None:
    assert list(warnings(FOUND)) == ["within tolerances the limit on loss at 50 Hz passes in 96 % of the sections"]
    unsure = replace(FOUND, kept=(KeptLimit(LOSS, 100.0, "cannot tell", 0, 100),), missed=0.3, without=("loss",))
    said = list(warnings(unsure))
    assert "nobody can tell of the limit on loss" in said[0]
    assert "missed by 30 %" in said[1]
    assert said[2].startswith("loss has no band")


def test_the_first_screen_gets_worst_cases_and_their_first_cause() -> None:
    assert list(circuit_bands(FOUND)) == [CircuitBand("feed", 50.0, 9e-5 - 1e-8, 1.1e-4 + 1e-8, "gap 90 %")]
    terminals = [replace(b, words="the terminals of feed") for b in FOUND.bands]
    assert list(circuit_bands(replace(FOUND, bands=terminals))) == []  # a terminal R may lie below zero
    terminal = replace(terminals[1], what="inductance", worst=(-2e-6, -1e-6), bar=0.0)
    (band,) = circuit_bands(replace(FOUND, bands=[*terminals, terminal]))
    assert band == CircuitBand("feed", 50.0, None, None, "", -2e-6, -1e-6, "gap 90 %", terminal=True)
