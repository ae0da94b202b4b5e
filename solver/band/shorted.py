"""The impedance of circuits beside others that are shorted: these are taken out of the matrix.

With the circuits p that are left and those s that are shorted, 0 = Z_sp i_p + Z_ss i_s:

    Z = Z_pp - Z_ps Z_ss^-1 Z_sp,

passive where the whole is. At rest nothing is induced, and R and L are those without what is shorted; with all current
on the surfaces L is taken out like Z.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray
from crosscurrent.solver.elements.factor import Numbers

from .foster import Impedance, angular


@dataclass(frozen=True, eq=False)
class BesideShorted:
    """Impedance of the circuits that are not shorted.

    Attributes
    ----------
    whole : Impedance
        Of all circuits; those that are shorted have no conductor in common with others.
    shorted : (circuits,) bool

    Examples
    --------
    Two coils of 1 uH that share nine tenths of their flux, far above R / L: 1 - 0.9^2.

    >>> from .foster import FosterForm
    >>> pair = np.array([[1e-6, 9e-7], [9e-7, 1e-6]])
    >>> open_ = FosterForm(np.eye(2), np.full(2, 1e6), pair, np.zeros(0), np.zeros((0, 2)))
    >>> found = BesideShorted(open_, np.array([False, True]))
    >>> [round(float(found.inductance(f)[0, 0, 0]) * 1e6, 6) for f in (0.0, 1e6)]
    [1.0, 0.19]
    """

    whole: Impedance
    shorted: BoolArray

    @property
    def resting_resistance(self) -> FloatArray:
        """R at 0 Hz, (circuits, circuits) [ohm/m]."""
        return np.asarray(self.whole.resting_resistance[np.ix_(~self.shorted, ~self.shorted)])

    def resistance(self, frequency: npt.ArrayLike) -> FloatArray:
        """R at frequencies (m,) [Hz], (m, circuits, circuits) [ohm/m]."""
        return np.asarray(self._impedance(frequency).real)

    def inductance(self, frequency: npt.ArrayLike) -> FloatArray:
        """L at frequencies (m,) [Hz], 0 included, (m, circuits, circuits) [H/m]."""
        omega = angular(frequency)[:, None, None]
        resting = self.whole.inductance(0.0)[:, ~self.shorted][:, :, ~self.shorted]
        return np.where(omega > 0, self._impedance(frequency).imag / np.where(omega > 0, omega, 1.0), resting)

    def _impedance(self, frequency: npt.ArrayLike) -> ComplexArray:
        omega = angular(frequency)[:, None, None]
        return _left(self.whole.resistance(frequency) + 1j * omega * self.whole.inductance(frequency), self.shorted)

    def at_surface(self, inductance: FloatArray) -> FloatArray:
        """L with all current on the surfaces from that of all circuits, (circuits, circuits) [H/m]."""
        return np.asarray(_left(inductance, self.shorted))


def _left(matrices: Numbers, out: BoolArray) -> Numbers:
    """What is left of matrices (..., n, n) without some of their rows and columns, in which nothing is to stand."""
    inner, across = matrices[..., out, :][..., :, out], matrices[..., out, :][..., :, ~out]
    kept = matrices[..., ~out, :]
    return np.asarray(kept[..., :, ~out] - kept[..., :, out] @ np.linalg.solve(inner, across))
