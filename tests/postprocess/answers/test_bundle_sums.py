"""Sums of bundles: what a bundle of resolved strands says under its own name stands in test_bundles."""

from __future__ import annotations

import made_answers

from crosscurrent.postprocess.answers.bundle_sums import summed, whole_conductors


def test_without_bundles_every_conductor_stands_for_itself() -> None:
    point = made_answers.point()
    assert summed(point) == ()
    assert [c.name for c in whole_conductors(point)] == ["rod", "back"]
