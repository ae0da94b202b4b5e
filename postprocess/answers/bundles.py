"""What a bundle of fine strands answers: its strands, its loss by cause, and what its lay leaves open."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solution import DirectSolution, Solution
from crosscurrent.solver.field.strand_density import CHANGED, READ, StrandDensity, ends
from crosscurrent.solver.field.strand_loss import StrandLoss, strand_diameter, strand_loss
from crosscurrent.solver.metals.strand_groups import GroupSkin, group_skins
from crosscurrent.solver.metals.strands import Lay, Strands

from .units import engineering

NAMED = 0.0005  # share of the loss below which a cause is not named
NEAREST = 6  # decimals of a millimetre that a place is told with at most
ASKEW = 0.005  # share of the loss below which it is not said what the slant of strands leaves open


@dataclass(frozen=True)
class BundleLosses:
    """One bundle."""

    name: str
    members: tuple[str, ...]  # names of the conductors it is: its strands, or itself where they count as one medium
    strands: int
    strand_diameter: float  # of the bare strand [m]
    outer_diameter: float  # of a round one over its strands, else its largest width [m]
    copper_area: float  # of the metal across the run: strands that lie askew have more of it [m2]
    filling: float  # metal across the run over the area of the outline
    take_up: float  # length of a strand over that of the bundle
    lay: Lay
    current: complex  # [A rms]
    strand_current_low: float  # of the strand with the least [A rms]
    strand_current_high: float  # of the strand with the most [A rms]
    loss: float  # [W/m]
    dc_loss: float  # of the same current as direct current [W/m]
    skin_loss: float | None = None  # of strands that share evenly, each in its own field alone, direct current included
    sharing_loss: float | None = None  # that uneven shares add; None like the next where it was not split [W/m]
    inside_loss: float | None = None  # that the field of the other strands adds [W/m]
    outside_loss: float | None = None  # that the field of other conductors adds [W/m]
    crossed_loss: float | None = None  # of both fields together beyond that of each [W/m]
    group: int | None = None  # strands of the group that shows most of a skin of its own
    largest_group: int | None = None  # that may be twisted together at this frequency
    loss_high: float | None = None  # if what is laid together in it keeps its distance from its middle [W/m]
    strand_current_error: float = 0.0  # bound on how far the least and the most are off [A rms]
    strand_low_at: tuple[float, float] | None = None  # where they lie, as far as strands have known places [m]
    strand_high_at: tuple[float, float] | None = None
    together: int | None = None  # what that group is laid from at once: all its strands, or so many smaller groups

    @property
    def mean_density(self) -> float:
        """Current over the area of all strands, each square to its own run [A/m2]."""
        return abs(self.current) * self.take_up / self.copper_area

    @property
    def is_resolved(self) -> bool:
        """Whether every strand was solved for."""
        return self.members != (self.name,)

    @property
    def is_bunched(self) -> bool:
        """Whether a group is larger than the published rule has it."""
        return self.group is not None and self.largest_group is not None and self.group > self.largest_group


def bundle_answers(
    solution: Solution,
    densities: Sequence[StrandDensity | None],
    groups: Mapping[str, GroupSkin | None] | None = None,
) -> dict[str, BundleLosses]:
    """Every bundle of a solution, by name.

    Parameters
    ----------
    solution : Solution
    densities : sequence of StrandDensity or None
        Of every conductor.
    groups : mapping of str to GroupSkin or None, optional
        By bundle, if they are known: those of `group_answers`.
    """
    groups = groups or group_answers(solution.problem, np.array([solution.frequency]))[0]
    found = {}
    for name, members in bundle_members(solution.problem).items():
        shares = densities[members[0]] or _one_by_one(solution, members)
        found[name] = _bundle(solution, name, members, shares, groups[name])
    return found


def group_answers(problem: Problem, frequency: FloatArray) -> list[dict[str, GroupSkin | None]]:
    """The group of every bundle that shows most of a skin of its own, at frequencies (m,) [Hz]; see `group_skins`."""
    found: list[dict[str, GroupSkin | None]] = [{} for _ in frequency]
    for name, members in bundle_members(problem).items():
        first = problem.conductors[members[0]]
        strands, area = strands_of(problem, name, members)
        along = 1.0 if first.strands is not None else strands.take_up  # what the metal of resolved strands has less
        sigma = along * first.material.conductivity_at(first.temperature)
        for one, group in zip(found, group_skins(strands, area, sigma, frequency), strict=True):
            one[name] = group
    return found


def heat_as_laid(problem: Problem, frequency: float, currents: ComplexArray, losses: FloatArray) -> FloatArray:
    """Heat of conductors were groups of strands only twisted, at most, over that of perfect transposition.

    Parameters
    ----------
    problem : Problem
    frequency : float
        [Hz]
    currents, losses : (conductors,) complex, float
        Of all conductors at that frequency [A], [W/m].

    Returns
    -------
    (conductors,) float
        1 of all that is no such bundle.
    """
    found = np.ones(len(losses))
    (groups,) = group_answers(problem, np.array([frequency]))
    for name, members in bundle_members(problem).items():
        group, chosen = groups[name], list(members)
        loss = float(losses[chosen].sum())
        if group is not None and loss:
            length = float(problem.lengths[chosen[0]])
            found[chosen] += group.added * length * abs(currents[chosen].sum()) ** 2 / loss
    return found


def _one_by_one(solution: Solution, members: tuple[int, ...]) -> StrandDensity:
    """The currents of strands that were solved for; nothing is open where their lay gives them."""
    flows = [flow.currents[list(members)] for flow in (solution.fine, solution.coarse)]
    size = np.abs(flows[0])
    least, most = float(size.min()), float(size.max())
    error = CHANGED * float(np.abs(flows[0] - flows[1]).max()) + READ * (most - least)
    parts = (solution.problem.conductors[members[int(k)]].part for k in ends(size))
    (x, y), (u, v) = (part.bounds.mean(axis=0).tolist() for part in parts)
    return StrandDensity(0.0, least, most, error, (x, y), (u, v))


def bundle_members(problem: Problem) -> Mapping[str, tuple[int, ...]]:
    """Numbers of the conductors that every bundle is: one whose strands are a medium, or each strand."""
    number = {name: k for k, name in enumerate(problem.names)}
    single = {c.name: (number[c.name],) for c in problem.conductors if c.strands is not None}
    return single | {b.name: tuple(number[m] for m in b.members) for b in problem.bundles}


def strands_of(problem: Problem, name: str, members: Sequence[int]) -> tuple[Strands, float]:
    """The strands of a bundle, and the area that they share [m2]."""
    first = problem.conductors[members[0]]
    if first.strands is not None:
        return first.strands, first.part.area
    bound = next(b for b in problem.bundles if b.name == name)
    area = math.pi / 4 * _over_strands(problem, name, members) ** 2
    return Strands(len(members), strand_diameter(first), lay=bound.lay, take_up=bound.take_up), area


def _bundle(
    solution: Solution, name: str, members: tuple[int, ...], shares: StrandDensity, group: GroupSkin | None
) -> BundleLosses:
    flow, problem, chosen = solution.fine, solution.problem, list(members)
    conductors = [problem.conductors[k] for k in chosen]
    strands, area = strands_of(problem, name, members)
    current, loss = complex(flow.currents[chosen].sum()), float(flow.powers.real[chosen].sum())
    added = 0.0 if group is None else group.added * float(problem.lengths[chosen[0]])
    parts = strand_loss(solution, members) if isinstance(solution, DirectSolution) else None
    return BundleLosses(
        name=name,
        members=tuple(c.name for c in conductors),
        strands=strands.count,
        strand_diameter=strands.diameter,
        outer_diameter=_over_strands(problem, name, members),
        copper_area=strands.copper,
        filling=strands.copper / area,
        take_up=strands.take_up,
        lay=strands.lay,
        current=current,
        strand_current_low=shares.least,
        strand_current_high=shares.most,
        strand_current_error=shares.error,
        strand_low_at=shares.least_at if strands.lay == "straight" else None,
        strand_high_at=shares.most_at if strands.lay == "straight" else None,
        loss=loss,
        dc_loss=abs(current) ** 2 / float(flow.discretisation.conductance[chosen].sum()),
        **({} if parts is None else _by_cause(parts)),
        group=None if group is None else group.size,
        largest_group=None if group is None else group.largest,
        loss_high=None if group is None else loss + added * abs(current) ** 2,
        together=None if group is None else group.levels[0],
    )


def _by_cause(parts: StrandLoss) -> dict[str, float]:
    return {
        "skin_loss": parts.skin,
        "sharing_loss": parts.sharing,
        "inside_loss": parts.inside,
        "outside_loss": parts.outside,
        "crossed_loss": parts.crossed,
    }


def _over_strands(problem: Problem, name: str, members: Sequence[int]) -> float:
    """Diameter of the circle around strands about their middle, or the largest width of an outline [m]."""
    conductors = [problem.conductors[k] for k in members]
    if len(conductors) == 1:
        return float(np.ptp(conductors[0].part.bounds, axis=0).max())
    stated = next((b.outer for b in problem.bundles if b.name == name), None)
    middles = np.array([c.part.bounds.mean(axis=0) for c in conductors])
    away = np.hypot(*(middles - middles.mean(axis=0)).T).max()
    return stated or float(2 * away + strand_diameter(conductors[0]))


def in_words(b: BundleLosses) -> tuple[str, ...]:
    """What its loss comes from, and what its lay leaves open.

    Examples
    --------
    >>> lead = BundleLosses(
    ...     "lead", ("lead",), 420, 1e-4, 3e-3, 3.3e-6, 0.5, 1.04, "transposed", 40.0, 0.095, 0.095, 10.0, 8.0, 8.1,
    ...     0.0, 1.4, 0.5, 0.0, 84, 20, 12.5
    ... )
    >>> for part in "; ".join(in_words(lead)).split("; "):
    ...     print(part)
    80 % of its loss is that of direct current, 1.0 % strand skin, 14 % the field within, 5.0 % the field of others
    transposed perfectly it loses 10.00 W/m, up to 25 % more if groups of 84 strands are only twisted
    temperatures count the former
    """
    found = []
    causes = [
        ("that of direct current", b.dc_loss),
        ("strand skin", (b.skin_loss or 0.0) - b.dc_loss),
        ("uneven shares of the strands", b.sharing_loss),
        ("the field within", b.inside_loss),
        ("the field of others", b.outside_loss),
        ("both fields together", b.crossed_loss),
    ]
    if b.skin_loss is not None and b.loss:
        named = [(what, part / b.loss) for what, part in causes if part and abs(part) > NAMED * b.loss]
        of = [f"{percent(share)}{'' if k else ' of its loss is'} {what}" for k, (what, share) in enumerate(named)]
        found.append(", ".join(of))
    if b.loss_high is not None and b.loss_high > (1 + NAMED) * b.loss:
        more = f"up to {percent(b.loss_high / b.loss - 1)} more if {_only_twisted(b)}"
        alone = f"transposed perfectly it loses {engineering(b.loss, 'W/m')}"
        found.append(f"{alone}, {more}; temperatures count the former")
    if _askew(b) > ASKEW:
        found.append(
            f"its strands lie askew, {b.take_up:.4g} times as long as it: by the trade's rule, by which a field heats "
            f"all of that length as if it lay straight, it loses up to {percent(_askew(b))} more"
        )
    return tuple(found)


def _askew(b: BundleLosses) -> float:
    """What strands that are solved for, whose fields fall off with their slant, lose less than all their length would.

    Strands as one medium count it in full.
    """
    if not b.is_resolved or not b.loss:
        return 0.0
    by_field = sum(part or 0.0 for part in (b.inside_loss, b.outside_loss, b.crossed_loss))
    return (b.take_up**2 - 1) * by_field / b.loss


def _only_twisted(b: BundleLosses) -> str:
    if b.group is None or b.together in (None, b.group):
        return f"groups of {b.group} strands are only twisted"
    return f"groups of {b.group // b.together} strands are only twisted together {b.together} at a time"


def where(b: BundleLosses) -> str:
    """How the current flows in it.

    Examples
    --------
    >>> lead = BundleLosses(
    ...     "lead", ("lead",), 420, 1e-4, 3e-3, 3.3e-6, 0.5, 1.04, "transposed", 40.0, 0.0952, 0.0952, 10.0, 8.0
    ... )
    >>> where(lead)
    'evenly over its 420 strands, 95.20 mA each'
    """
    bar = b.strand_current_error
    low, high = (engineering(x, "A", 3) for x in (b.strand_current_low, b.strand_current_high))
    if abs(b.current) < 1e-9 * b.strand_current_high or not b.strand_current_high:
        return f"no net current: only what the field of others drives round in its {b.strands} strands"
    if b.strand_current_high <= 1.0005 * b.strand_current_low:
        return f"evenly over its {b.strands} strands, {engineering(b.strand_current_high, 'A')} each"
    how = "ring by ring" if b.lay == "concentric" else "as the field lets each"
    if b.strand_current_low < bar:
        low = f"less than {engineering(b.strand_current_low + bar, 'A', 2)}"
    mean = abs(b.current) / b.strands
    least = f"from {low} to" if b.strand_current_low + bar < mean else "up to"  # above the mean it says nothing
    off = f" +- {engineering(bar, 'A', 2)}" if bar else ""
    most = b.strand_current_high / mean
    found = f"over its {b.strands} strands {how}, {least} {high}{off}, the most {most:.3g} times the mean,"
    if b.strand_high_at is None:
        return found.removesuffix(",")
    x, y = (round(1e3 * part, NEAREST) + 0.0 for part in b.strand_high_at)
    return f"{found} in the strand at ({x:.4g}, {y:.4g}) mm"


def percent(share: float) -> str:
    """A share with two digits, in whole percents from ten on.

    Examples
    --------
    >>> percent(0.0123), percent(1.336)
    ('1.2 %', '134 %')
    """
    value = 100 * share
    return f"{value:.0f} %" if abs(value) >= 9.95 else f"{value:.1f} %" if abs(value) >= 0.995 else f"{value:.2f} %"
