"""Pictures of a report stand in the page itself."""

from __future__ import annotations

from base64 import b64decode

import pytest

from crosscurrent.postprocess.report import Picture


@pytest.mark.parametrize(
    ("content", "kind"),
    [(b"\x89PNG\r\n1", "image/png"), (b"<svg></svg>", "image/svg+xml"), (b"<?xml version='1.0'?>", "image/svg+xml")],
)
def test_the_file_itself_is_the_address(content: bytes, kind: str) -> None:
    head, _, body = Picture(content, "seen", "told").source.partition(",")
    assert head == f"data:{kind};base64"
    assert b64decode(body) == content
