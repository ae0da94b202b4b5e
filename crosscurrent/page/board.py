"""The state of a board: a text with its past and its future, the frequency looked at, the designs that are pinned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from . import edits
from .carry import carried, turned, written
from .edits import EditError
from .needed import with_entry, without_empty
from .words import Add, AddRow, AnyAsked, Carry, Copy, Delete, Move, Plain, SetText, SetValue, Turn, Write

APART = 1e-3  # of a new conductor from the others [m]
KEPT = 200  # steps that can be undone
NEW = '''title = "New section"

[frequency]
at = ["85 kHz"]

[[conductor]]
name = "outgoing"
shape = "bar"
width = "40 mm"
thickness = "5 mm"
centre = ["0 mm", "4 mm"]
material = "copper"

[[conductor]]
name = "return"
shape = "bar"
width = "40 mm"
thickness = "5 mm"
centre = ["0 mm", "-4 mm"]
material = "copper"

[[circuit]]
name = "feed"
current = "100 A"
out = ["outgoing"]
back = ["return"]
'''


@dataclass
class Board:
    """What all tabs of a page share.

    Attributes
    ----------
    text : str
        Of the case file.
    name : str
        Of the file that it is to be saved in.
    revision : int
        Rises with every change.
    frequency : float or None
        Looked at [Hz]; None: the case's own first.
    pins : list of dict
        Designs kept: number, text, and what was known of them.
    """

    text: str = NEW
    name: str = "section.toml"
    saved: str = ""
    revision: int = 0
    frequency: float | None = None
    pins: list[Plain] = field(default_factory=list)
    _past: list[str] = field(default_factory=list)
    _future: list[str] = field(default_factory=list)
    _held: str | None = None  # the text before a move under way
    _from: Plain = field(default_factory=dict)  # the scene that the hand took it from
    _pinned: int = 0

    @property
    def changed(self) -> bool:
        """Whether the text says other than its file."""
        return self.text != self.saved

    def state(self) -> Plain:
        """What a tab must know besides the answers."""
        return {
            "kind": "state", "text": self.text, "name": self.name, "revision": self.revision,
            "frequency": self.frequency, "changed": self.changed,
            "undo": bool(self._past), "redo": bool(self._future),
            "pins": [{k: v for k, v in pin.items() if k not in ("text", "field", "payload")} for pin in self.pins],
        }  # fmt: skip

    def load(self, name: str, text: str, saved: str) -> None:
        """Another case; its past begins here."""
        self.name, self.saved, self.frequency = name, saved, None
        self._past, self._future, self._held = [], [], None
        self._to(text)

    def set_text(self, text: str) -> None:
        """A new text, with the old one to go back to."""
        if text == self.text:
            return
        self._past = [*self._past, self.text][-KEPT:]
        self._future = []
        self._to(text)

    def undo(self) -> None:
        """One step back."""
        if self._past:
            self._future.append(self.text)
            self._to(self._past.pop())

    def redo(self) -> None:
        """One step forward again."""
        if self._future:
            self._past.append(self.text)
            self._to(self._future.pop())

    def _to(self, text: str) -> None:
        self.text = text
        self.revision += 1

    def edit(self, asked: AnyAsked, seen: Plain) -> list[Plain]:
        """Make a change of the text.

        Parameters
        ----------
        asked : one of the models in `words` that change the text
        seen : dict
            The scene that was answered last: where its parts stand.

        Returns
        -------
        list of dict
            Lines to show beside a moved part.

        Raises
        ------
        EditError
        """
        if isinstance(asked, Move):
            return self._move(asked, seen)
        self._held = None
        text = self.text
        if isinstance(asked, SetValue):
            text = _with_value(text, asked)
        elif isinstance(asked, Write):
            text = _with_written(text, asked)
        elif isinstance(asked, SetText):
            text = asked.text
        elif isinstance(asked, Add):
            text = edits.with_conductor(text, asked.shape, _added(asked, seen))
        elif isinstance(asked, AddRow):
            text = _with_row(text, asked)
        elif isinstance(asked, Copy):
            text = edits.with_copy(text, asked.row, _copied(asked, seen), asked.mirrored)
        elif isinstance(asked, Turn):
            text = turned(text, asked.row)
        elif isinstance(asked, Delete):
            text = edits.without_conductor(text, asked.row)
        elif isinstance(asked, Carry):
            alike = [p["name"] for p in seen.get("parts", []) if p["row"] == asked.row]
            one = asked.part if asked.part in alike else None
            text = edits.with_direction(text, asked.row, asked.circuit, asked.way, part=one, alike=alike)
        self.set_text(text)
        return []

    def _move(self, asked: Move, seen: Plain) -> list[Plain]:
        """Carry a row from where it stood when the hand took it; the whole way is one step to undo."""
        from .view import snapped

        if self._held is None:
            self._held, self._from = self.text, seen
        low, high = _box(self._from, asked.row)
        others = [(p["low"], p["high"]) for p in self._from.get("parts", []) if p["row"] != asked.row]
        at = [low[k] + asked.by[k] for k in (0, 1)], [high[k] + asked.by[k] for k in (0, 1)]
        more, lines = snapped(*at, others, asked.near, asked.grid)
        by = (asked.by[0] + more[0], asked.by[1] + more[1])
        text = carried(self._held, asked.row, by)
        if asked.end:
            before, self._held = self._held, None
            if text != before:
                self._past = [*self._past, before][-KEPT:]
                self._future = []
        if text != self.text:
            self._to(text)
        return lines

    def pin(self, answer: Plain, payload: bytes = b"") -> None:
        """Keep the design with what is known of it, and the numbers of its field."""
        self._pinned += 1
        self.pins.append({"pin": self._pinned, "text": self.text, "stamp": 0, **_kept(answer, payload)})

    def behind(self, frequency: float | None) -> list[Plain]:
        """Pinned designs that were not settled at a frequency yet."""
        return [pin for pin in self.pins if (pin["kind"], pin["frequency"]) != ("settled", frequency)]

    def answered(self, number: int, answer: Plain, payload: bytes) -> None:
        """A pinned design is known at another frequency, or better."""
        for pin in self.pins:
            if pin["pin"] == number and "figures" in answer:
                pin |= {"stamp": pin["stamp"] + 1, **_kept(answer, payload)}

    def pinned(self, numbers: Sequence[int]) -> list[Plain]:
        """Some of them with all that is known."""
        return [pin for pin in self.pins if pin["pin"] in numbers]

    def back_to(self, number: int | None) -> None:
        """The text of a pinned design."""
        found = next((pin for pin in self.pins if pin["pin"] == number), None)
        if found is None:
            raise EditError("no such pinned design")
        self.set_text(found["text"])

    def unpin(self, number: int | None) -> None:
        """Let a pinned design go."""
        self.pins = [pin for pin in self.pins if pin["pin"] != number]


def _with_value(text: str, asked: SetValue) -> str:
    place, value = asked.place, asked.value
    match place:
        case ["conductor", int(row), "name"]:
            return edits.with_name(text, row, str(value))
        case ["conductor", int(row), "repeat"] if not value:
            return edits.with_copies(text, row, "")
        case ["conductor", int(row), _, *_]:
            return without_empty(with_entry(text, place, value), row)
    return with_entry(text, place, value)


def _with_written(text: str, asked: Write) -> str:
    match asked.place:
        case ["conductor", int(row), "repeat"]:
            return edits.with_copies(text, row, asked.toml)
        case ["conductor", int(row), _, *_] if asked.toml.strip():
            return without_empty(edits.with_written(text, asked.place, asked.toml), row)
    if not asked.toml.strip():
        return with_entry(text, asked.place, "")
    return edits.with_written(text, asked.place, asked.toml)


def _with_row(text: str, asked: AddRow) -> str:
    from .rows import with_row

    return with_row(text, asked.place)


def _kept(answer: Plain, payload: bytes) -> Plain:
    """What a pinned design keeps of an answer."""
    known = {key: answer.get(key) for key in ("kind", "frequency", "figures", "scene", "field")}
    return {"title": answer.get("title", ""), "payload": payload, **known}


def _box(seen: Plain, row: int) -> tuple[list[float], list[float]]:
    parts = [p for p in seen.get("parts", []) if p["row"] == row]
    if not parts:
        raise EditError("this part is not on the board yet: wait for its answer")
    low = [min(p["low"][k] for p in parts) for k in (0, 1)]
    return low, [max(p["high"][k] for p in parts) for k in (0, 1)]


def lowest(seen: Plain) -> str | None:
    """The name of the part that reaches down furthest."""
    parts = seen.get("parts", [])
    return min(parts, key=lambda p: float(p["low"][1]))["name"] if parts else None


def _boxes(seen: Plain) -> list[tuple[list[float], list[float]]]:
    return [(p["low"], p["high"]) for p in seen.get("parts", [])]


def _added(asked: Add, seen: Plain) -> tuple[str, str]:
    """Where a new conductor has room, near where it was asked for."""
    from crosscurrent.casefile.quantities import parse

    from .view import apart

    sizes = edits.STARTS[asked.shape]
    wide = parse(sizes.get("width", sizes.get("diameter", "")), "position")
    tall = parse(sizes.get("height", sizes.get("diameter", sizes.get("thickness", ""))), "position")
    x, y = (0.0, 0.0) if seen.get("parts") == [] else (round_to(value, asked.grid) for value in asked.at)
    low, high = [x - wide / 2, y - tall / 2], [x + wide / 2, y + tall / 2]
    by = apart(low, high, _boxes(seen), [(0, -1), (0, 1), (1, 0), (-1, 0)], APART)
    return written(x + by[0]), written(y + by[1])


def round_to(value: float, grid: float) -> float:
    """The nearest place on a grid, or at most three significant digits where there is none.

    Examples
    --------
    >>> round_to(0.0123456, 5e-4), round_to(-0.0123456, 0.0)
    (0.0125, -0.0123)
    """
    return round(value / grid) * grid if grid > 0 else float(f"{value:.3g}")


def _copied(asked: Copy, seen: Plain) -> tuple[str, str]:
    """Where a copy has room, the way it was asked for."""
    from .view import apart

    low, high = _box(seen, asked.row)
    by = apart(low, high, _boxes(seen), [(1, 0) if asked.way == "right" else (0, -1)], APART)
    return written((low[0] + high[0]) / 2 + by[0]), written((low[1] + high[1]) / 2 + by[1])
