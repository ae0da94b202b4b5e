"""Forces of a section round an axis as every output says them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import figure
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.ring_forces import BodyForce, RingForce

CAUTIONS = (
    "Turns push outward and against one another at twice the frequency, and steel is pulled into a coil: brace the "
    "turns, hold the work piece, keep hands and loose steel away. Leads and the coil's pitch are not in the forces.",
)


@dataclass(frozen=True, eq=False)
class RingForcesAnswer:
    """At one frequency [Hz].

    Attributes
    ----------
    frequency : float
    rings : tuple of RingForce
    bodies : tuple of BodyForce
    fault : tuple of float or None
        Peaks of the axial force on the bodies at the fault [N].
    hoop_fault : tuple of float or None
        Pull in the rings at the fault [Pa]; None for what lies on the axis.
    stress : float or None
        That the metal may stand [Pa].
    ratio : float or None
        By what all currents may grow until a ring reaches it.
    """

    frequency: float
    rings: tuple[RingForce, ...]
    bodies: tuple[BodyForce, ...]
    fault: tuple[float | None, ...]
    hoop_fault: tuple[float | None, ...]
    stress: float | None
    ratio: float | None

    @property
    def at(self) -> str:
        """The frequency in words."""
        return concise(self.frequency, "Hz") if self.frequency else "direct current"


def record(found: Sequence[RingForcesAnswer]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"frequencies": [_frequency(one) for one in found]}


def _frequency(one: RingForcesAnswer) -> dict[str, Json]:
    return {
        "frequency_hz": one.frequency,
        "stress_pa": one.stress,
        "currents_may_grow_by": one.ratio,
        "turns": {
            ring.name: {
                "radial_force_n_per_turn": ring.radial,
                "radial_force_peak_n_per_turn": ring.radial_peak,
                "axial_force_n_per_turn": ring.axial,
                "axial_force_peak_n_per_turn": ring.axial_peak,
                "force_error_n_per_turn": ring.error,
                "radial_force_per_length_n_over_m": ring.per_length,
                "radial_pressure_pa": ring.pressure,
                "hoop_stress_peak_pa": ring.hoop,
                "hoop_stress_fault_pa": hoop,
                "in_a_circuit": ring.live,
            }
            for ring, hoop in zip(one.rings, one.hoop_fault, strict=True)
        },
        "bodies": {
            body.name: {
                "total_axial_force_n": body.axial,
                "total_axial_force_peak_n": body.peak,
                "total_axial_force_fault_n": fault,
                "total_axial_force_error_n": body.error,
                "from_the_others": body.from_others,
                "members": list(body.members),
            }
            for body, fault in zip(one.bodies, one.fault, strict=True)
        },
    }


def tables(one: RingForcesAnswer) -> tuple[TextTable, ...]:
    """On bodies along the axis, and on every turn."""
    heads = ("body", "axial, mean", "largest", "at the fault", "+-")
    bodies = [
        (
            f"{body.name}{' (from the others)' if body.from_others else ''}",
            *(figure(f, body.error, "N", 3) for f in (body.axial, body.peak)),
            figure(fault, _grown(body.error, body.peak, fault), "N", 3),
            engineering(body.error, "N", 1),
        )
        for body, fault in zip(one.bodies, one.fault, strict=True)
    ]
    columns = ("turn", "radial, mean", "axial, mean", "pressure, mean", "hoop stress, largest", "at the fault")
    turns = [
        (
            ring.name,
            figure(ring.radial, 0.5 * ring.error, "N", 3),
            figure(ring.axial, 0.5 * ring.error, "N", 3),
            engineering(ring.pressure, "Pa", 3),
            engineering(ring.hoop, "Pa", 3),
            engineering(hoop, "Pa", 3),
        )
        for ring, hoop in zip(one.rings, one.hoop_fault, strict=True)
    ]
    return (
        TextTable(f"Forces along the axis at {one.at} (up positive)", heads, tuple(bodies)),
        TextTable(f"Forces on turns at {one.at} (radial: outward, summed over the turn)", columns, tuple(turns)),
    )


def _grown(error: float, peak: float, fault: float | None) -> float:
    """The bar on a force at the fault."""
    return error if fault is None or not peak else error * abs(fault / peak)


def sentences(one: RingForcesAnswer) -> list[str]:
    """What pushes hardest, and how the figures are meant."""
    found = []
    for body, fault in zip(one.bodies, one.fault, strict=True):
        if abs(body.peak) > body.error:
            way = "up" if body.peak > 0 else "down"
            more = "" if fault is None else f", {engineering(abs(fault), 'N', 3)} at the fault"
            found.append(f"{one.at}: {body.name} is pushed {way} along the axis by up to "
                         f"{engineering(abs(body.peak), 'N', 3)}{more}")  # fmt: skip
    pulled = [ring for ring in one.rings if ring.hoop is not None and abs(ring.radial_peak) > ring.error]
    if pulled:
        worst = max(pulled, key=lambda ring: abs(ring.hoop or 0.0))
        way = "outward" if worst.radial_peak > 0 else "inward"
        found.append(
            f"{one.at}: {worst.name} is pushed {way} with up to {engineering(abs(worst.radial_peak), 'N', 3)} in all, "
            f"a mean of {engineering(abs(worst.hoop or 0.0), 'Pa', 3)} round its section"
        )
    if one.ratio is not None and one.stress is not None:
        found.append(
            f"{one.at}: with {one.ratio:.3g} times all currents a turn reaches a mean pull of "
            f"{concise(one.stress, 'Pa')}"
        )
    return found


TAKEN = (
    "pressure is the mean radial force over the turn's middle circle and its height, hoop stress the largest one over "
    "2 pi and the section, even over it; bending of turns between their braces is not in them"
)
