"""Runs on the bench with known hidden causes, read by meters with known errors: made without what is to explain them.

Coaxial runs are closed forms (Bessel functions); other sections are solved as what really lies there, hidden
dimensions, rough surfaces and neighbours included, on meshes of their own. Meters err by a gain, an angle and an offset
of each range, even within the bounds of their data sheet, and by noise from row to row.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from scipy.special import ive, kve

from crosscurrent.casefile.case import checked_case
from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.meter.causes import FLOOR
from crosscurrent.solver.meter.overlay import with_scatter
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.run_impedance import RunImpedance
from crosscurrent.solver.meter.swept_causes import calculated
from crosscurrent.solver.meter.uncertainty import Uncertainty, stacked
from crosscurrent.topics.measured_causes import run_of

MU0 = 4e-7 * np.pi
COPPER = 58e6
VISIBLE = 5.0  # standard uncertainties by which a hidden cause moves the reading in all: less nobody can see
TRIES = 5
FINER = 2e-4  # accuracy of what is hidden: other meshes than those of the fit


@dataclass(frozen=True)
class Meter:
    """Bounds of a data sheet, and where it measures."""

    name: str
    frequencies: tuple[float, ...]
    breaks: tuple[float, ...]
    gain: float
    angle: float
    floor: float
    noise: float

    def read(self, z, length, rng):
        """A reading of an impedance [ohm], with errors drawn within its bounds."""
        f = np.array(self.frequencies)
        ranges = np.searchsorted(self.breaks, f)
        even = lambda: rng.uniform(-1, 1, len(self.breaks) + 1)[ranges]  # noqa: E731
        scatter = self.noise * np.abs(z) + 0.1 * self.floor
        shown = z * (1 + self.gain * even() + 1j * self.angle * even()) + self.floor * (even() + 1j * even())
        shown = shown + scatter * (rng.normal(size=len(f)) + 1j * rng.normal(size=len(f)))
        return self.showing(shown, length, scatter)

    def showing(self, z, length, scatter):
        """The reading with its stated uncertainties."""
        f, one = np.array(self.frequencies), np.ones(len(self.frequencies)) / np.sqrt(3)
        return MeterReading(
            frequencies=f, resistance=z.real, reactance=z.imag, gain=self.gain * one, angle=self.angle * one,
            floor=self.floor * one, noise_resistance=scatter, noise_reactance=scatter,
            ranges=np.searchsorted(self.breaks, f), length=length,
        )  # fmt: skip


BENCH = Meter("bench", tuple(np.geomspace(20, 2e6, 41)), (3e3, 1e5), 1e-3, 1e-3, 2e-6, 1e-4)
HAND = Meter("hand-held", tuple(np.geomspace(100, 1e5, 13)), (5e3,), 1e-2, 1e-2, 2e-4, 1e-3)

ROD = '[[conductor]]\nname = "{0}"\nshape = "round"\ndiameter = "rod"\nmaterial = "copper"\n'
CIRCUIT = '[[circuit]]\nname = "feed"\ncurrent = "1 A"\nout = ["outgoing"]\nback = ["return"]\n'
BAR = '[[conductor]]\nname = "{0}"\nshape = "bar"\nwidth = "wide"\nthickness = "thick"\nmaterial = "{1}"\n'
BELOW = 'place = { below = "outgoing", gap = "gap", align = "centre" }\n'
CENTRE = 'centre = ["0 mm", "0 mm"]\n'
SILVER = 'plating = [ { material = "silver", thickness = "silver-coat" } ]\n'
FAMILIES = {
    "bars": ('[named]\nwide = "100 mm"\nthick = "6 mm"\ngap = "4 mm"\n'
             + BAR.format("outgoing", "copper") + CENTRE + BAR.format("return", "copper") + BELOW + CIRCUIT),
    "silvered": ('[named]\nwide = "20 mm"\nthick = "3 mm"\ngap = "3 mm"\nsilver-coat = "12 um"\n'
                 + BAR.format("outgoing", "brass") + CENTRE + SILVER + BAR.format("return", "brass") + BELOW + SILVER
                 + CIRCUIT),
    "rods": ('[named]\nrod = "8 mm"\ngap = "6 mm"\n'
             + ROD.format("outgoing") + CENTRE + ROD.format("return") + BELOW + CIRCUIT),
    "coax": ('[named]\nrod = "5 mm"\nbore = "12 mm"\nwall = "1 mm"\n' + ROD.format("outgoing") + CENTRE
             + '[[conductor]]\nname = "return"\nshape = "tube"\nbore = "bore"\nwall = "wall"\nmaterial = "copper"\n'
             + CENTRE + CIRCUIT),
}  # fmt: skip
HEAD = 'title = "run on the bench"\nlength = "{0} m"\n[frequency]\nat = ["10 kHz"]\n'
SETS = (("bars", BENCH, 2.4), ("rods", BENCH, 4.0), ("coax", BENCH, 6.0), ("silvered", BENCH, 1.5),
        ("coax", HAND, 40.0), ("rods", HAND, 30.0))  # fmt: skip
NEIGHBOURS = {
    "neighbour": '[[conductor]]\nname = "near"\nshape = "bar"\nwidth = "60 mm"\nthickness = "5 mm"\n'
                 'material = "aluminium-1350"\nplace = {{ above = "outgoing", gap = "{0} mm", align = "centre" }}\n',
    "steel": '[material.mild]\nconductivity = "7 MS/m"\npermeability = 200\n'
             '[[conductor]]\nname = "near"\nshape = "bar"\nwidth = "40 mm"\nthickness = "4 mm"\nmaterial = "mild"\n'
             'place = {{ above = "outgoing", gap = "{0} mm", align = "centre" }}\n',
}  # fmt: skip


def case_of(family, length, further=""):
    """A case of a family, with something further in it."""
    text = HEAD.format(length) + FAMILIES[family] + further
    return checked_case(tomllib.loads(text), source=text.encode(), path=None)


@cache
def known(number):
    """What the case says of a set, with its causes: made once for all benches of it."""
    family, meter, length = SETS[number]
    case = case_of(family, length)
    blank = np.full(len(meter.frequencies), 1e-3 + 1e-3j)
    run = run_of(case, meter.showing(blank, length, 1e-6 * np.abs(blank)))
    bare = swept(run.problem, run.circuit, meter.frequencies, length)
    nominal = meter.showing(bare, length, meter.noise * np.abs(bare) + 0.1 * meter.floor)
    return case, run, calculated(run, nominal)


def swept(problem, circuit, frequencies, length):
    """The impedance of a run by a sweep of its own [ohm]."""
    f = np.array(frequencies)
    found = sweep(problem, f, accuracy=FINER)
    one = next(c for c in problem.circuits if c.name == circuit.name)
    return length * (found.fine.resistance(one) + 2j * np.pi * f * found.fine.inductance(one))


def solved_each(problem, circuit, frequencies, length):
    """The same, frequency by frequency: rough surfaces."""
    one = next(c for c in problem.circuits if c.name == circuit.name)
    return length * np.array([solve(problem, f).fine.circuit(one) for f in frequencies]) / one.current


def coaxial(frequencies, rod, bore, wall, sigma, length):
    """Rod in a tube, exact: internal impedances by Bessel functions (S. A. Schelkunoff, Bell Syst. Tech. J. 13,
    532-579, 1934, equations 75 and 82, from memory), and the field between them.
    """
    omega = 2 * np.pi * np.array(frequencies)
    k = np.sqrt(1j * omega * MU0 * sigma)
    a, b, c = rod / 2, bore / 2, bore / 2 + wall
    rod_alone = k / (2 * np.pi * a * sigma) * ive(0, k * a) / ive(1, k * a)
    p, q = k * b, k * c
    fall = np.exp(p.real - q - q.real + p)  # what the scaled functions leave out, in the terms that decay
    top = ive(0, p) * kve(1, q) * fall + kve(0, p) * ive(1, q)
    tube_alone = k / (2 * np.pi * b * sigma) * top / (ive(1, q) * kve(1, p) - ive(1, p) * kve(1, q) * fall)
    return length * (rod_alone + tube_alone + 1j * omega * MU0 / (2 * np.pi) * np.log(b / a))


@dataclass(frozen=True, eq=False)
class HiddenBench:
    """A reading with what hides in it.

    Attributes
    ----------
    number : int
        Of its set.
    hidden : dict of str to float
        Causes with their amounts; of neighbours the distance [m].
    reading : MeterReading
    """

    number: int
    hidden: dict
    reading: MeterReading


def drawn(number, rng):
    """One of a set, with none, one or two causes, drawn by a generator: all visible, one neighbour at most."""
    count = rng.choice(3, p=(0.15, 0.5, 0.35))
    while True:
        chosen = [str(k) for k in rng.choice(kinds(number), count, replace=False)]
        if set(NEIGHBOURS) <= set(chosen):
            continue
        hidden = {key: visible_amount(number, key, rng) for key in chosen}
        if None not in hidden.values():
            return made(number, hidden, rng)


def visible_amount(number, key, rng):
    """Drawn again until the meter can see it; None where it hardly sees any of the kind."""
    drawn_anew = (float(amount(number, key, rng)) for _ in range(TRIES))
    return next((value for value in drawn_anew if moved(number, key, value) >= VISIBLE), None)


def moved(number, key, value):
    """How far a cause by itself moves the reading, in standard uncertainties in all: the root of its chi-square."""
    _, meter, length = SETS[number]
    bare = lying(number, {})
    scatter = meter.noise * np.abs(bare) + 0.1 * meter.floor
    none = np.zeros(len(bare))
    uncertainty = Uncertainty.of(meter.showing(bare, length, scatter), none, none)
    difference = impedance(number, {key: value}) - bare
    return float(np.linalg.norm(uncertainty.whitened(stacked(difference))))


def kinds(number):
    """What may hide in a set."""
    family, meter, _ = SETS[number]
    metal = {"silvered": "brass"}.get(family, "copper")
    dimensions = {"bars": ["thick", "gap"], "rods": ["rod", "gap"], "coax": ["rod", "bore"], "silvered": ["silver-coat",
                  "gap"]}[family]  # fmt: skip
    common = [f"{metal}.conductivity", *dimensions, "contact", "leads", "scale"]
    if meter is HAND:
        return common
    return [*common, "capacitance", *(() if family == "coax" else ("neighbour", "steel")), "roughness"]


def amount(number, key, rng):
    """Drawn from what workshops meet."""
    _, run, known_ = known(number)
    z, omega = known_.impedance, 2 * np.pi * known_.frequencies
    stated = {f.key: f.parameter.nominal for f in run.figures}
    inductance, resistance = float((z.imag / omega).min()), float(z.real.min())
    if key.endswith("conductivity"):
        return stated[key] * rng.uniform(0.7, 0.97)  # other alloys, or warm
    if key in stated:
        return stated[key] * rng.choice([rng.uniform(0.8, 0.96), rng.uniform(1.04, 1.25)])
    if key == "contact":
        return resistance * np.exp(rng.uniform(np.log(0.05), np.log(1.0)))
    if key == "leads":
        return inductance * np.exp(rng.uniform(np.log(0.02), np.log(0.5)))
    if key == "scale":
        return 1 + rng.choice([-1, 1]) * rng.uniform(0.02, 0.08)
    if key == "capacitance":
        top = 2 * np.pi * SETS[number][1].frequencies[-1]
        return rng.uniform(0.02, 0.4) / (top**2 * inductance)
    if key == "roughness":
        return rng.uniform(4e-6, 2e-5)  # blasted or cast
    return rng.uniform(3e-3, 15e-3)  # distance of a neighbour


def made(number, hidden, rng):
    """The reading of a run in which causes hide."""
    _, meter, length = SETS[number]
    return HiddenBench(number, hidden, meter.read(impedance(number, hidden), length, rng))


def impedance(number, hidden):
    """What a meter without errors would show of a run in which causes hide [ohm]."""
    meter = SETS[number][1]
    omega = 2 * np.pi * np.array(meter.frequencies)
    z = lying(number, hidden)
    z = z + hidden.get("contact", 0.0) + 1j * omega * hidden.get("leads", 0.0)
    z = z / (1 + 1j * omega * hidden.get("capacitance", 0.0) * z)
    return hidden.get("scale", 1.0) * z


def lying(number, hidden):
    """The impedance of what lies there: section, surfaces, neighbours [ohm]."""
    _, run, _ = known(number)
    kept = {f.key for f in run.figures} | {*NEIGHBOURS, "roughness"}
    return _lying(number, tuple((k, float(v)) for k, v in sorted(hidden.items()) if k in kept))


@cache
def _lying(number, kept):
    hidden = dict(kept)
    family, meter, length = SETS[number]
    _, run, _ = known(number)
    inner = {k: v for k, v in hidden.items() if k in {f.key for f in run.figures}}
    if family == "coax" and "roughness" not in hidden:
        sizes = {"rod": 0.005, "bore": 0.012, "wall": 0.001} | {k: v for k, v in inner.items() if "." not in k}
        return coaxial(meter.frequencies, sigma=inner.get("copper.conductivity", COPPER), length=length, **sizes)
    near = next((k for k in NEIGHBOURS if k in hidden), None)
    further = NEIGHBOURS[near].format(f"{1e3 * hidden[near]:.4f}") if near else ""
    there = run_of(case_of(family, length, further), any_reading(number))
    problem = there.varied(inner) if inner else there.problem
    if "roughness" not in hidden:
        return swept(problem, run.circuit, meter.frequencies, length)
    rough = replace(problem, conductors=tuple(
        replace(c, roughness=hidden["roughness"]) if c.name in run.circuit.members else c for c in problem.conductors
    ))  # fmt: skip
    return solved_each(rough, run.circuit, meter.frequencies, length)


def any_reading(number):
    """Any reading of a set: only its temperature and length are asked for."""
    _, meter, length = SETS[number]
    blank = np.full(len(meter.frequencies), 1 + 1j)
    return meter.showing(blank, length, np.abs(blank))



def with_noise_untold(bench):
    """The same bench where nobody states the noise of its meter: its rows tell it."""
    _, _, calc = known(bench.number)
    f, none = bench.reading.frequencies, np.zeros(len(bench.reading.frequencies))
    there = RunImpedance(f, calc.impedance[np.isin(calc.frequencies, f)], *6 * (none,))
    untold = replace(bench.reading, noise_resistance=none, noise_reactance=none)
    return replace(bench, reading=with_scatter(untold, there))


def outcome(bench, found):
    """How a diagnosis fares: right, wrong (another named), cannot tell, or left out (undecided without what hides).

    The offset that every meter has within its stated floor is no cause of its own.
    """
    hidden = frozenset(bench.hidden)
    if found.verdict == "named":
        return "right" if found.explanations[0].keys == hidden else "wrong"
    if found.verdict == "within":
        return "cannot tell" if hidden else "right"
    if found.verdict == "none":
        return "cannot tell"
    return "cannot tell" if hidden in [e.keys - {FLOOR} for e in found.explanations] else "left out"


def amounts(bench, found):
    """Of what was named rightly: causes with how far each amount is off, in its uncertainties, neighbours left out."""
    if outcome(bench, found) != "right":
        return {}
    return {
        one.key: (one.amount.value - bench.hidden[one.key]) / one.amount.error
        for one in found.explanations[0].causes if one.key not in (*NEIGHBOURS, FLOOR)
    }  # fmt: skip


def within(bench, found):
    """Whether each amount of what was named rightly lies within twice its uncertainty."""
    return [abs(off) <= 2 for off in amounts(bench, found).values()]
