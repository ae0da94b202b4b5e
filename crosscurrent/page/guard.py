"""Who may talk to the page's server: a browser on this machine that was sent here by it, and nobody else."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self' ws://{host}; font-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
SEALED = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; frame-ancestors 'none'"
REPORTS = "/report/"
REFUSED = 1008  # the close code for a policy that is broken, RFC 6455, 7.4.1


class Guard:
    """Refuses what does not come from a page of this server, before any route sees it.

    Parameters
    ----------
    app : ASGI application
    port : int
        On which this machine reaches itself.
    """

    def __init__(self, app: ASGIApp, port: int) -> None:
        self._app = app
        self._host = f"127.0.0.1:{port}"
        self._origin = f"http://{self._host}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        reason = self.fault(scope["type"], scope.get("method", "GET"), scope["path"], _headers(scope["headers"]))
        if reason is None:
            await self._app(scope, receive, self._sealed(scope, send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": REFUSED, "reason": reason})
        else:
            head = [(b"content-type", b"text/plain; charset=utf-8")]
            await send({"type": "http.response.start", "status": 403, "headers": head})
            await send({"type": "http.response.body", "body": f"Refused: {reason}.\n".encode()})

    def fault(self, kind: str, method: str, path: str, headers: dict[str, str]) -> str | None:
        """Why a request is refused, if it is.

        Parameters
        ----------
        kind : "http" or "websocket"
        method, path : str
        headers : dict
            With names in small letters.

        Examples
        --------
        >>> guard = Guard(None, 8000)
        >>> guard.fault("http", "GET", "/", {"host": "127.0.0.1:8000"})
        >>> guard.fault("http", "GET", "/", {"host": "pier.example"})
        'the host is not this machine'
        >>> guard.fault("websocket", "GET", "/socket", {"host": "127.0.0.1:8000"})
        'no origin'
        """
        if headers.get("host") != self._host:
            return "the host is not this machine"
        if kind == "http" and method not in ("GET", "HEAD"):
            return "only reading is answered here"
        origin = headers.get("origin")
        if origin is not None and origin != self._origin:
            return "another origin"
        if kind == "websocket" and origin is None:
            return "no origin"
        opened = headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"
        if headers.get("sec-fetch-site", "none") not in ("none", "same-origin") and not (opened and path == "/"):
            return "asked for by another site"
        return None

    def _sealed(self, scope: Scope, send: Send) -> Send:
        """Answers with what a browser may do with them."""
        policy = SEALED if scope["path"].startswith(REPORTS) else POLICY.format(host=self._host)
        more = [
            (b"content-security-policy", policy.encode()), (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"), (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"), (b"cache-control", b"no-store"),
        ]  # fmt: skip

        async def sealed(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", []), *more]}
            await send(message)

        return sealed


def _headers(raw: Iterable[tuple[bytes, bytes]]) -> dict[str, str]:
    return {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in raw}
