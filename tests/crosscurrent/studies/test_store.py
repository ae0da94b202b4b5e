"""The store of a study: what was put is there, whatever happened since."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from crosscurrent.folders import OutputError
from crosscurrent.studies.design import Design
from crosscurrent.studies.store import Store

HEAD = """
import sys
from pathlib import Path
from crosscurrent.folders import OutputError
from crosscurrent.studies.design import Design
from crosscurrent.studies.store import Store

def design(k):
    return Design(f"key {k}", {"gap": 1e-3 * k, "metal": "copper"}, {"loss_w_per_m": 1.0 / (k + 3)}, {}, {}, {}, "pass")
"""


def design(k: int, **other: object) -> Design:
    """The same designs as those of HEAD."""
    values = {"gap": 1e-3 * k, "metal": "copper"}
    given = {"errors": {}, "slopes": {}, "margins": {}, "verdict": "pass", **other}
    return Design(f"key {k}", values, {"loss_w_per_m": 1.0 / (k + 3)}, **given)


def process(code: str, path: Path) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", HEAD + code, str(path)], stdout=subprocess.PIPE, encoding="utf-8")


def put_many(store: Store) -> None:
    for k in range(2, 1000):
        store.put(design(k))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "designs.sqlite"


def test_gives_back_what_was_put(path: Path) -> None:
    full = design(
        1, errors={"loss_w_per_m": float("inf")}, slopes={"loss_w_per_m": {"gap": -1.5}}, margins={"force": 0.1},
        verdict="fail", fault="two\nlines", seconds=0.25,
    )  # fmt: skip
    with Store(path) as store:
        store.put(full)
        store.put(design(2))
    with Store(path) as store:
        assert list(store) == [full, design(2)]
        assert store.get("key 1") == full
        assert store.get("key 3") is None
        assert "key 2" in store
        assert "key 3" not in store
        assert len(store) == 2


def test_gives_them_in_the_order_of_arrival_while_more_come(path: Path) -> None:
    with Store(path) as store:
        for k in reversed(range(1200)):
            store.put(design(k))
        seen = []
        for found in store:
            if not seen:
                store.put(design(5000))
            seen.append(found.key)
    assert seen == [f"key {k}" for k in (*reversed(range(1200)), 5000)]


def test_in_order_whatever_came_first(path: Path) -> None:
    """Those of this study alone, as often as wanted, however many; by key where all values are the same."""
    again = Design("a key", {"gap": 3e-3, "metal": "copper"}, {}, {}, {}, {}, "fail")
    with Store(path) as store:
        store.put(design(4000))
        store.begin()
        for k in (*reversed(range(1200)), 1500, 1300):
            store.put(design(k))
        store.put(again)
        found = store.in_order()
        for _ in range(2):
            assert [one.key for one in found] == [
                "key 0", "key 1", "key 2", "a key", *(f"key {k}" for k in (*range(3, 1200), 1300, 1500))
            ]  # fmt: skip


def test_same_key_takes_the_place_of_the_earlier(path: Path) -> None:
    with Store(path) as store:
        for found in (design(1, fault="no figures yet"), design(2), design(1)):
            store.put(found)
        assert list(store) == [design(1), design(2)]


def test_a_later_study_reads_its_own(path: Path) -> None:
    """Those of an earlier one are there by their keys, and are read once they are taken into it."""
    with Store(path) as store:
        for k in range(4):
            store.put(design(k))
        store.begin()
        store.put(design(7))
        store.mark(design(2))
        assert store.get(design(0).key) == design(0)
        assert list(store) == [design(2), design(7)]
    with Store(path) as store:
        assert (list(store), len(store)) == ([design(2), design(7)], 5)


def test_two_studies_on_one_store(path: Path) -> None:
    with Store(path) as store:
        store.put(design(1))
        code = "try: Store(Path(sys.argv[1]))\nexcept OutputError as error: print(error)"
        said, _ = process(code, path).communicate(timeout=60)
        with pytest.raises(OutputError, match="another study is at work"):
            Store(path)
        store.put(design(2))
        assert len(store) == 2
    assert said.startswith(f"{path}: another study is at work on these designs; wait until it ends")


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_killed_study_leaves_all_it_put_and_no_lock(path: Path) -> None:
    code = """
with Store(Path(sys.argv[1])) as store:
    for k in range(10**6):
        store.put(design(k))
        print(k, flush=True)
"""
    with process(code, path) as study:
        assert study.stdout is not None
        while int(study.stdout.readline()) < 300:
            pass
        os.kill(study.pid, signal.SIGKILL)
        said = study.stdout.read().split("\n")
        last = int(said[-2]) if len(said) > 1 else 300
    with Store(path) as store:
        assert len(store) in (last + 1, last + 2)  # one more may be put and not yet said
        assert list(store) == [design(k) for k in range(len(store))]
        store.put(design(-1))


def test_full_database_keeps_what_was_put(path: Path) -> None:
    with Store(path) as store:
        store.put(design(1))
        store._connection.execute("PRAGMA max_page_count = 8")
        with pytest.raises(OutputError, match=r"disk takes no further design .*; those put before are kept: make room"):
            put_many(store)
        kept = len(store)
        assert kept > 10
    with Store(path) as store:
        assert list(store) == [design(k) for k in range(1, kept + 1)]
        store.put(design(kept + 1))


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit")
def test_full_disk_keeps_what_was_put(path: Path) -> None:
    code = """
import resource
resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
with Store(Path(sys.argv[1])) as store:
    for k in range(10**6):
        try:
            store.put(design(k))
        except OutputError as error:
            print(k, error)
            break
"""
    said, _ = process(code, path).communicate(timeout=60)
    count, words = said.split(" ", 1)
    assert words.startswith(f"{path}: the disk takes no further design (")
    with Store(path) as store:
        assert list(store) == [design(k) for k in range(int(count))]
        store.put(design(int(count)))


def other_database(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE invoices (number INTEGER)")
    connection.close()


def later_format(path: Path) -> None:
    Store(path).__exit__(None, None, None)
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA user_version = 7")
    connection.close()


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda path: path.write_bytes(b"gap,loss\n1,2\n" * 100), "expected a store of designs, found another or"),
        (other_database, "expected a store of designs, found another database; move it away, or choose another --out"),
        (later_format, "a store of format 7, and this version knows 2"),
        (lambda path: path.mkdir(), "expected a file for the designs, found something else"),
    ],
)
def test_a_file_of_others_is_left_alone(path: Path, make: object, words: str) -> None:
    make(path)
    before = None if path.is_dir() else path.read_bytes()
    with pytest.raises(OutputError) as caught:
        Store(path)
    assert str(caught.value).startswith(f"{path}: {words}")
    assert before is None or path.read_bytes() == before


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"cannot be used as the store of designs .*; check the folder"):
        Store(tmp_path / "none" / "designs.sqlite")


def test_damage_is_said(path: Path) -> None:
    with Store(path) as store:
        for k in range(3000):
            store.put(design(k))
    data = bytearray(path.read_bytes())
    data[8192:-8192] = b"\xa5" * (len(data) - 16384)
    path.write_bytes(data)
    with pytest.raises(OutputError, match="found another or a damaged file"), Store(path) as store:
        list(store)


def test_a_row_changed_by_hand_is_said(path: Path) -> None:
    with Store(path) as store:
        store.put(design(1))
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE designs SET figures = '{'")
    connection.close()
    with Store(path) as store, pytest.raises(OutputError, match="the row of design key 1 is damaged"):
        list(store)
