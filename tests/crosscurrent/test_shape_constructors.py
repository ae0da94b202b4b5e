"""One constructor a shape: exactly the arguments of its model, and the same conductor as said in words."""

from __future__ import annotations

import inspect
import subprocess
import sys
from collections.abc import Callable
from typing import Any, Required, get_origin, get_type_hints

import pytest

from crosscurrent import shape_constructors
from crosscurrent.api import conductor
from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.conductors_from_files import MODELS
from crosscurrent.casefile.faults import CaseError
from crosscurrent.shape_constructors import Further

SAMPLES: dict[str, dict[str, Any]] = {
    "bar": {"width": "40 mm", "thickness": "6 mm", "edge_radius": "1 mm"},
    "round": {"diameter": "6 mm"},
    "tube": {"diameter": "6 mm", "wall": "1 mm"},
    "box": {"width": "40 mm", "thickness": "20 mm", "wall": "2 mm", "edge_radius": "1 mm", "inner_radius": "1 mm"},
    "angle": {"width": "40 mm", "height": "30 mm", "thickness": "4 mm", "edge_radius": "1 mm"},
    "channel": {"width": "40 mm", "height": "30 mm", "thickness": "4 mm", "edge_radius": "1 mm"},
    "bundle": {"strands": 420, "strand_diameter": "0.1 mm", "outer_diameter": "3 mm", "take_up": 1.03},
    "outline": {"points": [("0 mm", "0 mm"), ("9 mm", "0 mm"), ("0 mm", "9 mm")]},
}


def constructor(shape: str) -> Callable[..., ConductorTable]:
    made: Callable[..., ConductorTable] = getattr(shape_constructors, shape)
    return made


def test_there_is_one_for_every_shape() -> None:
    assert sorted(shape_constructors.__all__) == sorted(MODELS)


@pytest.mark.parametrize("shape", sorted(MODELS))
def test_its_arguments_are_the_keys_of_its_model(shape: str) -> None:
    own = MODELS[shape].model_fields.keys() - ConductorTable.model_fields.keys() - {"shape"}
    taken = {p.name: p.default is not p.empty for p in inspect.signature(constructor(shape)).parameters.values()}
    assert {key: taken.pop(key) for key in ("name", "further")} == {"name": False, "further": False}
    assert taken == {key: not MODELS[shape].model_fields[key].is_required() for key in own}


def test_what_every_conductor_takes_is_typed() -> None:
    hints = get_type_hints(Further, include_extras=True)
    assert hints.keys() == ConductorTable.model_fields.keys() - {"name"}
    assert [key for key, hint in hints.items() if get_origin(hint) is Required] == ["material"]


@pytest.mark.parametrize("shape", sorted(SAMPLES))
def test_it_makes_what_conductor_makes(shape: str) -> None:
    further: dict[str, Any] = {"material": "copper", "centre": ("1 mm", "2 mm"), "turn": "30 deg"}
    made = constructor(shape)("a", **SAMPLES[shape], **further)
    assert made == conductor("a", shape, **SAMPLES[shape], **further)
    assert made.shape == shape  # type: ignore[attr-defined]


def test_faults_are_those_of_a_case() -> None:
    with pytest.raises(CaseError, match='argument width, conductor "a": expected a length'):
        shape_constructors.bar("a", width="6 kHz", thickness="6 mm", material="copper")


def test_nothing_heavy_is_imported_before_one_is_called() -> None:
    heavy = "numpy scipy pydantic"
    code = f"import sys, crosscurrent.shape_constructors; sys.exit(' '.join(set('{heavy}'.split()) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, encoding="utf-8", timeout=60)
    assert done.stderr.strip() == ""
