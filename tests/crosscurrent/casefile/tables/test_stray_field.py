"""[field]: places and lines with names of their own."""

from __future__ import annotations

from table_rows import refused

from crosscurrent.casefile.tables.stray_field import FieldLine, FieldTable, file_part

AT = ["1 m", "0 m"]


def test_names_stand_once_and_make_files_of_their_own() -> None:
    seats = [{"name": "seat", "at": AT}, {"name": "seat", "at": AT}]
    assert refused(FieldTable, points=seats) == ("a name of its own for every point", '"seat" a second time')
    lines = [{"name": n, "start": AT, "end": ["2 m", "0 m"]} for n in ("way in", "Way-In")]
    assert refused(FieldTable, lines=lines)[1] == '"way in" and "Way-In"'
    assert file_part("way in (left)") == "way-in--left-"


def test_a_line_has_two_ends_and_a_band_rises() -> None:
    assert refused(FieldLine, name="a", start=AT, end=AT)[0] == "two different ends"
    assert refused(FieldTable, permeability=[200, 100]) == ("a low and a high permeability", "200 and 100")
