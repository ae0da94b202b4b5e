"""The command `run`: what it prints."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from made_answers import point, summary
from topic_cases import two_rods

from crosscurrent.__main__ import main
from crosscurrent.casefile.case import checked_case
from crosscurrent.command.run_output import SHOWN, show_result
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.files.results import Heading
from crosscurrent.result import Result


@pytest.mark.usefixtures("no_pictures")
def test_first_screen_then_what_matters_or_everything(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", str(case)]) == 0
    brief = capsys.readouterr().out
    assert main(["run", str(case), "--all"]) == 0
    whole = capsys.readouterr().out
    first = brief.split("\n\n")[0]
    assert whole.startswith(first)
    assert len(first.splitlines()) <= 12
    for word in ("Two rods", "Limits: none stated", "Loss: ", "pair, ", "rod.1 to rod.2", "mohm/m", "nH/m", "Rac/Rdc"):
        assert word in first, word
    for word in ("[thou]", "screen", "Cautions:", "rms", "only induced currents"):
        assert word in whole, word
    assert len(brief.splitlines()) < 0.6 * len(whole.splitlines())
    assert "licensed people" in brief
    assert "--all" in brief
    assert "--all" not in whole


def made(*frequencies: float, warnings: tuple[str, ...] = ()) -> Result:
    """Two rods of brass with answers made by hand, every one of them drawn."""
    case = checked_case(two_rods(rod={"material": "brass"}))
    verdict = Chapter(
        "limits", "Limits", {}, (TextTable("Every limit", ("limit", "asked"), (("loss", "3 W/m"),)),), ("it passes",)
    )
    return Result(
        case=case, points=tuple(point(f) for f in frequencies), solutions=dict.fromkeys(frequencies),  # type: ignore[arg-type]
        heading=Heading("Two rods", "9.9", "0" * 64, 2.0, warnings, ("burns [deeply].",), summary()),
        chapters=(verdict,),
    )  # fmt: skip


def test_answers_then_chapters_then_metals_then_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    show_result(made(1e3), Path("out"), everything=True)
    text = capsys.readouterr().out
    places = [text.index(word) for word in (
        "Two rods", "Limits: none stated", "Where the current flows:", "900 unknowns of order 4", "Every limit",
        "it passes.",
        "Metals:", "brass: ", "Cautions:", "- burns [deeply]", "Results, pictures and fields are in out/",
    )]  # fmt: skip
    assert places == sorted(places)
    assert "Warnings:" not in text
    assert "more frequencies" not in text


def test_strands_askew_have_a_line_of_metal_of_their_own(capsys: pytest.CaptureFixture[str]) -> None:
    """Copper of 58 MS/m in the rods, 58 / 1.05 along the run of strands that are solved for."""
    data = two_rods(rod={"material": "copper"})
    strands = {"strands": 7, "strand_diameter": "0.3 mm", "take_up": 1.05, "material": "copper"}
    data["conductor"].append({"name": "few", "shape": "bundle", "centre": ["0 mm", "90 mm"], **strands})
    show_result(replace(made(1e3), case=checked_case(data)), Path("out"), everything=True)
    text = capsys.readouterr().out
    assert "copper: 58 MS/m" in text
    assert "copper: 55.24 MS/m" in text


def test_ferrite_has_no_resistivity_but_its_loss(capsys: pytest.CaptureFixture[str]) -> None:
    data = two_rods(material={"pad-ferrite": {"conductivity": "0 S/m", "permeability": 2200, "permeability_loss": 15}})
    plate = {"name": "plate", "shape": "bar", "width": "60 mm", "thickness": "5 mm", "centre": ["0 mm", "90 mm"]}
    data["conductor"].append(plate | {"material": "pad-ferrite"})
    show_result(replace(made(1e3), case=checked_case(data)), Path("out"), everything=True)
    assert "pad-ferrite: does not conduct, relative permeability 2200 - j15; the case" in capsys.readouterr().out


def test_many_frequencies_are_cut_and_warnings_shown(capsys: pytest.CaptureFixture[str]) -> None:
    show_result(made(*(1e3 * k for k in range(1, SHOWN + 3)), warnings=("it is [hot]",)), Path("out"), everything=True)
    text = capsys.readouterr().out
    assert text.count("Where the current flows:") == SHOWN
    assert "... and 2 more frequencies in table.csv and results.json." in text
    assert "- it is [hot]" in text


def test_briefly_each_chapter_has_two_sentences_and_cautions_one_paragraph(capsys: pytest.CaptureFixture[str]) -> None:
    chapter = Chapter("water", "Water", {}, sentences=tuple(f"sentence {k}" for k in range(5)))
    many = made(1e3, warnings=tuple(f"warning {k}" for k in range(5)))
    show_result(replace(many, chapters=(*many.chapters, chapter)), Path("out"))
    text = capsys.readouterr().out
    assert [k for k in range(5) if f"sentence {k}" in text] == [0, 1]
    assert "it passes" not in text  # the verdict stands in the first screen
    assert [k for k in range(5) if f"warning {k}." in text] == [0, 1, 2]
    assert "2 more: --all" in text
    assert "Cautions\n  Burns [deeply]." in text
