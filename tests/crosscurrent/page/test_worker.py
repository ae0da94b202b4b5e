"""Workers answer jobs, whatever the text, and can be stopped."""

import asyncio
import multiprocessing
import os
import sys
from pathlib import Path

import pytest

from crosscurrent.casefile import reader
from crosscurrent.page.board import NEW
from crosscurrent.page.worker import MEMORY, Crew, Job, Reply, Spacing, Tier, Worker, limit_memory, spaced, work

PATH = Path("section.toml")


@pytest.mark.parametrize("tier", ["following", "settled"])
def test_a_job_is_done(tier: Tier) -> None:
    reply = work(Job(tier, 7, NEW, PATH, 50.0))
    assert (reply.header["kind"], reply.header["revision"], reply.last) == (tier, 7, True)
    assert reply.header["frequency"] == 50.0
    assert "faults" not in reply.header
    assert reply.payload


def test_a_fault_is_an_answer() -> None:
    reply = work(Job("following", 1, NEW.replace("40 mm", "40"), PATH))
    assert [f["key"] for f in reply.header["faults"]] == ["width", "width"]
    assert reply.header["tables"]["conductor"][0]["width"] == "40"


def test_a_typed_gap_is_an_answer() -> None:
    assert 'centre = ["0 mm", "-6 mm"]' in spaced(Spacing(NEW, PATH, 1, "outgoing", "0.5 cm")).header["text"]
    assert "expected a length" in spaced(Spacing(NEW, PATH, 1, "outgoing", "wide")).header["trouble"]


@pytest.mark.skipif(sys.platform != "linux", reason="only there the system can see to it")
def test_a_worker_has_a_memory_limit_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "case_of", lambda *_: bytearray(MEMORY + 2**30))  # a drawing that wants more
    there, here = os.pipe()
    if not os.fork():  # in a process of its own, since the limit stays
        limit_memory()
        os.write(here, work(Job("following", 1, NEW, PATH)).header["faults"][0]["what"].encode())
        os._exit(0)
    os.close(here)
    with open(there, encoding="utf-8") as said:
        assert said.read().startswith("this takes more memory than a board may use")


def test_flux_lines_come_when_asked() -> None:
    reply = work(Job("settled", 1, NEW, PATH, maps=frozenset({"flux"})))
    assert len(reply.header["lines"]) > 10


def test_what_moves_is_as_warm_as_it_was() -> None:
    cold = work(Job("following", 1, NEW + "[cooling]\n", PATH, 0.0)).header["figures"]
    warm = {"outgoing": 120.0, "return": 120.0}
    found = work(Job("following", 1, NEW + "[cooling]\n", PATH, 0.0, temperatures=warm)).header["figures"]
    assert found["total"] / cold["total"] == pytest.approx(1 + 3.93e-3 * 100, rel=1e-6)  # of copper, IEC 60028
    assert work(Job("following", 1, NEW, PATH, 0.0, temperatures=warm)).header["figures"]["total"] == cold["total"]


def test_a_worker_is_stopped_in_the_middle() -> None:
    async def through() -> Reply:
        crew = Crew()
        try:
            crew.stand_by()
            heavy = NEW.replace("85 kHz", "500 MHz") + '\n[accuracy]\nresistance = "0.001 %"\n'
            answers = crew.settler.replies(Job("settled", 1, heavy, PATH))
            waiting = asyncio.ensure_future(anext(answers))
            await asyncio.sleep(1.0)
            assert not waiting.done()
            waiting.cancel()
            crew.replace_settler()  # a process that could not be killed would be waited for
            async for reply in crew.settler.replies(Job("following", 2, NEW, PATH)):
                return reply
            raise AssertionError
        finally:
            crew.stop()

    assert asyncio.run(through()).header["revision"] == 2


def test_a_worker_that_was_stopped_says_so() -> None:
    async def through() -> None:
        worker = Worker()
        worker.stop()
        async for _ in worker.replies(Job("following", 1, NEW, PATH)):
            pass

    with pytest.raises(OSError, match="closed"):
        asyncio.run(through())


def test_nobody_is_left_behind() -> None:
    before = set(multiprocessing.active_children())
    crew = Crew()
    crew.stand_by()
    crew.stop()
    crew.replace_settler()  # of a task that ends late
    crew.replace_follower()
    assert set(multiprocessing.active_children()) <= before
