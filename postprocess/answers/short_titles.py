"""Titles of cases cut to heads of columns, each still its own."""

from __future__ import annotations

from collections.abc import Sequence

WIDE = 28  # characters of a head


def short_titles(titles: Sequence[str]) -> tuple[str, ...]:
    """The titles without the words that all begin and end with, cut to `WIDE`, and numbered where two are alike.

    Examples
    --------
    >>> short_titles(["Feed to the pad, bars face to face, 900 A", "Feed to the pad, bars edge to edge, 900 A"])
    ('face to face', 'edge to edge')
    >>> short_titles(["Rod", "Rod"])
    ('Rod (1)', 'Rod (2)')
    """
    words = [title.split() for title in titles]
    if any(len(title) > WIDE for title in titles):
        words = _ends_off(_ends_off(words), backward=True)
    names = [_cut(" ".join(found)).strip(" ,;:-") or title for found, title in zip(words, titles, strict=True)]
    return tuple(f"{n} ({names[:k].count(n) + 1})" if names.count(n) > 1 else n for k, n in enumerate(names))


def _ends_off(words: list[list[str]], *, backward: bool = False) -> list[list[str]]:
    """Without the words that all of them begin with; at least one is left of each."""
    turned = [found[::-1] if backward else found for found in words]
    shared = 0
    for alike in zip(*(found[:-1] for found in turned), strict=False):
        if len(set(alike)) > 1:
            break
        shared += 1
    return [found[: len(found) - shared] if backward else found[shared:] for found in words]


def _cut(text: str) -> str:
    return text if len(text) <= WIDE else f"{text[: WIDE - 3].rsplit(' ', 1)[0]}..."
