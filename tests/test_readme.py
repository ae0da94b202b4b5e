"""Every block of the README does what it says."""

from __future__ import annotations

import json
import math
import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

from crosscurrent.__main__ import main

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
HEAD_AND_ROWS = slice(5), slice(5, None)  # of the bridge's file


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph = README.split("\n\n")[:2]
    assert title == "# crosscurrent"
    assert len(paragraph.split()) < 130
    for word in ("current", "resistance", "inductance", "proximity", "losses"):
        assert word in paragraph


def test_python_blocks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    first, own = blocks("python")
    names: dict[str, object] = {}
    exec(first, names)
    number, sentence = capsys.readouterr().out.split(" ", 1)
    # facing wide plates, one-dimensional: 2 / (w sigma delta) = 1.52 mohm/m; the edges carry some of it away
    assert float(number) == pytest.approx(1.4367e-3, rel=1e-3)
    assert "lower face" in sentence
    assert len(list((tmp_path / "feed" / "pictures").glob("*.png"))) >= 4
    exec(own, names)
    assert float(capsys.readouterr().out.split()[0]) == pytest.approx(0.1 * 0.006**3 / 12, rel=1e-3)


@pytest.mark.usefixtures("no_pictures")
def test_case_file_block(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, *_ = blocks("toml")
    tomllib.loads(text)
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    assert main(["run", str(path)]) == 0
    assert (tmp_path / "own" / "results.json").exists()
    assert "85 kHz" in capsys.readouterr().out


@pytest.mark.usefixtures("no_pictures")
def test_further_questions_block(tmp_path: Path) -> None:
    """The second block takes the place of the frequencies of the first; a narrower sweep of fewer points does."""
    text, _, more, *_ = blocks("toml")
    first = re.sub(r"\[frequency\]\n.*\n", "", text)
    path = tmp_path / "asked.toml"
    path.write_text(first + more.replace('"10 MHz", points = 200', '"85 kHz", points = 2'), encoding="utf-8")
    assert main(["run", str(path)]) == 0
    data = json.loads((tmp_path / "asked" / "results.json").read_text(encoding="utf-8"))
    assert {"limits", "field", "supports", "voltage", "joints", "mass", "hand_formula"} <= data.keys()
    # 5 kA with a peak factor of 1.8 between wide facing bars: at most mu0 ip^2 / (2 w)
    push = data["supports"]["conductors"][0]["fault_peak_force_n_per_m"]
    assert 0.5 < push / (4e-7 * math.pi * (1.8 * math.sqrt(2) * 5e3) ** 2 / (2 * 0.1)) < 1.0


@pytest.mark.usefixtures("no_pictures")
def test_coil_block(tmp_path: Path) -> None:
    path = tmp_path / "coil.toml"
    path.write_text(blocks("toml")[3], encoding="utf-8")
    assert main(["run", str(path)]) == 0
    data = json.loads((tmp_path / "coil" / "results.json").read_text(encoding="utf-8"))
    assert {"limits", "coils", "work_pieces", "tank"} <= data.keys()
    assert data["work_pieces"]["points"][0]["power_into_pieces_w"] == pytest.approx(30e3, rel=1e-6)
    # a long coil: H = n I, R_s H^2 over the billet's side; the field of one as short as this is weaker
    strength = 10 * data["coils"]["coils"][0]["current_a"][0] / 0.16
    sheet = math.sqrt(math.pi * 1e3 * 4e-7 * math.pi / 31.9e6)
    assert 0.5 < 30e3 / (sheet * strength**2 * math.pi * 0.06 * 0.16) < 1.0


@pytest.mark.usefixtures("no_pictures")
def test_measured_block(tmp_path: Path) -> None:
    """With a pair of bars and a bench that shows what direct current in them would, and 1 mohm of leads."""
    text, *_ = blocks("toml")
    block = next(b for b in blocks("toml") if b.startswith("[measured]"))
    rest = 2 * 2.4 / (58e6 * 0.1 * 0.006)
    rows = f"f [Hz],Rs [ohm],Ls [nH]\n1,{rest + 1e-3},0\n2,{rest + 1e-3},0\n"
    (tmp_path / "bench.csv").write_text(rows, encoding="utf-8")
    path = tmp_path / "bench.toml"
    path.write_text(text + block, encoding="utf-8")
    assert main(["run", str(path)]) == 0
    record = json.loads((tmp_path / "bench" / "results.json").read_text(encoding="utf-8"))["measured"]
    assert record["found_lead_resistance_ohm"] == pytest.approx(1e-3, rel=0.05)


def test_choosing_block(tmp_path: Path) -> None:
    """With a case of its names; at one frequency and with few designs."""
    _, choosing, *_ = blocks("toml")
    bar = '[[conductor]]\nname = "{}"\nshape = "bar"\nwidth = "40 mm"\nthickness = "thick"\nmaterial = "metal"\n{}\n'
    case = '[frequency]\nat = ["0 Hz"]\n[named]\ngap = "1 mm"\nthick = "6 mm"\nmetal = "copper"\n'
    case += bar.format("go", "") + bar.format("back", 'place = { below = "go", gap = "gap" }')
    case += '[[circuit]]\nname = "feed"\ncurrent = "1 kA"\nout = ["go"]\nback = ["back"]\n'
    path = tmp_path / "choice.toml"
    path.write_text(case + choosing + "designs = 2\nstarts = 1\n", encoding="utf-8")
    assert main(["study", str(path), "--workers", "1"]) == 0
    front = json.loads((tmp_path / "choice-study" / "study.json").read_text(encoding="utf-8"))["front"]
    # 10 mm of 34.8 MS/m carry what 6 mm of 58 MS/m do, and weigh less: copper is not on the front
    assert {design["values"]["metal"] for design in front} == {"aluminium-1350"}


def test_commands_of_your_own_section(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    lines = next(b for b in blocks("sh") if "crosscurrent shapes" in b).strip().splitlines()
    commands = [shlex.split(line, comments=True) for line in lines]
    for line, arguments in zip(lines, commands, strict=True):
        assert arguments[0] == "crosscurrent"
        if [*arguments, "--report"] in commands:  # that line does all that this one does
            continue
        assert main(arguments[1:]) == 0, line
        if arguments[1:] == ["examples", "feed-measured"]:  # all of its rows: `cases/test_feed_measured.py`
            bench = tmp_path / "feed-measured.csv"
            head, rows = (bench.read_text(encoding="utf-8").splitlines(keepends=True)[part] for part in HEAD_AND_ROWS)
            bench.write_text("".join(head + rows[::6]), encoding="utf-8")


def test_run_command_names_a_shipped_case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same arguments as in the set-up line, without the installation that CI does."""
    line = re.search(r"crosscurrent (run cases/\S+ --out \S+)", README)
    assert line
    shutil.copytree(ROOT / "cases", tmp_path / "cases", ignore=shutil.ignore_patterns("*.py", "pictures"))
    monkeypatch.chdir(tmp_path)
    assert main(line[1].split()) == 0
    for name in ("results.json", "table.csv", "fields.vtu", "case.toml"):
        assert (tmp_path / "feed" / name).stat().st_size > 100


def test_numbers_quoted_for_the_shipped_case() -> None:
    from crosscurrent import read_case, solve

    feed = solve(read_case(ROOT / "cases" / "feed-facing.toml")).circuits["feed"]
    quoted = re.search(r"([\d.]+) mohm/m for the loop \(([\d.]+) times[^)]*\),\s+([\d.]+) nH/m", README)
    assert all((quoted, feed.resistance, feed.inductance, feed.resistance_ratio))
    assert feed.resistance * 1e3 == pytest.approx(float(quoted[1]), abs=6e-4)
    assert feed.resistance_ratio == pytest.approx(float(quoted[2]), abs=0.6)
    assert feed.inductance * 1e9 == pytest.approx(float(quoted[3]), abs=6e-3)
