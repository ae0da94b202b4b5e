"""The catalogue of shapes says what the models and the shapes themselves take."""

import inspect
import tomllib

import pytest

from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.conductors_from_files import MODELS, FileConductor
from crosscurrent.command.catalogue import CATALOGUE, COMMON_KEYS
from crosscurrent.geometries.plane.shapes import SHAPES

SHAPE_NAMES = ["bar", "round", "tube", "box", "angle", "channel", "outline"]


def test_catalogue_has_the_keys_the_shapes_take():
    assert list(CATALOGUE) == list(MODELS) == [*SHAPE_NAMES, "bundle", "drawing", "mesh"]
    for name, entry in CATALOGUE.items():
        if entry.of_file:
            own = MODELS[name].model_fields.keys() - ConductorTable.model_fields.keys() - {"shape"}
            assert {key.name: key.optional for key in entry.keys} == {key: key != "file" for key in own}
            continue
        if name == "bundle":  # drawn by what its strands need
            continue
        parameters = inspect.signature(SHAPES[name]).parameters.values()
        taken = {p.name: p.default is not p.empty for p in parameters if p.name != "bulges"}
        if "wall" in taken:  # hollow shapes are drawn by outer sizes and wall, and given by any that say as much
            assert {key.name for key in entry.keys if not key.apart} == taken.keys(), name
            continue
        assert {key.name: key.optional for key in entry.keys} == taken, name


def test_catalogue_has_the_keys_every_conductor_takes():
    assert set(COMMON_KEYS) == ConductorTable.model_fields.keys()


def test_entries_are_those_of_the_models():
    for name, entry in CATALOGUE.items():
        model = MODELS[name]
        assert (entry.summary, entry.drawing, entry.height) == (model.summary, model.drawing, model.height_of_sample)
        assert entry.of_file == issubclass(model, FileConductor)
        assert all(key.sample and key.meaning for key in entry.keys)


@pytest.mark.parametrize("name", [*SHAPE_NAMES, "bundle"])
def test_the_samples_make_a_conductor_of_the_stated_height(name):
    """Those keys that must be there, and then all that stand together."""
    together = [key for key in CATALOGUE[name].keys if not key.apart]
    hollow = name in ("tube", "box")
    of_bundles = ("strands", "outer_diameter")
    needed = [k for k in together if not k.optional or (hollow and "radius" not in k.name) or k.name in of_bundles]
    for keys in (needed, together):
        text = "\n".join(f"{key.name} = {key.sample}" for key in keys)
        row = tomllib.loads(text) | {"name": "x", "shape": name, "material": "copper"}
        bounds = MODELS[name].model_validate(row).draw().outer.bounds
        assert (bounds[1] - bounds[0])[1] * 1e3 == pytest.approx(CATALOGUE[name].height, rel=1e-12)
