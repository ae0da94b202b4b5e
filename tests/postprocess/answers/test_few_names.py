"""Names in a sentence."""

from crosscurrent.postprocess.answers.few_names import MOST, few


def test_as_many_as_a_sentence_holds_are_all_said() -> None:
    names = [f"turn.{k}" for k in range(1, MOST + 1)]
    assert few(names) == ", ".join(names)
    assert few([*names, "turn.5"]) == "turn.1 to turn.5 (5)"
