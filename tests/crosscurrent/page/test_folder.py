"""A board keeps to its folder."""

from pathlib import Path

import pytest

from crosscurrent.page.folder import DRAWINGS, FolderError, WorkFolder


@pytest.fixture
def folder(tmp_path: Path) -> WorkFolder:
    (tmp_path / "work").mkdir()
    (tmp_path / "secret.toml").write_text("x = 1", encoding="utf-8")
    (tmp_path / "work" / "feed.toml").write_text("title = 'feed'", encoding="utf-8")
    return WorkFolder(tmp_path / "work")


def test_cases_are_listed_and_read(folder: WorkFolder) -> None:
    assert folder.cases() == ["feed.toml"]
    assert folder.read("feed.toml") == "title = 'feed'"


@pytest.mark.parametrize(
    "name",
    ["../secret.toml", "..", "/etc/passwd", "a/b.toml", "a\\b.toml", "feed.txt", ".hidden.toml", "", "feed.toml\0"],
)
def test_paths_do_not_lead_out(folder: WorkFolder, name: str) -> None:
    with pytest.raises(FolderError, match="expected a file name ending in"):
        folder.read(name)


def test_links_do_not_lead_out(folder: WorkFolder, tmp_path: Path) -> None:
    (folder.root / "way.toml").symlink_to(tmp_path / "secret.toml")
    for use in (folder.read, lambda name: folder.write(name, "x = 2")):
        with pytest.raises(FolderError, match="a link that leads out of the folder"):
            use("way.toml")
    assert (tmp_path / "secret.toml").read_text(encoding="utf-8") == "x = 1"


def test_files_are_written_whole(folder: WorkFolder) -> None:
    folder.write("feed.toml", "title = 'other'")
    assert folder.read("feed.toml") == "title = 'other'"
    assert [p.name for p in folder.root.iterdir()] == ["feed.toml"]
    assert folder.write("slot.dxf", b"0\nEOF\n", DRAWINGS).read_bytes() == b"0\nEOF\n"


def test_a_file_that_cannot_be_written(folder: WorkFolder) -> None:
    (folder.root / "full.toml").mkdir()
    with pytest.raises(FolderError, match=r"full\.toml: cannot be written"):
        folder.write("full.toml", "x")
    assert not list(folder.root.glob(".*"))


def test_drafts(folder: WorkFolder) -> None:
    assert folder.draft("feed.toml") is None
    folder.keep_draft("feed.toml", "title = 'draft'")
    assert folder.draft("feed.toml") == "title = 'draft'"
    assert folder.cases() == ["feed.toml"]
    folder.write("feed.toml", "title = 'draft'")
    assert folder.draft("feed.toml") is None  # saved since
    folder.drop_draft("feed.toml")
    assert [p.name for p in folder.root.iterdir()] == ["feed.toml"]


def test_what_is_no_case(folder: WorkFolder) -> None:
    (folder.root / "wide.toml").write_bytes("title".encode("utf-16"))
    with pytest.raises(FolderError, match="no text in UTF-8"):
        folder.read("wide.toml")
    with pytest.raises(FolderError, match="cannot be read"):
        folder.read("none.toml")


def test_a_drawing_takes_no_place_of_another(folder: WorkFolder) -> None:
    folder.add_drawing("rail.svg", b"<svg/>")
    folder.add_drawing("rail.svg", b"<svg/>")
    with pytest.raises(FolderError, match=r"rail.svg: the folder has another drawing of this name; give yours"):
        folder.add_drawing("rail.svg", b"<svg> </svg>")
    assert (folder.root / "rail.svg").read_bytes() == b"<svg/>"
