"""The command line: what each command takes and does. Heavy imports wait until a command needs them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter

from . import __version__
from .geometries.errors import CrosscurrentError

app = App(
    name="crosscurrent",
    help="Alternating current in conductors of any cross-section: where it flows and what that costs.",
    version=__version__,
    suppress_keyboard_interrupt=False,
)


class CommandError(CrosscurrentError, ValueError):
    """An argument of the command line that cannot be used."""


@app.command
def run(case: Path, /, *, out: Path | None = None, report: Annotated[bool, Parameter(negative="")] = False) -> None:
    """Solve a case file: print its answers, leave results and pictures in a folder.

    Parameters
    ----------
    case
        The case file (TOML).
    out
        Folder for the results; beside the case and under its name if left out.
    report
        Also leave a report for the customer: report.html, and report.pdf with the extra "pdf".
    """
    from .cases.run import run_case
    from .display import progress_bar, show_result

    with progress_bar() as progress:
        result, folder = run_case(case, out, progress, report=report)
    show_result(result, folder)


@app.command
def compare(*cases: Path, out: Path | None = None) -> None:
    """Put two to eight designs for one requirement side by side.

    Parameters
    ----------
    cases
        The case files.
    out
        Folder for the comparison; "comparison" here if left out.
    """
    from .cases.comparing import compare_cases, write_comparison
    from .cases.folders import check_folder
    from .display import progress_bar, show_comparison

    folder = out or Path("comparison")
    check_folder(folder)
    with progress_bar() as progress:
        comparison, results = compare_cases(cases, progress)
        write_comparison(comparison, results, folder)
    show_comparison(comparison, folder)


@app.command
def depth(
    *materials: str,
    at: Annotated[list[str], Parameter(consume_multiple=True, negative="")],
    temperature: Annotated[str, Parameter(allow_leading_hyphen=True)] = "20 degC",
) -> None:
    """Skin depth, sheet resistance and the thickness worth paying for.

    Parameters
    ----------
    materials
        Names of metals, such as copper or silver; copper if none is named.
    at
        One or more frequencies, such as "85 kHz".
    temperature
        Of the metal, such as "70 degC".
    """
    from .display import show_depths
    from .solver.materials import material

    metals = [material(name) for name in materials or ("copper",)]
    show_depths(metals, _frequencies(at), _quantity("--temperature", temperature, "temperature"))


@app.command
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
    """
    from .plating import show_plating
    from .postprocess.plating import Finish
    from .solver.layers import Layer
    from .solver.materials import material

    *below, (last, given) = _layers(layers)
    under = []
    for name, thickness in below:
        if thickness is None:
            raise CommandError(f'{name}: expected its thickness, such as "{name} 2um"; only the last layer is varied')
        under.append(Layer(material(name), thickness))
    stack = material(base), tuple(under), material(last)
    warm = _quantity("--temperature", temperature, "temperature")
    finishes = [Finish(*stack, frequency, warm) for frequency in _frequencies(at)]
    rough = _quantity("--roughness", roughness, "length") if roughness else None
    if rough and given and rough > given:
        raise CommandError(f'--roughness: expected less than the thickness of the {last}, found "{roughness}"')
    if picture is not None:
        _check_picture(picture)
    show_plating(finishes, given, rough, picture)


@app.command
def shapes(shape: str | None = None, /) -> None:
    """The shapes a case file can name, with their keys and a small drawing.

    Parameters
    ----------
    shape
        Show this one alone, with a sample to copy.
    """
    from .display import show_catalogue, show_shape

    if shape is None:
        show_catalogue()
    else:
        show_shape(_known_shape(shape))


@app.command
def new(*shape: str, file: Path | None = None) -> None:
    """Write a commented case file that runs.

    Parameters
    ----------
    shape
        One or more shapes; a single one becomes a pair that carries the current out and back.
    file
        Name of the new file; made of the shapes' names if left out. An existing file is never overwritten.
    """
    from .catalogue import CATALOGUE
    from .display import say
    from .starter import case_text

    if not shape:
        raise CommandError('new: expected at least one shape, found none; "crosscurrent shapes" lists them')
    names = [_known_shape(name) for name in shape]
    if filed := [name for name in names if CATALOGUE[name].of_file]:
        raise CommandError(f"new: a {filed[0]} needs its file; start from it: crosscurrent look FILE --case CASE")
    path = file or Path("-".join(names) + ".toml")
    _write_new(path, case_text(names, str(path)), "--file")
    say(f"Wrote {path}. Solve it with: crosscurrent run {path}")


@app.command
def look(
    file: Path,
    /,
    *,
    unit: str | None = None,
    scale: float = 1.0,
    picture: Path | None = None,
    case: Path | None = None,
) -> None:
    """What a drawing (DXF, SVG) or a finished mesh holds: layers, closed outlines, sizes, areas, and what is left out.

    Parameters
    ----------
    file
        The drawing or mesh.
    unit
        Of the file, where it does not say: mm, cm, m, um, in, thou or ft.
    scale
        Factor on all lengths.
    picture
        File for a picture of it (.png or .svg).
    case
        Name of a new case file, started from it.
    """
    from .display import say
    from .looking import case_from, draw, open_file, show

    seen = open_file(file, unit, scale)
    if picture is not None:
        _check_picture(picture)
    text = case_from(seen, case) if case is not None else ""
    show(seen)
    if picture is not None:
        draw(seen, picture)
        say(f"Wrote {picture}.")
    if case is not None:
        _write_new(case, text, "--case")
        say(f"Wrote {case}. Solve it with: crosscurrent run {case}")


def _write_new(path: Path, text: str, option: str) -> None:
    """Write a file that is not there yet."""
    try:
        with path.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        raise CommandError(f"{path}: there is such a file already; give another name with {option}") from None
    except OSError as error:
        raise CommandError(f"{path}: cannot be written ({error.strerror}); give another name with {option}") from None


def _quantity(option: str, text: str, dimension: str) -> float:
    from .cases.quantities import QuantityError, parse

    try:
        return parse(text, dimension)
    except QuantityError as error:
        raise CommandError(f"{option}: {error}") from None


def _frequencies(at: list[str]) -> list[float]:
    frequencies = [_quantity("--at", text, "frequency") for text in at]
    if 0 in frequencies:
        raise CommandError('--at: expected frequencies above 0 Hz, found "0 Hz"; direct current has no skin depth')
    return frequencies


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
    return [(metal, _quantity(metal, text, "length") if text else None) for metal, text in found]


def _check_picture(file: Path) -> None:
    if file.suffix.lower() not in (".png", ".svg"):
        raise CommandError(f'--picture: expected a file name ending in .png or .svg, found "{file}"')
    if not file.parent.is_dir():
        raise CommandError(f'--picture: expected a folder that exists, found "{file.parent}"; make it first')


def _known_shape(name: str) -> str:
    from .cases.quantities import nearest
    from .catalogue import CATALOGUE

    if name in CATALOGUE:
        return name
    near = nearest(name, CATALOGUE)
    hint = f'did you mean "{near}"? ' if near else ""
    raise CommandError(f'no shape "{name}"; {hint}known: {", ".join(CATALOGUE)}')
