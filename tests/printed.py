"""What a command printed, read back."""


def row(text, *begin):
    """The words of the one line that begins with these words."""
    lines = [line.split() for line in text.splitlines()]
    return next(words for words in lines if words[: len(begin)] == list(begin))
