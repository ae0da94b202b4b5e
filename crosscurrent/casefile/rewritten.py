"""The text of a case file with other values in it, its comments and its layout kept."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, MutableMapping, MutableSequence
from dataclasses import replace

from .case import Case
from .variables import Tables, as_written
from .written import as_toml


def in_the_words_of(case: Case, original: Case) -> Case:
    """A case as the text of the one that it was made from, with its own values where they differ.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> from crosscurrent.casefile.varied import varied
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> one = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["100 kHz"])
    >>> noted = replace(one, source=one.source.replace(b'"25 mm"', b'"25 mm"  # as in stock'))
    >>> thick = in_the_words_of(varied(noted, {"rod.diameter": 0.03}), noted)
    >>> next(line for line in thick.source.decode().splitlines() if "stock" in line)
    'diameter = "30 mm"  # as in stock'
    """
    return replace(case, source=rewritten(original.source.decode("utf-8-sig"), as_written(case)).encode())


def rewritten(text: str, tables: Tables) -> str:
    """A TOML text that says these tables; all that they do not change stays as it was written."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
        _put(document, tables)
        found = tomlkit.dumps(document)
        if tomllib.loads(found) == tables:
            return found
    except (TOMLKitError, tomllib.TOMLDecodeError):
        pass
    return as_toml(tables)


def _put(inside: MutableMapping[str, object], tables: Mapping[str, object]) -> None:
    """Make a table say what another one does."""
    for key in [key for key in inside if key not in tables]:
        del inside[key]
    for key, value in tables.items():
        if key not in inside or not _same_kind(inside[key], value):
            inside[key] = value


def _same_kind(there: object, value: object) -> bool:
    """Whether a value could be brought into what stands there, or stands there already."""
    if isinstance(there, MutableMapping) and isinstance(value, Mapping):
        _put(there, value)
        return True
    if isinstance(there, MutableSequence) and isinstance(value, list) and len(there) == len(value):
        for k, one in enumerate(value):
            if not _same_kind(there[k], one):
                there[k] = one
        return True
    return isinstance(there, float) == isinstance(value, float) and bool(there == value)
