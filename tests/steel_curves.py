"""Magnetisation curves of the tests of steel: one that saturates smoothly, one whose permeability rises and falls."""

from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.materials import Material

MU, SATURATION, SIGMA_STEEL, HERTZ = 1000.0, 1.8, 6e6, 50.0
SMOOTH = Magnetisation.froelich(MU, SATURATION)
RISING = Magnetisation(  # a permeability that rises from 320 to 2400 and falls, as that of mild steel does
    (10.0, 30.0, 60.0, 100.0, 150.0, 250.0, 500.0, 1e3, 2e3, 5e3, 1e4, 5e4, 2e5),
    (0.004, 0.018, 0.06, 0.18, 0.4, 0.75, 1.15, 1.38, 1.55, 1.68, 1.78, 2.05, 2.3),
)


def steel(curve: Magnetisation) -> Material:
    return Material("own steel", SIGMA_STEEL, permeability=curve.initial, magnetisation=curve)
