"""The one folder that a board may read cases from and write them to, with a draft of what is not saved yet."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from crosscurrent.geometries.errors import CrosscurrentError

CASE, DRAWINGS = ".toml", (".dxf", ".svg")
MOST_BYTES = 5_000_000
_NAME = re.compile(r"[\w][\w .+-]{0,99}")


def names_for_new() -> Iterator[str]:
    """What a case may be called that has no file yet: section.toml, section-2.toml, ..."""
    yield f"section{CASE}"
    yield from (f"section-{k}{CASE}" for k in count(2))


class FolderError(CrosscurrentError, ValueError):
    """A file that a board may not touch, or cannot."""


@dataclass(frozen=True)
class WorkFolder:
    """A folder of the user's choice.

    Parameters
    ----------
    root : Path
    """

    root: Path

    def cases(self) -> list[str]:
        """Names of the case files in it."""
        return sorted(p.name for p in self.root.glob(f"*{CASE}") if not p.name.startswith(".") and p.is_file())

    def within(self, name: str, endings: tuple[str, ...] = (CASE,)) -> Path:
        """The path of a file in the folder.

        Raises
        ------
        FolderError
            A name with a path in it, with another ending, or of a link that leads out of the folder.

        Examples
        --------
        >>> WorkFolder(Path("/pier")).within("../feed.toml")
        Traceback (most recent call last):
        ...
        crosscurrent.page.folder.FolderError: ../feed.toml: expected a file name ending in .toml, without a folder
        """
        if not _NAME.fullmatch(name) or not name.lower().endswith(endings):
            raise FolderError(f"{name[:100]}: expected a file name ending in {' or '.join(endings)}, without a folder")
        path = self.root / name
        if path.resolve().parent != self.root.resolve():
            raise FolderError(f"{name}: a link that leads out of the folder {self.root.name}")
        return path

    def read(self, name: str) -> str:
        """The text of a case file.

        Raises
        ------
        FolderError
        """
        path = self.within(name)
        try:
            with path.open("rb") as stream:
                source = stream.read(MOST_BYTES + 1)
            if len(source) > MOST_BYTES:
                raise FolderError(f"{name}: more than 5 MB is no case file")
            return source.decode("utf-8-sig")
        except OSError as error:
            raise FolderError(f"{name}: cannot be read ({error.strerror})") from None
        except UnicodeDecodeError:
            raise FolderError(f"{name}: no text in UTF-8; save it as UTF-8") from None

    def differs(self, name: str, text: str) -> bool:
        """Whether a file is there that says other than a text."""
        return self.within(name).exists() and self.read(name) != text

    def write(self, name: str, content: str | bytes, endings: tuple[str, ...] = (CASE,)) -> Path:
        """Write a file whole or not at all.

        Raises
        ------
        FolderError
        """
        path = self.within(name, endings)
        fresh = path.with_name(f".{path.name}.part")
        try:
            fresh.write_bytes(content.encode() if isinstance(content, str) else content)
            os.replace(fresh, path)
        except OSError as error:
            fresh.unlink(missing_ok=True)
            raise FolderError(f"{name}: cannot be written ({error.strerror})") from None
        return path

    def add_drawing(self, name: str, content: bytes) -> None:
        """Write a drawing beside the cases; one of another content that has its name stays.

        Raises
        ------
        FolderError
        """
        path = self.within(name, DRAWINGS)
        try:
            other = path.exists() and path.read_bytes() != content
        except OSError as error:
            raise FolderError(f"{name}: cannot be read ({error.strerror})") from None
        if other:
            raise FolderError(f"{name}: the folder has another drawing of this name; give yours another one")
        self.write(name, content, DRAWINGS)

    def _draft(self, name: str) -> Path:
        return self.within(name).with_name(f".{name}.draft")

    def keep_draft(self, name: str, text: str) -> None:
        """Keep a text that is not saved; a folder that cannot be written to keeps none."""
        path = self._draft(name)
        fresh = path.with_name(f"{path.name}.part")
        try:
            fresh.write_text(text, encoding="utf-8")
            os.replace(fresh, path)
        except OSError:
            fresh.unlink(missing_ok=True)

    def draft(self, name: str) -> str | None:
        """The draft that an earlier board left, if it says other than the file."""
        try:
            text = self._draft(name).read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            return None
        return text if not self.within(name).exists() or text != self.read(name) else None

    def drop_draft(self, name: str) -> None:
        """What was kept is saved, or not wanted."""
        self._draft(name).unlink(missing_ok=True)
