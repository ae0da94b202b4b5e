"""Direct solution of the complex symmetric system, ordered for little fill."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import cache
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.sparse.csgraph import reverse_cuthill_mckee
from scipy.sparse.linalg import SuperLU, splu
from threadpoolctl import ThreadpoolController

Numbers = npt.NDArray[Any]  # real or complex
Sparse = sparse.csc_array[Any]
Solve = Callable[[Numbers], Numbers]
PANEL = 1  # columns that SuperLU eliminates together: some hundredths less than 4, a fifth less than its default
RELAX = 1  # no columns joined beyond what the matrix asks for: joined, they filled a third more, for twice the time
COLUMNS = 12  # right-hand sides solved for at once; bounds the memory with very many conductors


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()


def one_thread() -> AbstractContextManager[object]:
    """Keep to one thread: on small blocks, threads that wait for one another stall a busy machine."""
    limited: AbstractContextManager[object] = _threads().limit(limits=1, user_api="blas")
    return limited


def factorised(matrix: sparse.csc_array) -> Solve:
    """A function that solves matrix @ x = b for dense b of one or more columns.

    No pivoting: the matrix is symmetric with real and imaginary parts positive (semi)definite, so that
    elimination in any order is stable.
    """
    order = reverse_cuthill_mckee(matrix.tocsr(), symmetric_mode=True)
    lu = eliminated(matrix[order][:, order], "MMD_AT_PLUS_A")

    def once(right: Numbers) -> Numbers:
        out = np.empty(right.shape, dtype=matrix.dtype)
        out[order] = lu.solve(np.ascontiguousarray(right[order]).astype(matrix.dtype))
        return out

    def solve(right: Numbers) -> Numbers:
        out = np.empty(right.shape, dtype=matrix.dtype)
        columns, found = right.reshape(len(right), -1), out.reshape(len(right), -1)
        for k in range(0, columns.shape[1], COLUMNS):
            some = columns[:, k : k + COLUMNS]
            first = once(some)
            # one step of refinement: where the skin is thin, resistance is a small difference of the answer
            found[:, k : k + COLUMNS] = first + once(some - matrix @ first)
        return out

    return solve


def eliminated(matrix: Sparse, ordering: Literal["NATURAL", "MMD_AT_PLUS_A"]) -> SuperLU[Any]:
    """The factors of a matrix as above, in an ordering that SuperLU knows by name; "NATURAL" keeps its own."""
    with one_thread():
        arranged: Any = sparse.csc_matrix(matrix)
        return splu(
            arranged, permc_spec=ordering, diag_pivot_thresh=0.0, relax=RELAX, panel_size=PANEL,
            options={"SymmetricMode": True},
        )  # fmt: skip
