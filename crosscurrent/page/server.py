"""The page's server on this machine only: its files, one socket a tab, and the desk that answers them."""

from __future__ import annotations

import asyncio
import hmac
import json
import secrets
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect

from .desk import Desk
from .guard import REFUSED, REPORTS, Guard
from .words import ASKED, misunderstood

LOOPBACK = "127.0.0.1"
MOST = 5 * 2**20  # of one message [byte]
ALONE = 60.0  # how long it waits without a tab [s]
PATIENCE = 10.0  # how long a socket may keep its key to itself [s]
STATIC = Path(str(files("crosscurrent.page"))) / "static"


def listening() -> socket.socket:
    """A socket that this machine alone can reach, at a port of the system's choice."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.bind((LOOPBACK, 0))
    found.listen()
    return found


def new_key() -> str:
    """What a tab has to say first."""
    return secrets.token_urlsafe(24)


class ServedPage:
    """The routes around a desk.

    Parameters
    ----------
    desk : Desk
    key : str
    port : int
    alone : float
        [s] without a tab after which `on_end` is called.
    on_end : callable
    """

    def __init__(
        self, desk: Desk, key: str, port: int, *, on_end: Callable[[], None], alone: float = ALONE
    ) -> None:
        self._desk, self._key, self._port = desk, key, port
        self._on_end, self._alone = on_end, alone
        self._ending: asyncio.TimerHandle | None = None
        self._tabs = 0

    def app(self) -> ASGIApp:
        """The whole application, guarded."""
        routes = [
            Route("/", self._index), Route(REPORTS + "{token}", self._report), WebSocketRoute("/socket", self._socket),
            Mount("/static", StaticFiles(directory=STATIC, follow_symlink=False)),
        ]  # fmt: skip
        return Guard(Starlette(routes=routes, lifespan=self._lifespan), self._port)

    @asynccontextmanager
    async def _lifespan(self, _: Starlette) -> AsyncIterator[None]:
        self._wait_alone()
        self._desk.open()
        try:
            yield
        finally:
            self._desk.close()

    def _wait_alone(self) -> None:
        """End a while after the last tab, or if none ever comes."""
        self._stay()
        self._ending = asyncio.get_running_loop().call_later(self._alone, self._on_end)

    def _stay(self) -> None:
        if self._ending is not None:
            self._ending.cancel()
            self._ending = None

    async def _index(self, _: Request) -> Response:
        return FileResponse(STATIC / "index.html")

    async def _report(self, request: Request) -> Response:
        path = self._desk.reports.get(request.path_params["token"])
        if path is None or not path.is_file():
            return PlainTextResponse("There is no such report any more: run the case again.\n", 404)
        return FileResponse(path, media_type="text/html")

    async def _socket(self, tab: WebSocket) -> None:
        await tab.accept()
        try:
            first = await asyncio.wait_for(tab.receive_text(), PATIENCE)
        except (TimeoutError, WebSocketDisconnect, KeyError):
            await _refuse(tab, "no key")
            return
        if not hmac.compare_digest(first.encode(), self._key.encode()):
            await _refuse(tab, "another key")
            return
        self._stay()
        self._tabs += 1
        outbox = self._desk.join()
        sending = asyncio.create_task(_send_all(tab, outbox))
        try:
            while True:
                await self._one(tab, outbox)
        except (WebSocketDisconnect, KeyError, RuntimeError):
            pass
        finally:
            sending.cancel()
            self._desk.leave(outbox)
            self._tabs -= 1
            if not self._tabs:
                self._wait_alone()

    async def _one(self, tab: WebSocket, outbox: asyncio.Queue[bytes | str]) -> None:
        said = await tab.receive_text()
        try:
            asked = ASKED.validate_json(said)
        except ValidationError as error:
            outbox.put_nowait(json.dumps({"kind": "trouble", "words": misunderstood(error)}))
            return
        await self._desk.ask(asked, outbox)


async def _refuse(tab: WebSocket, reason: str) -> None:
    try:
        await tab.close(REFUSED, reason)
    except RuntimeError:  # gone already
        return


async def _send_all(tab: WebSocket, outbox: asyncio.Queue[bytes | str]) -> None:
    while True:
        message = await outbox.get()
        try:
            if isinstance(message, str):
                await tab.send_text(message)
            else:
                await tab.send_bytes(message)
        except (WebSocketDisconnect, RuntimeError):
            return
