"""The command line as a whole, and how its commands read their words.

Each command is a file; heavy imports wait until it runs.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from cyclopts import App

from crosscurrent import __version__
from crosscurrent.geometries.errors import CrosscurrentError

app = App(
    name="crosscurrent",
    help="Alternating current in conductors of any cross-section: where it flows and what that costs.",
    version=__version__,
    suppress_keyboard_interrupt=False,
)


class CommandError(CrosscurrentError, ValueError):
    """An argument of the command line that cannot be used."""


def write_new(path: Path, text: str, option: str) -> None:
    """Write a file that is not there yet.

    Raises
    ------
    CommandError
        It is there, or cannot be written.
    """
    try:
        with path.open("x", encoding="utf-8") as stream:
            try:
                stream.write(text)
                stream.flush()
            except BaseException:  # also when stopped: there whole or not at all
                path.unlink()
                raise
    except FileExistsError:
        raise CommandError(f"{path}: there is such a file already; give another name with {option}") from None
    except OSError as error:
        raise CommandError(f"{path}: cannot be written ({error.strerror}); give another name with {option}") from None


def quantity(option: str, text: str, dimension: str) -> float:
    """A quantity of an option in SI units, or what is wrong with it.

    Raises
    ------
    CommandError
    """
    from crosscurrent.casefile.quantities import QuantityError, parse

    try:
        return parse(text, dimension)
    except QuantityError as error:
        raise CommandError(f"{option}: {error}") from None


def frequencies_of(at: list[str]) -> list[float]:
    """The frequencies [Hz] of the option --at, all above 0.

    Raises
    ------
    CommandError
    """
    frequencies = [quantity("--at", text, "frequency") for text in at]
    if 0 in frequencies:
        raise CommandError('--at: expected frequencies above 0 Hz, found "0 Hz"; direct current has no skin depth')
    return frequencies


def metals_first(words: Sequence[str]) -> list[str]:
    """The words of a command line, with metals that stand behind the frequencies of --at moved before them.

    Examples
    --------
    >>> metals_first(["depth", "--at", "50 Hz", "60 Hz", "copper", "--temperature", "70 degC"])
    ['depth', 'copper', '--at', '50 Hz', '60 Hz', '--temperature', '70 degC']
    """
    if not {"depth", "plating"} & {*words[:1]} or "--at" not in words:
        return list(words)
    at = words.index("--at")
    end = next((k for k in range(at + 1, len(words)) if words[k].startswith("--")), len(words))
    metal = next((k for k in range(at + 2, end) if words[k][:1].isalpha()), end)  # the first is to be a frequency
    return [*words[:at], *words[metal:end], *words[at:metal], *words[end:]]


def check_picture(file: Path) -> None:
    """Refuse a name that no picture can have, before anything is computed.

    Raises
    ------
    CommandError
    """
    if file.suffix.lower() not in (".png", ".svg"):
        raise CommandError(f'--picture: expected a file name ending in .png or .svg, found "{file}"')
    if not file.parent.is_dir():
        raise CommandError(f'--picture: expected a folder that exists, found "{file.parent}"; make it first')


def known_shape(name: str) -> str:
    """The name of a shape, or the nearest one in a message.

    Raises
    ------
    CommandError
    """
    from crosscurrent.casefile.quantities import nearest

    from .catalogue import CATALOGUE

    if name in CATALOGUE:
        return name
    near = nearest(name, CATALOGUE)
    hint = f'did you mean "{near}"? ' if near else ""
    raise CommandError(f'no shape "{name}"; {hint}known: {", ".join(CATALOGUE)}')
