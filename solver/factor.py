"""Direct solution of the complex symmetric system, ordered for little fill."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.sparse.csgraph import reverse_cuthill_mckee
from scipy.sparse.linalg import SuperLU, splu
from threadpoolctl import ThreadpoolController

Solve = Callable[[npt.NDArray[Any]], npt.NDArray[Any]]


@cache
def _threads() -> ThreadpoolController:
    return ThreadpoolController()


def factorised(matrix: sparse.csc_array) -> Solve:
    """A function that solves matrix @ x = b for dense b of one or more columns.

    No pivoting: the matrix is symmetric with real and imaginary parts positive (semi)definite, so that
    elimination in any order is stable.
    """
    order = reverse_cuthill_mckee(matrix.tocsr(), symmetric_mode=True)
    lu = eliminated(matrix[order][:, order], "MMD_AT_PLUS_A")

    def once(right: npt.NDArray[Any]) -> npt.NDArray[Any]:
        out = np.empty(right.shape, dtype=matrix.dtype)
        out[order] = lu.solve(np.ascontiguousarray(right[order]).astype(matrix.dtype))
        return out

    def solve(right: npt.NDArray[Any]) -> npt.NDArray[Any]:
        first = once(right)
        # one step of refinement: where the skin is thin, resistance is a small difference of the answer
        return np.asarray(first + once(right - matrix @ first))

    return solve


def eliminated(matrix: sparse.csc_array[Any], ordering: Literal["NATURAL", "MMD_AT_PLUS_A"]) -> SuperLU[Any]:
    """The factors of a matrix as above, in an ordering that SuperLU knows by name; "NATURAL" keeps its own."""
    # the factor is made of small dense blocks: threads that wait for one another stall it on a busy machine
    with _threads().limit(limits=1, user_api="blas"):
        arranged: Any = sparse.csc_matrix(matrix)
        return splu(arranged, permc_spec=ordering, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
