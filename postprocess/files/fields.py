"""Fields and meshes as files for other programs to read.

Each element of order p is cut into quadratic triangles whose nodes are its lattice of order p (p + 1 if p is odd),
repeated element by element: every nodal value is kept, J may jump at a surface, and curved sides follow their arcs.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from crosscurrent.geometries.arrays import IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.postprocess.answers.field_values import Patch, conductivity, density, flux_density, small_triangles
from crosscurrent.postprocess.answers.units import frequency_tag
from crosscurrent.solver.field.flow import Flow
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.solution import Solution

from .vtu import Values, write_vtu


def write_fields(solution: Solution, path: Path | str) -> None:
    """Write A, J, B and the regions of a solution as a VTU file.

    Parameters
    ----------
    solution : Solution
    path : path
        Ends in .vtu; beside it comes a file ending in .regions.json that says what the region numbers mean.

    Notes
    -----
    Point data, all rms phasors, exp(+jwt): A_re, A_im, A_abs [Vs/m], A_phase [deg]; J_re, J_im, J_abs [A/m2], J_phase
    [deg]; B_x_re, B_x_im, B_y_re, B_y_im, B_abs [T]; loss_density [W/m3]. J is 0 in air; in a bundle
    of strands as one medium J and the loss are means over strands and what is between them. Cell data: region (-1 is
    air), conductivity [S/m]. Coordinates in metres, z = 0.

    Of a section round an axis the half right of it: x is the distance r from the axis, y goes along it, A and J are
    those round it, positive out of the page; further flux_re, flux_im, flux_abs [Wb] and flux_phase [deg], the flux
    within r, constant along lines of flux. The file of regions then says "symmetry": "axial".
    """
    flow = solution.fine
    d = flow.discretisation
    rows = np.arange(len(d.mesh.triangles))
    patch, per_element = _quadratic(solution.fine, rows)
    potential = d.elements.strength(flow.potential, rows, patch.places).ravel()
    current, field = density(flow, patch), flux_density(flow, patch)
    values = {"A": potential, "J": current, "B_x": field[:, 0], "B_y": field[:, 1]}
    points = {f"{name}_{part}": np.ascontiguousarray(getattr(v, kind)) for name, v in values.items()
              for part, kind in (("re", "real"), ("im", "imag"))}  # fmt: skip
    phased = {"A": potential, "J": current}
    if d.mesh.axial:
        phased["flux"] = d.elements.value(flow.potential, rows, patch.places).ravel()
        points |= {"flux_re": phased["flux"].real.copy(), "flux_im": phased["flux"].imag.copy()}
    for name, of in phased.items():
        points |= {f"{name}_abs": np.abs(of), f"{name}_phase": np.degrees(np.angle(of))}
    points["B_abs"] = np.sqrt((np.abs(field) ** 2).sum(axis=1))
    sigma = conductivity(flow, rows)
    points["loss_density"] = loss_density(flow, rows, patch.places).ravel()
    cells: dict[str, Values] = {
        "region": np.repeat(d.mesh.region, per_element).astype(np.int32),
        "conductivity": np.repeat(sigma, per_element),
    }
    place = np.column_stack((patch.position, np.zeros(len(patch.position))))
    write_vtu(path, place, patch.corners, points, cells)
    legend = json.dumps(_legend(flow, solution.frequency), indent=2, ensure_ascii=False) + "\n"
    Path(path).with_suffix(".regions.json").write_text(legend, encoding="utf-8")


def write_series(solutions: Mapping[float, Solution], folder: Path) -> list[Path]:
    """Write the fields at several frequencies: fields.vtu for the first, one file for each further, and a list of them.

    Parameters
    ----------
    solutions : mapping of frequency [Hz] to Solution
    folder : Path
        An existing folder.

    Returns
    -------
    list of Path
        With more than one frequency the last is fields.pvd: the files in the order of their frequencies, which stand
        where a viewer expects a time.
    """
    written = []
    for number, (frequency, solution) in enumerate(solutions.items()):
        written.append(folder / ("fields.vtu" if not number else f"fields-{frequency_tag(frequency)}.vtu"))
        write_fields(solution, written[-1])
    if len(written) > 1:
        rows = "".join(
            f'    <DataSet timestep="{frequency:.17g}" file="{path.name}"/>\n'
            for frequency, path in sorted(zip(solutions, written, strict=True))
        )
        text = f'<?xml version="1.0"?>\n<VTKFile type="Collection" version="0.1">\n  <Collection>\n{rows}'
        written.append(folder / "fields.pvd")
        written[-1].write_text(f"{text}  </Collection>\n</VTKFile>\n", encoding="utf-8")
    return written


def _quadratic(flow: Flow, rows: IntArray) -> tuple[Patch, int]:
    """Elements cut into quadratic triangles, six nodes each, and how many there are in an element."""
    pieces = -(-flow.discretisation.order // 2)
    places = lattice(2 * pieces)[:, 1:]
    number = {(int(i), int(j)): k for k, (i, j) in enumerate(places)}
    corner = 2 * lattice(pieces)[small_triangles(pieces)][..., 1:]
    middle = (corner + np.roll(corner, -1, axis=1)) // 2
    six = np.array([[number[int(i), int(j)] for i, j in nodes] for nodes in np.concatenate((corner, middle), axis=1)])
    position = flow.discretisation.elements.positions(rows, places / (2 * pieces)).reshape(-1, 2)
    first = np.arange(len(rows)) * len(places)
    return Patch(rows, places / (2 * pieces), position, (first[:, None, None] + six).reshape(-1, 6)), len(six)


def _legend(flow: Flow, frequency: float) -> dict[str, object]:
    """What the region numbers stand for."""
    regions = {"-1": {"conductor": None, "material": "air"}}
    for number, (part, layer) in enumerate(flow.discretisation.mesh.regions):
        conductor = flow.problem.conductors[part]
        metal = conductor.metals[layer]
        regions[str(number)] = {"conductor": conductor.name, "material": metal.name}
    kind = {"symmetry": "axial", "axes": "x is r, y is z; the half right of the axis"} if flow.problem.axial else {}
    return {"frequency_hz": frequency, **kind, "regions": regions}


def write_mesh(mesh: Mesh, path: Path | str, *, order: int = 2) -> None:
    """Write a mesh in any format that meshio knows by the ending of its name.

    Parameters
    ----------
    mesh : Mesh
    path : path
    order : 1 or 2
        2 keeps curved sides, each with its middle node on the arc; some formats know only 1.

    Raises
    ------
    ValueError
        Another order.
    """
    import meshio  # takes as long to load as a third of a solve

    if order not in (1, 2):
        raise ValueError(f"order: expected 1 or 2, found {order}; a field file carries finer elements: write_fields")
    points, triangles = mesh.points, mesh.triangles
    if order == 2:
        middle = mesh.along_edge(mesh.edges, np.array([0.5]))[:, 0]
        triangles = np.concatenate((triangles, len(points) + mesh.triangle_edges), axis=1)
        points = np.concatenate((points, middle))
    place = np.column_stack((points, np.zeros(len(points))))
    kind = "triangle" if order == 1 else "triangle6"
    meshio.Mesh(place, [(kind, triangles)], cell_data={"region": [mesh.region.astype(np.int32)]}).write(path)


