"""What the water means for the reader: sentences and warnings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crosscurrent.postprocess.answers.few_names import few_of_each
from crosscurrent.postprocess.answers.metal_limits import bound_warnings
from crosscurrent.postprocess.answers.units import concise, engineering, temperatures
from crosscurrent.solver.water.bores import wet_metals
from crosscurrent.solver.water.circuit import Branch
from crosscurrent.solver.water.enough import NOTHING
from crosscurrent.solver.water.pipe import ROUGHEST

from .water import WaterAnswer, branch_of_each, hottest_metal, litres, litres_at_least

EROSION = 2.5  # speed above which water wears copper [m/s]; common practice (2 to 3), no source
HIGH_PRESSURE = 1e6  # above the atmosphere's, more than hoses and pumps of cooling water usually bear [Pa]; likewise
NARROW = 1e-3  # bore that dirt soon stops [m]; likewise
UNEVEN = 50.0  # hottest metal over the mean that is warned of: a fifth of copper's resistivity [K]


def sentences(c: WaterAnswer) -> Iterator[str]:
    """What the water does, and whether the flow is enough."""
    stream = c.stream
    head = f"{c.name} {c.when}"
    becomes = f"warm from {c.circuit.inlet:.4g} to {c.stream.outlet:.4g} degC" if c.boils_away is None else "boil away"
    if stream.heat < 0:
        becomes = f"cool from {c.circuit.inlet:.4g} to {c.stream.outlet:.4g} degC"
    yield (
        f"{head}: {litres(c.flow)} l/min {'take' if stream.heat >= 0 else 'give'} "
        f"{engineering(abs(stream.heat), 'W')} and {becomes}; pressure drop {stream.drop / 1e5:.2g} bar, from "
        f"{(c.gauge + stream.drop) / 1e5:.3g} to {c.gauge / 1e5:.3g} bar above the atmosphere's"
    )
    yield from _shares(c, head)
    yield from (text for enough, text in _aims(c) if enough)
    if any(branch.regime == "transition" for branch in stream.branches):
        yield f"{head}: between laminar and turbulent (Re 2300 to 4000) film and pressure drop are known to 30 % only"
    yield from _metals(c)


def _aims(c: WaterAnswer) -> Iterator[tuple[bool, str]]:
    """Whether the flow is enough for each stated temperature, in words."""
    for what, flow in c.needed.items():
        head, limit = f"{c.name} {c.when}", c.limits[what]
        if flow is None:
            yield False, f"{head}: no flow within the range of the correlations keeps the {what} below {limit:g} degC"
        elif flow < NOTHING * c.flow:
            yield True, f"{head}: any flow keeps the {what} below {limit:g} degC"
        else:
            enough = c.flow >= flow * (1 - 1e-9)
            yield enough, (
                f"{head}: to keep the {what} below {limit:g} degC takes {litres_at_least(flow)} l/min at least; "
                f"{litres(c.flow)} l/min are {'enough' if enough else 'not enough'}"
            )


def _shares(c: WaterAnswer, head: str) -> Iterator[str]:
    """Where heat comes from and goes, if not from one frequency into the water."""
    if c.frequency is None:
        spread = concise(c.water.heat.solution.frequency, "Hz")
        yield f"{head}: the losses of all its harmonics together, spread over the sections as at {spread}"
    if c.water.to_air is not None:
        air = engineering(abs(c.water.to_air), "W")
        made = engineering(c.stream.heat + c.water.to_air, "W")
        yield (
            f"{head}: of the {made} made there, {air} go into the air and to other conductors, not into the water"
            if c.water.to_air >= 0
            else f"{head}: besides the {made} made there, {air} come from the air and from other conductors"
        )


def _metals(c: WaterAnswer) -> Iterator[str]:
    """Which temperature every conductor was computed at."""
    branches = branch_of_each(c)
    settled: dict[str, float] = {}
    for conductor in c.water.conductors:
        name, used = conductor.name, conductor.temperature
        branch = branches[name]
        if branch.outlet >= branch.boiling:
            yield f"{name} was computed at {used:.4g} degC; without water it would get far hotter"
        elif abs(used - branch.metal) > 1:
            yield (
                f"{name} was computed at {used:.4g} degC; with this water its metal would be at "
                f"{branch.metal:.4g} degC in the mean"
            )
        else:
            settled[name] = used
    if len(settled) == 1:
        ((name, used),) = settled.items()
        yield f"{name}: its resistivity is that of {used:.4g} degC, the mean of its metal in this water"
    elif settled:
        low, high = min(settled.values()), max(settled.values())
        yield (
            f"{few_of_each(tuple(settled))}: the resistivity of each is that of the mean of its metal in this water, "
            f"{temperatures(low, high)}"
        )


def warnings(c: WaterAnswer) -> Iterator[str]:
    """Boiling, too little flow, melting, pressure, wear, and where the correlations are weak."""
    head = f"water {c.when}"
    yield from _boiling(c, head)
    yield from (text for enough, text in _aims(c) if not enough)
    if c.boils_away is None:
        yield from bound_warnings(c.water.conductors, hottest_metal(c))
        yield from _uneven(c, head)
    if c.gauge + c.stream.drop > HIGH_PRESSURE:
        yield (
            f"{head}: {(c.gauge + c.stream.drop) / 1e5:.3g} bar at the inlet of {c.name} are more than the 10 bar that "
            "hoses and pumps of cooling water usually bear (common practice)"
        )
    fastest = max(c.stream.branches, key=lambda branch: branch.velocity)
    if fastest.velocity > EROSION:
        yield (
            f'{head}: {fastest.velocity:.2g} m/s in "{fastest.passage.label}": from 2 to 3 m/s on water wears '
            "copper (common practice)"
        )
    for branch in c.stream.branches:
        yield from _out_of_range(branch, head)


def _boiling(c: WaterAnswer, head: str) -> Iterator[str]:
    if not c.water.is_close_to_boiling:
        return
    worst = c.stream.closest_to_boiling
    where = f'in "{worst.passage.label}", where the wall would be at {worst.surface:.4g} degC'
    pressure = f"it boils at {worst.boiling:.4g} degC under {worst.pressure / 1e5:.3g} bar absolute"
    better = "" if c.to_not_boil is None else f"; {litres_at_least(c.to_not_boil)} l/min would keep it from that"
    if c.boils_away is not None:
        yield f'{head}: the water boils away in "{c.boils_away.passage.label}" before it leaves ({pressure}){better}'
    else:
        how = "boils" if worst.margin <= 0 else "is close to boiling"
        yield f"{head}: the water {how} at the wall {where}: {pressure}{better}"


def _uneven(c: WaterAnswer, head: str) -> Iterator[str]:
    """Conductors too far from one temperature for one resistivity."""
    for branch in branch_of_each(c).values():
        if branch.spread > UNEVEN:
            yield (
                f'{head}: the metal of "{branch.passage.name}" is at {branch.hottest:.4g} degC where it is hottest, '
                f"{branch.spread:.3g} K above the mean of that section, whose resistivity it has all over: cold places "
                "carry more current than computed, hot ones less"
            )


def _out_of_range(branch: Branch, head: str) -> Iterator[str]:
    passage = branch.passage
    if branch.regime == "laminar" and not passage.is_round:
        yield (
            f'{head}: laminar flow in the bore of "{passage.label}", which is not round: its film and pressure '
            "drop, taken from a round one of the same hydraulic diameter, are known to a third only"
        )
    if passage.roughness > ROUGHEST * passage.diameter:
        rough, wide = concise(passage.roughness, "m"), concise(passage.diameter, "m", 3)
        yield (
            f'{head}: a roughness of {rough} in the bore of "{passage.label}", {wide} wide, is more than the twentieth '
            "up to which the friction is known"
        )
    if passage.diameter < NARROW:
        yield (
            f'{head}: the bore of "{passage.label}" is {concise(passage.diameter, "m", 3)} wide: dirt soon stops it, '
            "so filter the water (common practice)"
        )


def mixed_metals(cooled: Sequence[WaterAnswer]) -> Iterator[str]:
    """Aluminium and copper that water touches in one case."""
    wet = {metal: one.name for c in cooled for one in c.water.conductors for metal in wet_metals(one)}
    light = next((metal for metal in wet if metal.startswith("aluminium")), None)
    red = next((metal for metal in wet if metal in ("copper", "brass", "bronze")), None)
    if light and red:
        yield (
            f'water touches {light} ("{wet[light]}") and {red} ("{wet[red]}"): in one circuit copper dissolved in the '
            "water eats holes into aluminium; keep their circuits apart, or use an inhibitor (common practice)"
        )
