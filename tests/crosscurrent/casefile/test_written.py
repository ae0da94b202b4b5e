"""Every case can be made in Python, and a case made in Python is a case file again."""

from __future__ import annotations

import pickle
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.quantities import parse, write_quantity
from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import variables
from crosscurrent.casefile.varied import varied
from crosscurrent.casefile.written import as_toml

FOLDER = Path(__file__).parents[3] / "cases"
ROD = """
frequency.at = ["1 MHz"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "25 mm"
material = "copper"
[[circuit]]
name = "coil"
current = "40 A"
out = ["rod"]
"""
# every table of a case file with most of its keys; the shipped cases have those of conductors and circuits
TABLES = """
[accuracy]
resistance = "0.01 %"
roughness = "groiss"
[cooling]
orientation = "30 deg"
emissivity = 0.35
altitude = "1200 ft"
[[duty]]
name = "pulse"
on = "3 s"
off = "1 min"
[[joint]]
name = "clamp"
circuit = "coil"
resistance = "3 uohm"
[voltage]
quality = 40
[prices]
copper = "4.35 USD/lb"
silver = "31.2 USD/ozt"
[field]
points = [{ name = "bench edge", at = ["0 mm", "1/2 in"] }]
[supports]
spacing = "0.4 m"
[limits]
loss = "40 W/ft"
insulated = ["rod"]
[report]
project = "Pier \\\\ plasma \\"bench\\" \\u00fc\\u007f"
[waveform]
frequency = "1 MHz"
harmonics = [{ order = 1, current = "30 A" }, { order = 3, current = "2 A", phase = "-0.5 rad" }]
[ladder]
from = "1 kHz"
to = "2 MHz"
[fault]
current = "2 kA"
frequency = "50 Hz"
x_over_r = 10
duration = "100 ms"
[material."my alloy"]
resistivity = "2.5 uohm*cm"
"""


def from_python(data: dict[str, Any]) -> Case:
    """The tables of a case file through the functions of the Python interface."""
    conductors = [conductor(**row) for row in data.pop("conductor")]
    circuits = [circuit(**row) for row in data.pop("circuit", ())]
    frequency, materials = data.pop("frequency"), data.pop("material", None)
    return case(data.pop("title", ""), conductors, circuits, **frequency, materials=materials, **data)


# names stand for values in files; Python has its own
UNNAMED = [path for path in sorted(FOLDER.glob("*.toml")) if "[named]" not in path.read_text(encoding="utf-8")]


@pytest.mark.parametrize("path", UNNAMED, ids=lambda path: path.stem)
def test_every_shipped_case_can_be_made_in_python(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)  # files are counted from the working folder
    made = from_python(tomllib.loads(path.read_text(encoding="utf-8")))
    assert made.data == read_case(path.name).data
    assert checked_case(tomllib.loads(made.source.decode())).data == made.data


def test_every_table_can_be_said_in_python_and_written_again() -> None:
    text = 'length = "2 m"' + ROD + TABLES
    data = tomllib.loads(text)
    made = from_python(tomllib.loads(text))
    assert made.data == checked_case(data).data
    again = tomllib.loads(made.source.decode())
    assert checked_case(again).data == made.data
    assert again["limits"]["loss"] == "40 W/ft"
    assert again["report"]["project"] == 'Pier \\ plasma "bench" \u00fc\x7f'
    assert again["material"]["my alloy"]["resistivity"] == "25 nohm*m"


def rod(**more: Any) -> Case:
    made = conductor("rod", "round", diameter="25 mm", material="copper")
    return case("rod", made, circuit("coil", "40 A", out=["rod"]), **{"at": ["1 MHz"], **more})


def test_one_table_may_stand_for_a_list_of_one() -> None:
    joint = {"name": "clamp", "circuit": "coil", "resistance": "3 uohm"}
    assert rod(joint=joint).data == rod(joint=[joint]).data


@pytest.mark.parametrize(
    ("tables", "expected"),
    [
        ({"cooling": {"finsh": "dull"}}, 'argument finsh, cooling: .* did you mean "finish"'),
        ({"coolng": {}}, 'argument coolng: .* did you mean "cooling"'),
        ({"limits": {"loss": "5 W"}}, 'argument loss, limits: expected a loss per length .* found "5 W"'),
        ({"joint": {"name": "a", "circuit": "coi", "resistance": "1 uohm"}}, 'joint "a": .* did you mean "coil"'),
        ({"accuracy": 0.1}, "argument resistance, accuracy: expected a percentage"),
        ({"accuracy": {"roughness": "rough"}}, 'argument roughness, accuracy: expected "gradient"'),
        ({"frequency": {"at": ["1 Hz"]}}, "argument frequency: .* give it as at or sweep"),
    ],
)  # fmt: skip
def test_faults_of_tables_name_the_argument(tables: dict[str, Any], expected: str) -> None:
    with pytest.raises(CaseError, match=expected):
        rod(**tables)


@given(st.sampled_from(sorted(DIMENSIONS)), st.floats(0.0, 1.0), st.sampled_from([1, 3, 6, 17]))
@settings(max_examples=300, deadline=None)
def test_a_written_quantity_reads_back(dimension: str, place: float, digits: int) -> None:
    wanted = DIMENSIONS[dimension]
    low, high = parse(wanted.low, dimension), parse(wanted.high, dimension)
    value = low * (high / low) ** place if low > 0 else low + (high - low) * place
    value = min(max(float(f"{value:.{digits}g}"), low), high)
    assert parse(write_quantity(value, dimension), dimension) == pytest.approx(value, rel=1e-15, abs=1e-13)


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (-0.07, "position", "-70 mm"), (0.0254, "length", "1 in"), (2e-6, "length", "2 um"), (20e3, "current", "20 kA"),
        (13.56e6, "frequency", "13.56 MHz"), (70.0, "temperature", "70 degC"), (0.0, "radius", "0 mm"),
        (1200.0, "time", "1200 s"), (58e6, "conductivity", "58 MS/m"), (8 / 60e3, "flow", "8 l/min"),
        (1.4 / 60e3, "flow", "1.4 l/min"), (50 / 3.6e6, "flow", "50 l/h"), (0.06, "time", "60 ms"),
    ],
)  # fmt: skip
def test_a_quantity_is_written_as_the_trade_writes_it(value: float, dimension: str, text: str) -> None:
    assert write_quantity(value, dimension) == text


words = st.text(max_size=8)
plain = st.one_of(words, st.booleans(), st.integers(-(10**9), 10**9), st.floats(-1e9, 1e9))
listed = st.lists(plain, max_size=3)
inner = st.dictionaries(words, st.one_of(plain, listed, st.dictionaries(words, plain, max_size=2)), max_size=3)
tables_of = st.dictionaries(words, st.one_of(plain, listed, inner, st.lists(inner, min_size=1, max_size=2)), max_size=4)


@given(tables_of)
@settings(max_examples=150, deadline=None)
def test_any_tables_come_back_from_their_toml(tables: dict[str, Any]) -> None:
    assert tomllib.loads(as_toml(tables)) == tables


def test_tolerances_of_a_case_made_in_python_are_kept() -> None:
    rod = conductor("rod", "round", material="copper", diameter="25 mm +- 0.1 mm", temperature="70 degC +- 5 K")
    made = case("rod", pickle.loads(pickle.dumps(rod)), circuit("coil", "40 A +- 2 %", out=["rod"]), at=["1 MHz"])
    found = {one.key: one.tolerance for one in variables(made) if one.tolerance}
    assert found == pytest.approx({"rod.diameter": 1e-4, "rod.temperature": 5.0, "coil.current": 0.8})


def test_a_case_of_plain_tables_keeps_its_names() -> None:
    tables = tomllib.loads(ROD.replace('"25 mm"', '"size"') + '[named]\nsize = "25 mm +- 0.1 mm"\n')
    made = checked_case(tables)
    assert varied(made, {"size": 0.03}).data.conductor[0].diameter == 0.03
    assert checked_case(tomllib.loads(made.source.decode())).data == made.data
