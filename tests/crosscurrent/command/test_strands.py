"""The command `strands`: what it prints, draws and refuses."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import crosscurrent as cc
from crosscurrent.__main__ import main
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_choice import choices

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command; give its exit code, standard output and standard error."""

    def call(*arguments: str) -> tuple[int, str, str]:
        status = main(["strands", *arguments])
        return (status, *capsys.readouterr())

    return call


def test_a_bundle_of_5_mm(run: Run) -> None:
    status, out, err = run("85 kHz", "--outer", "5 mm", "--strand", "0.1 mm", "AWG 38", "--current", "40 A")
    assert (status, err) == (0, "")
    words = " ".join(out.split())
    assert "Bundles of fine strands at 85 kHz, copper at 20 degC" in words
    assert words.startswith("Worth buying at 85 kHz: ")  # the answer first
    assert "0.1007" in words  # ASTM B258
    assert "Bunch at most 20 strands into one group" in words  # Sullivan and Zhang: 4 depth^2 / diameter^2
    assert "A/mm2" in words
    assert "A peak value read as rms doubles the computed heat" in words
    assert "a live part burns deeply" in words
    assert "a joint must reach every strand" in words


def test_the_claim_is_answered_with_its_numbers(run: Run) -> None:
    """880 / 785 um of circumference, 7 x 0.04^2 / 0.25^2 of copper."""
    words = " ".join(run("85 kHz", "--outer", "5 mm", "--strand", "0.1 mm")[1].split())
    assert "12 % more circumference than one wire of 0.25 mm, but 18 % of its copper" in words
    line = next(part for part in words.split("10 kHz ")[1:] if "mohm/m" in part)
    assert line.split()[4] == "5.69"  # 1.02 x 0.25^2 / (7 x 0.04^2)
    assert "From 10 kHz to 30 MHz they have 2.4 to 5.7 times its resistance" in words


@pytest.mark.parametrize(
    ("strand", "outer", "frequency", "near"),
    [(0.4, 3.0, 85e3, 1e-3), (0.2, 0.7, 400e3, 1e-3), (0.4, 1.0, 300e3, 0.01), (0.4, 5.0, 85e3, 1e-4)],
)
def test_as_the_same_bundle_as_a_case(strand: float, outer: float, frequency: float, near: float) -> None:
    """29, 8 and 3 strands are solved for one by one, 82 as a medium; R/Rdc is 1.1 to 4."""
    (choice,) = choices((strand * 1e-3,), MATERIALS["copper"], 20.0, frequency, outer=outer * 1e-3)
    lead = cc.bundle(
        "lead", strands=choice.count, strand_diameter=f"{strand} mm", material="copper",
        outer_diameter=f"{choice.bundle.diameter * 1e3 * (1 + 1e-9):.12g} mm",
        take_up=choice.bundle.strands.take_up,
    )  # fmt: skip
    feed = cc.circuit("feed", current="1 A", out=["lead"])
    solved = cc.solve(cc.case("a bundle alone", lead, feed, at=[f"{frequency} Hz"]))
    assert choice.resistance == pytest.approx(solved.at(f"{frequency} Hz").circuits["feed"].resistance, rel=near)


def test_enamel_that_is_too_hot(run: Run) -> None:
    """Class 155 of IEC 60317-20, from memory."""
    words = ("85 kHz", "--outer", "5 mm", "--strand", "0.1 mm", "--temperature")
    said = " ".join(run(*words, "170 degC")[1].split())
    assert "Warning: 170 degC are more than enamel of the usual class 155" in said
    assert "Warning" not in run(*words, "155 degC")[1]


def test_no_bundle_pays_in_the_megahertz(run: Run) -> None:
    out = " ".join(run("13.56 MHz", "--outer", "2 mm")[1].split())
    assert "At 13.56 MHz no bundle of these pays" in out
    assert "Worth buying" not in out


def test_a_current_alone_chooses_the_copper(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "strands.svg"
    status, out, _ = run("20 kHz", "--current", "40 A", "--strand", "0.2 mm", "--picture", str(file))
    assert status == 0
    assert "40 A in it: 4 A/mm2" in out
    assert "R / Rdc of each" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["85 kHz"], "expected one of --outer and --copper, or --current alone, found neither"),
        (["85 kHz", "--outer", "5 mm", "--copper", "10 mm2"], "found both"),
        (["85 kHz", "--outer", "-5 mm"], '--outer: expected a value without a minus sign, found "-5 mm"'),
        (["85 kHz", "--outer", "--current", "4 A"], "--outer: expected a value behind it, found nothing"),
        (["85 kHz", "--outer", "5 mm", "--current", "0 A"], '--current: expected one above 0 A, found "0 A"'),
        (["85 kHz", "--current", "0 A"], "leave it out"),
        (["0 Hz", "--outer", "5 mm"], "at rest all copper carries alike"),
        (["85 kHz", "--copper", "10 mm"], "expected an area"),
        (["85 kHz", "--outer", "5 mm", "--strand", "AWG 60"], "from AWG 10 to AWG 56"),
        (["85 kHz", "--outer", "5 mm", "--strand", "38 AWG"], 'write "AWG 38"'),
        (["85 kHz", "--outer", "5 mm", "--strand", "2 mm"], "0.02 to 1 mm"),
        (["85 kHz", "--outer", "0.2 mm", "--strand", "0.2 mm"], "3 to 100000 of the strands"),
        (["85 kHz", "--outer", "5 m"], '--outer: expected what 3 to 100000 of the strands make, found "5 m"'),
        (["85 kHz", "--copper", "900000 mm2"], "--copper: expected what 3 to 100000 of the strands make"),
        (["85 kHz", "--outer", "5 mm", "--material", "nickel"], "not magnetic"),
        (["85 kHz", "--outer", "5 mm", "--material", "coper"], '--material: no material "coper"; did you mean'),
        (["85 kHz", "--outer", "5 mm", "--temperature", "2000 degC"], "below 1084.62 degC, where the copper begins"),
        (["85 kHz", "--outer", "5 mm", "--temperature", "-300 degC"], "expected"),
    ],
)
def test_what_it_refuses(run: Run, words: list[str], message: str) -> None:
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert message in " ".join(err.split())
