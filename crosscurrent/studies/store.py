"""The store of a study: one row a design, committed as it comes.

An SQLite file that one process holds at a time. The hold is a lock of the operating system, so it ends with the
process however that ends, and what was put is found by the next.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from crosscurrent.folders import OutputError

from .design import Design, place

_KIND = 0x63637374  # marks the file as ours ("ccst")
_FORMAT = 2
_PAGE = 500  # rows read at a time
_PATIENCE = 0.5  # for a store that another process is just letting go [s]
_ELSEWHERE = "move it away, or choose another --out"
_PLAIN = ("key", "verdict", "fault", "seconds")
_MAPPED = ("values", "figures", "errors", "slopes", "margins")  # kept as JSON
_COLUMNS = ", ".join(f'"{name}"' for name in (*_PLAIN, *_MAPPED))
_TABLE = f"""
CREATE TABLE IF NOT EXISTS designs (
  number INTEGER PRIMARY KEY, study INTEGER NOT NULL, "key" TEXT NOT NULL UNIQUE, verdict TEXT NOT NULL,
  fault TEXT NOT NULL, seconds REAL NOT NULL, {", ".join(f'"{name}" TEXT NOT NULL' for name in _MAPPED)})"""
_PUT = f"""
INSERT INTO designs (study, {_COLUMNS}) VALUES ({", ".join("?" * (1 + len(_PLAIN) + len(_MAPPED)))})
ON CONFLICT ("key") DO UPDATE SET study = excluded.study,
  {", ".join(f'"{name}" = excluded."{name}"' for name in (*_PLAIN, *_MAPPED)[1:])}"""
_PAGE_OF = f"SELECT number, {_COLUMNS} FROM designs WHERE number > ? AND study = ? ORDER BY number LIMIT {_PAGE}"

_IN_ORDER = f'SELECT {_COLUMNS} FROM designs WHERE study = ? ORDER BY place("values"), "key"'


class Store:
    """Designs in a file, for reading and adding, held by this process alone until the end of the `with`.

    Those of the latest study are read one after the other; the others are there by their keys alone, for a study that
    comes back to them.

    Parameters
    ----------
    path : Path
        Usually `designs.sqlite`; made where it is not there.

    Raises
    ------
    OutputError
        Another study holds it, it is something else or damaged, or it cannot be written; says what to do.

    Examples
    --------
    >>> import tempfile
    >>> from crosscurrent.studies.design import Design
    >>> design = Design("a1", {"gap": 0.001}, {"loss_w_per_m": 90.5}, {"loss_w_per_m": 0.01}, {}, {}, "pass")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with Store(Path(folder) / "designs.sqlite") as store:
    ...         store.put(design)
    ...     with Store(Path(folder) / "designs.sqlite") as store:
    ...         len(store), store.get("a1") == design, "b2" in store
    (1, True, False)
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        if path.exists() and not path.is_file():
            raise OutputError(f"{path}: expected a file for the designs, found something else; {_ELSEWHERE}")
        try:
            self._connection = sqlite3.connect(path, timeout=_PATIENCE, isolation_level=None)
        except sqlite3.Error as error:
            raise OutputError(f"{path}: {_words(error)}") from None
        try:
            self._open()
        except BaseException:
            self._connection.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._connection.close()

    def put(self, design: Design) -> None:
        """Keep a design, committed when this returns; one of the same key is replaced in its place.

        Raises
        ------
        OutputError
            The disk is full or fails; all that was put before is kept.
        """
        mapped = [json.dumps(getattr(design, name), default=dict) for name in _MAPPED]
        self._ask(_PUT, self._study, *(getattr(design, name) for name in _PLAIN), *mapped)

    def begin(self) -> None:
        """A study that is to be read without the designs of those before it."""
        self._study += 1

    def mark(self, design: Design) -> None:
        """Take a design that is there already into the study."""
        self._ask('UPDATE designs SET study = ? WHERE "key" = ? AND study <> ?', self._study, design.key, self._study)

    def get(self, key: str) -> Design | None:
        """The design of a key; None where there is none."""
        rows = self._ask(f'SELECT {_COLUMNS} FROM designs WHERE "key" = ?', key)
        return self._design(rows[0]) if rows else None

    def __contains__(self, key: object) -> bool:
        return bool(self._ask('SELECT 1 FROM designs WHERE "key" = ?', key))

    def __len__(self) -> int:
        return int(self._ask("SELECT count(*) FROM designs")[0][0])

    def __iter__(self) -> Iterator[Design]:
        """The designs of the study in the order in which they came, a page in memory; designs may be put meanwhile."""
        last = 0
        while rows := self._ask(_PAGE_OF, last, self._study):
            for _, *row in rows:
                yield self._design(row)
            last = rows[-1][0]

    def in_order(self) -> InOrder:
        """The designs of the study by what was varied, a few in memory."""
        return InOrder(self)

    def by_values(self) -> Iterator[Design]:
        """The same, once; those put meanwhile are left out."""
        try:
            for row in self._connection.execute(_IN_ORDER, (self._study,)):
                yield self._design(row)
        except sqlite3.Error as error:
            raise OutputError(f"{self._path}: {_words(error)}") from None

    def _open(self) -> None:
        self._ask("PRAGMA locking_mode = EXCLUSIVE")  # a lock once taken is kept until the end
        self._ask("BEGIN EXCLUSIVE")
        kind, form = (self._ask(f"PRAGMA {name}")[0][0] for name in ("application_id", "user_version"))
        if kind != _KIND and (kind or self._ask("SELECT name FROM sqlite_master")):
            raise OutputError(f"{self._path}: expected a store of designs, found another database; {_ELSEWHERE}")
        if kind and form != _FORMAT:
            raise OutputError(f"{self._path}: a store of format {form}, and this version knows {_FORMAT}; {_ELSEWHERE}")
        self._ask(f"PRAGMA application_id = {_KIND}")
        self._ask(f"PRAGMA user_version = {_FORMAT}")
        self._ask(_TABLE)
        self._ask("CREATE INDEX IF NOT EXISTS of_study ON designs (study)")
        self._connection.create_function("place", 1, lambda text: place(json.loads(text)), deterministic=True)
        self._study = int(self._ask("SELECT coalesce(max(study), 0) FROM designs")[0][0])
        self._ask("COMMIT")
        self._ask("PRAGMA journal_mode = WAL")
        self._ask("PRAGMA synchronous = NORMAL")

    def _ask(self, statement: str, *values: object) -> list[tuple[Any, ...]]:
        try:
            return self._connection.execute(statement, values).fetchall()
        except sqlite3.Error as error:
            raise OutputError(f"{self._path}: {_words(error)}") from None

    def _design(self, row: Sequence[Any]) -> Design:
        plain = dict(zip(_PLAIN, row, strict=False))
        try:
            mapped = {name: json.loads(text) for name, text in zip(_MAPPED, row[len(_PLAIN) :], strict=True)}
            return Design(**plain, **mapped)
        except (ValueError, TypeError, AttributeError):
            raise OutputError(f"{self._path}: the row of design {row[0]} is damaged; {_ELSEWHERE}") from None


class InOrder:
    """The designs of a store by what was varied, as often as wanted."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def __iter__(self) -> Iterator[Design]:
        return self._store.by_values()


def _words(error: sqlite3.Error) -> str:
    """What went wrong and what to do about it."""
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith("SQLITE_BUSY"):
        return "another study is at work on these designs; wait until it ends, or choose another --out"
    if name.startswith(("SQLITE_FULL", "SQLITE_IOERR")):
        return (
            f"the disk takes no further design ({error}); those put before are kept: make room and start the same "
            "study again, it goes on from there"
        )
    if name.startswith(("SQLITE_NOTADB", "SQLITE_CORRUPT")):
        return f"expected a store of designs, found another or a damaged file ({error}); {_ELSEWHERE}"
    return f"cannot be used as the store of designs ({error}); check the folder, or choose another --out"
