"""What the command `shapes` puts on the terminal."""

from __future__ import annotations

from rich.text import Text

from crosscurrent.casefile.keys import Key

from .catalogue import CATALOGUE, COMMON_KEYS
from .output import new_table, output, say


def show_catalogue() -> None:
    """The table of the command `shapes`."""
    table = new_table("Shapes of a case file")
    table.add_column("shape")
    table.add_column("section", no_wrap=True)
    table.add_column("keys")
    for name, entry in CATALOGUE.items():
        keys = "\n".join(f"{key.name}{' (optional)' if key.optional else ''}" for key in entry.keys)
        table.add_row(f"{name}\n\n", Text(f"{entry.drawing}\n"), Text(f"{keys}\n"))
    output().print(table)
    say(f"Every conductor also takes {', '.join(COMMON_KEYS)}.")
    say("More about one of them: crosscurrent shapes SHAPE. A case file that runs: crosscurrent new SHAPE.")


def show_shape(name: str) -> None:
    """One shape in detail, with a sample to copy."""
    entry = CATALOGUE[name]
    table = new_table(None)
    for heading in ("key", "sample", "meaning"):
        table.add_column(heading)
    for key in entry.keys:
        table.add_row(Text(key.name), Text(_short(key)), Text(key.meaning + (" (optional)" if key.optional else "")))
    say(f"{name}: {entry.summary}\n\n{entry.drawing}\n")
    output().print(table)
    if entry.rule:
        say(f"\n{entry.rule}")
    say(f'\n[[conductor]]\nname = "outgoing"\nshape = "{name}"')
    for key in (key for key in entry.keys if not key.apart):
        say(f"{key.name} = {key.sample}")
    say('centre = ["0 mm", "0 mm"]\nmaterial = "copper"')


def _short(key: Key) -> str:
    return key.sample if len(key.sample) < 30 else "see below"
