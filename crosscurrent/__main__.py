"""The command `crosscurrent`, also as `python -m crosscurrent`."""

from __future__ import annotations

import gc
import logging
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import TextIOWrapper
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from cyclopts import CycloptsError

DONE, FAILED, INPUT_AT_FAULT = 0, 1, 2
ENDED = 128 + signal.SIGTERM  # as a shell counts it
COLLECTED = (100_000, 20, 1000)  # objects made between looks for unreachable ones: a tenth of a run goes there else


class Ended(BaseException):
    """The system asked the process to end; like Ctrl-C it goes through everything, so that all is cleared up."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and say how it went.

    Parameters
    ----------
    arguments : sequence of str, optional
        Those of the command line if left out.

    Returns
    -------
    int
        0 done; 2 the input is at fault; 1 anything else, also when stopped by Ctrl-C; 143 when asked to end by SIGTERM.
    """
    try:
        with _ends_orderly(), _seldom_collected():
            return _answered(arguments)
    except KeyboardInterrupt:
        return _fail("Stopped; nothing half-made is left.", FAILED)
    except Ended:
        return _fail("Ended from outside; nothing half-made is left.", ENDED)


@contextmanager
def _ends_orderly() -> Iterator[None]:
    """Within it SIGTERM raises `Ended`; only the main thread of a process can say so."""
    asked = False

    def end(*_: object) -> NoReturn:
        nonlocal asked
        asked = True
        raise Ended

    try:
        before = signal.signal(signal.SIGTERM, end)
    except ValueError:
        yield
        return
    try:
        yield
    except Exception:
        if asked:  # a library took it for a fault of its own: comparisons of numpy's do
            raise Ended from None
        raise
    finally:
        signal.signal(signal.SIGTERM, before)


@contextmanager
def _seldom_collected() -> Iterator[None]:
    before = gc.get_threshold()
    gc.set_threshold(*COLLECTED)
    try:
        yield
    finally:
        gc.set_threshold(*before)


def _answered(arguments: Sequence[str] | None) -> int:
    """The same, for all but Ctrl-C and SIGTERM."""
    from cyclopts import CycloptsError

    from crosscurrent.command.app import metals_first
    from crosscurrent.command.main import app
    from crosscurrent.geometries.errors import CrosscurrentError

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the signs of the drawings still shows the rest
    logging.basicConfig(stream=sys.stderr, format="%(message)s")
    logging.getLogger("crosscurrent").setLevel(logging.INFO)
    try:
        words = metals_first(sys.argv[1:] if arguments is None else arguments)
        app(words, exit_on_error=False, print_error=False, result_action="return_none")
    except CycloptsError as error:
        return _fail(_in_plain_words(error), INPUT_AT_FAULT)
    except CrosscurrentError as error:
        return _fail(str(error), INPUT_AT_FAULT if isinstance(error, ValueError) else FAILED)
    except BrokenPipeError:  # whoever read our output has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAILED
    except OSError as error:
        return _fail(f"{error.filename or 'a file'}: {error.strerror or error}", FAILED)
    except MemoryError:
        return _fail("There is not enough memory for this case; ask for less accuracy or split it.", FAILED)
    return DONE


def _in_plain_words(error: CycloptsError) -> str:
    """What is wrong with the words of a command line, and where its help is."""
    from cyclopts import exceptions

    from crosscurrent.casefile.quantities import nearest

    command = " ".join(error.command_chain or ())
    tokens = error.unused_tokens or [""]
    name = error.argument.name if error.argument else ""
    match error:
        case exceptions.UnknownCommandError():
            from crosscurrent.command.main import app

            known = [word for word in app if not word.startswith("-")]
            near = nearest(tokens[0], known)
            hint = f'did you mean "{near}"?' if near else f"the commands are {', '.join(known)}"
            text = f'no command "{tokens[0]}"; {hint}'
        case exceptions.UnknownOptionError():
            word = error.token.keyword or error.token.value
            known = [n for argument in error.argument_collection for n in argument.names if n.startswith("--")]
            near = nearest(word, known)
            hint = f'did you mean "{near}"?' if near else f"its options are {', '.join(known) or 'none'}"
            if _is_negative(word):
                hint = "it looks like a value with a minus sign, which none of its options takes here"
            text = f'no option "{word}"; {hint}'
        case exceptions.MissingArgumentError():
            text = _missing(name, list(error.root_input_tokens or ()))
        case exceptions.UnusedCliTokensError():
            text = f'expected nothing more, found "{" ".join(tokens)}"; put a value with spaces in quotes'
        case exceptions.RepeatArgumentError():
            text = f"{error.token.keyword}: expected once, found twice; leave one of them out"
        case exceptions.CoercionError() if error.token is not None:
            text = f'{name}: cannot be "{error.token.value}"'
        case _:
            text = str(error)
    return f"{f'{command}: ' if command else ''}{text}\nSee: crosscurrent {f'{command} ' if command else ''}--help"


def _missing(name: str, words: list[str]) -> str:
    """What stands behind an option that lacks its value."""
    if name not in words:
        return f"expected {name}, found nothing"
    behind = [*words, ""][words.index(name) + 1]
    if _is_negative(behind):
        return f'{name}: expected a value without a minus sign, found "{behind}"; write it without the minus sign'
    return f"{name}: expected a value behind it, found nothing"


def _is_negative(word: str) -> bool:
    """Whether a word is a number below zero, with its unit."""
    return word.startswith("-") and (word[1:2].isdigit() or word[1:2] == ".")


def _fail(message: str, status: int) -> int:
    sys.stderr.write(f"{message}\n")
    return status


if __name__ == "__main__":
    sys.exit(main())
