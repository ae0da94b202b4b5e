"""What a picture of a section round an axis says of coils and pieces."""

from __future__ import annotations

from axial_scenes import coil_round_a_billet, rings_at_rest

from crosscurrent.postprocess.pictures.axial_notes import axial_notes


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
