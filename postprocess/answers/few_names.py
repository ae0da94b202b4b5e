"""Names in a sentence, long lists by their ends."""

from __future__ import annotations

from collections.abc import Sequence

MOST = 4  # names that are all said


def few(names: Sequence[str]) -> str:
    """All of a few, of more the first, the last and their number.

    Examples
    --------
    >>> few(["turn.1", "turn.2"]), few([f"turn.{k}" for k in range(1, 9)])
    ('turn.1, turn.2', 'turn.1 to turn.8 (8)')
    """
    return ", ".join(names) if len(names) <= MOST else f"{names[0]} to {names[-1]} ({len(names)})"
