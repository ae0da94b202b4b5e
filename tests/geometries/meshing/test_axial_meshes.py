"""Meshes of axial sections: whole to the last digits, from random hard sections, halved and graded too.

CROSSCURRENT_EXAMPLES=3000 asks for more examples.
"""

import math
import os
from random import Random

import numpy as np
import pytest
from axial_problems import random_axial_problem
from axial_sections import CASES, axial_mesh_faults, random_axial_section, true_areas
from hostile_sections import spread

from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.meshing import mesher
from crosscurrent.geometries.meshing.bisect import bisect
from crosscurrent.geometries.meshing.constrained import edges_of
from crosscurrent.geometries.meshing.corners import graded, sharp_corners
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane.axial import right_area, whole
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, outline, round_bar, tube
from crosscurrent.solver.field.region_metals import region_skins

EXAMPLES = max(60, int(os.environ.get("CROSSCURRENT_EXAMPLES", "0")))
BILLET = bar(0.03, 0.16).placed((0.015, 0.0))


@pytest.mark.parametrize("first", range(0, EXAMPLES, 20))
def test_random_sections_are_meshed_whole(first):
    meshed = 0
    for seed in range(first, first + 20):
        rng = Random(seed)
        found = random_axial_section(rng)
        if found is None:
            continue
        section, thin = found
        skin = rng.choice([math.inf, thin * spread(rng, 1e-3, 3.0), section.size * spread(rng, 1e-4, 0.1)])
        skins = [
            [skin * rng.choice([1.0, 2.0, 0.1])] + [skin * rng.choice([1.0, 2.0])] * (len(p.layers) + len(p.pieces))
            for p in section.parts
        ]
        assert axial_mesh_faults(section, mesh_section(section, skins)) == [], seed
        meshed += 1
    assert meshed >= 18


@pytest.mark.parametrize("seed", [190, 373])
def test_no_triangle_lies_over_its_neighbours(seed):
    """The library moves points a little, so that three in a row at a coat's corner may turn the other way."""
    drawn = random_axial_problem(seed)
    assert drawn is not None
    mesh = mesh_section(drawn[0].section, region_skins(*drawn))
    directed = edges_of(mesh.triangles)
    assert len(np.unique(directed, axis=0)) == len(directed)


@pytest.mark.parametrize("name", CASES)
def test_every_kind_is_meshed_whole_and_stays_so_when_halved_and_graded(name):
    parts, skin = CASES[name]
    section = Section(parts, axial=True)
    mesh = mesh_section(section, [[skin] * (1 + len(p.layers) + len(p.pieces)) for p in parts])
    assert axial_mesh_faults(section, mesh) == []
    finer = mesh
    for _ in range(2):
        finer = bisect(finer, np.ones(len(finer.triangles), bool))
    finer = bisect(finer, np.arange(len(finer.triangles)) % 7 == 0)
    assert axial_mesh_faults(section, finer) == []
    assert len(finer.truncation_edges) > len(mesh.truncation_edges)
    on_axis = mesh.points[:, 0] == 0
    assert (finer.points[:, 0] == 0).sum() > on_axis.sum()
    corners = sharp_corners(mesh, mesh.region)
    assert axial_mesh_faults(section, graded(mesh, corners, np.full(len(corners), 4))) == []
    edges = mesh.geometry(6)
    assert edges[..., 0].min() == 0.0
    assert (edges[..., 0][(edges[..., 0] != 0)] > 1e-9 * mesh.radius).all()


def test_outer_half_circle():
    section = Section((Part("billet", whole(BILLET)),), axial=True)
    mesh = mesh_section(section, [[2e-3]])
    assert mesh.radius == pytest.approx(1.3 * math.hypot(0.03, 0.08))
    assert len(mesh.truncation_edges) == 16
    assert mesh.points[[mesh.truncation_edges[0, 0], mesh.truncation_edges[-1, 1]]].tolist() == [
        [0.0, -mesh.radius], [0.0, mesh.radius],
    ]  # fmt: skip
    coarse = mesh_section(section, [[2e-3]], MeshOptions(truncation=8, axial_margin=1.5))
    assert len(coarse.truncation_edges) == 12
    assert coarse.radius == pytest.approx(1.5 * math.hypot(0.03, 0.08))


def test_plane_sections_are_not_axial():
    mesh = mesh_section(Section((Part("billet", whole(BILLET)),)), [[2e-3]])
    assert not mesh.axial
    assert mesh.points[:, 0].min() < -0.08


def test_edges_on_the_axis_follow_the_walls_and_the_skin():
    section = Section((Part("billet", whole(BILLET)), Part("turn", round_bar(0.01).placed((0.05, 0.0)))), axial=True)
    for skin in (math.inf, 0.004, 0.001):
        mesh = mesh_section(section, [[skin], [skin]])
        ends = np.sort(mesh.points[mesh.points[:, 0] == 0, 1])
        step, middle = np.diff(ends), 0.5 * (ends[1:] + ends[:-1])
        off = np.where(np.abs(middle) < 0.08, np.minimum(0.03, 0.08 - np.abs(middle)), np.abs(middle) - 0.08)
        far = off > 0.02
        far[[0, -1]] = False  # as long as the edges of the half circle
        assert far.sum() > 8
        assert (step[far] < 0.4 * off[far]).all()
        seen = (np.abs(middle) < 0.08) & (off < 9 * skin)
        assert (step[seen] < 0.9 * skin + 0.5 * off[seen]).all()


@pytest.mark.parametrize("skin", [math.inf, 5e-3, 2e-4])
def test_slender_rods_and_bores_take_few_elements(skin):
    rod, sleeve = bar(1e-3, 0.5).placed((5e-4, 0.0)), bar(0.01, 0.5)
    for shape in (whole(rod), sleeve.placed((0.005 + 1e-6, 0.0)), sleeve.placed((0.0051, 0.0))):
        section = Section((Part("it", shape),), axial=True)
        mesh = mesh_section(section, [[skin]])
        assert axial_mesh_faults(section, mesh) == []
        assert len(mesh.triangles) < 1200


def test_round_walls_close_to_the_axis_get_short_edges():
    section = Section((Part("ring", round_bar(0.01).placed((0.00501, 0.0))),), axial=True)
    mesh = mesh_section(section, [[1e-3]])
    assert axial_mesh_faults(section, mesh) == []
    ends = mesh.points[mesh.faces[:, :2]]
    length, off = np.hypot(*(ends[:, 1] - ends[:, 0]).T), ends[..., 0].max(axis=1)
    assert (length[off < 1e-4] < 2e-4).all()


def test_corners_on_the_axis_are_those_of_the_whole():
    def corners(shape):
        mesh = mesh_section(Section((Part("body", whole(shape)),), axial=True), [[1e-3]])
        return sorted(mesh.points[sharp_corners(mesh, mesh.region)].round(9).tolist())

    assert corners(BILLET) == [[0.03, -0.08], [0.03, 0.08]]
    assert corners(round_bar(0.04)) == []
    assert corners(tube(0.04, 0.005)) == []
    assert corners(outline([(0, 0), (0.02, 0), (0, 0.03)])) == [[0.0, 0.03], [0.02, 0.0]]


def test_walls_of_bodies_on_the_axis_move_along_it():
    rods = [Part("rod", whole(bar(r, h).placed((r / 2, 0)))) for r, h in ((2, 6), (2.1, 6.4))]
    before, after = (Section((rod,), axial=True) for rod in rods)
    mesh = mesh_section(before, [[0.1]])
    walls = Walls.of(mesh, before.parts)
    places, motion = mesh.points[walls.nodes], walls.motion([after.parts])[..., 0]
    assert motion == pytest.approx(places * [0.05, 0.2 / 3], abs=1e-12)
    assert (motion[places[:, 0] == 0, 0] == 0).all()
    assert (places[:, 0] == 0).sum() == 2


def test_coats_are_whole_solids_of_revolution():
    """A coat of thickness t round a half bar r x h: t (2 r + h) and two quarter discs (by hand)."""
    t, r, h = 2e-4, 0.03, 0.16
    section = Section((Part("billet", whole(BILLET), (t,)), Part("cone", *cone())), axial=True)
    mesh = mesh_section(section, [[1e-3, 1e-3]] * 2)
    area = true_areas(mesh)
    assert area[mesh.region == 1].sum() == pytest.approx(t * (2 * r + h) + math.pi * t**2 / 2, rel=1e-10)
    # half of a cone: base, slant, a sector at the rim and half of one at the tip, together half a turn
    slant = math.hypot(0.02, 0.03)
    wanted = 1e-4 * (0.02 + slant) + math.pi * 1e-8 / 2
    assert area[mesh.region == 3].sum() == pytest.approx(wanted, rel=1e-10)


def cone():
    return whole(outline([(0, 0.1), (0.02, 0.1), (0, 0.13)])), (1e-4,)


def test_metal_that_gets_lost_is_said(monkeypatch):
    section = Section((Part("billet", whole(BILLET)),), axial=True)
    monkeypatch.setattr(mesher, "right_area", lambda shape: right_area(shape) * (1 + 1e-11))
    with pytest.raises(MeshError, match=r'does not cover "billet" whole beside the axis; simplify the outlines there'):
        mesh_section(section, [[1e-3]])
