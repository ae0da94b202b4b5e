"""How heat crosses a bundle of strands, and how much of it warms them."""

from __future__ import annotations

from dataclasses import dataclass

from crosscurrent.solver.field.problem import Conductor

AIR, RESIN = 0.026, 0.22  # what is between strands [W/(m K)]: air; enamel and resin (handbooks, from memory)


@dataclass(frozen=True)
class AcrossStrands:
    """Thermal conductivity across a bundle [W/(m K)].

    Attributes
    ----------
    low, high : float
        With air between the strands; with resin that fills every space.
    """

    low: float
    high: float


def across_strands(conductor: Conductor) -> AcrossStrands | None:
    """The band for strands as a medium; None for solid metal.

    Notes
    -----
    The lower bound of Z. Hashin and S. Shtrikman (J. Applied Physics 33, 3125, 1962) in two dimensions: of cylinders
    apart from each other, found to fit windings (N. Simpson, R. Wrobel and P. H. Mellor, IEEE Trans. Industry
    Applications 49, 2505, 2013; both from memory):
    k = k_f ((1 + f) k_s + (1 - f) k_f) / ((1 - f) k_s + (1 + f) k_f), strands k_s that fill a share f, k_f between.
    Strands that touch conduct somewhat better, a loose bundle is no better than its air.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> from crosscurrent.solver.metals.strands import Strands
    >>> lead = Conductor(Part("lead", round_bar(3e-3)), MATERIALS["copper"], strands=Strands(420, 1e-4))
    >>> found = across_strands(lead)
    >>> round(found.low, 3), round(found.high, 2)
    (0.071, 0.6)
    """
    if conductor.strands is None:
        return None
    fill, metal = min(conductor.strands.copper / conductor.part.area, 1.0), conductor.material.conduction

    def mixed(between: float) -> float:
        dense, loose = 1 + fill, 1 - fill
        return between * (dense * metal + loose * between) / (loose * metal + dense * between)

    return AcrossStrands(mixed(AIR), mixed(RESIN))


def conduction_of(conductor: Conductor) -> list[float]:
    """Thermal conductivity of every region of a conductor [W/(m K)]: the lower bound in strands, on the safe side."""
    across = across_strands(conductor)
    return [m.conduction for m in conductor.metals] if across is None else [across.low]


def metal_share(conductor: Conductor) -> float:
    """Metal along the run over the area of the outline, which is warmed: 1 for solid metal."""
    return 1.0 if conductor.strands is None else conductor.strands.copper / conductor.part.area
