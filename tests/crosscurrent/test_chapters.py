"""The chapters of a case: asked in their order, those that say nothing left out, the verdict first."""

from __future__ import annotations

import pkgutil
from importlib import import_module
from types import SimpleNamespace
from typing import Any, get_args, get_type_hints

import pytest

from crosscurrent import chapters, topics
from crosscurrent.postprocess.answers.chapter import Chapter

SOLVED: Any = SimpleNamespace(case=SimpleNamespace(axial=False))


def test_answers_come_in_order_and_silence_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    told: list[tuple[str, float]] = []

    def silent(solved: object) -> None:
        asked.append(solved)

    one, two = Chapter("one", "One", {}), Chapter("two", "Two", {})
    monkeypatch.setattr(chapters, "CHAPTERS", {"b": lambda _: two, "none": silent, "a": lambda _: one})
    assert chapters.others_of(SOLVED, lambda step, share: told.append((step, share))) == (two, one)
    assert asked == [SOLVED]
    assert told == [("b", 0.0), ("none", 1 / 3), ("a", 2 / 3)]


@pytest.mark.parametrize("verdict", [None, Chapter("limits", "Limits", {"verdict": "fail"})])
def test_the_verdict_judges_all_others_and_stands_first(
    monkeypatch: pytest.MonkeyPatch, verdict: Chapter | None
) -> None:
    one = Chapter("one", "One", {})
    seen: list[tuple[object, ...]] = []

    def judge(*handed: object) -> Chapter | None:
        seen.append(handed)
        return verdict

    def resolve(*_: object) -> Any:
        raise AssertionError("nothing was changed")

    monkeypatch.setattr(chapters, "CHAPTERS", {"one": lambda _: one})
    monkeypatch.setattr(chapters.limits, "chapter", judge)
    monkeypatch.setattr(chapters.tolerance, "chapter", judge)
    monkeypatch.setattr(chapters.slopes_differences, "chapter", lambda *_: None)
    monkeypatch.setattr(chapters.measured, "chapter", lambda *_: None)
    found = chapters.chapters_of(SOLVED, resolve)
    assert found == ((one,) if verdict is None else (verdict, one, verdict))
    assert seen == 2 * [(SOLVED, (one,), resolve)]


def test_every_topic_with_a_chapter_is_asked() -> None:
    modules = [import_module(f"{topics.__name__}.{info.name}") for info in pkgutil.iter_modules(topics.__path__)]
    asking = {module.chapter for module in modules if hasattr(module, "chapter")}
    of_changed_cases = (chapters.limits, chapters.slopes_differences, chapters.tolerance)
    apart = {module.chapter for module in (*of_changed_cases, chapters.measured)}  # which no changed case needs
    assert asking == {*chapters.CHAPTERS.values(), *apart}


def test_each_takes_a_solved_case_and_may_say_nothing() -> None:
    for name, ask in chapters.CHAPTERS.items():
        hints = get_type_hints(ask)
        assert set(get_args(hints.pop("return"))) == {Chapter, type(None)}, name
        assert len(hints) == 1, name
