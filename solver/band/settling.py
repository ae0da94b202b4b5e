"""What a growing reduced model would still change: its R and L, and the losses of single regions."""

from __future__ import annotations

import math

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .reduced import Reduced

DRIVES, MATTERS = 3, 1e-3  # currents for which losses are watched, and the part of all loss below which they are not


def expected_error(history: list[ComplexArray]) -> float:
    """What the passes through the shifts to come would still change, were they to go on as the last two did.

    `history` are the impedances after every pass, (m, patterns, patterns) each.
    """
    if len(history) < 3:
        return math.inf
    before, last = moved(history[-3], history[-2]), moved(history[-2], history[-1])
    return last * last / before if last < before < math.inf else math.inf


def left_of_losses(model: Reduced, counts: list[int], frequency: FloatArray) -> float:
    """What passes to come would still change of any region's loss, were they to go on as the last two did."""
    patterns = model.ports.pattern.shape[1]
    drives = (
        np.eye(patterns) if patterns <= DRIVES else np.random.default_rng(1).choice((-1.0, 1.0), (DRIVES, patterns))
    )
    one, other = (Reduced.of(model.basis.first(k)) for k in counts[-3:-1])
    change = np.zeros(2)
    for drive in drives:
        first, second, third = (m.region_losses(frequency, drive) for m in (one, other, model))
        matters = third > MATTERS * third.sum(axis=1, keepdims=True)
        for k, (was, now) in enumerate(((first, second), (second, third))):
            change[k] = max(change[k], np.abs((now - was)[matters] / third[matters]).max())
    return float(change[1] ** 2 / change[0] if change[1] < change[0] else 10 * change[1])  # 10: where nothing settles


def moved(before: ComplexArray, after: ComplexArray) -> float:
    """Largest relative change of R and L, for any currents; infinite where too few fields give power."""
    change = 0.0
    for one, other in ((before.real, after.real), (before.imag, after.imag)):
        try:
            left = np.linalg.inv(np.linalg.cholesky(other))
        except np.linalg.LinAlgError:
            return math.inf
        relative = np.linalg.eigvalsh(left @ (other - one) @ left.transpose(0, 2, 1))
        change = max(change, float(np.abs(relative).max()))
    return change
