"""The command `crosscurrent`, also as `python -m crosscurrent`."""

from __future__ import annotations

import logging
import sys
from collections.abc import Sequence
from io import TextIOWrapper

DONE, FAILED, INPUT_AT_FAULT = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and say how it went.

    Parameters
    ----------
    arguments : sequence of str, optional
        Those of the command line if left out.

    Returns
    -------
    int
        0 done; 2 the input is at fault; 1 anything else, also when stopped by Ctrl-C.
    """
    from cyclopts import CycloptsError

    from .command import app
    from .geometries.errors import CrosscurrentError

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without the signs of the drawings still shows the rest
    logging.basicConfig(stream=sys.stderr, format="%(message)s")
    logging.getLogger("crosscurrent").setLevel(logging.INFO)
    try:
        app(arguments, exit_on_error=False, print_error=False, result_action="return_none")
    except CycloptsError as error:
        return _fail(f"{error}\nSee: crosscurrent --help", INPUT_AT_FAULT)
    except CrosscurrentError as error:
        return _fail(str(error), INPUT_AT_FAULT if isinstance(error, ValueError) else FAILED)
    except KeyboardInterrupt:
        return _fail("Stopped; nothing was written.", FAILED)
    except OSError as error:
        return _fail(f"{error.filename or 'a file'}: {error.strerror or error}", FAILED)
    except MemoryError:
        return _fail("There is not enough memory for this case; ask for less accuracy or split it.", FAILED)
    return DONE


def _fail(message: str, status: int) -> int:
    sys.stderr.write(f"{message}\n")
    return status


if __name__ == "__main__":
    sys.exit(main())
