"""The command `strands`: which fine strands, and how many, against one round wire."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from .app import CommandError, check_picture, quantity

if TYPE_CHECKING:
    from crosscurrent.solver.metals.materials import Material


def strands(
    frequency: str,
    /,
    *,
    outer: str | None = None,
    copper: str | None = None,
    current: str | None = None,
    strand: Annotated[tuple[str, ...], Parameter(consume_multiple=True, negative="")] = (),
    material: str = "copper",
    temperature: Annotated[str, Parameter(allow_leading_hyphen=True)] = "20 degC",
    picture: Path | None = None,
) -> None:
    """Bundles of fine strands at a frequency, against one round wire of the same diameter and of the same copper.

    Parameters
    ----------
    frequency
        Such as "85 kHz".
    outer
        Diameter over the strands, such as "5 mm".
    copper
        Area of all strands together, such as "10 mm2"; instead of --outer.
    current
        Rms, such as "40 A": adds the loss; alone it chooses the copper by 4 A/mm2.
    strand
        Bare diameters to compare, such as "0.1 mm" "AWG 38"; those often stocked if left out.
    material
        A metal that is not magnetic.
    temperature
        Of the metal, such as "70 degC".
    picture
        File for a picture of the curves over frequency (.png or .svg).

    Raises
    ------
    CommandError
        A size missing or twice, a magnetic metal, 0 Hz, 0 A, or strands that make no such bundle.
    """
    from crosscurrent.solver.metals.strand_choice import TRADE, choices
    from crosscurrent.solver.metals.wire_tables import WireError

    from .strands_output import show_strands

    at = _above_zero(frequency)
    metal = _metal(material)
    amperes = None if current is None else quantity("--current", current, "current")
    over, area = _size(outer, copper, amperes)
    if picture is not None:
        check_picture(picture)
    sizes = tuple(quantity("--strand", text, "strand diameter") for text in strand) or TRADE
    warm = _warm(temperature, metal, material)
    try:
        found_ones = choices(sizes, metal, warm, at, outer=over, copper=area)
    except WireError as error:
        raise CommandError(f"--strand: {error}; leave it out, and those often stocked are compared") from None
    if not found_ones:
        where = "--outer" if outer is not None else "--copper" if copper is not None else "--current"
        stated = outer or copper or current
        raise CommandError(f'{where}: expected what 3 to 100000 of the strands make, found "{stated}"; change it')
    show_strands(found_ones, "copper" if over is None else "size", amperes, picture)


def _above_zero(text: str) -> float:
    frequency = quantity("FREQUENCY", text, "frequency")
    if frequency == 0:
        raise CommandError('FREQUENCY: expected one above 0 Hz, found "0 Hz"; at rest all copper carries alike')
    return frequency


def _metal(name: str) -> Material:
    from crosscurrent.solver.metals.materials import MaterialError, material

    try:
        metal = material(name)
    except MaterialError as unknown:
        raise CommandError(f"--material: {unknown}") from None
    if metal.thins_the_skin:
        raise CommandError(f'--material: expected a metal that is not magnetic, found "{name}"; such as copper')
    return metal


def _warm(text: str, metal: Material, name: str) -> float:
    from crosscurrent.casefile.checks import beyond

    found = quantity("--temperature", text, "temperature")
    if limit := beyond(metal, f"the {name}", found):
        raise CommandError(f"--temperature: expected one {limit[0]}, found {found:.6g} degC; {limit[1]}")
    return found


def _size(outer: str | None, copper: str | None, current: float | None) -> tuple[float | None, float | None]:
    """Diameter [m] or copper [m2]; of neither the copper that a current [A] usually has."""
    from .strands_output import USUAL_DENSITY

    if current == 0:
        raise CommandError('--current: expected one above 0 A, found "0 A"; leave it out if it is not known')
    if outer is None and copper is None and current is not None:
        return None, current / USUAL_DENSITY
    if (outer is None) == (copper is None):
        found = "neither" if outer is None else "both"
        raise CommandError(f'expected one of --outer and --copper, or --current alone, found {found}; --outer "5 mm"')
    if outer is not None:
        return quantity("--outer", outer, "length"), None
    return None, quantity("--copper", copper or "", "area")
