"""The light commands: what they print, leave and answer to the shell."""

import inspect
import subprocess
import sys
import tomllib
from itertools import pairwise

import pytest

from crosscurrent import __version__, command
from crosscurrent.__main__ import main
from crosscurrent.cases.model import MODELS, Common
from crosscurrent.cases.reader import read_case
from crosscurrent.catalogue import CATALOGUE, COMMON_KEYS
from crosscurrent.geometries.shapes import SHAPES
from crosscurrent.starter import case_text

SHAPE_NAMES = ["bar", "round", "tube", "box", "angle", "channel", "outline"]


@pytest.fixture
def run(capsys):
    """Run the command; give its exit code, standard output and standard error."""

    def call(*arguments):
        status = main(arguments)
        return (status, *capsys.readouterr())

    return call


def row(text, *begin):
    """The words of the one line that begins with these words."""
    lines = [line.split() for line in text.splitlines()]
    return next(words for words in lines if words[: len(begin)] == list(begin))


@pytest.mark.parametrize(
    "arguments", [["--help"], ["depth", "--help"], ["plating", "--help"], ["run", "--help"], ["--version"]]
)
def test_help_loads_nothing_heavy(arguments):
    heavy = "numpy scipy skfem matplotlib pydantic pint meshio"
    code = (
        f"import sys; from crosscurrent.__main__ import main; main({arguments}); "
        f"sys.exit(' '.join(set('{heavy}'.split()) & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", timeout=60)
    assert done.stderr.strip() == ""
    assert done.stdout


def test_a_run_loads_what_few_cases_use_only_for_them():
    late = "scipy.optimize scipy.interpolate scipy.integrate ezdxf svgelements meshio matplotlib ht CoolProp jinja2"
    code = f"import sys, crosscurrent.cases.run; sys.exit(' '.join(set('{late}'.split()) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", timeout=60)
    assert done.stderr.strip() == ""


def test_help_names_the_commands_and_version_prints(run):
    status, out, _ = run("--help")
    assert status == 0
    assert all(name in out for name in ("run", "depth", "shapes", "new"))
    assert run("--version") == (0, f"{__version__}\n", "")


def test_depth_of_copper_is_eight_thou_at_100_khz(run):  # common practice, no source
    status, out, err = run("depth", "copper", "--at", "100 kHz")
    assert (status, err) == (0, "")
    # delta 0.20898 mm; sheet resistance 1/(58 MS/m * 0.20898 mm); 1.4074 depths, where the factor is tanh(pi/2)/0.99
    assert row(out, "copper", "100")[3:] == ["0.2090", "8.228", "82.50", "uohm", "0.2941", "11.58"]
    assert "IEC 60028" in out


def test_depth_takes_several_metals_frequencies_and_a_temperature(run):
    status, out, _ = run("depth", "copper", "silver", "--at", "50 Hz", "85kHz", "--temperature", "70 degC")
    assert status == 0
    rows = [line.split()[:3] for line in out.splitlines() if "ohm" in line and "Source" not in line]
    assert rows == [[metal, *f] for metal in ("copper", "silver") for f in (["50", "Hz"], ["85", "kHz"])]
    # 9.3459 mm at 20 degC, and resistivity times 1.1965 (IEC 60028)
    assert float(row(out, "copper", "50")[3]) == pytest.approx(9.3459 * 1.1965**0.5, rel=5e-4)


def test_depth_says_how_uncertain_steel_is_and_takes_copper_unless_told(run):
    assert "permeability 100 to 2000" in run("depth", "steel", "--at", "50 Hz")[1]
    assert row(run("depth", "--at", "50 Hz", "--temperature", "-40 degC")[1], "copper")[:2] == ["copper", "50"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["dept"], 'no command "dept"; did you mean "depth"?\nSee: crosscurrent --help'),
        (["pier", "--help"], 'no command "pier"; the commands are run,'),
        (["depth", "--temprature", "70 degC"], 'depth: no option "--temprature"; did you mean "--temperature"?'),
        (["depth", "copper", "--at", "-5 kHz"], 'depth: no option "-5 kHz"; it looks like a value with a minus sign'),
        (["depth", "--at", "5 kHz", "--temperature"], "--temperature: expected a value behind it, found nothing"),
        (["shapes", "bar", "tube"], 'shapes: expected nothing more, found "tube"'),
        (["run", "--out", "a", "--out", "b", "x.toml"], "run: --out: expected once, found twice"),
        (["run", "x.toml", "--report=maybe"], 'run: --report: cannot be "maybe"'),
        (["depth", "copper"], "depth: expected --at, found nothing\nSee: crosscurrent depth --help"),
        (["depth", "coper", "--at", "50 Hz"], 'no material "coper"; did you mean "copper"?'),
        (["depth", "--at", "50"], "--at: expected a frequency"),
        (["depth", "--at", "5 mm"], "--at: expected a frequency"),
        (["depth", "--at", "0 Hz"], "--at: expected frequencies above 0 Hz"),
        (["depth", "--at", "50 Hz", "--temperature", "70"], "--temperature: expected a temperature"),
        (["shapes", "tubes"], 'no shape "tubes"; did you mean "tube"?'),
        (["new", "bra"], 'no shape "bra"; did you mean "bar"?'),
        (["new"], "expected at least one shape"),
        (["new", "bar", "--file", "no/such/folder/bar.toml"], "cannot be written"),
        (["run"], "run: expected CASE, found nothing"),
    ],
)
def test_input_at_fault_is_2_and_plain_words(run, tmp_path, monkeypatch, arguments, message):
    monkeypatch.chdir(tmp_path)
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert message in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("error", "status", "message"),
    [
        (KeyboardInterrupt(), 1, "Stopped; nothing was written.\n"),
        (PermissionError(13, "Permission denied", "results"), 1, "results: Permission denied\n"),
        (MemoryError(), 1, "There is not enough memory"),
    ],
)
def test_everything_else_has_its_own_exit_code_and_one_line(run, monkeypatch, error, status, message):
    def fail(*_):
        raise error

    monkeypatch.setattr(command, "_known_shape", fail)
    assert run("shapes", "bar")[0] == status
    assert run("shapes", "bar")[2].startswith(message)


def test_a_reader_that_has_seen_enough_is_no_fault():
    """As in `crosscurrent shapes | head -1`: the pipe closes early, and nobody is told."""
    code = "import sys; from crosscurrent.__main__ import main; sys.exit(main(['shapes', 'bar']))"
    shown = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    shown.stdout.close()
    assert shown.stderr.read() == b""
    shown.wait(timeout=60)
    shown.stderr.close()


def test_catalogue_has_the_keys_the_shapes_take():
    assert list(CATALOGUE) == list(MODELS) == [*SHAPE_NAMES, "drawing", "mesh"]
    for name, entry in CATALOGUE.items():
        if entry.of_file:
            own = MODELS[name].model_fields.keys() - Common.model_fields.keys() - {"shape"}
            assert {key.name: key.optional for key in entry.keys} == {key: key != "file" for key in own}
            continue
        parameters = inspect.signature(SHAPES[name]).parameters.values()
        taken = {p.name: p.default is not p.empty for p in parameters if p.name != "bulges"}
        assert {key.name: key.optional for key in entry.keys} == taken, name


def test_catalogue_has_the_keys_every_conductor_takes():
    assert set(COMMON_KEYS) == Common.model_fields.keys()


def test_shapes_shows_every_shape_and_one_in_detail(run):
    status, out, _ = run("shapes")
    assert status == 0
    for name, entry in CATALOGUE.items():
        assert row(out, name)
        assert all(line.strip() in out for line in entry.drawing.splitlines())
    status, out, _ = run("shapes", "box")
    assert status == 0
    sample = tomllib.loads(out[out.index("[[conductor]]") :])["conductor"][0]
    assert sample["shape"] == "box"
    assert sample["wall"] == "2 mm"


def test_new_writes_a_pair_and_never_overwrites(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("new", "bar") == (0, "Wrote bar.toml. Solve it with: crosscurrent run bar.toml\n", "")
    written = (tmp_path / "bar.toml").read_text("utf-8")
    case = tomllib.loads(written)
    assert [(c["name"], c["shape"]) for c in case["conductor"]] == [("outgoing", "bar"), ("return", "bar")]
    assert (case["circuit"][0]["out"], case["circuit"][0]["back"]) == (["outgoing"], ["return"])
    status, _, err = run("new", "bar")
    assert status == 2
    assert "there is such a file already" in err
    assert (tmp_path / "bar.toml").read_text("utf-8") == written


def test_new_takes_several_shapes_and_a_file_name(run, tmp_path):
    path = tmp_path / "feed.toml"
    assert run("new", "bar", "tube", "box", "--file", str(path))[0] == 0
    case = tomllib.loads(path.read_text("utf-8"))
    assert [c["shape"] for c in case["conductor"]] == ["bar", "tube", "box"]
    assert case["circuit"][0]["back"] == ["return", "return-2"]


@pytest.mark.parametrize("shapes", [[name] for name in SHAPE_NAMES] + [SHAPE_NAMES], ids="-".join)
def test_new_case_passes_every_check(shapes, tmp_path):
    path = tmp_path / "new.toml"
    path.write_text(case_text(shapes, path.name), "utf-8")
    case = read_case(path)
    problem = case.problem()
    assert [part.name for part in problem.section.parts][:2] == ["outgoing", "return"]
    assert len(problem.conductors) == max(2, len(shapes))
    assert case.frequencies == (50, 85e3)
    assert case.warnings == ()


def test_new_conductors_stand_10_mm_apart():
    case = tomllib.loads(case_text(["bar", "tube", "box"], "x.toml"))
    centres = [float(c["centre"][1].split()[0]) for c in case["conductor"]]
    halves = [6 / 2, 12 / 2, 20 / 2]
    gaps = [upper - lower for upper, lower in pairwise(centres)]
    assert gaps == pytest.approx([halves[0] + 10 + halves[1], halves[1] + 10 + halves[2]])
    assert centres[0] + halves[0] == pytest.approx(-(centres[-1] - halves[-1]))
