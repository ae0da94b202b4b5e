"""Files that users name: ordinary ones of a stated size, and nothing that never ends."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from crosscurrent.geometries.ordinary_file import FileFault, ordinary_bytes


def read(path: Path, most: int = 10) -> bytes:
    return ordinary_bytes(path, most, "cut it")


def test_an_ordinary_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"0123456789")
    (tmp_path / "link").symlink_to("file")
    assert read(tmp_path / "file") == read(tmp_path / "link") == b"0123456789"
    with pytest.raises(FileFault, match=r"^expected a file of at most 9e-06 MB, found 1e-05 MB; cut it$"):
        read(tmp_path / "file", 9)
    with pytest.raises(FileNotFoundError):
        read(tmp_path / "none")


def test_what_is_no_ordinary_file(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="found a folder; name the file inside it"):
        read(tmp_path)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(FileFault, match="expected an ordinary file, found a pipe; save what it gives in a file"):
        read(tmp_path / "pipe")
    for device in ("/dev/zero", "/dev/random", "/dev/tty"):
        with pytest.raises(FileFault, match="found a device"):
            read(Path(device))
    with socket.socket(socket.AF_UNIX) as plug:
        plug.bind(str(tmp_path / "plug"))
        with pytest.raises(FileFault, match="found a socket"):
            read(tmp_path / "plug")


def test_files_that_a_system_makes_up_are_empty() -> None:
    """Of size 0 until they are read, and some wait for more without end."""
    assert read(Path("/proc/self/status")) == b""
