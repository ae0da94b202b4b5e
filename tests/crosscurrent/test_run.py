"""The run of a case: the contract's names, whole files or none, and what happens when something goes wrong."""

from __future__ import annotations

import csv
import hashlib
import json
import math
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from topic_cases import SCREENED_RODS

from crosscurrent.__main__ import main
from crosscurrent.run import _collected
from crosscurrent.solver.field.field_warning import FieldWarning

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("run")
    (folder / "rods.toml").write_text(SCREENED_RODS, encoding="utf-8")
    assert main(["run", str(folder / "rods.toml")]) == 0
    return folder / "rods"


def results(folder: Path) -> dict[str, Any]:
    def no_constant(text: str) -> float:
        raise AssertionError(f"{text} in results.json")

    return dict(json.loads((folder / "results.json").read_text(encoding="utf-8"), parse_constant=no_constant))


def test_leaves_the_files_of_the_contract(finished: Path) -> None:
    names = {p.name for p in finished.iterdir()}
    assert {"results.json", "table.csv", "pictures", "fields.vtu", "case.toml"} <= names
    pictures = {p.suffix for p in (finished / "pictures").iterdir()}
    assert pictures == {".png", ".svg"}
    assert (finished / "case.toml").read_text(encoding="utf-8") == SCREENED_RODS


def test_results_have_every_name_of_the_contract(finished: Path) -> None:
    r = results(finished)
    assert r["format"] == "crosscurrent-results/1"
    assert r["title"] == "Two rods"
    assert r["length_m"] == 2.0
    assert r["case_sha256"] == hashlib.sha256(SCREENED_RODS.encode()).hexdigest()
    assert {"version", "conventions", "warnings", "cautions"} <= set(r)
    assert {"elements", "unknowns", "order", "refinements"} <= set(r["mesh"])
    assert [p["frequency_hz"] for p in r["points"]] == [0.0, 1000.0]
    point = r["points"][1]
    assert {"total_loss_w_per_m", "power_balance"} <= set(point)
    assert set(point["circuits"]["pair"]) >= {
        "current_a", "voltage_v_per_m", "resistance_ohm_per_m", "resistance_error", "inductance_h_per_m",
        "reactance_ohm_per_m", "dc_resistance_ohm_per_m", "resistance_ratio", "loss_w_per_m",
    }  # fmt: skip
    assert set(point["conductors"]) == {"rod.1", "rod.2", "screen"}
    assert set(point["conductors"]["rod.1"]) >= {
        "current_a", "loss_w_per_m", "loss_error", "dc_resistance_ohm_per_m", "loss_ratio", "skin_depth_m",
        "peak_current_density_a_per_m2", "mean_current_density_a_per_m2", "force_n_per_m", "layers",
    }  # fmt: skip
    assert point["conductors"]["rod.1"]["layers"]["copper"] == pytest.approx({"current_share": 1.0, "loss_share": 1.0})
    assert point["conductors"]["screen"]["loss_ratio"] is None
    order = point["impedance_ohm_per_m"]["order"]
    assert order == ["rod.1", "rod.2", "screen"]
    assert len(point["impedance_ohm_per_m"]["real"]) == len(order)


def test_figures_agree_with_one_another(finished: Path) -> None:
    for point in results(finished)["points"]:
        pair = point["circuits"]["pair"]
        current, voltage = (complex(*pair[k]) for k in ("current_a", "voltage_v_per_m"))
        assert pair["resistance_ohm_per_m"] == pytest.approx((voltage / current).real, rel=1e-12)
        assert pair["loss_w_per_m"] == pytest.approx((voltage * current.conjugate()).real, rel=1e-12)
        losses = sum(c["loss_w_per_m"] for c in point["conductors"].values())
        assert losses == pytest.approx(point["total_loss_w_per_m"], rel=1e-12)
        assert losses == pytest.approx(pair["loss_w_per_m"], rel=1e-10)
        omega = 2 * math.pi * point["frequency_hz"]
        assert pair["reactance_ohm_per_m"] == pytest.approx(omega * pair["inductance_h_per_m"], rel=1e-9, abs=1e-18)
        z = point["impedance_ohm_per_m"]
        names = z["order"]
        drive = [complex(*point["conductors"][n]["current_a"]) for n in names]
        along = [
            sum(complex(a, b) * i for a, b, i in zip(z["real"][k], z["imag"][k], drive, strict=True)) for k in (0, 1)
        ]
        if point["frequency_hz"]:
            assert abs(along[0] - along[1] - voltage) < 1e-10 * abs(voltage)


def test_direct_current_is_exact(finished: Path) -> None:
    pair = results(finished)["points"][0]["circuits"]["pair"]
    exact = 2 / (58e6 * math.pi * 0.004**2)
    assert pair["resistance_ohm_per_m"] == pytest.approx(exact, rel=1e-10)
    # two round wires, direct current: L = (mu0 / pi) (ln(D / a) + 1/4)
    assert pair["inductance_h_per_m"] == pytest.approx(4e-7 * (math.log(12 / 4) + 0.25), rel=1e-6)
    assert pair["resistance_ratio"] == pytest.approx(1, rel=1e-12)


def test_table_has_a_row_for_each_circuit_and_conductor(finished: Path) -> None:
    with (finished / "table.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == 2 * (1 + 3)
    pair = next(r for r in rows if r["kind"] == "circuit" and r["frequency_hz"] == "1000.0")
    figures = results(finished)["points"][1]["circuits"]["pair"]
    assert float(pair["resistance_ohm_per_m"]) == figures["resistance_ohm_per_m"]
    assert {"force_n_per_m_x", "force_n_per_m_y", "current_a_re", "current_a_im"} <= set(rows[0])


@pytest.mark.usefixtures("no_pictures")
def test_same_input_same_results(case: Path, finished: Path) -> None:
    assert main(["run", str(case), "--out", str(case.parent / "again")]) == 0
    for name in ("results.json", "table.csv", "case.toml"):
        assert (case.parent / "again" / name).read_bytes() == (finished / name).read_bytes()


def test_input_at_fault_writes_nothing(case: Path) -> None:
    case.write_text(SCREENED_RODS.replace("8 mm", "80 mm"), encoding="utf-8")
    assert main(["run", str(case)]) == 2
    assert [p.name for p in case.parent.iterdir()] == ["rods.toml"]


def test_interrupt_in_mid_solve(case: Path) -> None:
    """A real Ctrl-C while a long sweep runs: one line, nothing half-written."""
    sweep = 'sweep = { from = "1 kHz", to = "1 MHz", points = 2000 }'
    case.write_text(SCREENED_RODS.replace('at = ["0 Hz", "1 kHz"]', sweep), encoding="utf-8")
    command = [sys.executable, "-m", "crosscurrent", "run", str(case)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    time.sleep(4)
    assert process.poll() is None, process.communicate()
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 1
    assert b"Stopped" in err
    assert b"Traceback" not in out + err
    assert [p.name for p in case.parent.iterdir()] == ["rods.toml"]


def hot(frequency: float, name: str, degrees: int = 500) -> tuple[float, FieldWarning]:
    return frequency, FieldWarning("heat", f'"{name}" is at {degrees} degC', name)


@pytest.mark.parametrize(
    ("noted", "told"),
    [
        ([hot(900.0, "1"), hot(900.0, "2")], ['900 Hz: "1" is at 500 degC', '900 Hz: "2" is at 500 degC']),
        ([hot(900.0, "a"), hot(2e3, "a", 600)], ['900 Hz: "a" is at 500 degC (also at 2 kHz)']),
        (
            [hot(900.0, "a"), hot(2e3, "a"), hot(3e3, "a")],
            ['900 Hz: "a" is at 500 degC (also at further frequencies up to 3 kHz)'],
        ),
        ([hot(900.0, f"a.{k}") for k in (1, 2, 3)], ['900 Hz: "a.1" is at 500 degC (and 2 more like it)']),
        (
            [hot(f, f"a.{k}") for f in (900.0, 2e3) for k in (1, 2)],
            ['900 Hz: "a.1" is at 500 degC (and 1 more like it, also at 2 kHz)'],
        ),
        (
            [(f, FieldWarning("heat", f"{w:g} % more", "a", w)) for f, w in ((900.0, 4.0), (2e3, 9.0), (3e3, 5.0))],
            ["2 kHz: 9 % more (also at others from 900 Hz to 3 kHz)"],
        ),
    ],
)
def test_warnings_of_one_kind_are_told_once(noted: list[tuple[float, FieldWarning]], told: list[str]) -> None:
    assert _collected(noted) == told
