"""What is installed only where it is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from crosscurrent.geometries.errors import CrosscurrentError


class MissingExtra(CrosscurrentError, ImportError):
    """A library that a further use needs is not installed."""


@contextmanager
def extra(name: str) -> Iterator[None]:
    """Say which extra to install where an import inside fails.

    Raises
    ------
    MissingExtra

    Examples
    --------
    >>> with extra("data"):
    ...     import no_such_library
    Traceback (most recent call last):
    ...
    crosscurrent.extras.MissingExtra: no_such_library is not installed: pip install "crosscurrent[data]"
    """
    try:
        yield
    except ModuleNotFoundError as error:
        raise MissingExtra(f'{error.name} is not installed: pip install "crosscurrent[{name}]"') from None
