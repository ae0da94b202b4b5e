"""Only a page of this server, with its key, is answered."""

import http.client
import socket as plain
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from open_page import OpenPage, open_page
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from crosscurrent.page.server import LOOPBACK, MOST, STATIC, listening


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenPage]:
    with open_page(tmp_path_factory.mktemp("work")) as found:
        yield found


def got(page: OpenPage, path: str, **headers: str) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", page.port, timeout=20)
    connection.request(headers.pop("method", "GET"), path, headers=headers)
    answer = connection.getresponse()
    return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()


def test_the_page_and_its_files_are_there(page: OpenPage) -> None:
    status, headers, body = got(page, "/")
    assert status == 200
    assert b"crosscurrent bench" in body
    assert headers["content-security-policy"].startswith("default-src 'none'; script-src 'self'")
    assert headers["x-content-type-options"] == "nosniff"
    for file in STATIC.iterdir():
        assert got(page, f"/static/{file.name}")[0] == 200


def test_nothing_in_the_files_leads_to_another_machine() -> None:
    for file in STATIC.iterdir():
        text = file.read_text(encoding="utf-8")
        for word in ("https://", "//cdn", "eval(", "import("):
            assert word not in text
        assert text.count("http://") == text.count("http://www.w3.org/2000/svg")


@pytest.mark.parametrize(
    ("path", "headers", "status"),
    [
        ("/", {"Host": "pier.example"}, 403),
        ("/", {"Origin": "http://pier.example"}, 403),
        ("/", {"method": "POST"}, 403),
        ("/static/bench.js", {"Sec-Fetch-Site": "cross-site"}, 403),
        ("/static/../server.py", {}, 404),
        ("/static/%2e%2e/server.py", {}, 404),
        ("/static/..%2fserver.py", {}, 404),
        ("/report/guessed", {}, 404),
        ("/nothing", {}, 404),
    ],
)
def test_what_is_refused(page: OpenPage, path: str, headers: dict[str, str], status: int) -> None:
    assert got(page, path, **headers)[0] == status


@pytest.mark.parametrize("origin", [None, "http://pier.example", "null"])
def test_a_socket_from_elsewhere(page: OpenPage, origin: str | None) -> None:
    with (
        pytest.raises((InvalidStatus, ConnectionClosed)),
        connect(f"ws://{page.host}/socket", origin=origin) as socket,  # type: ignore[arg-type]
    ):
        socket.recv(timeout=20)


@pytest.mark.parametrize("key", ["", "guessed", '{"do": "undo"}'])
def test_a_wrong_key(page: OpenPage, key: str) -> None:
    with connect(f"ws://{page.host}/socket", origin=f"http://{page.host}") as socket:  # type: ignore[arg-type]
        socket.send(key)
        with pytest.raises(ConnectionClosed, match="another key"):
            socket.recv(timeout=20)


def test_a_message_that_is_too_large(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.socket.send("x" * (MOST + 1))
        with pytest.raises(ConnectionClosed):
            tab.until("never said")


def test_what_is_not_understood(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.ask(do="fly")
        assert tab.until("trouble")["words"].startswith("expected what this page can ask for")


def test_it_listens_on_this_machine_only() -> None:
    with listening() as found:
        assert found.getsockname()[0] == LOOPBACK
        with plain.create_connection(found.getsockname(), timeout=5):
            pass


@pytest.mark.parametrize("with_tab", [False, True])
def test_it_ends_a_while_after_the_last_tab(tmp_path: Path, with_tab: bool) -> None:
    with open_page(tmp_path, alone=0.5) as page:
        if with_tab:
            with page.tab() as tab:
                tab.until("state")
                time.sleep(1.0)
                assert not page.server.should_exit
        time.sleep(1.0)
        assert page.server.should_exit
