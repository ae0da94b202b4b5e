"""Large sections: sixty bars, an outline of 2000 points; memory, forecast and polite refusal.

Each is solved in a process of its own, so that its memory is its own: begun by a small one, since the system counts in
what the process held that began it. CROSSCURRENT_EXAMPLES=3000 adds the slow ones.
"""

import json
import logging
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from common import bar, conductor

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field import solve as solving
from crosscurrent.solver.field.forecast import SolveError, forecast
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

MM = 1e-3
HERE = Path(__file__).parent
ON_DEMAND = "CROSSCURRENT_EXAMPLES" not in os.environ


def sixty_bars() -> Problem:
    """Sixty bars 60 x 6 mm in six columns of ten, every other one the way back."""
    bars = tuple(bar(f"b{k}", 60 * MM, 6 * MM, 70 * MM * (k % 6), 9 * MM * (k // 6)) for k in range(60))
    names = [b.name for b in bars]
    return Problem(bars, (Circuit("feed", 1.0, tuple(names[::2]), tuple(names[1::2])),))


def traced_outline(points: int = 2000) -> Problem:
    """A wavy bar as a drawing gives it: many short straight sides."""
    angle = 2 * np.pi * np.arange(points) / points
    radius = 20 * MM * (1 + 0.1 * np.cos(7 * angle))
    traced = shapes.outline(np.column_stack((radius * np.cos(angle), 0.5 * radius * np.sin(angle))))
    return Problem((conductor("traced", traced),), (Circuit("feed", 1.0, ("traced",)),))


def in_its_own_process(problem: str, frequency: float) -> dict[str, float]:
    """Solve there; peak memory [GiB], unknowns, bound, power balance and seconds."""
    work = (
        "import json, resource, sys, time; import test_bigger as t; from crosscurrent.solver.field.solve import solve\n"
        f"begin = time.time(); s = solve(t.{problem}(), {frequency}); f = s.fine\n"
        "balance = f.powers.real.sum() / (f.voltages * f.currents.conj()).sum().real - 1\n"
        "print(json.dumps(dict(memory=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20, bound=s.bound,\n"
        "      unknowns=f.discretisation.elements.count, balance=abs(balance), seconds=time.time() - begin)))"
    )
    root = HERE.parents[2]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE), str(root / "tests"), str(root)])}
    small = "import subprocess, sys; sys.exit(subprocess.call([sys.executable, '-c', sys.argv[1]]))"
    done = subprocess.run(
        [sys.executable, "-c", small, work], capture_output=True, text=True, env=env, cwd=root, check=True, timeout=300
    )
    return dict(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize("frequency", [50.0, pytest.param(20e3, marks=pytest.mark.skipif(ON_DEMAND, reason="slow"))])
def test_sixty_bars(frequency):
    found = in_its_own_process("sixty_bars", frequency)
    assert found["memory"] < 4
    assert found["balance"] < 1e-10
    assert found["bound"] <= 1e-3


@pytest.mark.skipif(ON_DEMAND, reason="slow")
@pytest.mark.parametrize("frequency", [1e3, 1e6])
def test_outline_of_2000_points(frequency):
    found = in_its_own_process("traced_outline", frequency)
    assert found["memory"] < 4
    assert found["balance"] < 1e-10
    assert found["bound"] <= 1e-3


def test_too_large_is_refused_before_anything_is_factorised(monkeypatch):
    monkeypatch.setattr(solving, "solve_fields", lambda *given, **kept: pytest.fail("factorised all the same"))
    with pytest.raises(SolveError, match=r"needs \d+ unknowns or more and about .* the limit is 2000") as caught:
        solve(sixty_bars(), 50.0, largest=2000)
    assert "leave out parts" in str(caught.value)


def test_a_large_one_is_announced(monkeypatch, caplog):
    monkeypatch.setattr(solving, "solve_fields", lambda *given, **kept: pytest.fail("this far"))
    caplog.set_level(logging.INFO, logger="crosscurrent")
    with pytest.raises(pytest.fail.Exception, match="this far"):
        solve(sixty_bars(), 50e3)
    (record,) = caplog.records
    assert "unknowns with 60 conductors: up to" in record.getMessage()
    assert "for each frequency" in record.getMessage()


@pytest.mark.parametrize(
    ("unknowns", "conductors", "gigabytes", "seconds"),
    # measured: grids of 1 mm wires, 60 at 100 kHz and 300 at 10 kHz
    [(54_161, 60, 0.78, 17.0), (208_145, 300, 7.83, 390.0)],
)
def test_the_forecast_counts_the_conductors(caplog, unknowns, conductors, gigabytes, seconds):
    caplog.set_level(logging.INFO, logger="crosscurrent")
    forecast(unknowns, conductors, 300_000)
    words = caplog.records[0].getMessage().replace(":", "").split()
    assert words[:5] == [str(unknowns), "unknowns", "with", str(conductors), "conductors"]
    assert words[5:7] == ["up", "to"]
    assert gigabytes <= float(words[7]) <= 3 * gigabytes
    said = float(words[11]) * (60 if words[12] == "minutes" else 1)
    assert said == pytest.approx(seconds, rel=0.4)


def test_very_many_conductors_have_a_lower_limit(monkeypatch):
    monkeypatch.setattr(solving, "HEAVIEST", 60 * 3000)
    monkeypatch.setattr(solving, "mesh_section", lambda *given: pytest.fail("meshed all the same"))
    with pytest.raises(SolveError, match=r"60 conductors needs \d+ unknowns .* the limit is 3000"):
        solve(sixty_bars(), 50.0)
