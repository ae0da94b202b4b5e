"""The figures that limits are set on: forces in service and of a fault."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from topic_cases import JUDGED_PAIR, judged, results

from crosscurrent.casefile.case import checked_case
from crosscurrent.run import solve_case
from crosscurrent.solved import SolvedCase
from crosscurrent.topics.limits_figures import in_service, measured_by

FAULT = """
[fault]
circuit = "feed"
current = "20 kA"
frequency = "50 Hz"
x_over_r = 14
duration = "20 ms"
"""


def test_the_force_of_a_fault_is_judged(tmp_path: Path) -> None:
    """500 A push with some N/m; the fault's peak current is about 1.8 sqrt(2) 20 kA, ten thousand times the force."""
    text = JUDGED_PAIR.format(limits='force = "100 N/m"').replace('["0 Hz"]', '["50 Hz"]')
    data = results(tmp_path, text + FAULT)["limits"]
    assert {row["verdict"] for row in data["limits"]} == {"fail"}
    assert data["limits"][0]["of"] == "bar.1 in [fault]"


def test_force_in_service_is_the_peak(tmp_path: Path) -> None:
    """Two bars 10 mm apart between centres: below mu0 I^2 / (2 pi d), as wide bars push less; steady at 0 Hz."""
    force = judged(tmp_path, 'force = "20 N/m"')["limits"]["limits"][0]
    assert 0.2 < force["value"] / (2e-7 * 500**2 / 0.01) < 0.5
    assert math.isfinite(force["error"])


@pytest.mark.parametrize(("most", "verdict"), [("4.1 kg/m", "pass"), ("3.9 kg/m", "fail")])
def test_a_limit_on_mass_needs_densities_alone(tmp_path: Path, most: str, verdict: str) -> None:
    """Two bars of 50 mm by 5 mm at 8000 kg/m3."""
    text = JUDGED_PAIR.format(limits=f'mass = "{most}"')
    text = text.replace('"50 MS/m"', '"50 MS/m"\ndensity = "8000 kg/m3"')
    mass = results(tmp_path, text)["limits"]["limits"][0]
    assert mass["verdict"] == verdict
    assert mass["value"] == pytest.approx(4.0, rel=1e-6)


def test_a_limit_on_mass_without_a_density_is_not_judged(tmp_path: Path) -> None:
    assert judged(tmp_path, 'mass = "3 kg/m"')["limits"]["not_judged"] == ["mass"]


LEAD = {
    "name": "lead", "shape": "bundle", "construction": "5 x 84", "strand_diameter": "0.1 mm", "lay_length": "40 mm",
    "material": "copper", "temperature": "60 degC", "centre": ["-3 mm", "0 mm"],
    "repeat": {"count": 2, "step": ["6 mm", "0 mm"]},
}  # fmt: skip


def lead_with(**tables: object) -> SolvedCase:
    pad = {"name": "pad", "current": "40 A", "out": ["lead.1"], "back": ["lead.2"]}
    return solve_case(checked_case({"frequency": {"at": ["85 kHz"]}, "conductor": [LEAD], "circuit": [pad], **tables}))


@pytest.mark.parametrize(("most", "verdict"), [("20 W/m", "fail"), ("22 W/m", "cannot tell"), ("25 W/m", "pass")])
def test_a_loss_that_the_lay_of_strands_may_take_past_its_limit_is_not_sure(most: str, verdict: str) -> None:
    """20.6 W/m if transposed perfectly; groups of 84 that are only twisted, where 23 may be, make it 24.4 W/m."""
    found = lead_with(limits={"loss": most}).chapter("limits")
    assert found.record["verdict"] == verdict
    assert ("as bundles are laid up to 24.4" in found.sentences[0]) == (verdict == "cannot tell")


@pytest.mark.parametrize(("most", "verdict"), [("90 degC", "fail"), ("140 degC", "cannot tell"), ("150 degC", "pass")])
def test_a_temperature_that_the_lay_of_strands_may_take_past_its_limit_is_not_sure(most: str, verdict: str) -> None:
    """115 +- 20 degC in air of 35 degC if transposed perfectly; by hand the rise to 134.2 degC grows as the loss."""
    limits = {"temperature_insulated": most, "insulated": ["lead.*"]}
    solved = lead_with(cooling={"ambient": "35 degC"}, limits=limits)
    found, lead = solved.chapter("limits"), next(iter(solved.points[0].bundles.values()))
    assert lead.loss_high is not None
    laid = 35 + (134.2 - 35) * lead.loss_high / lead.loss
    assert found.record["verdict"] == verdict
    open_ = verdict == "cannot tell"
    assert ("the lay of strands decides" in found.sentences[0]) == open_
    assert (f"as bundles are laid up to {laid:.1f} degC" in found.sentences[0]) == open_


def test_the_lay_of_one_bundle_warms_the_others_by_its_own_heat_at_most() -> None:
    """A sense lead whose groups may lose much more, beside rods at many times its rise: not by that share."""
    sense = {**LEAD, "name": "sense", "centre": ["60 mm", "0 mm"], "repeat": {"count": 2, "step": ["8 mm", "0 mm"]}}
    rods = {key: LEAD[key] for key in ("name", "material", "temperature", "centre", "repeat")}
    solved = solve_case(
        checked_case(
            {
                "frequency": {"at": ["85 kHz"]},
                "conductor": [{**rods, "shape": "round", "diameter": "2.6 mm"}, sense],
                "circuit": [
                    {"name": "pad", "current": "40 A", "out": ["lead.1"], "back": ["lead.2"]},
                    {"name": "sensing", "current": "4 A", "out": ["sense.1"], "back": ["sense.2"]},
                ],
                "cooling": {"ambient": "35 degC"},
                "limits": {"temperature_insulated": "100 degC", "insulated": ["lead.*", "sense.*"]},
            }
        )
    )
    measured = measured_by(solved.chapters)
    found = {m.of: m for m in in_service(solved, measured)}
    shares = {name: b.loss_high / b.loss for name, b in solved.points[0].bundles.items() if b.loss_high}
    rises = {name: m.value + m.error - 35 for name, m in found.items()}
    most = sum((shares[name] - 1) * rises[name] for name in shares)
    assert set(shares) == {"sense.1", "sense.2"}
    assert found["lead.1"].above == pytest.approx(most, rel=1e-9)
    assert 0 < found["lead.1"].above < 0.5 * (max(shares.values()) - 1) * rises["lead.1"]
