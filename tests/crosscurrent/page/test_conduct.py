"""The command as a process of its own."""

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from websockets.sync.client import connect

import crosscurrent as cc
from crosscurrent.page.conduct import run_bench
from crosscurrent.page.folder import FolderError


def test_it_listens_before_it_says_so_and_keeps_the_key_to_itself(tmp_path: Path) -> None:
    ran = subprocess.Popen(
        [sys.executable, "-m", "crosscurrent", "bench", "--no-show"], stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True, cwd=Path.cwd(), env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert ran.stdout is not None
    said = ran.stdout.readline()
    try:
        found = re.search(r"http://127\.0\.0\.1:(\d+)/#(\S+) ", said)
        assert found is not None, said
        for _ in range(3):  # itself, and its workers as they come
            for process in Path("/proc").glob("[0-9]*/cmdline") if Path("/proc").is_dir() else ():
                try:
                    assert found[2].encode() not in process.read_bytes()
                except OSError:
                    continue
            time.sleep(0.3)
    finally:
        ran.send_signal(signal.SIGINT)
        ended = ran.wait(timeout=30)
    assert ended in (0, 1)
    assert "Traceback" not in ran.stdout.read()


@pytest.mark.parametrize(
    ("name", "words"),
    [("none.toml", "none.toml: cannot be read"), ("feed.txt", "expected a file name ending in .toml"),
     ("none/feed.toml", "none: no such folder")],
)  # fmt: skip
def test_what_cannot_be_opened(tmp_path: Path, name: str, words: str) -> None:
    with pytest.raises(FolderError, match=words):
        run_bench(tmp_path / name, print, show=False)
    with pytest.raises(FolderError, match=words):
        cc.bench(tmp_path / name, show=False)


def test_beside_a_notebook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    rod = cc.conductor("rod", "round", material="copper", diameter="25 mm")
    case = cc.case("A rod", rod, cc.circuit("feed", "1 A", out=["rod"]), at=["100 kHz"])
    opened = cc.bench(case, show=False)
    place, key = opened.address.split("#")
    host = place.removeprefix("http://").rstrip("/")
    with connect(f"ws://{host}/socket", origin=f"http://{host}") as tab:  # type: ignore[arg-type]
        tab.send(key)
        tab.recv()
        assert case.source.decode() == json.loads(tab.recv())["text"]
    assert place in repr(opened)
    opened.close()
    assert repr(opened) == "<bench, ended>"
    assert not list(tmp_path.glob("*.toml"))
