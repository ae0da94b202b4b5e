"""[[vary]] and [study] as a plan, and every fault in them at its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from study_cases import ROD, STACK, written

from crosscurrent.casefile.faults import CaseError
from crosscurrent.studies.plan import Orders, Range
from crosscurrent.studies.reading import plan_of

FAULTS = {
    'name = "size"\nvalues = []': r'line 22, vary "size", key values: expected one or more, found an empty list',
    'choices = []': r"line 21, vary 1, key choices: expected one or more, found an empty list",
    'name = "seize"\nfrom = "1 mm"\nto = "9 mm"': 'line 21, vary "seize", key name: .* did you mean "size"',
    'name = "size"\nfrom = "1 kHz"\nto = "9 mm"': "key from: expected a length .* as size is one, found",
    'name = "size"\nfrom = "9 mm"\nto = "1 mm"': "from a lower to a higher value, found 9 mm to 1 mm; exchange them",
    'name = "size"\nfrom = "9 mm"': "expected both ends of a range, found from alone",
    'name = "size"': "expected one of from and to, values, choices, orders, found none of them",
    'name = "size"\nfrom = "1 mm"\nto = "9 mm"\nvalues = ["2 mm"]': "found from, to and values",
    'name = "metal"\nfrom = "1 mm"\nto = "9 mm"': 'expected a quantity for a range, found "metal", a count or a metal',
    'name = "size"\nvalues = ["2 mm", "3 A"]': "key values 2: expected a length",
    'values = ["2 mm"]': "expected a name beside a range or values",
    'choices = [{ is = "a", size = "2 mm" }, { is = "b", metal = "silver" }]': "the same values in every choice",
    'choices = [{ size = "2 mm" }]': 'expected "is" and at least one value in every choice',
    'choices = [{ is = "a", rood = { shape = "tube" } }]': 'before a whole one, found "rood"; did you mean "rod"',
    'orders = "all"': "expected of, and two circuits or more, beside orders, found no of",
    'orders = "all"\nof = "rod"\ncircuits = ["feed"]': "found one circuit; such as circuits = ",
    'orders = "all"\nof = "rod"\ncircuits = ["feed", "fed"]': 'the name of a circuit, found "fed"; did you mean "feed"',
    'name = "size"\nfrom = 2\nto = "9 mm"': "found the bare number 2",
    'name = "size"\nvalues = ["2 mm"]\n[study]\nleast = ["loss", "loss"]': "one aim, or two different ones",
    'name = "size"\nvalues = ["2 mm"]\n[study]\nleast = ["cost"]': "expected \\[prices\\] beside cost, found none",
    'name = "size"\nvalues = ["2 mm"]\n[study]\nat = "3 Hz"': "one of the frequencies of the case",
    'name = "size"\nvalues = ["2 mm"]\n[study]\ncircuit = "fed"': 'did you mean "feed"',
    'name = "size"\nvalues = ["2 mm"]\n[study]\nleast = ["voltage_drop"]': "the length of the run beside voltage_drop",
}


def test_ranges_values_and_choices(tmp_path: Path) -> None:
    varied = """
[[vary]]
name = "size"
from = "10 mm"
to = "30 mm"
[[vary]]
name = "metal"
values = ["copper", "silver"]
[[vary]]
name = "feed.current"
values = ["100 A", "0.2 kA"]
[study]
least = "resistance"
designs = 5
"""
    plan = plan_of(written(tmp_path, ROD + varied))
    assert plan.ranges == (Range("size", 0.01, 0.03, "length"),)
    assert [[dict(o.values) for o in c.options] for c in plan.choices] == [
        [{"metal": "copper"}, {"metal": "silver"}],
        [{"feed.current": 100.0}, {"feed.current": 200.0}],
    ]
    assert len(list(plan.combinations())) == 4
    assert [share for (share,) in plan.shares()] == [0, 0.25, 0.5, 0.75, 1]
    assert plan.question.aims == ("resistance",)


def test_a_whole_conductor_among_choices(tmp_path: Path) -> None:
    varied = """
[[vary]]
choices = [
  { is = "rod", rod = { shape = "round", diameter = "20 mm" } },
  { is = "tube", rod = { shape = "tube", diameter = "20 mm", wall = "2 mm" } },
]
[study]
least = "resistance"
"""
    (choice,) = plan_of(written(tmp_path, ROD + varied)).choices
    assert [o.label for o in choice.options] == ["rod", "tube"]
    assert choice.options[1].values == {"rod": '{"shape": "tube", "diameter": "20 mm", "wall": "2 mm"}'}


def test_orders(tmp_path: Path) -> None:
    assert plan_of(written(tmp_path, STACK)).orders == Orders("bar", ("L1", "L2", "L3"))


def test_nothing_varied(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match=r"expected a table \[\[vary\]\], found none"):
        plan_of(written(tmp_path, ROD))


@pytest.mark.parametrize("text", FAULTS, ids=lambda text: text.replace("\n", " ")[:40])
def test_faults(text: str, tmp_path: Path) -> None:
    with pytest.raises(CaseError, match=FAULTS[text]):
        plan_of(written(tmp_path, f"{ROD}\n[[vary]]\n{text}\n"))


def test_orders_beyond_all_measure(tmp_path: Path) -> None:
    text = STACK.replace("count = 6", "count = 18")
    for circuit in (2, 1, 0):
        names = ", ".join(f'"bar.{6 * circuit + k}"' for k in range(1, 7))
        text = text.replace(f'"bar.{2 * circuit + 1}", "bar.{2 * circuit + 2}"]', f"{names}]", 1)
    with pytest.raises(CaseError, match="expected at most 200000 orders, found 17153136 of 18 copies"):
        plan_of(written(tmp_path, text))


BESIDE = '[[vary]]\nname = "bar.thickness"\nvalues = ["50 mm"]\n'


def test_orders_beside_other_things(tmp_path: Path) -> None:
    plan = plan_of(written(tmp_path, STACK + BESIDE))
    assert (plan.orders, plan.question.orders) == (None, Orders("bar", ("L1", "L2", "L3")))


@pytest.mark.parametrize(
    ("case", "found"),
    [
        (STACK + '[study]\nleast = "mass"\n', "mass"),
        (STACK + BESIDE + '[cooling]\nfinish = "dull"\n', r"\[cooling\]"),
        (STACK.replace('at = ["50 Hz"]', 'sweep = { from = "50 Hz", to = "5 kHz", points = 3 }'), "one of a sweep"),
        (STACK + STACK[STACK.index("[[vary]]") :], "a second table of orders"),
    ],
)
def test_orders_refused(case: str, found: str, tmp_path: Path) -> None:
    with pytest.raises(CaseError, match=f"found {found}"):
        plan_of(written(tmp_path, case))
