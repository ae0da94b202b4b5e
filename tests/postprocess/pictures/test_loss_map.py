"""The map of the loss density with its lens on a bundle."""

from __future__ import annotations

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.pictures.loss_map import loss_map
from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_layout import rings, strand_places
from crosscurrent.solver.metals.strands import Strands


def test_a_lens_shows_the_strands_and_the_notes_say_by_what_they_lose() -> None:
    copper, names = MATERIALS["copper"], tuple(f"back.{k}" for k in range(1, 8))
    strands = [
        Conductor(Part(name, round_bar(0.8e-3).placed((x * 1e-3 + 6e-3, y * 1e-3))), copper)
        for name, (x, y) in zip(names, strand_places(7, "hexagonal"), strict=True)
    ]
    lead = Conductor(Part("lead", round_bar(3e-3)), copper, strands=Strands(420, 1e-4))
    rail = Conductor(Part("shield", bar(10e-3, 2e-3).placed((0.0, -4e-3))), copper)
    bundle = Bound("back", names, "transposed", rings(7, "hexagonal"))
    problem = Problem((lead, rail, *strands), (Circuit("feed", 40 + 0j, ("lead",), names),), bundles=(bundle,))
    solution = solve(problem, 85e3)
    point = answers(solution)
    figure = loss_map(solution, point, "Leads")
    said = " ".join(text.get_text() for text in figure.findobj(match=lambda a: hasattr(a, "get_text")))
    assert "back, each strand solved for" in said
    assert "% within" in said
    assert "back.1" not in said
    scene = Scene(solution, point, "Leads")
    assert [part.name for part in scene.named if part.name] == ["lead", "shield", "back"]
    assert scene.conductors[scene.spot.part].name.startswith("back.")


def test_no_lens_where_it_would_not_magnify() -> None:
    lead = Conductor(Part("lead", round_bar(3e-3)), MATERIALS["copper"], strands=Strands(420, 1e-4))
    solution = solve(Problem((lead,), (Circuit("feed", 1 + 0j, ("lead",)),)), 85e3)
    figure = loss_map(solution, answers(solution), "Lead")
    said = [text.get_text() for text in figure.findobj(match=lambda a: hasattr(a, "get_text"))]
    assert "lead, as one medium" not in said
