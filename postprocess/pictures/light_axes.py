"""Axes that make no ticks before they are drawn, and then one, of which the others are copies: half of their time."""

from __future__ import annotations

from copy import copy
from typing import cast

from matplotlib.axes import Axes
from matplotlib.axis import Tick, XAxis, XTick, YAxis, YTick

from .two_renderers import Shape

_SIDES: dict[tuple[bool, ...], int | str] = {
    (True, False, True, False): 1,
    (False, True, False, True): 2,
    (True, True, True, False): "default",
}
PIECES = ("gridline", "tick1line", "tick2line", "label1", "label2")  # of a tick


class _FewTicks:
    """What both axes do otherwise than the library: mixed into its own."""

    axes: Shape
    majorTicks: list[Tick] = []  # noqa: RUF012 - until they are drawn, where the library makes one of each at once
    minorTicks: list[Tick] = []  # noqa: RUF012
    kind: type[Tick]

    def get_major_ticks(self, numticks: int | None = None) -> list[Tick]:
        """So many major ticks."""
        count = len(cast(Shape, self).get_majorticklocs()) if numticks is None else numticks
        self.majorTicks = self._grown(self.majorTicks, count, major=True)
        return self.majorTicks[:count]

    def get_minor_ticks(self, numticks: int | None = None) -> list[Tick]:
        """So many minor ticks."""
        count = len(cast(Shape, self).get_minorticklocs()) if numticks is None else numticks
        self.minorTicks = self._grown(self.minorTicks, count, major=False)
        return self.minorTicks[:count]

    def _get_ticks_position(self) -> int | str:
        """1 and 2: on the first or the second side alone, which for the library its first tick would have to tell."""
        settings = cast(Shape, self)._major_tick_kw
        shown = tuple(bool(settings.get(name, False)) for name in ("tick1On", "tick2On", "label1On", "label2On"))
        return _SIDES.get(shown, "unknown")

    def _grown(self, ticks: list[Tick], count: int, *, major: bool) -> list[Tick]:
        if not ticks and count:
            settings = cast(Shape, self)._major_tick_kw if major else cast(Shape, self)._minor_tick_kw
            first = self.kind(self.axes, 0, major=major, **settings)
            first.set_clip_path(self.axes.patch)
            ticks = [first]
        return [*ticks, *(_another(ticks[0]) for _ in range(count - len(ticks)))]


def _another(tick: Tick) -> Tick:
    """A tick that looks as one does, to be put elsewhere."""
    found = copy(tick)
    for name in PIECES:
        setattr(found, name, copy(getattr(tick, name)))
    for label in (found.label1, found.label2):
        label.set_fontproperties(label.get_fontproperties())  # of its own
    return found


class _LightXAxis(_FewTicks, XAxis):
    kind = XTick


class _LightYAxis(_FewTicks, YAxis):
    kind = YTick


class LightAxes(Axes):
    """Drawn as those of the library are, to the last byte."""

    def _init_axis(self) -> None:
        own, spines = cast(Shape, self), self.spines
        own.xaxis, own.yaxis = _LightXAxis(self, clear=False), _LightYAxis(self, clear=False)
        for side, axis in (("bottom", own.xaxis), ("top", own.xaxis), ("left", own.yaxis), ("right", own.yaxis)):
            spines[side].register_axis(axis)

    def clear(self) -> None:
        """As the library does; the first tick would put the spines in their places."""
        super().clear()
        for spine in self.spines.values():
            spine.get_spine_transform()
