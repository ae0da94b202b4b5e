"""Error bars: what two orders on one mesh leave open of losses, resistances, inductances and forces.

For frequencies (m,) of one problem; a single solution is a sweep of one. What a reduced model adds is up to the sweep.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

FLOOR = 2e-8  # what the finest comparison cannot see: curved sides, field-free cores, rounding
MATTERS = 1e-3  # share of all loss below which a loss is not judged


def power_bars(powers: ComplexArray, before: ComplexArray, left: float, hidden: float = 0.0) -> FloatArray:
    """Bound on the error of every conductor's loss, (m, conductors) [W/m].

    What changed from one order to the next in its own volume, and its part of what changed elsewhere: an error in one
    conductor shifts current into the others. Where next to no field comes, the floor of the field counts, squared.

    Parameters
    ----------
    powers, before : (m, conductors) complex
        Complex powers at the order of the answers and at the one below [W/m].
    left : float
        What the finer order may still miss over what it changed.
    hidden : float
        What it misses that the change of a loss need not show, over all loss.

    Examples
    --------
    >>> power_bars(np.array([[10.0 + 0j]]), np.array([[9.9 + 0j]]), 1.0).round(6).tolist()
    [[0.2]]
    """
    floor = FLOOR**2 * powers.real.sum(axis=1, keepdims=True)
    changed = left * np.abs(powers - before) + hidden * powers.real + floor
    total = np.abs(powers).sum(axis=1)
    elsewhere = np.divide(changed.sum(axis=1), total, out=np.zeros(len(total)), where=total > 0)
    return np.asarray(changed + (elsewhere + FLOOR)[:, None] * powers.real)


def relative_bars(errors: FloatArray, losses: FloatArray) -> FloatArray:
    """Errors over the losses, 0 where there is no loss, (m, conductors)."""
    return np.where(losses > 0, errors / np.where(losses > 0, losses, 1), 0.0)


def worst_loss(errors: FloatArray, losses: FloatArray) -> FloatArray:
    """Largest relative error of any loss that matters, (m,).

    Examples
    --------
    >>> worst_loss(np.array([[1.0, 1e-6]]), np.array([[100.0, 1e-6]])).tolist()
    [0.01]
    """
    matters = losses > MATTERS * losses.sum(axis=1, keepdims=True)
    return np.asarray(np.where(matters, errors / np.where(matters, losses, 1), 0.0).max(axis=1))


def counted(resistance: FloatArray, least: FloatArray) -> FloatArray:
    """Share of a circuit's resistance at its terminals in that of its part of the losses, at most 1, (m,).

    Circuits that pass power to each other have terminal resistances that cross zero: no mesh is fine enough for a
    relative bound there.

    Examples
    --------
    >>> counted(np.array([-1e-3, 2e-3]), np.array([4e-3, 1e-3])).tolist()
    [0.25, 1.0]
    """
    return np.asarray(np.abs(resistance) / np.maximum(np.abs(resistance), least))


def worst_bar(errors: FloatArray, losses: FloatArray, circuits: Sequence[FloatArray]) -> FloatArray:
    """Largest relative bound on any loss that matters and on any circuit, (m,).

    Parameters
    ----------
    errors, losses : (m, conductors) float
        [W/m]
    circuits : sequence of (m,) float
        Relative bounds of those that carry current.

    Examples
    --------
    >>> worst_bar(np.array([[1.0, 1e-6]]), np.array([[100.0, 1e-6]]), [np.array([0.02])]).tolist()
    [0.02]
    """
    return np.asarray(np.max([worst_loss(errors, losses), *circuits], axis=0))


def force_bars(changed: FloatArray, force: FloatArray, energy: FloatArray, over: FloatArray) -> FloatArray:
    """Bound on the error of every conductor's force, (m, conductors) [N/m].

    What changed of it, and the largest force's part of the energy that changed: that cannot cross zero, as the change
    of the force itself may.

    Parameters
    ----------
    changed : (m, conductors) float
        Bound from the change of each force [N/m].
    force : (m, conductors, 2) float
        [N/m]
    energy, over : (m,) float
        What changed of the field's energy, and all of it.

    Examples
    --------
    >>> pair = np.array([[[3.0, 4.0], [-3.0, -4.0]]])
    >>> force_bars(np.zeros((1, 2)), pair, np.array([0.01]), np.ones(1)).tolist()
    [[0.05, 0.05]]
    """
    largest = np.hypot(force[..., 0], force[..., 1]).max(axis=1)
    return np.asarray(changed + (largest * energy / over)[:, None])


def circuit_bars(
    resistance: tuple[FloatArray, FloatArray],
    inductance: tuple[FloatArray, FloatArray],
    left: float,
    inner: FloatArray,
    air: FloatArray,
    omega: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Relative bounds on a circuit's resistance and inductance, without the floor, both (m,).

    The bar of the inductance is the larger of twice the change and the energy of the change, which cannot cross zero
    as the change itself may.

    Parameters
    ----------
    resistance, inductance : (m,) and (m,) float
        At the order of the answers and at the one below [ohm/m], [H/m].
    left : float
        What the finer order may still miss over what it changed.
    inner : (m,) float
        Bounds on all losses together over the current's square [ohm/m].
    air : (m,) float
        Energy of the change in the air times w, over the current's square [ohm/m]; 0 where it is not formed.
    omega : (m,) float
        [rad/s]

    Examples
    --------
    >>> one = np.ones(1)
    >>> r, l = circuit_bars((one, 0.99 * one), (one, 0.98 * one), 1.0, 0.02 * one, 0 * one, one)
    >>> round(float(r[0]), 6), round(float(l[0]), 6)
    (0.02, 0.04)
    """
    moved = np.maximum(left * np.abs(resistance[0] - resistance[1]), inner)
    energy = np.where(omega > 0, (inner + air) / np.where(omega > 0, omega, 1.0), 0.0)
    turned = np.maximum(2 * left * np.abs(inductance[0] - inductance[1]), energy)
    return moved / np.abs(resistance[0]), turned / np.abs(inductance[0])
