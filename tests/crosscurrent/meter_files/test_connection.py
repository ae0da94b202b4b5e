"""How a part hung: what is said against what a file holds, and the impedance of either way."""

import numpy as np
import pytest

from crosscurrent.meter_files.connection import impedance_of, way
from crosscurrent.meter_files.meter_file import MeterFileError


def test_one_port_needs_no_word() -> None:
    assert way("a", 1, None) == way("a", 1, "one-port") == "one-port"
    assert way("a", 2, "shunt-through") == "shunt-through"


@pytest.mark.parametrize(("ports", "said"), [(1, "shunt-through"), (2, None), (2, "one-port")])
def test_contradictions(ports: int, said: str | None) -> None:
    with pytest.raises(MeterFileError) as caught:
        way("a", ports, said)
    assert caught.value.key == "connection"


def test_by_hand() -> None:
    """100 ohm at 50 ohm: S11 = 1/3, S21 in series 1/2, to ground 4/5; an open has no impedance."""
    fifty = np.array([50 + 0j])
    assert impedance_of(np.array([1 / 3 + 0j]), fifty, "one-port") == pytest.approx(100)
    assert impedance_of(np.array([0.5 + 0j]), fifty, "series-through") == pytest.approx(100)
    assert impedance_of(np.array([0.8 + 0j]), fifty, "shunt-through") == pytest.approx(100)
    assert not np.isfinite(impedance_of(np.array([1 + 0j]), fifty, "one-port")).any()
