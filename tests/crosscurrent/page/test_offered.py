"""Forms say what the models of the case file say."""

import tomllib

from crosscurrent.casefile.keys import topics
from crosscurrent.page.offered import TABLES, forms
from crosscurrent.solver.metals.materials import MATERIALS


def test_every_key_of_the_offered_tables_is_there() -> None:
    found = forms()["tables"]
    assert set(found) == set(TABLES)
    for name, table in found.items():
        assert [one["key"] for one in table["keys"]] == [k.name for k in topics()[name].keys if k.sample]


def test_examples_are_values_of_a_case_file() -> None:
    found = forms()
    assert {key for keys in found["shapes"].values() for key in keys} == found["dimensions"].keys()
    for one in (*(k for t in found["tables"].values() for k in t["keys"]), *found["dimensions"].values()):
        assert tomllib.loads(f"x = {one['sample']}")
        assert one["meaning"]
        assert one["takes"] in ("choice", "list", "text", "rows", "table", "value")


def test_forms_speak_the_words_of_the_trade() -> None:
    found = forms()["tables"]
    for table in found.values():
        for one in table["keys"]:
            assert "_" not in one["label"]
            assert "[" not in one["meaning"] or one["takes"] == "value"
    assert found["limits"]["keys"][0]["label"] == "temperature of bare metal"
    assert {k["key"]: k.get("choices") for k in found["fault"]["keys"]}["form"] == ["offset", "half-sine", "step"]
    harmonics = next(k for k in found["waveform"]["keys"] if k["key"] == "harmonics")
    assert (harmonics["takes"], harmonics["keys"][0]["key"]) == ("rows", "order")


def test_metals_are_those_built_in() -> None:
    assert forms()["metals"] == sorted(MATERIALS)
