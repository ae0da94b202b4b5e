"""The command `plating`: resistance of a plated surface against the thickness of its last layer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from .app import CommandError, check_picture, frequencies_of, quantity


def plating(
    base: str,
    /,
    *layers: str,
    at: Annotated[list[str], Parameter(consume_multiple=True, negative="")],
    temperature: Annotated[str, Parameter(allow_leading_hyphen=True)] = "20 degC",
    roughness: str | None = None,
    picture: Path | None = None,
) -> None:
    """Resistance of a plated surface against the thickness of its last layer: what is enough, best, and too much.

    Parameters
    ----------
    base
        Metal of the part, such as brass.
    layers
        Metals on it, inside first; a thickness behind each but the last: nickel 2um gold. A thickness behind the last
        one is shown as well.
    at
        One or more frequencies, such as "13.56 MHz".
    temperature
        Of the metal, such as "70 degC".
    roughness
        Rq of the face, such as 1.6um: says what polishing gains.
    picture
        File for a picture of the curves (.png or .svg).

    Raises
    ------
    CommandError
        A layer below the last without its thickness, or a roughness above that of the last.
    """
    from crosscurrent.solver.metals.finish import PlatingFinish
    from crosscurrent.solver.metals.layers import Layer
    from crosscurrent.solver.metals.materials import material

    from .plating_output import show_plating

    *below, (last, given) = _layers(layers)
    under = []
    for name, thickness in below:
        if thickness is None:
            raise CommandError(f'{name}: expected its thickness, such as "{name} 2um"; only the last layer is varied')
        under.append(Layer(material(name), thickness))
    stack = material(base), tuple(under), material(last)
    warm = quantity("--temperature", temperature, "temperature")
    finishes = [PlatingFinish(*stack, frequency, warm) for frequency in frequencies_of(at)]
    rough = quantity("--roughness", roughness, "length") if roughness else None
    if rough and given and rough > given:
        raise CommandError(f'--roughness: expected less than the thickness of the {last}, found "{roughness}"')
    if picture is not None:
        check_picture(picture)
    show_plating(finishes, given, rough, picture)


def _layers(words: tuple[str, ...]) -> list[tuple[str, float | None]]:
    """Metals, each with the thickness [m] behind it, if there is one: nickel 2 um gold."""
    found: list[tuple[str, str]] = []
    for word in " ".join(words).split():
        if word[0].isalpha() and not (found and found[-1][1][-1:].isdigit()):
            found.append((word, ""))
        elif found:  # a thickness, or the unit of one
            metal, text = found[-1]
            found[-1] = (metal, f"{text} {word}".strip())
        else:
            raise CommandError(f'after the base metal: expected a plating metal, found "{word}"; such as: brass silver')
    if not found:
        raise CommandError("after the base metal: expected a plating metal, found none; such as: brass silver")
    return [(metal, quantity(metal, text, "length") if text else None) for metal, text in found]
