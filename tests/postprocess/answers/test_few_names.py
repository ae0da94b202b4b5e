"""Names in a sentence."""

from crosscurrent.postprocess.answers.few_names import MOST, few, few_of_each, short_name


def test_as_many_as_a_sentence_holds_are_all_said() -> None:
    names = [f"turn.{k}" for k in range(1, MOST + 1)]
    assert few(names) == ", ".join(names)
    assert few([*names, "turn.5"]) == "turn.1 to turn.5 (5)"


def test_rows_of_repeated_parts_stay_apart() -> None:
    names = [*(f"go.{k}" for k in range(1, 7)), *(f"back.{k}" for k in range(1, 7))]
    assert few_of_each(names) == "go.1 to go.6 (6), back.1 to back.6 (6)"
    assert few_of_each(["go", "go.a", "back.2"]) == "go, go.a, back.2"


def test_long_names_of_a_row_stay_apart() -> None:
    short = [short_name(f"feeder to the shuttle berth.{k}", 24) for k in range(1, 13)]
    assert len({*short}) == len(short)
    assert max(map(len, short)) == 24
