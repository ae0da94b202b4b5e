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
    every = [*(t["keys"] for t in found["tables"].values()), *found["shapes"].values()]
    for keys in every:
        for one in keys:
            assert tomllib.loads(f"x = {one['sample']}")
            assert one["meaning"]


def test_metals_are_those_built_in() -> None:
    assert forms()["metals"] == sorted(MATERIALS)
