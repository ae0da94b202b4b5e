"""Tables of a current's samples: what is read, and what is said of faulty ones."""

import math

import numpy as np
import pytest

from crosscurrent.solver.time.sample_table import WaveformError, read_samples

GOOD = "time [us]; current [A]\n# of the bench\n0; 0\n3; 10\n6; 0\n9; -10\n12; 0\n"


def test_files_are_read() -> None:
    found = read_samples(GOOD, 1 / 12e-6)
    assert found.rms == pytest.approx(10 / math.sqrt(3))
    assert abs(found.harmonic(1)) == pytest.approx(80 / np.pi**2 / math.sqrt(2))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "found nothing"),
        ("0,0\n1,1\n", r'line 1: expected the titles "time \[us\], current \[A\]", found "0,0"'),
        ("time [min], current [A]\n0,0\n", "units are s, ms, us, ns"),
        (GOOD.replace("3; 10", "3; ten"), r'line 4: expected two numbers, time and current, found "3; ten"'),
        (GOOD.replace("3; 10", "3,5; 10"), "write a decimal point"),
        (GOOD.replace("3; 10", "3; nan"), "two finite numbers"),
        (GOOD.replace("3; 10", "3; 10; 4"), "line 4: expected two numbers"),
        (GOOD.replace("6; 0", "2; 0"), "line 5: expected a time after 3e-06 s, found 2e-06 s"),
        (GOOD.replace("12; 0", "12; 9"), "line 7: expected the current of the first sample again, 0 A"),
        (GOOD.replace("12; 0", "13; 0"), "samples over 1.3e-05 s; leave out what is beyond one period"),
        ("time [us], current [A]\n0,0\n1,1\n2,0\n", "expected a whole period of 1.2e-05 s"),
        ("time [us], current [A]\n0,0\n6,1\n", "at least 3 samples of one period, found 2"),
        ("time [us], current [A]\n0,0\n6,0\n11,0\n", "found only zeros"),
    ],
)
def test_faulty_files_say_where_and_what(text: str, message: str) -> None:
    with pytest.raises(WaveformError, match=message):
        read_samples(text, 1 / 12e-6, "bench.csv")
