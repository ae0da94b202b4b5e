"""Runs a page until its last tab is closed, in the foreground or beside a notebook."""

from __future__ import annotations

import socket
import tempfile
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from crosscurrent.extras import extra

from .folder import FolderError, WorkFolder

if TYPE_CHECKING:
    import uvicorn

    from crosscurrent.casefile.case import Case
    from crosscurrent.result import Result


def run_bench(case: Path | None, say: Callable[[str], None], *, show: bool = True) -> None:
    """Serve a page for a case, or for an empty board, and come back when it ends.

    Parameters
    ----------
    case : Path or None
    say : callable
        Is told the address when the server listens.
    show : bool
        Open the browser.

    Raises
    ------
    MissingExtra
        What serves the page is not installed.
    FolderError
        The case or its folder cannot be used.
    """
    folder = WorkFolder((case.parent if case else Path()).resolve())
    if not folder.root.is_dir():
        raise FolderError(f"{folder.root.name}: no such folder")
    if case is not None:
        folder.read(case.name)
    served = _served(folder, case.name if case else None)
    say(f"The bench is open at {served.address} (this machine only; Ctrl-C ends it).")
    with tempfile.TemporaryDirectory() as private:
        if show:
            _show(served.address, Path(private))
        served.run()


def bench(case: Case | Result | str | Path | None = None, *, show: bool = True) -> OpenBench:
    """Open the drawing board in a tab of the browser and go on: for notebooks and consoles.

    A case that has a file works in that file's folder; one made in Python begins unsaved in the current folder. In a
    script call it under `if __name__ == "__main__":`, since the board starts processes, and then `wait()`.

    Parameters
    ----------
    case : Case, Result, str or Path, optional
        A case, what it came to, or a case file; two bars without it.
    show : bool
        Open the browser.

    Raises
    ------
    MissingExtra
        What serves the page is not installed.
    FolderError
        The case file or its folder cannot be used.

    Examples
    --------
    >>> bench("no-such-folder/feed.toml")
    Traceback (most recent call last):
    ...
    crosscurrent.page.folder.FolderError: no-such-folder: no such folder
    """
    from crosscurrent.casefile.case import Case
    from crosscurrent.result import Result

    case = case.case if isinstance(case, Result) else case
    path = case.path if isinstance(case, Case) else None if case is None else Path(case)
    folder = WorkFolder((path.parent if path else Path()).resolve())
    if not folder.root.is_dir():
        raise FolderError(f"{folder.root.name}: no such folder")
    if path is not None:
        folder.read(path.name)
    text = case.source.decode() if isinstance(case, Case) and path is None else None
    served = _served(folder, path.name if path else None, text)
    private = tempfile.TemporaryDirectory()
    thread = threading.Thread(target=served.run, daemon=True)
    thread.start()
    if show:
        _show(served.address, Path(private.name))
    return OpenBench(served, thread, private)


class OpenBench:
    """A board that is open beside the program that opened it; it ends a minute after its last tab."""

    def __init__(self, served: _Served, thread: threading.Thread, private: tempfile.TemporaryDirectory[str]) -> None:
        self._served, self._thread, self._private = served, thread, private

    def __repr__(self) -> str:
        return f"<bench at {self.address}>" if self._thread.is_alive() else "<bench, ended>"

    @property
    def address(self) -> str:
        """Where it is, with the key that opens it."""
        return self._served.address

    def wait(self) -> None:
        """Come back when it has ended."""
        self._thread.join()
        self._private.cleanup()

    def close(self) -> None:
        """End it."""
        self._served.server.should_exit = True
        self.wait()


@dataclass(frozen=True)
class _Served:
    """A server with the socket that it listens at."""

    server: uvicorn.Server
    socket: socket.socket
    address: str

    def run(self) -> None:
        """Serve until it ends."""
        self.server.run(sockets=[self.socket])


def _served(folder: WorkFolder, name: str | None, text: str | None = None) -> _Served:
    with extra("bench"):
        import uvicorn

        from .desk import Desk
        from .server import MOST, ServedPage, listening, new_key
    listens = listening()
    port, key = listens.getsockname()[1], new_key()
    server: uvicorn.Server

    def end() -> None:
        server.should_exit = True

    page = ServedPage(Desk(folder, name, text), key, port, on_end=end)
    server = uvicorn.Server(
        uvicorn.Config(page.app(), log_level="error", ws_max_size=MOST, timeout_graceful_shutdown=1)
    )
    return _Served(server, listens, f"http://127.0.0.1:{port}/#{key}")


def _show(address: str, private: Path) -> None:
    """Open a browser by a file that only this user can read: the key is not to stand in the list of processes."""
    door = private / "bench.html"
    door.write_text(
        f'<!doctype html><meta http-equiv="refresh" content="0; url={address}"><title>crosscurrent</title>',
        encoding="utf-8",
    )
    door.chmod(0o600)
    webbrowser.open(door.as_uri())
