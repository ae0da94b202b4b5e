"""A case file on disk -> a checked case, or every fault with its line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import NoReturn

from .case import Case, checked_case
from .faults import CaseError, Fault
from .lines import LineIndex

__all__ = ["read_case"]


def read_case(path: str | Path) -> Case:
    """Read and check a case file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    Case

    Raises
    ------
    CaseError
        The file cannot be read or is at fault; `faults` holds every fault with line, key, what was expected and
        found, and a hint.

    Examples
    --------
    >>> read_case("no-such-folder/pier.toml")
    Traceback (most recent call last):
    ...
    crosscurrent.cases.faults.CaseError: pier.toml: expected a case file, found no such file; check its name and folder
    """
    path = Path(path)
    source = _bytes(path)
    text = _text(source, path)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CaseError([_syntax_fault(str(error), text)], path.name) from error
    return checked_case(data, source=source, path=path, lines=LineIndex(text))


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        others = sorted(p.name for p in path.parent.glob("*.toml")) if path.parent.is_dir() else []
        hint = f"beside it are {', '.join(others[:5])}" if others else "check its name and folder"
        _refuse(path, "no such file", hint)
    except (IsADirectoryError, NotADirectoryError):
        found = "a folder" if path.is_dir() else "a path that runs through a file"
        _refuse(path, found, "name the file inside it" if path.is_dir() else "check its name and folder")
    except PermissionError:
        # elsewhere than on Linux a folder shows up as a missing permission
        _refuse(path, "a folder" if path.is_dir() else "a file that may not be read", "check its permissions")
    except (OSError, ValueError) as error:
        _refuse(path, f"a file that cannot be read ({error})", "check its name and folder")


def _text(source: bytes, path: Path) -> str:
    try:
        text = source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = source.count(b"\n", 0, error.start) + 1
        wide = source[:2] in (b"\xff\xfe", b"\xfe\xff")
        found = "UTF-16" if wide else f"the byte 0x{source[error.start]:02x}, which is none"
        fault = Fault(None if wide else line, "", "text in UTF-8", found, "save it as UTF-8")
        raise CaseError([fault], path.name) from error
    if not text.strip():
        _refuse(path, "an empty file", "`crosscurrent new bar` writes one to start from")
    return text


def _refuse(path: Path, found: str, hint: str) -> NoReturn:
    raise CaseError([Fault(None, "", "a case file", found, hint)], path.name or str(path)) from None


def _syntax_fault(message: str, text: str) -> Fault:
    """The message of tomllib, with the line and what usually goes wrong there."""
    lines = text.splitlines()
    at = re.search(r" \(at line (\d+), column \d+\)", message)
    number = int(at[1]) if at else len(lines)
    reason = re.sub(r" \(at .*\)$", "", message)
    written = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    return Fault(number, "", "TOML", f"{written} ({reason[:1].lower()}{reason[1:]})", _syntax_hint(written, reason))


def _syntax_hint(line: str, reason: str) -> str:
    key, _, value = (part.strip() for part in line.partition("="))
    if any(quote in line for quote in "\u201c\u201d\u201e\u2018\u2019"):
        return 'write straight quotes: "'
    if reason.startswith(("Cannot overwrite", "Cannot declare")):
        return "each key and each [table] may stand once; lists of tables have double brackets: [[conductor]]"
    if re.fullmatch(r"[+-]?[0-9.,/]+ ?[A-Za-z%/*0-9]+", value):
        return f'put a quantity in quotes: {key} = "{value}"'
    if re.fullmatch(r"[A-Za-z][\w .-]*", value):
        return f'put text in quotes: {key} = "{value}"'
    if line and "=" not in line and not line.startswith("["):
        return "write key = value"
    if line.startswith("["):
        return "close what was opened: [table], [[list of tables]]"
    return "close every quote, bracket and brace; put commas between entries"
