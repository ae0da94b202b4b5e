"""The table of a study, read back by other readers."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from crosscurrent.studies.design import Design, Value
from crosscurrent.studies.table import write_tables

FAULT = 'overlap of "out" and "back":\nthe gap is 0 mm, less than nothing'


def design(values: dict[str, Value], figures: dict[str, float], fault: str = "") -> Design:
    errors = {name: 1e-4 * value for name, value in figures.items()}
    return Design(repr(values), values, figures, errors, {}, {}, "fail" if fault else "pass", fault)


MIXED = [
    design({"gap": 1e-3, "bars": 4, "metal": "copper"}, {"loss_w_per_m": 1.0 / 3.0}),
    design({"gap": 0, "bars": 2, "metal": "copper"}, {}, FAULT),
    design({"gap": 2e-3, "bars": 2, "metal": "aluminium-1350"}, {"mass_kg_per_m": 2.0, "loss_w_per_m": float("inf")}),
]


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_csv_has_every_figure_to_the_last_digit_under_its_unit(tmp_path: Path) -> None:
    found = rows(write_tables(tmp_path, MIXED, {"gap": "m"})[0])
    assert list(found[0]) == [
        "gap_m", "bars", "metal", "loss_w_per_m", "mass_kg_per_m", "loss_w_per_m_error", "mass_kg_per_m_error",
        "verdict", "fault",
    ]  # fmt: skip
    assert float(found[0]["loss_w_per_m"]) == 1.0 / 3.0
    assert [row["bars"] for row in found] == ["4", "2", "2"]
    assert found[1]["fault"] == FAULT
    assert found[1]["loss_w_per_m"] == found[0]["mass_kg_per_m"] == ""
    assert float(found[2]["loss_w_per_m"]) == float("inf")


def test_names_that_other_columns_have_are_told_apart(tmp_path: Path) -> None:
    clash = design({"verdict": "copper", "loss": 1.0}, {"loss_w_per_m": 2.0})
    (found,) = rows(write_tables(tmp_path, [clash], {"loss": "w_per_m"})[0])
    assert found["verdict_varied"] == "copper"
    assert found["verdict"] == "pass"
    assert (found["loss_w_per_m_varied"], found["loss_w_per_m"]) == ("1.0", "2.0")


def test_whole_or_not_at_all(tmp_path: Path) -> None:
    write_tables(tmp_path, MIXED, {})
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}

    class Failing:
        rounds = 0

        def __iter__(self) -> Iterator[Design]:
            self.rounds += 1
            yield MIXED[0]
            if self.rounds > 1:
                raise OSError("no room")

    with pytest.raises(OSError, match="no room"):
        write_tables(tmp_path, Failing(), {})
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_no_design_is_an_empty_table(tmp_path: Path) -> None:
    assert write_tables(tmp_path, [], {})[0].read_text(encoding="utf-8") == "verdict,fault\n"


@pytest.mark.skipif(not find_spec("pyarrow"), reason="pyarrow is not installed")
def test_parquet_has_the_same_with_their_types(tmp_path: Path) -> None:
    from pyarrow import parquet

    path = write_tables(tmp_path, MIXED, {"gap": "m"})[1]
    found = parquet.read_table(path).to_pydict()
    assert found["gap_m"] == [1e-3, 0.0, 2e-3]
    assert found["bars"] == [4, 2, 2]
    assert found["metal"] == ["copper", "copper", "aluminium-1350"]
    assert found["loss_w_per_m"] == [1.0 / 3.0, None, float("inf")]
    assert found["fault"] == ["", FAULT, ""]


def test_without_pyarrow_there_is_the_csv_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("crosscurrent.studies.table.find_spec", lambda name: None)
    assert write_tables(tmp_path, MIXED, {}) == [tmp_path / "designs.csv"]
