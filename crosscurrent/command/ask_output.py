"""What the command `ask` puts on the terminal."""

from __future__ import annotations

from rich.text import Text

from crosscurrent.casefile.keys import Key, topics
from crosscurrent.casefile.units import DIMENSIONS

from .output import new_table, output, say


def show_topics() -> None:
    """Every table with what it is for."""
    table = new_table("What a case file may say")
    table.add_column("table", no_wrap=True)
    table.add_column("in the file", no_wrap=True)
    table.add_column("what it is for")
    for topic in topics().values():
        table.add_row(Text(topic.name), Text(topic.heading or "at the top"), Text(topic.meaning))
    output().print(table)
    say("The keys of one of them, with an example: crosscurrent ask TABLE. The shapes: crosscurrent shapes.")


def show_topic(name: str) -> None:
    """One table: its keys, what each takes and means, and an example to copy."""
    topic = topics()[name]
    table = new_table(None)
    table.add_column("key", no_wrap=True)
    for heading in ("meaning", "takes", "if left out"):
        table.add_column(heading)
    for key in topic.keys:
        table.add_row(*(Text(cell) for cell in (key.name, key.meaning, key.kind, left_out(key))))
    say(f"{topic.heading or 'At the top of the file'}: {topic.meaning}\n")
    output().print(table)
    for dimension in dict.fromkeys(key.dimension for key in topic.keys if key.dimension):
        say(f"Units of {DIMENSIONS[dimension].noun}: {', '.join(DIMENSIONS[dimension].units)}")
    if name == "conductor":
        say("Each shape adds the keys of its own: crosscurrent shapes")
    say(f"\n{topic.example}")


def left_out(key: Key) -> str:
    """What holds where a key is left out.

    Examples
    --------
    >>> left_out(Key("bends", "2", "in every bore", default="0", needed=False)), left_out(Key("name", '"feed"', ""))
    ('0', 'needed')
    """
    return "needed" if key.needed else key.default or "-"
