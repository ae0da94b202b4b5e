"""A study from its case file or from Python: its designs kept as they come, its files left at the end."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.reader import read_case
from crosscurrent.folders import check_folder, whole_folder
from crosscurrent.geometries.errors import RunStopped
from crosscurrent.run import Stop
from crosscurrent.solver.field.solve import Progress

from .design import Design, place
from .leave import leave
from .pace import Pace
from .plan import Plan, plan_over
from .reading import plan_of
from .run import Study, given_up, studied
from .store import Store
from .trial import Maker, Trial, serves, tried
from .ways import Ways
from .words import Said, said
from .workers import completed

log = logging.getLogger("crosscurrent")
STORE = "designs.sqlite"
NEARLY = 0.98  # share of a study that is done when all designs are


def study_case(
    path: Path,
    out: Path | None,
    progress: Progress | None = None,
    *,
    workers: int = 1,
    cluster: str | None = None,
    report: bool = False,
    stop: Stop | None = None,
) -> tuple[Said, Path]:
    """Read a case file with [[vary]], try its designs, and leave the study in a folder.

    Designs are kept beside the folder as they come, in FOLDER.designs.sqlite; a study that was interrupted goes on from
    there when it is run again. What is in the folder of an earlier run of it is not solved again either.

    Parameters
    ----------
    path : Path
    out : Path or None
        Folder for the study; None: beside the case file, under its name with "-study".
    progress : callable, optional
    workers : int
        Processes that solve designs side by side.
    cluster : str, optional
        Address of a running Dask scheduler that is sent the designs instead.
    report : bool
        Also leave a report on the best design, with the study as a chapter.
    stop : callable, optional
        Asked at every design; the study ends where it says True.

    Returns
    -------
    said, folder : Said, Path

    Raises
    ------
    CaseError
        The case is at fault, or varies nothing; nothing is written.
    OutputError
        The folder cannot be used; nothing is solved.
    RunStopped
        It was asked to; what was found is kept.
    """
    case = read_case(path)
    plan = plan_of(case)
    folder = out if out is not None else path.with_name(f"{path.stem}-study")
    check_folder(folder)
    with whole_folder(folder) as fresh, _store_of(folder, fresh) as store:
        found = studied(case, plan, _Results(store, plan, workers, cluster, progress, stop), store)
        if progress:
            progress("pictures and the best design", NEARLY)
        leave(found, fresh, report=report)
        words = said(found)
    return words, folder


@contextmanager
def _store_of(folder: Path, fresh: Path) -> Iterator[Store]:
    """The designs beside a folder, with those of an earlier study in it; at the end they go into the fresh folder."""
    beside = folder.with_name(f"{folder.name}.{STORE}")
    if not beside.exists() and (folder / STORE).is_file():
        shutil.copyfile(folder / STORE, beside)
    with Store(beside) as store:
        store.begin()
        try:
            yield store
        except BaseException:
            log.warning("%s keeps %d designs: the same command goes on from there", beside, len(store))
            raise
    shutil.copyfile(beside, fresh / STORE)
    beside.unlink()


def study(
    what: Case | str | Path | Maker,
    over: Mapping[str, Sequence[float | str]] | None = None,
    *,
    least: str | Sequence[str] = "loss",
    designs: int | None = None,
    starts: int = 4,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Study:
    """Try the designs of a case with [[vary]], or those of a Python function that makes a case from values.

    Parameters
    ----------
    what : Case, str, Path or callable
        A case, its file, or a function of keyword arguments that returns a case.
    over : mapping of str to sequence, optional
        Of a function: a pair of numbers (low, high) is a range, a list of words or numbers are values.
    least : str or sequence of str
        Of a function: what is to be least inside the limits, or two of them for a trade-off.
    designs : int, optional
        Of a function: how many are tried over the ranges.
    starts : int
        Of a function: from how many the best is looked for.
    workers : int
        Processes; a function must be importable there, that is stand in a module.
    progress : callable, optional
    stop : callable, optional

    Raises
    ------
    CaseError
        The case is at fault, or varies nothing.
    RunStopped
        It was asked to stop.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> def rod(diameter: float) -> Case:
    ...     one = conductor("rod", "round", material="copper", diameter=f"{diameter} mm")
    ...     return case("rod", one, circuit("feed", "1 A", out=["rod"]), at=["0 Hz"])
    >>> found = study(rod, {"diameter": (10, 20)}, least="resistance", designs=3, starts=1)
    >>> found.best.values["diameter"], found.edges["diameter"]
    (20.0, 'high')
    """
    if callable(what):
        source: Case | Maker = what
        plan = plan_over(what, over or {}, (least,) if isinstance(least, str) else tuple(least), designs, starts)
    else:
        source = what if isinstance(what, Case) else read_case(what)
        plan = plan_of(source)
    kept = InMemory()
    return studied(source, plan, _Results(kept, plan, workers, None, progress, stop), kept)


@dataclass
class InMemory:
    """Designs of a study that leaves no files."""

    found: dict[str, Design] = field(default_factory=dict)

    def put(self, design: Design) -> None:
        """Keep one."""
        self.found[design.key] = design

    def mark(self, design: Design) -> None:
        """Take one into the study that is there already; here all are."""

    def get(self, key: str) -> Design | None:
        """The one of that key, where it is there."""
        return self.found.get(key)

    def __iter__(self) -> Iterator[Design]:
        return iter(self.found.values())

    def in_order(self) -> list[Design]:
        """By what was varied."""
        return sorted(self.found.values(), key=lambda design: (place(design.values), design.key))

    def __len__(self) -> int:
        return len(self.found)


@dataclass
class _Results:
    """Solves trials by workers, but for designs that are kept already, and keeps what comes."""

    kept: Store | InMemory
    plan: Plan
    workers: int
    cluster: str | None
    progress: Progress | None
    stop: Callable[[], bool] | None

    def __post_init__(self) -> None:
        self.pace = Pace(self.plan.size)

    def __call__(self, trials: Iterable[Trial], take: Callable[[Design], object]) -> None:
        """Every trial to its design, in any order; each is handed on."""

        def fresh(trial: Trial) -> bool:
            design = self.kept.get(trial.key)
            if design is None or not serves(design, trial):
                return True
            self.kept.mark(design)
            self.pace.count()
            take(design)
            return False

        step = None if self.progress is None else self._told
        done = completed(
            tried, filter(fresh, trials), workers=self.workers, on_death=given_up, cluster=self.cluster, step=step,
            together=not isinstance(trials, Ways),
        )  # fmt: skip
        with closing(done):
            for _, design in done:
                self.kept.put(design)
                if self.stop is not None and self.stop():
                    raise RunStopped(f"the study was stopped after {len(self.kept)} designs, which are kept")
                self.pace.count()
                self._told(self.pace.words())
                take(design)

    def _told(self, words: str) -> None:
        if self.progress:
            self.progress(words, min(self.pace.done / self.plan.size, NEARLY))
