"""What a page may ask of its board, one frozen model for each."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

Plain: TypeAlias = dict[str, Any]  # what JSON takes
Shape = Literal["bar", "round", "tube", "box", "angle", "channel"]
Row = Annotated[int, Field(ge=0, le=10_000)]
Metres = Annotated[float, Field(ge=-1000, le=1000, allow_inf_nan=False)]
Entry = str | float | bool | list[str] | list[float]


class Wish(BaseModel):
    """Of any kind; nothing else is taken."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SetValue(Wish):
    """A value at a place of the text; an empty one takes the key out."""

    do: Literal["set"]
    place: Annotated[list[str | int], Field(min_length=1, max_length=8)]
    value: Entry


class Write(Wish):
    """The same as it stands in a case file: quotes, brackets and braces in it are meant."""

    do: Literal["write"]
    place: Annotated[list[str | int], Field(min_length=1, max_length=8)]
    toml: Annotated[str, Field(max_length=10_000)]


class SetText(Wish):
    """The whole text, as typed."""

    do: Literal["text"]
    text: Annotated[str, Field(max_length=4_000_000)]
    revision: int


class Move(Wish):
    """A row carried by the hand; `end` where it lets go."""

    do: Literal["move"]
    row: Row
    by: tuple[Metres, Metres]
    near: Metres = 0.0
    grid: Metres = 0.0
    end: bool = False


class SetGap(Wish):
    """A row moves until the gap to another part is as typed."""

    do: Literal["gap"]
    row: Row
    other: Annotated[str, Field(max_length=120)]
    gap: Annotated[str, Field(max_length=60)]


class Add(Wish):
    """A new conductor of a shape."""

    do: Literal["add"]
    shape: Shape
    at: tuple[Metres, Metres]
    grid: Metres = 0.0


class AddRow(Wish):
    """A table more, or one more row in a list of them."""

    do: Literal["row"]
    place: Annotated[list[str | int], Field(min_length=1, max_length=8)]


class Copy(Wish):
    """A row once more beside itself, perhaps as mirror image."""

    do: Literal["copy"]
    row: Row
    way: Literal["right", "below"]
    mirrored: Literal["", "left-right", "top-bottom"] = ""


class Turn(Wish):
    """A row by a quarter of a turn, counter-clockwise."""

    do: Literal["turn"]
    row: Row


class Delete(Wish):
    """A row goes."""

    do: Literal["delete"]
    row: Row


class Carry(Wish):
    """A row, or one part of those that it is repeated to, carries a circuit's current out or back, or none."""

    do: Literal["carry"]
    row: Row
    part: Annotated[str, Field(max_length=120)] | None = None
    circuit: Annotated[str, Field(min_length=1, max_length=120)]
    way: Literal["out", "back", ""]


class Tune(Wish):
    """Another frequency on the line [Hz]; the text keeps its own, and is looked at with none."""

    do: Literal["tune"]
    frequency: Annotated[float, Field(ge=0, le=1e12, allow_inf_nan=False)] | None


class Show(Wish):
    """What is to be drawn in the section."""

    do: Literal["show"]
    kind: Literal["density", "phase", "loss", "temperature", "flux", "none"]


class InSight(Wish):
    """Whether the tab is seen: one that is not gets no fields."""

    do: Literal["look"]
    seen: bool


class Simple(Wish):
    """What needs no more words."""

    do: Literal["undo", "redo", "run", "cancel"]


class Open(Wish):
    """A case of the folder, or a copy of a shipped one."""

    do: Literal["open"]
    name: Annotated[str, Field(max_length=120)]
    shipped: bool = False


class Save(Wish):
    """The text under a name in the folder."""

    do: Literal["save"]
    name: Annotated[str, Field(max_length=120)]


class Upload(Wish):
    """A drawing to lie in the folder, and a conductor that has its outline."""

    do: Literal["upload"]
    name: Annotated[str, Field(max_length=120)]
    content: Annotated[str, Field(max_length=4_000_000)]  # base64


class Pin(Wish):
    """Keep the design as it is, or go back to one that was kept, or let it go."""

    do: Literal["pin", "back", "unpin"]
    pin: int | None = None


class SeePins(Wish):
    """Fields of pinned designs, to be seen side by side."""

    do: Literal["compare"]
    pins: Annotated[list[int], Field(max_length=12)]


AnyAsked = Annotated[
    SetValue | Write | SetText | Move | SetGap | Add | AddRow | Copy | Turn | Delete | Carry | Tune | Show | InSight
    | Simple | Open | Save | Upload | Pin | SeePins,
    Field(discriminator="do"),
]  # fmt: skip
ASKED: TypeAdapter[AnyAsked] = TypeAdapter(AnyAsked)


def misunderstood(error: ValidationError) -> str:
    """What is wrong with what a page asked: where, what was expected and found, what to do.

    Examples
    --------
    >>> try: ASKED.validate_json('{"do": "save", "name": "%s"}' % (130 * "x"))
    ... except ValidationError as error: print(misunderstood(error))
    name: expected at most 120 letters, found 130; shorten it
    """
    first = error.errors(include_url=False)[0]
    steps = [str(step + 1) if isinstance(step, int) else step for step in first["loc"][1:]]
    where = " ".join("value" if step == "toml" else step for step in steps)
    found, context = first["input"], first.get("ctx", {})
    match first["type"]:
        case "string_too_long":
            what = f"expected at most {context['max_length']} letters, found {len(found)}; shorten it"
        case "string_too_short":
            what = "expected a name, found nothing; type one"
        case "too_long":
            what = f"expected at most {context['max_length']}, found {len(found)}; leave some out"
        case "greater_than_equal" | "less_than_equal" | "finite_number":
            ends = {"ge": "at least", "le": "at most"}
            expected = next((f"{ends[key]} {end:g}" for key, end in context.items() if key in ends), "a number")
            what = f"expected {expected}, found {found:g}; change it"
        case _:
            return f"expected what this page can ask for, found something else{where and f' ({where})'}; load it again"
    return f"{where}: {what}"
