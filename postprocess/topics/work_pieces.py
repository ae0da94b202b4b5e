"""The words, tables and record of work pieces: power in them, where it arises, what it takes at the terminals."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.noise import with_bar
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, share_with_bar, significant
from crosscurrent.solver.field.pieces import PiecePower

TITLE = "Work pieces"
ALIKE, WIDEST = 5e-3, 0.25  # of the largest power of a length: what is as large; of a piece: where most of it is
SCATTERS, THIRD = 3.0, 3.0  # of the scatter of a profile counts as alike; median third difference over scatter
MISSED = 1e-3  # of the wanted power, from which it is said that it was not met


@dataclass(frozen=True, eq=False)
class PieceAnswer:
    """A piece at one frequency.

    Attributes
    ----------
    name : str
    heated : bool
        Whether on purpose: its power counts as useful.
    power, power_error : float
        [W], and a bound on its error [W].
    place : PiecePower
        Where it arises.
    skin : float or None
        Skin depth of its metal, with its initial permeability [m].
    """

    name: str
    heated: bool
    power: float
    power_error: float
    place: PiecePower
    skin: float | None


@dataclass(frozen=True)
class TerminalPower:
    """What a coil or circuit takes at its terminals: [A rms], [V rms], [W], and the power factor with its error."""

    name: str
    current: float
    voltage: float
    power: float
    factor: float | None
    factor_error: float


@dataclass(frozen=True, eq=False)
class PiecesAnswer:
    """All pieces at one frequency.

    Attributes
    ----------
    frequency : float
        [Hz]
    pieces : tuple of PieceAnswer
    supplies : tuple of TerminalPower
    total : float
        Loss of the whole section [W].
    rest_error : float
        Bound on the error of the loss in all that is not heated on purpose [W].
    wanted : float or None
        Power wanted in the heated pieces [W].
    scaled : float
        Factor on the currents of the case that gives it.
    limit : float or None
        Of the current, as the case states it [A rms].
    asked : bool
        Whether the case says what is heated on purpose.
    """

    frequency: float
    pieces: tuple[PieceAnswer, ...]
    supplies: tuple[TerminalPower, ...]
    total: float
    rest_error: float
    wanted: float | None = None
    scaled: float = 1.0
    limit: float | None = None
    asked: bool = False

    @property
    def useful(self) -> float:
        """Power in what is heated on purpose [W]."""
        return sum(piece.power for piece in self.pieces if piece.heated)

    @property
    def useful_error(self) -> float:
        """Bound on its error [W]."""
        return sum(piece.power_error for piece in self.pieces if piece.heated)

    @property
    def efficiency(self) -> float | None:
        """Of all the power, the share in what is heated on purpose; None where nothing is lost."""
        return self.useful / self.total if self.total else None

    @property
    def efficiency_error(self) -> float:
        """Bound on its error."""
        return share_error(self.useful, self.total - self.useful, self.useful_error, self.rest_error)

    @property
    def at(self) -> str:
        """Its frequency in words."""
        return concise(self.frequency, "Hz")


def record(found: Sequence[PiecesAnswer]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"points": [_point(one) for one in found]}


def _point(one: PiecesAnswer) -> dict[str, Json]:
    return {
        "frequency_hz": one.frequency,
        "power_into_pieces_w": one.useful,
        "power_into_pieces_error_w": one.useful_error,
        "efficiency": one.efficiency,
        "efficiency_error": one.efficiency_error,
        "wanted_power_w": one.wanted,
        "factor_on_currents": one.scaled,
        "terminals": [
            {
                "circuit": s.name,
                "current_a": s.current,
                "total_voltage_v": s.voltage,
                "total_power_w": s.power,
                "power_factor": s.factor,
                "power_factor_error": s.factor_error,
            }
            for s in one.supplies
        ],
        "pieces": [_piece(piece) for piece in one.pieces],
    }


def _piece(piece: PieceAnswer) -> dict[str, Json]:
    place = piece.place
    return {
        "conductor": piece.name,
        "heated_on_purpose": piece.heated,
        "total_power_w": piece.power,
        "total_power_error_w": piece.power_error,
        "volume_m3": place.volume,
        "surface_m2": place.surface,
        "mean_power_density_w_per_m3": piece.power / place.volume,
        "largest_power_density_w_per_m3": place.largest,
        "power_per_surface_w_per_m2": piece.power / place.surface if place.surface else None,
        "depth_of_63_percent_m": place.depths[0],
        "depth_of_86_percent_m": place.depths[1],
        "skin_depth_m": piece.skin,
        "field_strength_at_surface_a_per_m": place.field,
        "largest_field_strength_at_surface_a_per_m": place.largest_field,
        "profile": {
            "along": "z" if place.axial else "r",
            "place_m": place.along.tolist(),
            "watts_per_metre": place.profile.tolist(),
        },
        "below_the_surface": {"depth_m": place.below.tolist(), "share_of_power": place.within.tolist()},
    }


def tables(found: Sequence[PiecesAnswer]) -> Iterator[TextTable]:
    """Power and where it arises, and what it takes at the terminals."""
    heads = ("piece", "at", "power", "mean", "largest", "63 % within", "86 % within", "H at surface")
    rows = tuple(
        (
            piece.name,
            one.at,
            with_bar(piece.power, piece.power_error / piece.power if piece.power else None, "W"),
            significant(piece.power / piece.place.volume * 1e-6, 3),
            significant(piece.place.largest * 1e-6, 3),
            concise(piece.place.depths[0], "m", 3),
            concise(piece.place.depths[1], "m", 3),
            engineering(piece.place.field, "A/m", 3),
        )
        for one in found
        for piece in one.pieces
    )
    yield TextTable("Power in pieces without terminals (densities in W/cm3; H rms)", heads, rows)
    columns = ("fed", "at", "current", "voltage", "power", "power factor")
    fed = tuple(
        (
            s.name,
            one.at,
            engineering(s.current, "A"),
            engineering(s.voltage, "V"),
            engineering(s.power, "W"),
            "-" if s.factor is None else f"{s.factor:.4g} +- {significant(s.factor_error, 1)}",
        )
        for one in found
        for s in one.supplies
    )
    yield TextTable("At the terminals", columns, fed)


def sentences(found: Sequence[PiecesAnswer]) -> Iterator[str]:
    """What is wanted first: power and efficiency; then where it arises."""
    for one in found:
        heated = [piece.name for piece in one.pieces if piece.heated]
        if one.wanted is not None and one.useful:
            yield (
                f"{engineering(one.wanted, 'W')} into {_few(heated)} at {one.at}: {_fed(one)}; all figures hold for "
                f"that, {one.scaled:.4g} times the currents that the case states"
            )
        if one.efficiency is not None and one.useful:
            share = share_with_bar(one.efficiency, one.efficiency_error)
            what = f"efficiency {share}" if one.asked else f"{share} of all, the efficiency if they are what is heated"
            factor = ""
            if len(one.supplies) == 1 and one.supplies[0].factor is not None:
                factor = f"; power factor of {one.supplies[0].name} {one.supplies[0].factor:.4g}"
            yield (
                f"at {one.at} {engineering(one.useful, 'W')} of {engineering(one.total, 'W')} go into {_few(heated)}: "
                f"{what}{factor}"
            )
    for one in found:
        for piece in one.pieces:
            if piece.power > piece.power_error:
                yield _where(one, piece)


def _where(one: PiecesAnswer, piece: PieceAnswer) -> str:
    place = piece.place
    most = " and ".join(concise(at, "m", 3) if at else "0" for at in most_of_it(place))
    near = f"; most of it near {'z' if place.axial else 'r'} = {most}" if most else ""
    skin = "" if piece.skin is None else f" (skin depth {concise(piece.skin, 'm', 3)})"
    mean, largest = (significant(1e-6 * density, 3) for density in (piece.power / place.volume, place.largest))
    return (
        f"{piece.name} at {one.at}: 63 % of its power arises within {concise(place.depths[0], 'm', 3)} of the nearest "
        f"face, 86 % within {concise(place.depths[1], 'm', 3)}{skin}; {mean} W/cm3 "
        f"in the mean, {largest} at most{near}; H "
        f"{engineering(place.field, 'A/m', 3)} along the surface (rms), up to "
        f"{engineering(place.largest_field, 'A/m', 3)}"
    )


def most_of_it(place: PiecePower) -> list[float]:
    """Where along a piece its power is largest: middles of one or two places [m]; none where it is as large elsewhere.

    What differs by less than the profile scatters from station to station counts as alike.
    """
    profile, along, count = place.profile, place.along, len(place.along)
    largest = float(profile.max(initial=0.0))
    alike = max(ALIKE * largest, SCATTERS / THIRD * float(np.median(np.abs(np.diff(profile, 3)))))
    if np.abs(profile - profile[::-1]).max(initial=0.0) < 2 * alike:  # both halves alike: so is what is said
        profile = 0.5 * (profile + profile[::-1])
        largest = float(profile.max(initial=0.0))
    high = np.flatnonzero(profile >= largest - alike)
    runs = np.split(high, np.flatnonzero(np.diff(high) > 1) + 1)
    if len(runs) > 2 or high.size > WIDEST * count:
        return []
    step = float(along[1] - along[0])
    middles = [0.5 * float(along[run[0]] + along[run[-1]]) for run in runs]
    return [0.0 if abs(middle) < 1e-6 * step else middle for middle in middles]


def _fed(one: PiecesAnswer) -> str:
    return ", ".join(f"{s.name} {engineering(s.current, 'A')} and {engineering(s.voltage, 'V')}" for s in one.supplies)


def _few(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) < 4 else f"{', '.join(names[:2])} and {len(names) - 2} more"


def warnings(found: Sequence[PiecesAnswer]) -> Iterator[str]:
    """A wanted power that was not met, or that no current within its limit reaches."""
    for one in found:
        if one.wanted is None:
            continue
        largest = max((s.current for s in one.supplies), default=0.0)
        if abs(one.useful / one.wanted - 1) > MISSED:
            yield (
                f"{engineering(one.wanted, 'W')} are wanted in the pieces, and {engineering(one.useful, 'W')} are "
                "reached: the search for the currents did not settle; state a current near it"
            )
        elif one.limit is not None and largest > one.limit:
            within = one.useful * (one.limit / largest) ** 2
            yield (
                f"no current within the limit of {engineering(one.limit, 'A')} brings {engineering(one.wanted, 'W')} "
                f"into the pieces at {one.at}: that takes {engineering(largest, 'A')}; the limit gives about "
                f"{engineering(within, 'W')}; add turns, bring the coil closer, or raise the frequency"
            )


def measured(found: Sequence[PiecesAnswer]) -> dict[str, tuple[Measured, ...]]:
    """Efficiency and power of what is heated on purpose, for limits and studies."""
    shares = [one for one in found if one.efficiency is not None]
    return {
        "efficiency": tuple(
            Measured(one.efficiency or 0.0, one.efficiency_error, "", "", "", one.frequency, one.at) for one in shares
        ),
        "waste": tuple(
            Measured(1 - (one.efficiency or 0.0), one.efficiency_error, "", "", "", one.frequency, one.at)
            for one in shares
        ),
        "piece_power": tuple(
            Measured(piece.power, piece.power_error, "W", piece.name, "", one.frequency, f"{piece.name} at {one.at}")
            for one in found
            for piece in one.pieces
        ),
    }


def share_error(useful: float, rest: float, useful_error: float, rest_error: float) -> float:
    """Bound on the error of the share of one power in the sum of two.

    Examples
    --------
    >>> round(share_error(3.0, 1.0, 0.03, 0.01), 6), round(3.03 / (3.03 + 0.99) - 0.75, 6)
    (0.00375, 0.003731)
    """
    if not useful or rest <= 0:
        return 0.0
    return useful * rest / (useful + rest) ** 2 * (useful_error / useful + rest_error / rest)


def power_factor(
    resistance: float, reactance: float, resistance_error: float, reactance_error: float
) -> tuple[float, float]:
    """R / |Z|, and a bound on its error from relative ones of both.

    Examples
    --------
    >>> power_factor(3.0, 4.0, 0.0, 0.0)
    (0.6, 0.0)
    >>> power_factor(-3.0, 4.0, 0.01, 0.0)[1] > 0
    True
    """
    size = math.hypot(resistance, reactance)
    factor = resistance / size
    return factor, abs(factor) * (reactance / size) ** 2 * (resistance_error + reactance_error)
