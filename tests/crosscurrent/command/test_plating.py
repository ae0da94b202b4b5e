"""The command `plating`: what it prints, draws and refuses."""

import re

import pytest

from crosscurrent.__main__ import main


@pytest.fixture
def run(capsys):
    """Run the command; give its exit code, standard output and standard error."""

    def call(*arguments):
        status = main(["plating", *arguments])
        return (status, *capsys.readouterr())

    return call


def row(text, first):
    """The words of the one line of a table that begins with this word."""
    return next(words for words in (line.split() for line in text.splitlines()) if words[:1] == [first])


def test_silver_on_brass(run):
    status, out, err = run("brass", "silver", "--at", "13.56MHz")
    assert (status, err) == (0, "")
    assert "Silver on brass at 13.56 MHz, 20 degC" in out
    # 0.489 of bare brass at pi/2 depths of 17.24 um (plating-037); solid silver sqrt(15.9/62.9)
    assert "Lowest at 27.1 um (1.07 thou), 1.57 depths: 0.489 of bare brass, 0.972 of solid silver." in out
    assert row(out, "solid")[-2:] == ["0.503", "1.000"]
    bare = row(out, "0")
    assert bare[:3] + bare[5:6] == ["0", "0", "0.00", "1.000"]
    assert "Enough: 22.6 um (0.89 thou)" in out
    assert "at least 26.9 um (1.06 thou)" in out
    assert "Nowhere more than 1 % worse" in out


def test_ten_micrometres_of_silver_as_published(run):
    # plating-221: 10 um of silver on brass at 10 MHz
    _, out, _ = run("brass", "silver", "10um", "--at", "10 MHz")
    assert row(out, "10")[5] == "0.678"
    assert "At 10 um (0.394 thou) the silver takes" in out


def test_a_thickness_of_the_table_is_shown_once(run):
    for given in ("10um", "20 um", "5um", "0.03 mm"):
        _, out, _ = run("brass", "silver", given, "--at", "13.56 MHz")
        body = out[: out.index("\n solid ")].splitlines()
        firsts = [line.split()[0] for line in body if line.strip()[:1].isdigit()]
        assert len(firsts) == len(set(firsts)) > 5


def test_no_plating_helps_where_the_skin_is_thick(run):
    """The skin of silver at 1 Hz is 63 mm deep."""
    _, out, _ = run("brass", "silver", "10um", "--at", "1 Hz")
    assert "No sensible plating helps at this frequency: 50 um (1.97 thou) of silver" in out
    assert "Lowest" not in out
    body = out[: out.index("\n solid ")].splitlines()
    assert [line.split()[0] for line in body if line.strip()[:1].isdigit()] == ["0", "10", "50"]


def test_tin_hurts_and_says_from_where(run):
    _, out, _ = run("copper", "tin", "--at", "1 MHz")
    assert "No thickness of tin buys 1 %" in out
    assert "It hurts from 12.4 um (0.49 thou) on: more than 1 % worse than bare copper." in out
    assert "Worst at 261 um" in out  # pi/2 depths of 166.2 um
    assert "tin: 9.17 MS/m as bulk at 20 degC; as plate 7 to 9.17 MS/m" in out
    assert "common practice" in out


@pytest.mark.parametrize("words", [["nickel 2 um", "gold"], ["nickel", "2um", "gold"], ["nickel", "2", "um", "gold"]])
def test_layers_in_any_grouping(run, words):
    status, out, _ = run("copper", *words, "--at", "1GHz")
    assert status == 0
    assert "Gold over 2 um of nickel on copper at 1 GHz" in out
    assert "It hurts at every thickness, the layers below included" in out
    assert "permeability 10 to 600" in " ".join(out.split())
    assert "Nickel and iron are magnetic" in out


def test_several_frequencies_and_a_temperature(run):
    _, out, _ = run("aluminium-6101", "silver", "--at", "1 MHz", "85 kHz", "--temperature", "70 degC")
    assert "Silver on aluminium-6101 at 1 MHz, 70 degC" in out
    assert "Silver on aluminium-6101 at 85 kHz, 70 degC" in out
    assert "silver: 52.9 MS/m as bulk at 70 degC" in out  # 62.9 / (1 + 0.0038 * 50)
    assert "Baths seldom lay more than 50 um (1.97 thou) (common practice, no source)" in out


def test_polish(run):
    _, out, _ = run("copper", "copper", "--at", "8 MHz", "--roughness", "3.2um")
    assert "Rq 3.2 um (0.126 thou) has 1.034 times the resistance of a polished one" in " ".join(out.split())


@pytest.mark.parametrize("suffix", [".png", ".svg"])
def test_picture(run, tmp_path, suffix):
    file = tmp_path / f"plating{suffix}"
    status, out, _ = run("copper", "nickel 2um", "silver", "--at", "1MHz", "13.56MHz", "--picture", str(file))
    assert status == 0
    assert f"Picture: {file}" in "".join(out.split("\n"))
    assert [path.name for path in tmp_path.iterdir()] == [file.name]
    content = file.read_bytes()
    if suffix == ".png":
        assert content.startswith(b"\x89PNG")
    else:
        text = content.decode()
        words = ("Silver over 2 µm of nickel on copper", "bare copper", "solid silver", "13.56 MHz", "[thou]")
        assert all(word in text for word in words)
    run("copper", "nickel 2um", "silver", "--at", "1MHz", "13.56MHz", "--picture", str(file))
    assert file.read_bytes() == content


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["copper", "--at", "1MHz"], "after the base metal: expected a plating metal, found none; such as"),
        (["brass", "10um", "--at", "1MHz"], 'expected a plating metal, found "10um"'),
        (["copper", "nikel", "--at", "1MHz"], 'no material "nikel"; did you mean "nickel"?'),
        (["coper", "nickel", "--at", "1MHz"], 'no material "coper"; did you mean "copper"?'),
        (["copper", "nickel", "gold", "--at", "1MHz"], 'nickel: expected its thickness, such as "nickel 2um"'),
        (["copper", "nickel", "2", "gold", "--at", "1MHz"], 'found "2 gold" (unknown unit)'),
        (["copper", "tin", "1,5um", "--at", "1MHz"], 'write a decimal point: "1.5um"'),
        (["copper", "tin", "--at", "0Hz"], "expected frequencies above 0 Hz"),
        (["copper", "tin", "--at", "1MHz", "--picture", "x.jpg"], 'ending in .png or .svg, found "x.jpg"'),
        (["copper", "tin", "--at", "1MHz", "--picture", "nowhere/x.png"], 'a folder that exists, found "nowhere"'),
        (["copper", "tin", "1um", "--at", "1MHz", "--roughness", "2um"], 'thickness of the tin, found "2um"'),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(run, arguments, message):
    status, out, err = run(*arguments)
    assert status == 2
    assert out == ""
    assert message in err
    assert re.fullmatch(r"[^\n]+\n", err)
