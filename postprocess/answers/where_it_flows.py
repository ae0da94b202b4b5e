"""One sentence per conductor that says where its current flows, made from the computed shares."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from .faces import FaceFlow
from .units import in_mm_and_thou

NET = 1e-6  # net current over the integral of |J| below which a conductor counts as idle
ALIKE = 0.03  # relative difference below which two faces are named together
UNSURE = 0.005  # so are two whose shares of the conductor's current differ by no more than they are known to
SHALLOW = 0.6  # share of the largest depth up to which the current keeps to a face
BACKWARDS = 0.005  # share of the current that is worth naming
FILLED = 1.2  # largest over mean density up to which the current fills the section, whatever a face's share of the area
EVEN = 0.12  # relative difference of the faces' densities per length below which they count as alike


def where_it_flows(
    faces: Sequence[FaceFlow], current: complex, largest: float, mean: float, fits: Callable[[float], bool]
) -> str:
    """The sentence.

    Parameters
    ----------
    faces : sequence of FaceFlow
    current : complex
        Net current of the conductor [A].
    largest, mean : float
        Largest |J| and mean |J| over the section [A/m2].
    fits : callable
        Whether the metal holds a circle of a radius [m].

    Examples
    --------
    >>> left = FaceFlow("left face", 9.0, 9.0, 1.0, 0.2e-3, 0.02)
    >>> right = FaceFlow("right face", 1.0, 1.0, 0.1, 0.2e-3, 0.02)
    >>> where_it_flows([left, right], 10.0, 5e6, 1e6, lambda radius: radius < 0.01)
    '90 % of the current in the left face, within 0.2 mm (7.87 thou) of it'
    """
    total = sum(f.density for f in faces)
    if total == 0:
        return "carries no current"
    net = abs(current) > NET * total
    if net and largest < 1.02 * mean:
        above = f"{100 * max(0.0, largest / mean - 1):.1f} %"
        return f"the current fills the section evenly (the largest density is {above} above the mean)"
    if net and largest < FILLED * mean:
        return f"the current fills the section; {_crest(largest / mean)}"
    best, share = _most(faces, {f.name: (f.current / current).real if net else f.density / total for f in faces})
    depth = max(f.depth for f in best)
    crowded = f", within {in_mm_and_thou(depth)} of it" if fits(depth / SHALLOW) else ""
    if not net:
        return f"only induced currents: {_percent(share)} of them under the {_named(best)}{crowded}"
    per_length = [f.density / f.length for f in faces if f.length]
    against = -sum(min(0.0, (f.current / current).real) for f in faces)
    if max(per_length) < (1 + EVEN) * min(per_length) and against < BACKWARDS:
        if crowded:
            return f"the current keeps to the whole outline evenly{crowded}"
        return f"the current leans to the outline, evenly all round; {_crest(largest / mean)}"
    tail = f"; {_percent(against)} flows backwards elsewhere" if against >= BACKWARDS else ""
    if share > 1:
        tail += ": what its neighbours induce exceeds its own current"
    return f"{_percent(share)} of the current in the {_named(best)}{crowded}{tail}"


def _most(faces: Sequence[FaceFlow], shares: dict[str, float]) -> tuple[list[FaceFlow], float]:
    """The face with the largest share, with those that have nearly as much; and the mean of their shares."""
    highest = max(shares.values())
    best = [f for f in faces if highest - shares[f.name] <= max(ALIKE * highest, UNSURE)]
    return best, sum(shares[f.name] for f in best) / len(best)


def _crest(ratio: float) -> str:
    return f"the most crowded spot has {ratio:.3g} times the mean density"


def _named(faces: Sequence[FaceFlow]) -> str:
    names = [f.name for f in faces]
    return names[0] if len(names) == 1 else f"{', the '.join(names[:-1])} and the {names[-1]} each"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
