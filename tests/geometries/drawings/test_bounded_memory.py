"""Memory that reading a file may take, and afterwards as much as before."""

from __future__ import annotations

import subprocess
import sys

import pytest

# In a process of its own: one that ran long may hold enough freed memory to need none of the system's.
STEPS = """
from crosscurrent.geometries.drawings.bounded_memory import bounded_memory

with bounded_memory(50_000_000):
    assert len(bytearray(10_000_000)) == 10_000_000
try:
    with bounded_memory(50_000_000):
        bytearray(200_000_000)
except MemoryError:
    print("refused", len(bytearray(200_000_000)))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="only there the system can see to it")
def test_no_more_than_stated_and_then_as_before() -> None:
    done = subprocess.run([sys.executable, "-c", STEPS], capture_output=True, text=True, check=True)
    assert done.stdout == "refused 200000000\n"
