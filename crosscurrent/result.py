"""The result of a case: data that holds every answer, its files and pictures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.measured import MeasuredRun
from crosscurrent.casefile.quantities import as_frequency
from crosscurrent.casefile.reader import read_case
from crosscurrent.extras import extra
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import UnknownKey
from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer, ConductorAnswer, answers
from crosscurrent.postprocess.answers.bundle_sums import summed
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.drawn_picture import DrawnPicture
from crosscurrent.postprocess.answers.summary import Summary, lines
from crosscurrent.postprocess.answers.tables import html_list, sentences, tables
from crosscurrent.postprocess.files.read import ResultsError, read_results
from crosscurrent.postprocess.files.results import CONVENTIONS, Heading, as_csv, as_json, curve, rows
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.topics.measured import asked_of, chapter_of, from_file, from_frame

from .folders import OutputError, whole_folder

if TYPE_CHECKING:
    from pandas import DataFrame
    from xarray import Dataset

    from crosscurrent.postprocess.pictures import NotebookPicture

SHOWN = 4  # frequencies whose tables a notebook shows


@dataclass(frozen=True, eq=False, repr=False, kw_only=True)
class Result(SolvedCase):
    """A solved case with all its answers; reading it computes nothing.

    Attributes
    ----------
    heading : Heading
        Title, version, hash, warnings and cautions, as they stand above every output.
    chapters : tuple of Chapter
        Answers to the further questions of the case, the verdict first.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit
    >>> from crosscurrent.run import solve_case
    >>> from crosscurrent.shape_constructors import round as round_bar
    >>> rod = round_bar("rod", material="copper", diameter="25 mm")
    >>> feed = circuit("feed", "1 A", out=["rod"])
    >>> result = solve_case(case("rod", rod, feed, at=["0 Hz", "100 kHz"], prices={"copper": "9 EUR/kg"}))
    >>> [round(point.circuits["feed"].resistance_ratio, 2) for point in result]
    [1.0, 30.16]
    >>> round(result.at("100 kHz").total_loss / result["feed"].loss, 2)
    30.16
    >>> round(result.chapter("mass").record["mass_kg_per_m"], 3)
    4.364
    >>> result.curve("feed")["frequency_hz"].tolist(), result.solution_at("100 kHz").frequency
    ([0.0, 100000.0], 100000.0)
    >>> result.picture("phase", at="100 kHz").name
    'phase'
    """

    heading: Heading
    chapters: tuple[Chapter, ...] = ()

    def __repr__(self) -> str:
        return f"<Result of {self.case!r}>"

    def __iter__(self) -> Iterator[Answers]:
        """The answers frequency by frequency."""
        return iter(self.points)

    def __len__(self) -> int:
        """How many frequencies."""
        return len(self.points)

    def __getitem__(self, name: str) -> CircuitAnswer | ConductorAnswer:
        """A circuit, or else conductor or whole bundle, at the first frequency; KeyError for an unknown name."""
        if name in self.circuits:
            return self.circuits[name]
        return (dict(self.conductors) | self._sums())[self._known(name)]

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that belong on these answers."""
        return self.heading.cautions

    @property
    def summary(self) -> Summary:
        """The first screen: verdict, loss, temperature, circuits, gaps, the worst warning.

        Raises
        ------
        UnknownKey
            The result was read from a document of an earlier version.
        """
        if self.heading.summary is None:
            raise UnknownKey("expected results with a summary, found those of an earlier version; run the case again")
        return self.heading.summary

    def chapter(self, key: str) -> Chapter:
        """The chapter of that key, such as "temperature", "limits", "ladder"; KeyError where the case has none."""
        found = {chapter.key: chapter for chapter in self.chapters}
        if key not in found:
            raise UnknownKey(f"expected a chapter of this case ({', '.join(found) or 'it has none'}), found {key!r}")
        return found[key]

    def write(self, folder: str | Path) -> Path:
        """Write every file of the result: the folder appears whole, or not at all.

        Earlier results in the same folder are replaced, never mixed with the new ones.

        Raises
        ------
        OutputError
            The folder cannot take results.
        """
        with whole_folder(Path(folder)) as fresh:
            leave(self, fresh)
        return Path(folder)

    @classmethod
    def read(cls, folder: str | Path, *, case: Case | None = None) -> Result:
        """The results that a run left in a folder: every figure and sentence, without fields, tables and pictures.

        Parameters
        ----------
        folder : path
        case : Case, optional
            Needed only where the case reads drawings that do not lie beside the folder's own case.toml.

        Raises
        ------
        ResultsError
            There is no results.json, none of this format, or the case beside it cannot be read.

        Examples
        --------
        >>> import tempfile
        >>> from crosscurrent.api import case, circuit
        >>> from crosscurrent.run import solve_case
        >>> from crosscurrent.shape_constructors import round
        >>> rod = round("rod", material="copper", diameter="25 mm")
        >>> result = solve_case(case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["100 kHz"]))
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     again = Result.read(result.write(f"{folder}/rod"))
        >>> again.points == result.points
        True
        """
        heading, points, chapters = read_results(Path(folder))
        if case is None:
            try:
                case = read_case(Path(folder) / "case.toml")
            except CaseError as error:
                hint = "read the case where its drawings are and give it: Result.read(folder, case=case)"
                raise ResultsError(f"{folder}: its case cannot be read; {hint}\n{error}") from None
        return cls(case=case, points=points, solutions={}, heading=heading, chapters=chapters)

    def compare_measured(self, frame: DataFrame | MeterReading | str | Path) -> Chapter:
        """What a meter showed, laid over what is calculated at its frequencies: one sweep by a reduced model.

        What the frame does not say is taken from the table [measured] of the case, or as that has it if left out.

        Parameters
        ----------
        frame : DataFrame, MeterReading, str or Path
            Columns with titles as in the file of a meter ("f [kHz]", "Rs [mohm]", "Ls [uH]"), the frequency perhaps as
            index; a reading; or the file of a meter.

        Returns
        -------
        Chapter
            `record["points"]` has a row for each frequency; `pictures["measured"]()` draws it.

        Raises
        ------
        CaseError
            The case does not say which circuit was measured, or how long the run was.
        MeterFileError
            The columns or the file can be read in two ways, or not at all; a column has no numbers.

        Examples
        --------
        >>> import pandas
        >>> from crosscurrent.api import case, circuit
        >>> from crosscurrent.run import solve_case
        >>> from crosscurrent.shape_constructors import round
        >>> rod = round("rod", material="copper", diameter="25 mm")
        >>> feed = circuit("feed", "1 A", out=["rod"])
        >>> result = solve_case(case("rod", rod, feed, length="2 m", at=["1 kHz"]))
        >>> frame = pandas.DataFrame({"f [kHz]": [1.0], "Rs [uohm]": [231.0], "Ls [uH]": [2.0]})
        >>> point = result.compare_measured(frame).record["points"][0]
        >>> apart = point["resistance_ohm"] / point["calculated_resistance_ohm"] - 1
        >>> f"{100 * apart:.1f} %"
        '1.0 %'
        """
        if isinstance(frame, MeterReading):
            asked_of(self.case)
            found = MeasuredRun(frame, (), (), "reading")
        elif isinstance(frame, (str, Path)):
            found = from_file(self.case, Path(frame))
        else:
            found = from_frame(self.case, *_columns(frame))
        return chapter_of(self.case, found)

    def to_dataframe(self) -> DataFrame:
        """One row per frequency and circuit or conductor, with the columns of table.csv.

        Raises
        ------
        MissingExtra
            pandas is not installed.

        Notes
        -----
        `result.to_dataframe().query("kind == 'circuit'").plot("frequency_hz", "resistance_ohm_per_m", logx=True)`
        draws R over frequency.
        """
        with extra("data"):
            import pandas
        return pandas.DataFrame(rows(self.points, self.case.length))

    def to_xarray(self) -> Dataset:
        """The same figures over the dimensions frequency_hz and circuit or conductor, and the impedance matrix.

        Raises
        ------
        MissingExtra
            xarray is not installed.
        """
        with extra("data"):
            import xarray
        found: dict[str, tuple[tuple[str, ...], npt.NDArray[Any]]] = {}
        for kind, names in (("circuit", self.circuits), ("conductor", self.conductors)):
            curves = [self.curve(name) if kind == "circuit" else self._conductor_curve(name) for name in names]
            for key in dict.fromkeys(key for one in curves for key in one if key != "frequency_hz"):
                nan = np.full(len(self), np.nan)
                found[f"{kind}_{key}"] = (("frequency_hz", kind), np.array([c.get(key, nan) for c in curves]).T)
        driven = list(self.points[0].names)
        unknown = np.full((len(driven), len(driven)), complex(np.nan))
        matrix = np.array([unknown if p.impedance is None else p.impedance for p in self.points])
        name = "impedance_ohm_per_turn" if self.case.axial else "impedance_ohm_per_m"
        found[name] = (("frequency_hz", "conductor", "driven"), matrix)
        coords = {
            "frequency_hz": [p.frequency for p in self.points],
            "circuit": list(self.circuits),
            "conductor": driven,
            "driven": driven,
        }
        return xarray.Dataset(found, coords, attrs={"title": self.case.title, **CONVENTIONS})

    def draw(self, folder: str | Path, *, at: float | str | None = None) -> list[Path]:
        """Draw all pictures into a folder, as PNG and SVG, and return their paths.

        With `at`, only those of one frequency, which may be any within a sweep: it takes no new solve.

        Raises
        ------
        OutputError
            The folder cannot take them.
        UnknownKey
            There is no field at that frequency.
        """
        return [path for one in drawn(self, Path(folder), at) for path in (one.png, one.svg)]

    def picture(self, name: str = "current-density", *, at: float | str | None = None) -> NotebookPicture:
        """One picture, which shows itself in a notebook.

        Parameters
        ----------
        name : str
            "current-density", "phase", "flux-lines", "along-outline", "power-in-pieces" of an axial section, or that of
            a chapter's file, such as "sweep".
        at : float or str, optional
            Frequency of one of the former, as for `solution_at`; default the lowest that is drawn.

        Raises
        ------
        UnknownKey
            No such picture, or no such frequency.
        """
        from crosscurrent.postprocess.pictures import NotebookPicture, picture, picture_kinds

        solution = self.solution_at(next(iter(self.solutions)) if at is None else at)
        kinds = picture_kinds(solution)
        if name in kinds:
            return picture(solution, answers(solution), self.case.title, name, self.case.zoomed)
        others = {stem: draw for chapter in self.chapters for stem, draw in chapter.pictures.items()}
        if name not in others:
            raise UnknownKey(f"expected the name of a picture ({', '.join([*kinds, *others])}), found {name!r}")
        return NotebookPicture.of(others[name](), name)

    def curve(self, name: str) -> dict[str, npt.NDArray[np.float64]]:
        """All figures of a circuit, or else conductor, over frequency: arrays under the names of table.csv.

        Such as "frequency_hz", "resistance_ohm_per_m", "inductance_h_per_m", "loss_w_per_m"; KeyError for an unknown
        name.
        """
        return curve(self.points, self._known(name), self.case.length)

    def _conductor_curve(self, name: str) -> dict[str, npt.NDArray[np.float64]]:
        return curve(self.points, name, kind="conductor")

    def _sums(self) -> dict[str, ConductorAnswer]:
        """Bundles whose strands are each solved for, as one conductor."""
        return {c.name: c for c in summed(self.points[0])}

    def _known(self, name: str) -> str:
        known = [*self.circuits, *self._sums(), *self.conductors]
        if name not in known:
            raise UnknownKey(f"expected a circuit or conductor ({', '.join(known)}), found {name!r}")
        return name

    def _repr_html_(self) -> str:
        first = () if self.heading.summary is None else lines(self.heading.summary)
        parts = [f"<p><b>{escape(self.case.title)}</b></p>", html_list("", first)]
        for point in self.points[:SHOWN]:
            parts += [*(table.html() for table in tables(point, self.case.length)), html_list("", sentences(point))]
        if len(self.points) > SHOWN:
            parts.append(f"<p>... and {len(self.points) - SHOWN} more frequencies in points</p>")
        parts += [chapter.html() for chapter in self.chapters]
        parts += [html_list("Warnings", self.heading.warnings), html_list("Cautions", self.cautions)]
        return "".join(parts)


def drawn(result: Result, folder: Path, at: float | str | None = None) -> list[DrawnPicture]:
    """Draw all pictures of a result, or those of one frequency, into a folder.

    Raises
    ------
    OutputError
        The folder cannot take them.
    UnknownKey
        There is no field at that frequency.
    """
    from crosscurrent.postprocess.pictures import KeptCuts, draw_pictures, own_style, save

    found: list[DrawnPicture] = []
    title, kept = result.case.title, KeptCuts()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with own_style():
            for frequency in result.solutions if at is None else (as_frequency(at),):
                solution = result.solution_at(frequency)
                point = next((p for p in result.points if p.frequency == frequency), None) or answers(solution)
                found += draw_pictures(solution, point, title, folder=folder, zoom=result.case.zoomed, kept=kept)
            for chapter in result.chapters if at is None else ():
                for stem, figure in chapter.pictures.items():
                    png, svg = save(figure(), folder / stem)
                    found.append(DrawnPicture(stem, png, svg, chapter.title, "".join(chapter.sentences[:1])))
    except OSError as error:
        raise OutputError(f"{folder}: no pictures can be written there ({error.strerror})") from None
    return found


def leave(result: Result, folder: Path) -> list[DrawnPicture]:
    """Put every file of a result but the report into an existing folder; returns the pictures among them."""
    from crosscurrent.postprocess.files.fields import write_series
    from crosscurrent.postprocess.workshop.drawing_files import as_dxf, as_svg
    from crosscurrent.postprocess.workshop.layout import section_sheet

    texts = {name: text for chapter in result.chapters for name, text in chapter.files.items()}
    case = result.case
    sheet = section_sheet(case.problem().conductors, case.title, result.cautions, case.served, axial=case.axial)
    texts |= {  # the names of these win over that of a file of samples
        "results.json": as_json(result.heading, result.points, result.chapters),
        "table.csv": as_csv(result.heading, result.points),
        "section.dxf": as_dxf(sheet),
        "section.svg": as_svg(sheet),
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "case.toml").write_bytes(result.case.source)
    pictures = drawn(result, folder / "pictures")
    write_series(result.solutions, folder)
    return pictures


def _columns(frame: DataFrame) -> tuple[list[str], FloatArray]:
    """Titles and numbers of a frame, of its index too if that has a name."""
    if not hasattr(frame, "columns"):
        expected, hint = "a DataFrame, a MeterReading or the file of a meter", "read it with pandas first"
        raise MeterFileError("what was measured", expected, f"a {type(frame).__name__}", hint)
    given = frame.reset_index() if frame.index.name else frame
    for title in given.columns:
        try:
            given[title].to_numpy(dtype=float)
        except (TypeError, ValueError) as error:
            hint = "turn its texts into numbers or leave the column out"
            raise MeterFileError("the frame", f'numbers in column "{title}"', str(error), hint) from None
    return [str(title) for title in given.columns], given.to_numpy(dtype=float)
