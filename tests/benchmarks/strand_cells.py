"""The medium of a packing of strands by the general library, in one cell of it: writes references/strand_cells.csv.

Run from the checkout, with the extra "benchmark":  OMP_NUM_THREADS=1 python tests/benchmarks/strand_cells.py
Elements of order 8, 9 where strands come close. A field of 1 T along y is the potential -x and a periodic rest; in
every strand x counts from its middle, which leaves it without a net current. Lengths in pitches.
"""

from __future__ import annotations

import math
from pathlib import Path

from netgen.meshing import IdentificationType
from netgen.occ import Circle, Face, Glue, MoveTo, OCCGeometry, gp_Trsf
from ngsolve import CF, H1, BilinearForm, Compress, GridFunction, IfPos, Integrate, LinearForm, Mesh, Periodic, dx, grad
from ngsolve import x as along
from ngsolve import y as across

FILLS = {"hexagonal": (0.2, 0.45, 0.7, 0.85), "square": (0.2, 0.5, 0.7)}
RADII = (0.3, 1.0, 3.0, 6.0)  # in skin depths
OUT = Path(__file__).parents[1] / "references" / "strand_cells.csv"


def cell_mesh(layout: str, radius: float, largest: float, metal: float) -> Mesh:
    """One strand in a square, or one and four quarters in a rectangle, opposite sides taken for one."""
    tall = 1.0 if layout == "square" else math.sqrt(3)
    corners = [] if layout == "square" else [(i / 2, j * tall / 2) for i in (-1, 1) for j in (-1, 1)]
    frame = MoveTo(-0.5, -tall / 2).Rectangle(1.0, tall).Face()
    strands: list[Face] = [Circle(middle, radius).Face() * frame for middle in [(0.0, 0.0), *corners]]
    air = frame
    for strand in strands:
        strand.faces.name, strand.faces.maxh = "metal", metal
        air = air - strand
    shape = Glue([air, *strands])
    for first in shape.edges:
        for second in shape.edges:
            step = (second.center.x - first.center.x, second.center.y - first.center.y)
            for name, side in (("x", (1.0, 0.0)), ("y", (0.0, tall))):
                if math.dist(step, side) < 1e-9:
                    first.Identify(second, name, IdentificationType.PERIODIC, gp_Trsf.Translation((*side, 0.0)))
    mesh = Mesh(OCCGeometry(shape, dim=2).GenerateMesh(maxh=largest))
    mesh.Curve(10)
    return mesh


def reluctivity(layout: str, fill: float, depths: float) -> complex:
    """Of the medium, relative, at a radius of so many skin depths."""
    area = 1.0 if layout == "square" else math.sqrt(3) / 2
    radius, close = math.sqrt(fill * area / math.pi), fill > 0.6
    largest = 0.25 if not close else 0.07 if fill < 0.8 else 0.04
    mesh = cell_mesh(layout, radius, largest, min(0.25 if close else 0.5, 1.2 / depths) * radius)
    space = Compress(Periodic(H1(mesh, order=9 if close else 8, complex=True)))
    rate = 2j * (depths / radius) ** 2 * mesh.MaterialCF({"metal": 1.0}, default=0.0)  # j w mu0 sigma
    here = along if layout == "square" else IfPos(along**2 + across**2 - 0.25, along - IfPos(along, 0.5, -0.5), along)
    u, v = space.TnT()
    form = BilinearForm(space, symmetric=True)
    form += grad(u) * grad(v) * dx + rate * u * v * dx(bonus_intorder=4)
    load = LinearForm(space)
    load += (-grad(v)[0] - rate * here * v) * dx(bonus_intorder=6)
    rest = GridFunction(space)
    rest.vec.data = form.Assemble().mat.Inverse(space.FreeDofs(), inverse="sparsecholesky") * load.Assemble().vec
    whole = 1.0 if layout == "square" else math.sqrt(3)
    slope = grad(rest) + CF((1.0, 0.0))
    return complex(Integrate(slope * slope + rate * (here + rest) ** 2, mesh, order=26) / whole)


def main() -> None:
    """Write the table."""
    rows = ["layout,fill,radius_over_depth,reluctivity_real,reluctivity_imag"]
    for layout, fills in FILLS.items():
        for fill in fills:
            for depths in RADII:
                found = reluctivity(layout, fill, depths)
                rows.append(f"{layout},{fill},{depths},{found.real:.13g},{found.imag:.13g}")
                print(rows[-1], flush=True)
    OUT.write_text("\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
