"""The folder of a run: there whole or not at all, and never over what is not ours."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from topic_cases import SCREENED_RODS

from crosscurrent.__main__ import main
from crosscurrent.folders import OutputError, check_folder, whole_folder


@pytest.mark.usefixtures("no_pictures")
def test_earlier_results_are_replaced_whole(case: Path) -> None:
    folder = case.parent / "rods"
    assert main(["run", str(case)]) == 0
    stale = folder / "pictures" / "stale.png"  # of a run that drew more
    stale.write_bytes(b"old")
    with (folder / "contents.txt").open("a", encoding="utf-8") as contents:
        contents.write("pictures/stale.png\n")
    assert main(["run", str(case)]) == 0
    assert not stale.exists()
    assert [p.name for p in case.parent.iterdir() if p.name.startswith(".")] == []


def test_a_folder_of_other_files_is_left_alone(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = case.parent / "letters"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear", encoding="utf-8")
    assert main(["run", str(case), "--out", str(folder)]) == 2
    assert "holds something other than earlier results" in capsys.readouterr().err
    assert [p.name for p in folder.iterdir()] == ["letter.txt"]


def test_a_file_in_the_way(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", str(case), "--out", str(case)]) == 2
    assert "expected a folder for the results, found a file" in capsys.readouterr().err
    assert case.read_text(encoding="utf-8") == SCREENED_RODS


def test_no_folder_to_put_it_in(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", str(case), "--out", str(case.parent / "no" / "where")]) == 2
    assert "there is no folder" in capsys.readouterr().err
    assert not (case.parent / "no").exists()


def test_nothing_can_be_written(
    case: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)  # as for a user without the right; root may write anywhere
    assert main(["run", str(case)]) == 2
    assert "nothing can be written in" in capsys.readouterr().err
    assert [p.name for p in case.parent.iterdir()] == ["rods.toml"]


def test_the_disk_is_full(case: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def full(self: Path, *_: object, **__: object) -> int:
        raise OSError(28, "No space left on device", str(self))

    monkeypatch.setattr(Path, "write_bytes", full)
    assert main(["run", str(case)]) == 1
    assert capsys.readouterr().err == f"{case.with_suffix('')}: No space left on device\n"  # not our hidden folder
    assert [p.name for p in case.parent.iterdir()] == ["rods.toml"]


RESULTS = '{"format": "crosscurrent-results/1"}'


def leave(folder: Path, text: str = RESULTS) -> None:
    with whole_folder(folder) as fresh:
        (fresh / "results.json").write_text(text, encoding="utf-8")


def stopped(folder: Path) -> None:
    with whole_folder(folder) as fresh:
        (fresh / "table.csv").write_text("half", encoding="utf-8")
        raise KeyboardInterrupt


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_folder_is_there_only_when_it_is_whole(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "results.json").write_text(RESULTS, encoding="utf-8")
        assert not (tmp_path / "out").exists()
    assert names(tmp_path) == ["out"]
    assert names(tmp_path / "out") == ["contents.txt", "results.json"]
    assert (tmp_path / "out").stat().st_mode & 0o777 == 0o755


def test_earlier_results_go_whole_and_stay_whole(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "results.json").write_text(RESULTS, encoding="utf-8")
        (fresh / "table.csv").write_text("old", encoding="utf-8")
    leave(tmp_path / "out", RESULTS + "\n")
    assert names(tmp_path / "out") == ["contents.txt", "results.json"]
    with pytest.raises(KeyboardInterrupt):
        stopped(tmp_path / "out")
    assert names(tmp_path / "out") == ["contents.txt", "results.json"]
    assert names(tmp_path) == ["out"]


def test_a_folder_that_cannot_be_put_in_place_leaves_the_earlier_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    leave(tmp_path / "out")
    rename = Path.rename

    def stubborn(self: Path, target: Path) -> Path:
        if Path(target) == tmp_path / "out" and self.name != "old":
            raise OSError(18, "Invalid cross-device link", str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", stubborn)
    with pytest.raises(OSError, match="Invalid cross-device link") as caught:
        leave(tmp_path / "out", "new")
    assert caught.value.filename == str(tmp_path / "out")
    assert (tmp_path / "out" / "results.json").read_text(encoding="utf-8") == RESULTS
    assert names(tmp_path) == ["out"]


@pytest.mark.parametrize(
    ("files", "taken"),
    [
        ({}, True),
        ({"results.json": RESULTS}, True),
        ({"comparison.json": '{"format": "crosscurrent-comparison/1"}', "comparison.html": ""}, True),
        ({"results.json": RESULTS, "fields.vtu": "", "fields.regions.json": "", "bar.dxf": "", "report.pdf": ""}, True),
        ({"results.json": RESULTS, "letter.txt": ""}, False),
        ({"results.json": '{"format": "other"}'}, False),
        ({"table.csv": ""}, False),
        ({".hidden": ""}, False),
    ],
)
def test_only_earlier_results_are_replaced(tmp_path: Path, files: dict[str, str], taken: bool) -> None:
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    if taken:
        check_folder(tmp_path)
    else:
        with pytest.raises(OutputError, match="holds something other than earlier results and is left alone"):
            check_folder(tmp_path)
    assert names(tmp_path) == sorted(files)


@pytest.mark.parametrize("out", ["../out", "../out/../out", "."])
def test_from_inside_its_own_folder(
    tmp_path: Path, out: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    leave(tmp_path / "out")
    monkeypatch.chdir(tmp_path / "out")
    leave(Path(out), RESULTS + "\n")
    assert names(tmp_path) == ["out"]
    assert (tmp_path / "out" / "results.json").read_text(encoding="utf-8") == RESULTS + "\n"
    assert Path("results.json").is_file()  # the process stands in the new one
    assert f"enter the new one: cd {tmp_path / 'out'}" in caplog.text


@pytest.mark.usefixtures("no_pictures")
def test_a_run_from_inside_its_own_folder(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    leave(case.parent / "rods")
    monkeypatch.chdir(case.parent / "rods")
    assert main(["run", "../rods.toml", "--out", "../rods"]) == 0
    assert names(case.parent) == ["rods", "rods.toml"]
    assert len((case.parent / "rods" / "results.json").read_bytes()) > 1000


def test_a_roundabout_way_to_the_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for text in (RESULTS, RESULTS + "\n"):
        leave(Path("out/../out"), text)
        assert names(tmp_path) == ["out"]
        assert Path("out/results.json").read_text(encoding="utf-8") == text


def test_a_link_to_the_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "out").symlink_to("there")
    leave(tmp_path / "out")
    assert (tmp_path / "out").is_symlink()
    assert names(tmp_path / "there") == ["contents.txt", "results.json"]


@pytest.mark.parametrize("other", ["notes.csv", "pictures/of-the-site.png", "old"])
def test_what_another_program_put_among_earlier_results_is_left_alone(tmp_path: Path, other: str) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "results.json").write_text(RESULTS, encoding="utf-8")
        (fresh / "pictures").mkdir()
    path = tmp_path / "out" / other
    path.mkdir() if other == "old" else path.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match=f"is left alone [(]{other}[)]; choose another --out"):
        leave(tmp_path / "out")
    assert path.exists()


def test_what_another_program_put_there_during_the_run_is_left_alone(tmp_path: Path) -> None:
    leave(tmp_path / "out")
    with pytest.raises(OutputError, match=r"left alone [(]letter.txt[)]; the results are in .*out-2"):
        written_into(tmp_path / "out", tmp_path / "out" / "letter.txt")
    assert names(tmp_path / "out") == ["contents.txt", "letter.txt", "results.json"]
    assert names(tmp_path / "out-2") == ["contents.txt", "results.json"]
    with pytest.raises(OutputError, match=r"left alone [(]a file of that name[)]; the results are in .*new-2"):
        written_into(tmp_path / "new", tmp_path / "new")
    assert names(tmp_path) == ["new", "new-2", "out", "out-2"]


def written_into(folder: Path, other: Path) -> None:
    with whole_folder(folder) as fresh:
        (fresh / "results.json").write_text(RESULTS, encoding="utf-8")
        other.write_text("mine", encoding="utf-8")


def test_a_folder_whose_results_are_no_ordinary_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "results.json")
    with pytest.raises(OutputError, match="is left alone"):
        check_folder(tmp_path)


@pytest.mark.usefixtures("no_pictures")
def test_a_report_is_never_of_other_results(
    case: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("crosscurrent.postprocess.report.as_pdf", lambda html: b"%PDF")
    assert main(["run", str(case), "--report"]) == 0
    assert caplog.text == ""
    case.write_text(SCREENED_RODS.replace("Two rods", "Two other rods"), encoding="utf-8")
    assert main(["run", str(case)]) == 0
    assert "report.html: its report was of the earlier results and has been made anew" in caplog.text
    assert "Two other rods" in (case.parent / "rods" / "report.html").read_text(encoding="utf-8")
    assert (case.parent / "rods" / "report.pdf").read_bytes() == b"%PDF"


def test_a_report_that_is_not_made_anew_is_told(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    with whole_folder(tmp_path / "out") as fresh:
        (fresh / "results.json").write_text(RESULTS, encoding="utf-8")
        (fresh / "report.html").write_text("", encoding="utf-8")
    leave(tmp_path / "out")
    assert names(tmp_path / "out") == ["contents.txt", "results.json"]
    assert "its report was of the earlier results and is removed with them" in caplog.text
