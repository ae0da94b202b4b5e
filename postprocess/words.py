"""One sentence per conductor that says where its current flows, made from the computed shares."""

from __future__ import annotations

from collections.abc import Sequence

from .faces import FaceFlow
from .units import in_mm_and_thou

NET = 1e-6  # net current over the integral of |J| below which a conductor counts as idle
EVEN = 0.12  # relative difference of the faces' densities per length below which they count as alike


def where_it_flows(
    faces: Sequence[FaceFlow], current: complex, largest: float, mean: float, inner_radius: float
) -> str:
    """The sentence.

    Parameters
    ----------
    faces : sequence of FaceFlow
    current : complex
        Net current of the conductor [A].
    largest, mean : float
        Largest |J| and mean |J| over the section [A/m2].
    inner_radius : float
        Largest depth the metal has [m].
    """
    total = sum(f.density for f in faces)
    if total == 0:
        return "carries no current"
    strongest = max(faces, key=lambda f: f.density)
    net = abs(current) > NET * total
    if net and largest < 1.02 * mean:
        return f"the current fills the section evenly (the largest density is {largest / mean - 1:.1%} above the mean)"
    share = strongest.density / total
    crowded = f", within {in_mm_and_thou(strongest.depth)} of it"
    fills = strongest.depth > 0.6 * inner_radius
    if not net:
        return f"only induced currents: {_percent(share)} of them under the {strongest.name}{'' if fills else crowded}"
    per_length = [f.density / f.length for f in faces if f.length]
    if max(per_length) < (1 + EVEN) * min(per_length):
        if fills:
            return (
                f"the current fills the section, {largest / mean:.3g} times the mean density at the most crowded spot"
            )
        return f"the current keeps to the whole outline evenly, within {in_mm_and_thou(strongest.depth)} of it"
    best = max(faces, key=lambda f: (f.current * current.conjugate()).real)
    part = (best.current / current).real
    crowded = "" if best.depth > 0.6 * inner_radius else f", within {in_mm_and_thou(best.depth)} of it"
    against = sum(min(0.0, (f.current / current).real) for f in faces)
    tail = f"; {_percent(-against)} flows backwards elsewhere" if against < -0.005 else ""
    return f"{_percent(part)} of the current in the {best.name}{crowded}{tail}"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
