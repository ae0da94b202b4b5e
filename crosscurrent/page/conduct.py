"""Runs a page until its last tab is closed."""

from __future__ import annotations

import tempfile
import webbrowser
from collections.abc import Callable
from pathlib import Path

from crosscurrent.extras import extra

from .folder import FolderError, WorkFolder


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
    with extra("bench"):
        import uvicorn

        from .desk import Desk
        from .server import MOST, ServedPage, listening, new_key
    socket = listening()
    port, key = socket.getsockname()[1], new_key()
    server: uvicorn.Server

    def end() -> None:
        server.should_exit = True

    page = ServedPage(Desk(folder, case.name if case else None), key, port, on_end=end)
    server = uvicorn.Server(
        uvicorn.Config(page.app(), log_level="error", ws_max_size=MOST, timeout_graceful_shutdown=1)
    )
    address = f"http://127.0.0.1:{port}/#{key}"
    say(f"The bench is open at {address} (this machine only; Ctrl-C ends it).")
    with tempfile.TemporaryDirectory() as private:
        if show:
            _show(address, Path(private))
        server.run(sockets=[socket])


def _show(address: str, private: Path) -> None:
    """Open a browser by a file that only this user can read: the key is not to stand in the list of processes."""
    door = private / "bench.html"
    door.write_text(
        f'<!doctype html><meta http-equiv="refresh" content="0; url={address}"><title>crosscurrent</title>',
        encoding="utf-8",
    )
    door.chmod(0o600)
    webbrowser.open(door.as_uri())
