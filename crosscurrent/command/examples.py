"""The command `examples`: the shipped cases with their questions, and a copy of one to work on."""

from __future__ import annotations


def examples(name: str | None = None, /) -> None:
    """The shipped cases with the questions they answer; of one named, a copy in the current folder.

    Parameters
    ----------
    name
        The case to copy, with the drawings and data it reads. Nothing is overwritten.
    """
    from pathlib import Path

    from crosscurrent.examples import copied, known, shipped

    from .output import output, say, show_line

    if name is None:
        console = output()
        for example in shipped():
            say(example.name)
            show_line(console, example.question)
        say("A copy to work on: crosscurrent examples NAME")
        return
    example = known(name)
    files = copied(example, Path())
    say(f"Copied {', '.join(files)}. Solve it with: crosscurrent run {example.name}.toml")
