"""A case file on disk -> a checked case, or every fault with its line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import NoReturn

from crosscurrent.geometries.ordinary_file import FileFault, ordinary_bytes

from .case import Case, checked_case
from .faults import CaseError, Fault
from .lines import LineIndex
from .unquoted import mended

__all__ = ["case_of", "read_case"]

MOST_BYTES = 5_000_000
_QUOTED = 200  # letters of a line that a message repeats
_OWN = "title|length|ambient|accuracy|frequency|material|conductor|circuit"  # what every case has some of
_CASE = re.compile(rf"^\s*(\[+\s*({_OWN})\b|({_OWN})\s*=)", re.MULTILINE)


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
    crosscurrent.casefile.faults.CaseError: pier.toml: expected a case file, found no such file; ...
    """
    path = Path(path)
    return case_of(_bytes(path), path)


def case_of(source: bytes, path: Path) -> Case:
    """The case that the content of a case file says, whether it is stored yet or not.

    Parameters
    ----------
    source : bytes
    path : Path
        Where it lies or is to lie: drawings are looked for beside it.

    Raises
    ------
    CaseError
        As `read_case`.
    """
    text = _text(source, path)
    try:
        data, lines = tomllib.loads(text), LineIndex(text)
    except tomllib.TOMLDecodeError as error:
        raise CaseError(_unreadable(str(error), text, path), path.name) from error
    except RecursionError:
        _refuse(path, "lists or tables very deep inside one another", "close what was opened")
    except ValueError:  # of whole numbers without end
        _refuse(path, "a number of thousands of digits", "write it shorter")
    return checked_case(data, source=source, path=path, lines=lines)


def _unreadable(message: str, text: str, path: Path) -> list[Fault]:
    """What keeps a text from being TOML; where only quotes are missing, also what is wrong with the case in them."""
    if not _CASE.search(text) or not (quoted := mended(text)).faults:
        return [_syntax_fault(message, text)]
    try:
        data = tomllib.loads(quoted.text)
        checked_case(data, path=path, lines=LineIndex(quoted.text))
    except tomllib.TOMLDecodeError as error:
        return [*quoted.faults, _syntax_fault(str(error), quoted.text)]
    except CaseError as error:
        return [*quoted.faults, *error.faults]
    return list(quoted.faults)


def _bytes(path: Path) -> bytes:
    try:
        return ordinary_bytes(path, MOST_BYTES, 'take long outlines from a drawing: shape = "drawing"')
    except FileFault as fault:
        expected = fault.expected.replace("file", "case file", 1)
        raise CaseError([Fault(None, "", expected, fault.found, fault.hint)], path.name or str(path)) from None
    except FileNotFoundError:
        others = sorted(p.name for p in path.parent.glob("*.toml")) if path.parent.is_dir() else []
        hint = f"beside it are {', '.join(others[:5])}" if others else "check its name and folder"
        _refuse(path, "no such file", hint)
    except NotADirectoryError:
        _refuse(path, "a path that runs through a file", "check its name and folder")
    except PermissionError:
        _refuse(path, "a file that may not be read", "check its permissions")
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
    if not _CASE.search(text):  # another file than was meant: nothing of it is repeated
        hint = "check its name; `crosscurrent new bar` writes a case to start from"
        return Fault(number, "", "TOML", "another kind of text, no case", hint)
    written = lines[number - 1].strip()[:_QUOTED] if 0 < number <= len(lines) else ""
    return Fault(number, "", "TOML", f"{written} ({reason[:1].lower()}{reason[1:]})", _syntax_hint(written, reason))


def _syntax_hint(line: str, reason: str) -> str:
    key, _, value = (part.strip() for part in line.partition("="))
    if any(quote in line for quote in "\u201c\u201d\u201e\u2018\u2019"):
        return 'write straight quotes: "'
    if reason.startswith(("Cannot overwrite", "Cannot declare")):
        return "each key and each [table] may stand once; lists of tables have double brackets: [[conductor]]"
    if re.fullmatch(r"[+-]?[0-9.,/]+ ?[A-Za-z%/*0-9]+", value):
        return f'add quotes: write {key} = "{value}"'
    if re.fullmatch(r"[A-Za-z][\w .-]*", value):
        return f'put text in quotes: {key} = "{value}"'
    if line and "=" not in line and not line.startswith("["):
        return "write key = value"
    if line.startswith("["):
        return "close what was opened: [table], [[list of tables]]"
    return "close every quote, bracket and brace; put commas between entries"
