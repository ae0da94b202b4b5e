"""A bound on the memory that a library takes for a file, which may claim to be of any size."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def bounded_memory(more: int) -> Iterator[None]:
    """Within it the process can take so much more memory [bytes]; MemoryError beyond, where the system can see to it.

    Parameters
    ----------
    more : int

    Examples
    --------
    >>> with bounded_memory(50_000_000):
    ...     _ = bytearray(100_000_000_000)
    Traceback (most recent call last):
    ...
    MemoryError
    """
    if sys.platform != "linux":
        yield
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    used = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()
    known = [limit for limit in (soft, hard, used + more) if limit != resource.RLIM_INFINITY]
    resource.setrlimit(resource.RLIMIT_AS, (min(known), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
