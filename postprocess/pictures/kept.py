"""What pictures of one mesh have in common, whatever they show and at whatever frequency."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar, cast

from crosscurrent.postprocess.answers.field_values import Patch
from crosscurrent.solver.elements.operators import Elements

from .raster import Raster

Cut = tuple[list[Patch], Raster]  # elements that a window shows, cut into small triangles, and the pixels of these
Made = TypeVar("Made")


class KeptCuts:
    """Keeps how windows of a mesh were cut, and what else it has by itself, until another mesh comes."""

    def __init__(self) -> None:
        self._elements: Elements | None = None
        self._found: dict[Hashable, object] = {}

    def of(self, elements: Elements, key: Hashable, make: Callable[[], Made]) -> Made:
        """What stands under a key, made where it does not yet."""
        if elements is not self._elements:
            self._elements, self._found = elements, {}
        if key not in self._found:
            self._found[key] = make()
        return cast(Made, self._found[key])
