"""What surfaces of revolution see of each other: rings of a section round an axis, each a frustum of a cone.

From a place of a ring, a direction has a part t along the ring (round the axis) and an angle in the section. Of what a
grey face gives away evenly, the share of all directions with a part up to t either way is v = (2 / pi) (t sqrt(1 - t^2)
+ asin t), whatever the angle: t is taken evenly in v, from place to place at others. For every t the angles at which
the ends of the rings are seen are roots of a quadratic; between two of them one ring is the nearest all along, but
where a ray grazes one that bends away round the axis. Far from it the shares are those of a plane section.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

ALONG = 16  # parts along the ring at each place
SHIFTS = (0.125, 0.625, 0.375, 0.875)  # of them from place to place, in parts of a step: in turn, evenly in the end
ON = 1e-6  # distance from a frustum that counts as on it, in lengths of its side
THIN = 1e-9  # between sines that counts as nothing
AWAY = 1e-9  # way along a ray that counts as gone, in lengths of the ring it begins at
_FINE = np.sin(np.linspace(0, np.pi / 2, 2001))
_SHARE = 2 / np.pi * (_FINE * np.sqrt(1 - _FINE**2) + np.arcsin(_FINE))


def _along(place: int) -> FloatArray:
    """Parts along the ring at one of some places, each for the same share."""
    shift = SHIFTS[place % len(SHIFTS)]
    return np.asarray(np.interp((np.arange(ALONG) + shift) / ALONG, _SHARE, _FINE))


@dataclass(frozen=True, eq=False)
class CoaxialRings:
    """Surfaces of revolution, each the frustum between two places r, z of its side, its outside on the right.

    Attributes
    ----------
    start, end : (n, 2) float
        [m]
    """

    start: FloatArray
    end: FloatArray

    @property
    def side(self) -> FloatArray:
        """From start to end, (n, 2) [m]."""
        return self.end - self.start

    @property
    def length(self) -> FloatArray:
        """Of their sides, (n,) [m]."""
        return np.asarray(np.hypot(*self.side.T))

    @cached_property
    def _corners(self) -> FloatArray:
        """Every end once."""
        return np.unique(np.concatenate((self.start, self.end)), axis=0)

    def seen(self, own: int, places: FloatArray) -> FloatArray:
        """Share of the radiation of places (p, 2) of a ring that meets each ring, itself included, (p, n).

        Examples
        --------
        A long narrow bore sees itself:

        >>> wall = CoaxialRings(np.array([[0.01, 0.5]]), np.array([[0.01, -0.5]]))
        >>> round(float(wall.seen(0, np.array([[0.01, 0.0]]))[0, 0]), 3)
        1.0
        """
        found = np.zeros((len(places), len(self.start)))
        for k, here in enumerate(places):
            t = _along(k)
            cuts = self._ends(own, here, t)
            width = np.diff(cuts, axis=1)
            wide = width > THIN
            row = np.nonzero(wide)[0]
            which, _ = self._nearest(own, here, ((cuts[:, 1:] + cuts[:, :-1]) / 2)[wide], t[row])
            met = which >= 0
            found[k] = np.bincount(which[met], width[wide][met] / (2 * ALONG), minlength=len(self.start))
        return found

    def ahead(self, own: int, here: FloatArray) -> tuple[int, float]:
        """Which ring stands in front of a place of one, -1 for none, and how far away along the normal [m]."""
        which, far = self._nearest(own, here, np.zeros(1), np.zeros(1))
        return int(which[0]), float(far[0])

    def _frame(self, own: int) -> tuple[FloatArray, FloatArray]:
        """Unit vectors out of a ring and along its side."""
        along = self.side[own] / self.length[own]
        return np.array([along[1], -along[0]]), along

    def _ends(self, own: int, here: FloatArray, t: FloatArray) -> FloatArray:
        """Sines of the angles in the section at which the ends of all rings are seen, rising from -1 to 1, (t, k).

        A ray of length s meets the circle of an end where (s a, s b) with a^2 + b^2 = 1 - t^2 goes to its height and
        radius: q = s^2 solves q^2 - 2 p q + c^2 + 4 r^2 h^2 = 0 with c = r_e^2 - r^2 + h^2, p = c + 2 r^2 (1 - t^2).
        """
        out, along = self._frame(own)
        height, r = self._corners[:, 1] - here[1], float(here[0])
        c = (self._corners[:, 0] - r) * (self._corners[:, 0] + r) + height**2
        p, product = c + 2 * r**2 * (1 - t[:, None] ** 2), c**2 + 4 * r**2 * height**2
        with np.errstate(invalid="ignore", divide="ignore"):
            far = p + np.sqrt(p**2 - product)
            q = np.concatenate((far, product / far), axis=1)
            step = np.stack(((np.tile(c, 2) - q) / (2 * r), np.broadcast_to(np.tile(height, 2), q.shape)), axis=-1)
            sine = step @ along / np.hypot(step[..., 0], step[..., 1])
            sine = np.where((q > 0) & (step @ out > 0), sine, 1.0)
        both = np.ones((len(t), 1))
        return np.sort(np.concatenate((-both, both, sine), axis=1), axis=1)

    def _nearest(self, own: int, here: FloatArray, sine: FloatArray, t: FloatArray) -> tuple[IntArray, FloatArray]:
        """The ring that each ray meets first, (rays,), -1 for none, and how far away (rays,) [m]."""
        out, along = self._frame(own)
        flat = np.sqrt(1 - t**2)[:, None] * (np.sqrt(1 - sine**2)[:, None] * out + sine[:, None] * along)
        best = np.full((len(sine), len(self.start)), np.inf)
        for way in self._meets(here, flat[:, :1], flat[:, 1:], t[:, None]):
            good = self._on(here, flat[:, :1], flat[:, 1:], t[:, None], way) & (way > AWAY * self.length[own])
            best = np.where(good, np.minimum(best, way), best)
        which = best.argmin(axis=1)
        far = best[np.arange(len(sine)), which]
        return np.where(np.isfinite(far), which, -1), far

    def _meets(self, here: FloatArray, a: FloatArray, b: FloatArray, t: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Both ways along rays (m, 1) to the whole cones of the rings, (m, n) [m]; nan where they are missed."""
        (dr, dz), r = self.side.T, here[0]
        beside = dz * (r - self.start[:, 0]) - dr * (here[1] - self.start[:, 1])
        cone = dz * r - beside
        square = dz**2 * (a**2 + t**2) - dr**2 * b**2
        half = dz**2 * r * a - dr * b * cone
        rest = beside * (dz * r + cone)
        inside = half**2 - square * rest
        inside = np.where(np.abs(inside) <= 1e-12 * half**2, 0.0, inside)  # a flat ring is met once
        with np.errstate(invalid="ignore", divide="ignore"):
            large = -(half + np.where(half < 0, -1.0, 1.0) * np.sqrt(inside))
            return large / square, rest / large

    def _on(self, here: FloatArray, a: FloatArray, b: FloatArray, t: FloatArray, way: FloatArray) -> BoolArray:
        """Whether the end of each way lies on the ring itself, (m, n)."""
        (dr, dz), length = self.side.T, self.length
        with np.errstate(invalid="ignore", over="ignore"):
            r = np.hypot(here[0] + way * a, way * t) - self.start[:, 0]
            z = here[1] + way * b - self.start[:, 1]
            place, beside = (r * dr + z * dz) / length**2, (r * dz - z * dr) / length**2
            return np.asarray((place >= -1e-9) & (place <= 1 + 1e-9) & (np.abs(beside) < ON))
