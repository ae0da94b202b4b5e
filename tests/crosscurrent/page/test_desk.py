"""A board as its tabs know it: answers follow, older ones are dropped, two tabs agree."""

import base64
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from open_page import OpenPage, open_page

CASE = Path("cases/feed-facing.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("work")
    (folder / "feed.toml").write_text(CASE, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def page(work: Path) -> Iterator[OpenPage]:
    with open_page(work, "feed.toml") as found:
        yield found


@pytest.fixture(autouse=True)
def _afresh(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.until("state")
        tab.ask(do="open", name="feed.toml")
        tab.until("state")


def test_an_edit_is_followed_and_then_settled(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.ask(do="set", place=["conductor", 0, "width"], value="80 mm")
        revision = tab.until("state", changed=True)["revision"]
        quick = tab.until("following", revision=revision)["figures"]["circuits"][0]
        settled = tab.until("settled", revision=revision)["figures"]["circuits"][0]
        assert "resistance_error" not in quick
        assert settled["resistance_error"] < 1e-3
        for key in ("resistance", "inductance"):
            assert quick[key] == pytest.approx(settled[key], rel=0.01)


def test_only_the_newest_of_many_moves_is_answered(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.until("settled")
        for k in range(40):
            tab.ask(do="move", row=0, by=[0, 1e-4 * k], end=k == 39)
        revision, answers = 0, 0
        for _ in range(200):
            heard = tab.hear()
            revision = max(revision, heard["revision"]) if heard["kind"] == "state" else revision
            answers += heard["kind"] == "following"
            if heard["kind"] == "settled":
                break
        assert heard["revision"] == revision
        assert answers < 40


def test_a_fault_keeps_the_board_and_names_its_place(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.ask(do="set", place=["conductor", 0, "thickness"], value="6 kHz")
        revision = tab.until("state", changed=True)["revision"]
        (fault,) = tab.until("following", revision=revision)["faults"]
        assert (fault["key"], fault["place"]) == ("thickness", 'conductor "outgoing"')
        tab.ask(do="undo")
        assert "faults" not in tab.until("settled")


def test_two_tabs_agree(page: OpenPage) -> None:
    with page.tab() as one, page.tab() as other:
        one.ask(do="set", place=["conductor", 0, "width"], value="90 mm")
        other.until("state", changed=True)
        other.ask(do="text", text=CASE + "# mine\n", revision=0)
        state = one.until("state", text=CASE + "# mine\n")
        assert "Another tab had changed this" in state["note"]


def test_saved_and_opened(page: OpenPage, work: Path) -> None:
    with page.tab() as tab:
        tab.ask(do="set", place=["conductor", 0, "width"], value="70 mm")
        tab.ask(do="save", name="narrow.toml")
        assert tab.until("state", name="narrow.toml")["changed"] is False
        assert (work / "narrow.toml").read_text(encoding="utf-8") == CASE.replace("100 mm", "70 mm", 1)
        tab.ask(do="save", name="feed.toml")  # which is another case
        assert "there is such a file already" in tab.until("trouble")["words"]
        tab.ask(do="open", name="rod-100khz", shipped=True)
        assert "rod-100khz.toml" in tab.until("state", name="rod-100khz.toml")["cases"]
        for name in ("../feed.toml", "none.toml"):
            tab.ask(do="open", name=name)
            assert name.split("/")[-1] in tab.until("trouble")["words"]


def test_what_another_program_changed_is_not_written_over(page: OpenPage, work: Path) -> None:
    (work / "shared.toml").write_text(CASE, encoding="utf-8")
    with page.tab() as tab:
        tab.ask(do="open", name="shared.toml")
        tab.until("state", name="shared.toml")
        tab.ask(do="set", place=["conductor", 0, "width"], value="70 mm")
        (work / "shared.toml").write_text(CASE + "# theirs\n", encoding="utf-8")
        for wish in ({"do": "save", "name": "shared.toml"}, {"do": "run"}):
            tab.ask(**wish)
            assert "another program changed it since" in tab.until("trouble")["words"]
        assert (work / "shared.toml").read_text(encoding="utf-8") == CASE + "# theirs\n"
        tab.ask(do="open", name="shared.toml")
        assert tab.until("state", changed=False)["text"] == CASE + "# theirs\n"


def test_a_cancelled_run_leaves_nothing_and_what_changed_in_a_run_settles(page: OpenPage, work: Path) -> None:
    with page.tab() as tab:
        tab.until("settled")
        tab.ask(do="run")
        while not list(work.glob(".feed-crosscurrent-*")):
            tab.until("run")
        tab.ask(do="cancel")
        tab.until("cancelled")
        for _ in range(100):
            if not list(work.glob(".feed-crosscurrent-*")):
                break
            time.sleep(0.05)
        assert not list(work.glob(".feed-crosscurrent-*"))
        tab.ask(do="run")
        tab.until("run")
        tab.ask(do="set", place=["circuit", 0, "current"], value="200 A")
        revision = tab.until("state", changed=True)["revision"]
        tab.until("settled", revision=revision)


def test_a_board_without_a_part_is_empty(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.until("settled")
        for _ in range(2):
            tab.ask(do="delete", row=0)
            revision = tab.until("state")["revision"]
        assert tab.until("following", revision=revision)["scene"]["parts"] == []


def test_a_board_without_a_file_comes_back_as_its_draft_was_left(tmp_path: Path) -> None:
    (tmp_path / "section.toml").write_text(CASE, encoding="utf-8")  # which is not to be written over
    (tmp_path / ".section-2.toml.draft").write_text(CASE + "# mine\n", encoding="utf-8")
    with open_page(tmp_path) as page, page.tab() as tab:
        assert tab.until("state", name="section-2.toml")["text"] == CASE + "# mine\n"
        assert "the draft that was not saved is back" in tab.until("note")["words"]


def test_a_drawing_comes_in(page: OpenPage, work: Path) -> None:
    drawing = Path("cases/drawings/t-slot-busbar.dxf").read_bytes()
    with page.tab() as tab:
        tab.ask(do="open", name="rod-100khz.toml" if (work / "rod-100khz.toml").exists() else "feed.toml")
        tab.until("state")
        tab.ask(do="upload", name="slot.dxf", content=base64.b64encode(drawing).decode())
        assert 'file = "slot.dxf"' in tab.until("state", changed=True)["text"]
        assert (work / "slot.dxf").read_bytes() == drawing
        tab.ask(do="upload", name="slot.exe", content="")
        assert "expected a file name ending in .dxf or .svg" in tab.until("trouble")["words"]


def test_pins(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.until("settled")
        tab.ask(do="pin")
        pins = tab.until("state")["pins"]
        assert pins[-1]["kind"] == "settled"
        assert pins[-1]["figures"]["circuits"][0]["name"] == "feed"
        tab.ask(do="back", pin=99)
        assert "no such pinned design" in tab.until("trouble")["words"]


def test_pinned_designs_follow_the_frequency(page: OpenPage) -> None:
    with page.tab() as tab:
        tab.until("settled")
        tab.ask(do="pin")
        number = tab.until("state")["pins"][-1]["pin"]
        tab.ask(do="tune", frequency=50.0)
        tab.until("settled", frequency=50.0)
        while tab.until("state")["pins"][-1]["frequency"] != 50.0:
            pass
        tab.ask(do="compare", pins=[number])
        found = tab.until("pinned")
        assert found["field"]["high"] > 0
        assert found["figures"]["circuits"][0]["ratio"] < 1.01


def test_maps_come_to_tabs_in_sight_that_ask(page: OpenPage) -> None:
    with page.tab() as tab, page.tab() as hidden:
        hidden.ask(do="look", seen=False)
        tab.ask(do="text", text=CASE.replace("900 A", "90 A") + "\n[cooling]\n", revision=0)
        tab.until("state", changed=True)
        tab.ask(do="show", kind="temperature")
        while not (found := tab.until("settled")).get("maps"):
            pass
        assert found["maps"]["temperature"]["rows"][0]["hottest"] > 20.0
        while "figures" not in (blind := hidden.until("settled")) or blind["revision"] < found["revision"]:
            pass
        assert "field" not in blind
        hidden.ask(do="look", seen=True)
        assert hidden.until("settled", revision=found["revision"])["figures"] == found["figures"]
        assert found["field"]


def test_a_run_leaves_its_files_and_a_report(page: OpenPage, work: Path) -> None:
    with page.tab() as tab:
        tab.ask(do="run")
        assert tab.until("run")["step"]
        done = {"report": None}
        while not done.get("report"):
            done = tab.until("run")
        assert done["folder"] == "feed"
        assert (work / "feed" / "results.json").exists()


def test_another_frequency_leaves_the_text(page: OpenPage) -> None:
    with page.tab() as tab:
        text = tab.until("state")["text"]
        tab.ask(do="tune", frequency=50.0)
        assert tab.until("settled", frequency=50.0)["figures"]["circuits"][0]["ratio"] < 1.01
        tab.ask(do="undo")
        assert tab.until("state")["text"] == text
