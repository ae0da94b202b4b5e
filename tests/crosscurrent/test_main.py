"""The command as a whole: its help, what it loads, its exit codes and words for input at fault."""

import subprocess
import sys

import pytest

from crosscurrent import __version__
from crosscurrent.command import shapes as command


@pytest.mark.parametrize(
    "arguments", [["--help"], ["depth", "--help"], ["plating", "--help"], ["run", "--help"], ["--version"]]
)
def test_help_loads_nothing_heavy(arguments):
    heavy = "numpy scipy skfem matplotlib pydantic ezdxf meshio"
    code = (
        f"import sys; from crosscurrent.__main__ import main; main({arguments}); "
        f"sys.exit(' '.join(set('{heavy}'.split()) & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", timeout=60)
    assert done.stderr.strip() == ""
    assert done.stdout


def test_a_run_loads_what_few_cases_use_only_for_them():
    late = "scipy.optimize scipy.stats scipy.interpolate scipy.integrate ezdxf svgelements meshio matplotlib ht"
    late += " CoolProp jinja2"
    code = f"import sys, crosscurrent.run; sys.exit(' '.join(set('{late}'.split()) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", timeout=60)
    assert done.stderr.strip() == ""


def test_help_names_the_commands_and_version_prints(run):
    status, out, _ = run("--help")
    assert status == 0
    assert all(name in out for name in ("run", "depth", "shapes", "new"))
    assert run("--version") == (0, f"{__version__}\n", "")


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
        (["new", "bra"], 'no shape or table "bra"; did you mean "bar"?'),
        (["new"], "new: expected shapes"),
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
        (KeyboardInterrupt(), 1, "Stopped; nothing half-made is left.\n"),
        (PermissionError(13, "Permission denied", "results"), 1, "results: Permission denied\n"),
        (MemoryError(), 1, "There is not enough memory"),
    ],
)
def test_everything_else_has_its_own_exit_code_and_one_line(run, monkeypatch, error, status, message):
    def fail(*_):
        raise error

    monkeypatch.setattr(command, "known_shape", fail)
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
