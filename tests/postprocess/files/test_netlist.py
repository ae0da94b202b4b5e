"""The netlist in a circuit simulator: ngspice against the solver over the band, and against the exact step response."""

import shutil
import subprocess
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.files.netlist import subcircuit
from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.ladder import Ladder, ladder
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Lay, Strands

LOW, HIGH = 50.0, 1e6
COPPER = Material("copper", 58e6)
spice = pytest.mark.skipif(
    shutil.which("ngspice") is None, reason="needs the circuit simulator ngspice (Debian: apt-get install ngspice)"
)


def _bar(name: str, width: float, thickness: float, x: float, y: float) -> Conductor:
    return Conductor(Part(name, shapes.bar(width, thickness).placed((x, y))), COPPER)


@cache
def facing_bars() -> Sweep:
    bars = (_bar("out", 0.06, 0.006, 0, 0.0035), _bar("back", 0.06, 0.006, 0, -0.0035))
    problem = Problem(bars, (Circuit("feed", 1.0, ("out",), ("back",)),))
    return sweep(problem, np.geomspace(LOW, HIGH, 7), accuracy=1e-2)


@cache
def two_loops() -> Sweep:
    """Side by side and opposed, so that their coupling is negative."""
    bars = tuple(_bar(f"b{k}", 0.006, 0.02, 0.01 * k, 0) for k in range(4))
    circuits = Circuit("Pad 1", 1.0, ("b0",), ("b1",)), Circuit("pad-1", 1.0, ("b3",), ("b2",))
    return sweep(Problem(bars, circuits), np.geomspace(LOW, HIGH, 7), accuracy=1e-2)


def _simulated(folder: Path, netlist: str, commands: str) -> np.ndarray:
    """What ngspice leaves when it runs some commands."""
    (folder / "run.cir").write_text(
        f"a run of conductors\n{netlist}\n.control\nset numdgt=12\nset wr_singlescale\n{commands}\n"
        "quit 0\n.endc\n.end\n",
        encoding="ascii",
    )
    subprocess.run(["ngspice", "-b", "run.cir"], cwd=folder, check=True, capture_output=True, timeout=60)
    return np.loadtxt(folder / "out.txt", ndmin=2)


@cache
def rings_over_a_plate() -> Sweep:
    """The same in concentric lay."""
    return bundles_over_a_plate("concentric")


def straight_strands_over_a_plate() -> Sweep:
    """The same, each strand with a current of its own."""
    return bundles_over_a_plate("straight")


def bundles_over_a_plate(lay: Lay = "transposed") -> Sweep:
    """Leads of 420 strands of 0.1 mm."""
    strands, wire = Strands(420, 1e-4, lay=lay, gathered=lay == "straight"), shapes.round_bar(2.9e-3)
    leads = tuple(
        Conductor(Part(name, wire.placed((x, 0.0))), COPPER, strands=strands) for name, x in (("a", -2e-3), ("b", 2e-3))
    )
    problem = Problem((*leads, _bar("plate", 0.02, 0.002, 0, -0.004)), (Circuit("feed", 1.0, ("a",), ("b",)),))
    return sweep(problem, np.geomspace(LOW, HIGH, 7), accuracy=1e-2)


def coil_round_a_billet() -> Sweep:
    """Three turns in series, round an axis."""
    turns = tuple(Conductor(Part(f"t{k}", shapes.tube(0.012, 0.0015).placed((0.046, 0.015 * k))), COPPER)
                  for k in range(3))  # fmt: skip
    billet = Conductor(Part("billet", shapes.bar(0.06, 0.08)), Material("hot steel", 0.83e6))
    problem = Problem((billet, *turns), (Circuit("coil", 1.0, tuple(t.name for t in turns), (), "series"),), axial=True)
    return sweep(problem, np.geomspace(LOW, HIGH, 7), accuracy=1e-2)


@spice
@pytest.mark.parametrize(
    "section",
    [facing_bars, bundles_over_a_plate, rings_over_a_plate, straight_strands_over_a_plate, coil_round_a_billet],
)
def test_one_circuit_over_the_band(section: Callable[[], Sweep], tmp_path: Path) -> None:
    found = section()
    short = ladder(found.fine.model.foster, LOW, HIGH, bound=4e-4)
    text = subcircuit(short, ["feed"], length=2.4, heading=["a comment"])
    rows = _simulated(tmp_path, f"{text}I1 0 a dc 0 ac 1\nX1 a 0 run", f"ac dec 20 {LOW} {HIGH}\nwrdata out.txt v(a)")
    frequency, impedance = rows[:, 0], (rows[:, 1] + 1j * rows[:, 2]) / 2.4
    own = found.at(frequency)
    circuit = own.problem.circuits[0]
    assert np.abs(impedance.real / own.fine.resistance(circuit) - 1).max() < 1e-3
    assert np.abs(impedance.imag / (2 * np.pi * frequency) / own.fine.inductance(circuit) - 1).max() < 1e-3


@spice
def test_one_circuit_after_a_step_of_voltage(tmp_path: Path) -> None:
    foster = facing_bars().fine.model.foster
    text = subcircuit(ladder(foster, LOW, HIGH, bound=4e-4), ["feed"])
    end = 2e-3
    rows = _simulated(
        tmp_path,
        f"{text}V1 a 0 dc 0 pwl(0 0 1p 1 1 1)\nX1 a 0 run\n.options reltol=1e-7 abstol=1e-9 method=gear",
        f"tran 1u {end} 0 0.5u\nwrdata out.txt i(v1)",
    )
    times, current = rows[:, 0], -rows[:, 1]
    late = times > 2e-6
    assert np.abs(current[late] / _after_a_step(foster, times[late]) - 1).max() < 1e-3


def _after_a_step(foster: FosterForm, times: np.ndarray) -> np.ndarray:
    """Current after 1 V/m, from the poles of the whole network: L I' + R I + sum c (c I + w a) = 1, a' = -w a - c I."""
    coupling, rates = foster.coupling @ foster.pattern[:, 0], foster.rates
    inductance = float(foster.pattern[:, 0] @ foster.surface_inductance @ foster.pattern[:, 0])
    resistance = float(foster.resistance(0.0)[0, 0, 0])
    # x = (sqrt(L) I, sqrt(w) a): dx/dt = A x + b
    count = len(rates)
    system = np.zeros((count + 1, count + 1))
    system[0, 0] = -(resistance + coupling @ coupling) / inductance
    system[0, 1:] = system[1:, 0] = -coupling * np.sqrt(rates / inductance)
    system[1:, 1:] = -np.diag(rates)
    values, vectors = np.linalg.eigh(system)
    push = vectors[0] / np.sqrt(inductance)
    moved = push * np.expm1(np.outer(times, values)) / values
    return moved @ vectors[0] / np.sqrt(inductance)


@spice
def test_coupled_circuits_over_the_band(tmp_path: Path) -> None:
    found = two_loops()
    short = ladder(found.fine.model.foster, LOW, HIGH, bound=4e-4)
    text = subcircuit(short, [c.name for c in found.problem.circuits])
    lines = [text.rstrip()]
    for k in (1, 2):  # one instance for each driven port, the other one open
        lines += [f"I{k} 0 p{k}{k} dc 0 ac 1", f"X{k} p{k}1 0 p{k}2 0 run", f"R{k} p{k}{3 - k} 0 1e9"]
    nodes = "v(p11) v(p12) v(p21) v(p22)"
    rows = _simulated(tmp_path, "\n".join(lines), f"ac dec 10 {LOW} {HIGH}\nwrdata out.txt {nodes}")
    frequency = rows[:, 0]
    impedance = (rows[:, 1::2] + 1j * rows[:, 2::2]).reshape(-1, 2, 2)
    exact = found.fine.model.foster.impedance(frequency)
    for own, other in ((impedance.real, exact.real), (impedance.imag, exact.imag)):
        left = np.linalg.inv(np.linalg.cholesky(other))
        assert np.abs(left @ (own - other) @ left.transpose(0, 2, 1)).max() < 1e-3


def test_every_element_is_positive() -> None:
    for found, names in ((facing_bars(), ["feed"]), (two_loops(), ["a", "b"])):
        text = subcircuit(ladder(found.fine.model.foster, LOW, HIGH), names, length=3.0)
        elements = [line.split() for line in text.splitlines() if line[0] in "RLK"]
        assert {e[0][0] for e in elements} == ({"R", "L", "K"} if len(names) > 1 else {"R", "L"})
        assert all(float(e[3]) > 0 for e in elements if e[0][0] != "K")
        assert all(0 < abs(float(e[3])) < 1 for e in elements if e[0][0] == "K")
        assert len({e[0].lower() for e in elements}) == len(elements)


def test_names_are_fit_for_a_simulator() -> None:
    one = np.eye(5)
    foster = FosterForm(one, np.ones(5), 1e-7 * one, np.array([1e4]), np.ones((1, 5)))
    names = ["Pad 1", "pad-1", "2nd", "gnd", "µ"]
    text = subcircuit(Ladder(foster, 1.0, 2.0, 0.0, 0.0), names, heading=["a\nb: " + "long " * 40 + "µ"])
    assert text.isascii()
    assert max(map(len, text.splitlines())) < 130
    nodes = next(line for line in text.splitlines() if line.startswith(".subckt")).split()[2:]
    assert len({n.lower() for n in nodes}) == 10
    assert not any(n[0].isdigit() or n.startswith("gnd") for n in nodes)
    assert all(line[0] in "*.RLK" for line in text.splitlines())
