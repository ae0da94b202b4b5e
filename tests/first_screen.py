"""What holds of every first screen, and of what the terminal says without being asked for more."""

from __future__ import annotations

import re

FIRST, WHOLE = 12, 80


def check(said: str) -> list[str]:
    """The lines of the first screen."""
    first = said.split("\n\n")[0].splitlines()
    assert len(first) <= FIRST
    assert len(said.splitlines()) <= WHOLE
    assert not re.search(r"(?:R|Loss:|loss|Rac/Rdc) -\d", "\n".join(first))
    for number, word in enumerate(("Limits: ", "Loss: ", "Temperature: "), 1):
        assert first[number].startswith(word)
    return first
