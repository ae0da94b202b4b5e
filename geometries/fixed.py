"""A mapping that cannot be changed, and pickles."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

K = TypeVar("K")
V = TypeVar("V", covariant=True)


class Fixed(Mapping[K, V]):
    """A copy of a mapping, for reading only.

    Examples
    --------
    >>> found = Fixed({"feed": 1.0})
    >>> found["feed"], dict(found)
    (1.0, {'feed': 1.0})
    >>> found["feed"] = 2.0
    Traceback (most recent call last):
    ...
    TypeError: 'Fixed' object does not support item assignment
    """

    __slots__ = ("_held",)

    def __init__(self, held: Mapping[K, V]) -> None:
        self._held = dict(held)

    def __getitem__(self, key: K) -> V:
        return self._held[key]

    def __iter__(self) -> Iterator[K]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    def __repr__(self) -> str:
        said = (f"{k!r}: {v!r}" if isinstance(v, (str, int, float, complex, Fixed)) else repr(k)
                for k, v in self._held.items())  # fmt: skip
        return f"{{{', '.join(said)}}}"

    def __reduce__(self) -> tuple[type[Fixed[K, V]], tuple[dict[K, V]]]:
        return type(self), (self._held,)
