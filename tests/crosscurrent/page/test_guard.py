"""Who is refused, and what a browser may do with the answers."""

import pytest

from crosscurrent.page.guard import POLICY, SEALED, Guard

HERE = {"host": "127.0.0.1:8000"}
GUARD = Guard(None, 8000)  # type: ignore[arg-type]  # nothing is let through to it


def test_this_page_is_let_in() -> None:
    assert GUARD.fault("http", "GET", "/", HERE) is None
    own = HERE | {"origin": "http://127.0.0.1:8000"}
    assert GUARD.fault("websocket", "GET", "/socket", own) is None
    assert GUARD.fault("http", "GET", "/static/bench.js", HERE | {"sec-fetch-site": "same-origin"}) is None


@pytest.mark.parametrize(
    "host", ["", "pier.example", "pier.example:8000", "localhost:8000", "127.0.0.1:8001", "[::1]:8000"]
)
def test_a_foreign_host_is_refused(host: str) -> None:
    assert GUARD.fault("http", "GET", "/", {"host": host}) == "the host is not this machine"


@pytest.mark.parametrize("kind", ["http", "websocket"])
@pytest.mark.parametrize("origin", ["null", "http://pier.example", "https://127.0.0.1:8000", "http://127.0.0.1"])
def test_a_foreign_origin_is_refused(kind: str, origin: str) -> None:
    assert GUARD.fault(kind, "GET", "/socket", HERE | {"origin": origin}) == "another origin"


def test_a_socket_needs_an_origin() -> None:
    assert GUARD.fault("websocket", "GET", "/socket", HERE) == "no origin"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH"])
def test_nothing_is_taken_by_http(method: str) -> None:
    assert GUARD.fault("http", method, "/", HERE) == "only reading is answered here"


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_other_sites_fetch_nothing(site: str) -> None:
    asked = HERE | {"sec-fetch-site": site}
    assert GUARD.fault("http", "GET", "/static/bench.js", asked) == "asked for by another site"
    opened = asked | {"sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
    assert GUARD.fault("http", "GET", "/", opened) is None  # the page alone, which is nothing without its key
    assert GUARD.fault("http", "GET", "/report/x", opened) == "asked for by another site"
    framed = opened | {"sec-fetch-dest": "iframe"}
    assert GUARD.fault("http", "GET", "/", framed) == "asked for by another site"


def test_policies_allow_no_other_machine_and_no_eval() -> None:
    assert "default-src 'none'" in POLICY
    assert "default-src 'none'" in SEALED
    assert SEALED.startswith("sandbox;")
    for word in ("unsafe-eval", "*", "https:"):
        assert word not in POLICY + SEALED
    assert "unsafe-inline" not in POLICY
