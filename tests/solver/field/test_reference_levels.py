"""The reference levels against the guidelines."""

from __future__ import annotations

import math

import pytest

from crosscurrent.solver.field.reference_levels import reference_levels


@pytest.mark.parametrize(
    ("frequency", "source", "public", "occupational"),
    [
        (1.0, "ICNIRP 2010", 40e-3, 0.2),
        (8.0, "ICNIRP 2010", 5e-3 / 8, 25e-3 / 8),
        (25.0, "ICNIRP 2010", 200e-6, 1e-3),
        (50.0, "ICNIRP 2010", 200e-6, 1e-3),
        (300.0, "ICNIRP 2010", 200e-6, 1e-3),
        (400.0, "ICNIRP 2010", 200e-6, 0.3 / 400),
        (1e3, "ICNIRP 2010", 80e-6, 300e-6),
        (3e3, "ICNIRP 2010", 27e-6, 100e-6),
        (85e3, "ICNIRP 2010", 27e-6, 100e-6),
        (13.56e6, "ICNIRP 2020", 4e-7 * math.pi * 2.2 / 13.56, 4e-7 * math.pi * 4.9 / 13.56),
        (100e3, "ICNIRP 2020", 4e-7 * math.pi * 22, 4e-7 * math.pi * 49),
        (100e6, "ICNIRP 2020", 4e-7 * math.pi * 0.073, 4e-7 * math.pi * 0.16),
    ],
)
def test_reference_levels(frequency: float, source: str, public: float, occupational: float) -> None:
    """Health Phys. 99, 818-836, 2010, tables 3 and 4; Health Phys. 118, 483-524, 2020, table 5 (whole body)."""
    found = {level.who: level.flux_density for level in reference_levels(frequency) if level.source == source}
    assert found["general public"] == pytest.approx(public, rel=1e-12)
    assert found["occupational"] == pytest.approx(occupational, rel=1e-12)


def test_both_guidelines_count_between_100_khz_and_10_mhz() -> None:
    assert {level.source for level in reference_levels(1e6)} == {"ICNIRP 2010", "ICNIRP 2020"}
    assert reference_levels(0.0) == ()
