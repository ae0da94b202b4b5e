"""What a picture of a section round an axis says of coils and pieces."""

from __future__ import annotations

from axial_scenes import coil_round_a_billet, rings_at_rest
from common import rod

from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.pictures.axial_notes import axial_notes
from crosscurrent.solver.field.circuits import carried
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve


def test_a_coil_is_said_as_its_turns_in_series() -> None:
    scene = coil_round_a_billet()
    coil, billet = axial_notes(scene.flow, scene.answers, 6)
    assert coil.startswith("coil: 3 turns in series, 500 A at 0°, ")
    assert billet.startswith("billet: induced currents alone, ")
    assert billet.endswith(" W in all")
    assert "/m" not in coil + billet


def test_turns_of_no_coil_are_said_one_by_one() -> None:
    scene = rings_at_rest()
    assert [line.split(",")[0] for line in axial_notes(scene.flow, scene.answers, 6)] == [
        "go: 100 A at 0°",
        "come: 100 A at 180°",
    ]
    assert axial_notes(scene.flow, scene.answers, 1)[-1] == "and 1 more, of smaller loss"


def test_the_notes_of_a_picture_end_with_the_meaning_of_the_marks() -> None:
    assert rings_at_rest().notes[-1] == "⊙ current out of the page, ⊗ into it"
    assert coil_round_a_billet().notes[-1].endswith("at the crest of the first current")


def test_a_shorted_coil_says_what_is_induced_in_it() -> None:
    turns = tuple(rod(f"turn {k}", 0.004, 0.03, 0.006 * k) for k in range(3))
    fed = Circuit("fed", 10.0, ("turn 0",))
    shorted = Circuit("ring", 0.0, ("turn 1", "turn 2"), (), "series", shorted=True)
    solution = solve(Problem(turns, (fed, shorted), axial=True), 20e3, accuracy=1e-2)
    _, line = axial_notes(solution.fine, answers(solution), 6)
    induced = abs(carried(shorted, [c.name for c in turns], solution.fine.currents))
    assert line.startswith(f"ring: 2 turns in series, shorted, {induced:.3g} A at ")
