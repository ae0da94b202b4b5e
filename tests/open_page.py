"""A page that is served for a test, and a socket to it."""

from __future__ import annotations

import asyncio
import json
import struct
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import uvicorn
from websockets.sync.client import ClientConnection, connect

from crosscurrent.page.desk import Desk
from crosscurrent.page.folder import WorkFolder
from crosscurrent.page.server import MOST, ServedPage, listening, new_key

LONG = 60.0


@dataclass
class OpenPage:
    """Where a page is served."""

    port: int
    key: str
    server: uvicorn.Server

    @property
    def host(self) -> str:
        return f"127.0.0.1:{self.port}"

    @property
    def address(self) -> str:
        return f"http://{self.host}/#{self.key}"

    @contextmanager
    def tab(self) -> Iterator[Tab]:
        """A socket that has said the key."""
        with connect(f"ws://{self.host}/socket", origin=f"http://{self.host}", max_size=None) as socket:  # type: ignore[arg-type]
            socket.send(self.key)
            yield Tab(socket)


@dataclass
class Tab:
    """A socket whose messages are taken apart."""

    socket: ClientConnection

    def ask(self, **words: Any) -> None:
        self.socket.send(json.dumps(words))

    def hear(self) -> dict[str, Any]:
        message = self.socket.recv(timeout=LONG)
        if isinstance(message, str):
            return dict(json.loads(message))
        (length,) = struct.unpack("<I", message[:4])
        return dict(json.loads(message[4 : 4 + length]))

    def until(self, kind: str, **wanted: Any) -> dict[str, Any]:
        """The next message of a kind in which some words stand."""
        for _ in range(500):
            found = self.hear()
            if found["kind"] == kind and all(found.get(k) == v for k, v in wanted.items()):
                return found
        raise AssertionError(f"no message {kind} {wanted}")


@contextmanager
def open_page(folder: Path, name: str | None = None, *, alone: float = LONG) -> Iterator[OpenPage]:
    """Serve a page in a thread of its own."""
    socket = listening()
    port, key = socket.getsockname()[1], new_key()
    server: uvicorn.Server

    def end() -> None:
        server.should_exit = True

    page = ServedPage(Desk(WorkFolder(folder), name), key, port, on_end=end, alone=alone)
    config = uvicorn.Config(page.app(), log_level="error", ws_max_size=MOST, timeout_graceful_shutdown=1)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=lambda: asyncio.run(server.serve(sockets=[socket])), daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield OpenPage(port, key, server)
    finally:
        server.should_exit = True
        thread.join(timeout=LONG)
        socket.close()
