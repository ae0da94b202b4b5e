"""The command `depth`: skin depth of metals."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from .app import frequencies_of, quantity

if TYPE_CHECKING:
    from crosscurrent.solver.metals.materials import Material


def depth(
    *materials: str,
    at: Annotated[list[str], Parameter(consume_multiple=True, negative="")],
    temperature: Annotated[str, Parameter(allow_leading_hyphen=True)] = "20 degC",
) -> None:
    """Skin depth, sheet resistance and the thickness worth paying for.

    Parameters
    ----------
    materials
        Names of metals, such as copper or silver; copper if none is named, all its alloys for aluminium.
    at
        One or more frequencies, such as "85 kHz".
    temperature
        Of the metal, such as "70 degC".
    """
    from .depth_output import show_depths

    metals = [metal for name in materials or ("copper",) for metal in _metals(name)]
    show_depths(metals, frequencies_of(at), quantity("--temperature", temperature, "temperature"))


def _metals(name: str) -> list[Material]:
    """The metal of a name, or those whose names begin with it: aluminium-1350 and aluminium-6101."""
    from crosscurrent.solver.metals.materials import MATERIALS, material

    alloys = [metal for known, metal in MATERIALS.items() if known.startswith(f"{name}-")]
    return alloys if name not in MATERIALS and alloys else [material(name)]
