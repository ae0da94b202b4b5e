"""The kinds of picture: names of files, order, and what each says of made answers."""

from __future__ import annotations

from dataclasses import replace

from made_answers import circuit, conductor, point

from crosscurrent.postprocess.pictures.kind import PictureKind
from crosscurrent.postprocess.pictures.kinds import along_outline, current_density, flux_lines, phase

KINDS: list[PictureKind] = [m.KIND for m in (current_density, phase, flux_lines, along_outline)]
POINT = point(1e3, circuit(), conductors=(conductor("rod", 0.1), conductor("hot", 0.4)))


def test_keys_and_orders_are_all_different() -> None:
    assert len({kind.key for kind in KINDS}) == len({kind.order for kind in KINDS}) == len(KINDS)
    assert all(kind.key == kind.key.lower() and " " not in kind.key for kind in KINDS)  # they name files


def test_messages_are_short_and_without_a_full_stop() -> None:
    said = [kind.message(POINT) for kind in KINDS]
    assert all(text and not text.endswith(".") for text in said)


def test_messages_speak_of_the_conductor_of_largest_loss() -> None:
    assert current_density.KIND.message(POINT) == "hot, the current keeps to the whole outline evenly"
    assert along_outline.KIND.message(POINT) == "up to 5 A/mm2 rms (7.07 at its crest) in hot"


def test_inductances_are_named_where_there_are_some() -> None:
    several = point(1e3, *(circuit(f"c{k}") for k in range(8)), circuit("idle", None))
    said = flux_lines.KIND.message(several)
    assert said.startswith("inductance of c0 1.000 uH/m, c1 1.000 uH/m")
    assert said.count("uH/m") == flux_lines.NAMED
    none = point(1e3, replace(circuit(), inductance=None))
    assert "uH/m" not in flux_lines.KIND.message(none)
