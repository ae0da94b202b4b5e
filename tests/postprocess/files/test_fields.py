"""Field files read back by meshio: areas, currents and fields must be those of the section."""

import json
from xml.etree import ElementTree

import meshio
import numpy as np
import pytest
from axial_scenes import rings_at_rest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar, tube
from crosscurrent.postprocess.files.fields import write_fields, write_mesh, write_series
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

# six-point rule of degree 4 on the triangle (Dunavant 1985): barycentric places, weights that sum to 1
A, B = 0.445948490915965, 0.091576213509771
RULE = [(A, A, 0.223381589678011), (1 - 2 * A, A, 0.223381589678011), (A, 1 - 2 * A, 0.223381589678011),
        (B, B, 0.109951743655322), (1 - 2 * B, B, 0.109951743655322), (B, 1 - 2 * B, 0.109951743655322)]  # fmt: skip


def integral(points, cells, values=None):
    """Of nodal values over quadratic triangles, cell by cell, curved sides included."""
    total = np.zeros(len(cells), dtype=complex)
    place = points[cells][..., :2]
    for x, y, weight in RULE:
        z = 1 - x - y
        shape = np.array([z * (2 * z - 1), x * (2 * x - 1), y * (2 * y - 1), 4 * z * x, 4 * x * y, 4 * y * z])
        by_x = np.array([1 - 4 * z, 4 * x - 1, 0, 4 * (z - x), 4 * y, -4 * y])
        by_y = np.array([1 - 4 * z, 0, 4 * y - 1, -4 * x, 4 * x, 4 * (z - y)])
        u, v = (np.einsum("n,tnd->td", by, place) for by in (by_x, by_y))
        determinant = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        value = 1.0 if values is None else values[cells] @ shape
        total += 0.5 * weight * determinant * value
    return total


@pytest.fixture(scope="module")
def solution():
    copper, silver, brass = (MATERIALS[m] for m in ("copper", "silver", "brass"))
    pipe = Conductor(Part("pipe", tube(0.02, 0.001).placed((-0.015, 0))), copper)
    rod = Conductor(Part("rod <1>", round_bar(0.008).placed((0.015, 0)), (20e-6,)), brass, coats=(silver,))
    return solve(Problem((pipe, rod), (Circuit("feed", 100.0, ("pipe",), ("rod <1>",)),)), 85e3)


@pytest.fixture(scope="module")
def written(solution, tmp_path_factory):
    path = tmp_path_factory.mktemp("fields") / "fields.vtu"
    write_fields(solution, path)
    return path


@pytest.fixture(scope="module")
def fields(written):
    return meshio.read(written)


def test_areas_of_regions_are_those_of_the_shapes(fields):
    cells, region = fields.cells_dict["triangle6"], fields.cell_data["region"][0]
    area = [integral(fields.points, cells[region == k]).real.sum() for k in range(3)]
    exact = [np.pi * 0.019 * 0.001, np.pi * 0.004**2, np.pi * (0.00402**2 - 0.004**2)]
    np.testing.assert_allclose(area, exact, rtol=1e-4)


def test_density_adds_up_to_the_net_currents(fields):
    cells, region = fields.cells_dict["triangle6"], fields.cell_data["region"][0]
    density = fields.point_data["J_re"] + 1j * fields.point_data["J_im"]
    current = np.array([integral(fields.points, cells[region == k], density).sum() for k in range(3)])
    assert abs(current[0] - 100) < 0.1
    assert abs(current[1] + current[2] + 100) < 0.1
    assert (density[cells[region == -1]] == 0).all()


def test_fields_are_finite_and_agree_with_one_another(fields):
    data = fields.point_data
    parts = {f"{n}_{p}" for n in ("A", "J", "B_x", "B_y") for p in ("re", "im")}
    assert set(data) == parts | {"A_abs", "A_phase", "J_abs", "J_phase", "B_abs", "loss_density"}
    assert all(np.isfinite(values).all() for values in data.values())
    np.testing.assert_allclose(data["J_abs"], np.hypot(data["J_re"], data["J_im"]))
    # between two thin far conductors: B_y = mu0 I / 2 pi (1 / d1 + 1 / d2) upward right of the current out of the page
    cells = fields.cells_dict["triangle6"]
    air = np.unique(cells[fields.cell_data["region"][0] == -1])
    near = air[np.abs(fields.points[air]).sum(axis=1).argmin()]
    assert data["B_y_re"][near] == pytest.approx(2e-7 * 100 * 2 / 0.015, rel=0.3)


def test_loss_density_adds_up_to_the_loss(fields, solution):
    cells, region = fields.cells_dict["triangle6"], fields.cell_data["region"][0]
    loss = [integral(fields.points, cells[region == k], fields.point_data["loss_density"]).real.sum() for k in range(3)]
    rod, coat = solution.fine.powers.real[1], sum(loss[1:])
    assert loss[0] == pytest.approx(solution.fine.powers.real[0], rel=5e-3)
    assert coat == pytest.approx(rod, rel=5e-3)


def test_a_series_over_frequency_lists_its_files(solution, tmp_path):
    other = Solution(solution.problem, 170e3, solution.fine, solution.coarse, 0, 1e-3)
    written = write_series({170e3: other, 85e3: solution}, tmp_path)
    assert [path.name for path in written] == ["fields.vtu", "fields-85kHz.vtu", "fields.pvd"]
    rows = ElementTree.parse(written[-1]).getroot().findall("Collection/DataSet")
    assert [(float(row.get("timestep")), row.get("file")) for row in rows] == [
        (85e3, "fields-85kHz.vtu"),
        (170e3, "fields.vtu"),
    ]


def test_conductivity_and_legend_tell_the_metals(fields, written):
    region, sigma = fields.cell_data["region"][0], fields.cell_data["conductivity"][0]
    assert [set(sigma[region == k]) for k in (-1, 0, 1, 2)] == [{0.0}, {58.0e6}, {15.9e6}, {62.9e6}]
    legend = json.loads(written.with_name("fields.regions.json").read_text(encoding="utf-8"))
    assert legend["frequency_hz"] == 85e3
    assert legend["regions"]["2"] == {"conductor": "rod <1>", "material": "silver"}
    assert legend["regions"]["-1"]["material"] == "air"


@pytest.mark.parametrize(("order", "kind", "error"), [(1, "triangle", 0.05), (2, "triangle6", 1e-3)])
def test_mesh_is_written_in_other_formats(tmp_path, order, kind, error):
    mesh = mesh_section(Section((Part("rod", round_bar(0.01)),)), [[1e-3]])
    write_mesh(mesh, tmp_path / "mesh.vtk", order=order)
    back = meshio.read(tmp_path / "mesh.vtk")
    metal = back.cells_dict[kind][back.cell_data["region"][0] == 0]
    if order == 1:
        a, b, c = np.moveaxis(back.points[metal][..., :2], 1, 0)
        area = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum()
    else:
        area = integral(back.points, metal).real.sum()
    assert area == pytest.approx(np.pi * 0.005**2, rel=error)


def test_mesh_of_another_order_is_refused(tmp_path):
    mesh = mesh_section(Section((Part("rod", round_bar(0.01)),)), [[np.inf]])
    with pytest.raises(ValueError, match="order: expected 1 or 2, found 3"):
        write_mesh(mesh, tmp_path / "mesh.vtk", order=3)


def test_round_an_axis_the_flux_is_that_of_the_potential_all_round(tmp_path):
    """2 pi r A; and the integral of J over the half that is there is the current of its turn."""
    scene = rings_at_rest()
    write_fields(scene.solution, tmp_path / "fields.vtu")
    mesh = meshio.read(tmp_path / "fields.vtu")
    r, flux, potential = mesh.points[:, 0], mesh.point_data["flux_re"], mesh.point_data["A_re"]
    np.testing.assert_allclose(flux, 2 * np.pi * r * potential, atol=1e-12 * np.abs(flux).max())
    assert r.min() == pytest.approx(0, abs=1e-15)
    cells, region = mesh.cells_dict["triangle6"], mesh.cell_data["region"][0]
    assert integral(mesh.points, cells[region == 0], mesh.point_data["J_re"]).sum() == pytest.approx(100.0, rel=1e-6)
    legend = json.loads((tmp_path / "fields.regions.json").read_text())
    assert legend["symmetry"] == "axial"
    assert "the half right of the axis" in legend["axes"]
