"""The command `ask`: what the tables of a case file may say."""

from __future__ import annotations

from .app import CommandError


def ask(topic: str | None = None, /) -> None:
    """The tables of a case file, with their keys, what each takes, and an example to copy.

    Parameters
    ----------
    topic
        Show the keys of this table, such as water, cooling or limits.
    """
    from .ask_output import show_topic, show_topics
    from .catalogue import CATALOGUE
    from .shapes_output import show_shape

    if topic is None:
        show_topics()
    elif topic in CATALOGUE:
        show_shape(topic)
    else:
        show_topic(known_topic(topic))


def known_topic(word: str) -> str:
    """The name of a table, however it is written ("[water]", "joints"); or the nearest one in a message.

    Raises
    ------
    CommandError
    """
    from crosscurrent.casefile.keys import topics
    from crosscurrent.casefile.quantities import nearest

    known, plain = topics(), word.strip("[] ").lower()
    for name in (plain, plain.removesuffix("s"), f"{plain}s"):
        if name in known:
            return name
    holders = [topic.name for topic in known.values() if plain in (key.name for key in topic.keys)]
    near = nearest(plain, known)
    hint = f"it is a key of {', '.join(holders)}; " if holders else f'did you mean "{near}"? ' if near else ""
    raise CommandError(f'no table "{word}"; {hint}known: {", ".join(known)}')
