"""A study of a section round an axis: figures in total, and what of a straight run is refused."""

import csv
import json
import math
from pathlib import Path

import pytest
from scipy.special import ellipe, ellipk

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.studies.conduct import study_case
from crosscurrent.studies.plan import Question
from crosscurrent.studies.reading import plan_of
from crosscurrent.studies.trial import Trial, tried

TEXT = """
title = "ring"
symmetry = "axial"

[named]
inner = "30 mm"

[frequency]
at = ["0 Hz"]

[[conductor]]
name = "turn"
shape = "bar"
width = "10 mm"
thickness = "6 mm"
material = "copper"
centre = ["inner", "0 mm"]

[[coil]]
name = "coil"
current = "100 A"
turns = ["turn"]

[[vary]]
name = "inner"
from = "20 mm"
to = "40 mm"

[study]
least = ["{aim}"]
designs = 3
"""


def written(folder: Path, aim: str) -> Path:
    path = folder / "ring.toml"
    path.write_text(TEXT.format(aim=aim))
    return path


@pytest.mark.parametrize("more", [{"power": {"wanted": "2 kW"}}, {"coil": [
    {"name": "work", "turns": ["turn.1", "turn.2"], "current": "100 A"},
    {"name": "other", "turns": ["turn.3"], "shorted": True},
]}], ids=["wanted", "shorted"])  # fmt: skip
def test_designs_at_a_wanted_power_and_beside_a_shorted_coil_have_their_slopes(more: dict[str, object]) -> None:
    turn = {"name": "turn", "shape": "round", "diameter": "5 mm", "material": "copper",
            "centre": ["radius", "-7 mm"], "repeat": {"count": 3, "step": ["0 mm", "7 mm"]}}  # fmt: skip
    piece = {"name": "billet", "shape": "bar", "width": "20 mm", "thickness": "40 mm", "material": "brass"}
    case = checked_case({
        "symmetry": "axial", "frequency": {"at": ["20 kHz"]}, "named": {"radius": "20 mm"}, "conductor": [turn, piece],
        "coil": [{"name": "work", "turns": ["turn.*"], "current": "100 A"}],
    } | more)  # fmt: skip
    question = Question(("loss",), 20e3, "work")
    low, here, high = (tried(Trial(case, {"radius": r}, question, ("radius",))) for r in (0.0199, 0.02, 0.0201))
    (figure,) = (key for key in here.slopes if "loss" in key)
    wanted = (high.figures[figure] - low.figures[figure]) / 2e-4
    assert here.slopes[figure]["radius"] == pytest.approx(wanted, rel=2e-3)


@pytest.mark.usefixtures("no_pictures")
def test_the_least_resistance_is_that_of_the_smallest_ring(tmp_path: Path) -> None:
    _, folder = study_case(written(tmp_path, "resistance"), tmp_path / "study", workers=1)
    found = json.loads((folder / "study.json").read_text())
    ring = 2 * math.pi / (58e6 * 6e-3 * math.log(25 / 15))  # J = sigma V / (2 pi r), from 15 to 25 mm
    assert found["best"]["figures"]["total_resistance_ohm"] == pytest.approx(ring, rel=1e-6)
    assert "_per_m" not in (folder / "study.json").read_text()
    with (folder / "designs.csv").open() as lines:
        rows = list(csv.DictReader(lines))
    assert {"total_loss_w", "total_resistance_ohm", "total_inductance_h"} <= set(rows[0])
    for row in rows:
        middle = float(row["inner_m"])
        wanted = 2 * math.pi / (58e6 * 6e-3 * math.log((middle + 5e-3) / (middle - 5e-3)))
        assert float(row["total_resistance_ohm"]) == pytest.approx(wanted, rel=1e-6)
    assert not [line for line in found["in_words"] if "/m" in line]


def test_mass_of_a_straight_run_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="figures of a section round an axis"):
        plan_of(read_case(written(tmp_path, "mass")))


@pytest.mark.usefixtures("no_pictures")
def test_coils_are_coupled_best_where_they_are_closest(tmp_path: Path) -> None:
    """Thin rings, a and b apart by d: k = M / L, M by elliptic integrals (Maxwell, Treatise, art. 701, from memory)."""
    apart = """[[conductor]]
name = "other"
shape = "bar"
width = "1 mm"
thickness = "1 mm"
material = "copper"
centre = ["50 mm", "gap"]

[[coil]]
name = "boat"
current = "100 A"
turns = ["other"]

[[vary]]"""
    text = TEXT.replace('inner = "30 mm"', 'inner = "50 mm"\ngap = "20 mm"').replace('"0 Hz"', '"1 Hz"')
    text = text.replace('"10 mm"', '"1 mm"').replace('"6 mm"', '"1 mm"').replace("[[vary]]", apart)
    text = text.replace('name = "inner"\nfrom', 'name = "gap"\nfrom').format(aim="leakage")
    path = tmp_path / "pair.toml"
    path.write_text(text)
    _, folder = study_case(path, tmp_path / "study", workers=1)
    found = json.loads((folder / "study.json").read_text())
    assert found["best"]["values"]["gap"] == pytest.approx(0.02, rel=1e-6)
    assert any("coupling factor" in line for line in found["in_words"])
    with (folder / "designs.csv").open() as lines:
        for row in csv.DictReader(lines):
            m = 1 / (1 + (float(row["gap_m"]) / 0.1) ** 2)
            k = math.sqrt(m)
            mutual = 4e-7 * math.pi * 0.05 * ((2 / k - k) * ellipk(m) - 2 / k * ellipe(m))
            own = float(row["total_inductance_h"]) - mutual  # both carry the same current
            assert 1 - float(row["leakage"]) == pytest.approx(mutual / own, rel=2e-3)


def test_leakage_takes_two_coils(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="two coils or more beside leakage"):
        plan_of(read_case(written(tmp_path, "leakage")))
