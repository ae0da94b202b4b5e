"""The house stands: packages hold the whole tree, rooms have one name, imports only go down."""

import ast
import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

import crosscurrent

ROOT = Path(__file__).parent.parent
ROOMS = ("geometries", "solver", "postprocess", "cases")  # ground floor first
FACE = ROOT / "crosscurrent"


def files(folder):
    """Every file of a folder that belongs to the project, links not followed."""
    found = (path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return [path for path in found if not any(part.startswith(".") for part in path.relative_to(folder).parts)]


def face_files():
    return [path for path in FACE.iterdir() if path.is_file()]


def python(code, folder):
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    call = [sys.executable, *code]
    return subprocess.run(call, cwd=folder, env=environment, capture_output=True, encoding="utf-8", timeout=120)


@pytest.fixture(scope="module")
def packages(tmp_path_factory):
    """An sdist of the checkout and the wheel built from that sdist."""
    folder = tmp_path_factory.mktemp("packages")
    done = python(["-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)], folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


def test_wheel_holds_the_whole_tree_inside_the_package(packages):
    with zipfile.ZipFile(next(packages.glob("*.whl"))) as wheel:
        held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    tree = {f"crosscurrent/{path.relative_to(ROOT).as_posix()}" for room in ROOMS for path in files(ROOT / room)}
    assert held == tree | {f"crosscurrent/{path.name}" for path in face_files()}
    assert {"crosscurrent/py.typed", "crosscurrent/solver/materials.py"} <= held


def test_sdist_holds_the_tree_as_it_stands(packages):
    with tarfile.open(next(packages.glob("*.tar.gz"))) as sdist:
        held = {name.split("/", 1)[1] for name in sdist.getnames()} - {"PKG-INFO", ".gitignore"}
    tree = [path for folder in (*ROOMS, "tests") for path in files(ROOT / folder)] + face_files()
    loose = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"}
    assert held == {path.relative_to(ROOT).as_posix() for path in tree} | {n for n in loose if (ROOT / n).exists()}


def test_installed_wheel_works_on_its_own(packages, tmp_path):
    with zipfile.ZipFile(next(packages.glob("*.whl"))) as wheel:
        wheel.extractall(tmp_path)
    done = python(["-c", "import crosscurrent.solver.materials as m; print(m.__file__)"], tmp_path)
    assert Path(done.stdout.strip()) == tmp_path / "crosscurrent" / "solver" / "materials.py", done.stderr


def test_checkout_without_links_works(tmp_path):
    (tmp_path / "crosscurrent").mkdir()
    for path in face_files():
        shutil.copy(path, tmp_path / "crosscurrent")
    for room in ROOMS:
        shutil.copytree(ROOT / room, tmp_path / room)
    done = python(["-c", "import crosscurrent.solver.materials as m; print(m.__file__, m.__name__)"], tmp_path)
    where = tmp_path / "solver" / "materials.py"
    assert done.stdout.split() == [str(where), "crosscurrent.solver.materials"], done.stderr
    done = python(["-m", "crosscurrent", "depth", "copper", "--at", "100 kHz"], tmp_path)
    assert "8.228" in done.stdout, done.stderr  # thou


@pytest.mark.parametrize("room", ROOMS)
def test_room_is_refused_under_its_bare_name(room):
    done = python(["-c", f"import {room}"], ROOT)
    assert done.returncode == 1
    assert f"ImportError: import crosscurrent.{room}: " in done.stderr


@pytest.mark.parametrize("room", ROOMS)
def test_room_is_a_link_in_the_package(room):
    link = FACE / room
    if link.exists():
        assert link.is_symlink()
        assert os.readlink(link) == f"../{room}"


def imported_rooms(path):
    """Rooms, and "crosscurrent" itself, that a file of a room imports."""
    folder = path.relative_to(ROOT).parent.parts
    package = folder if folder[0] == "crosscurrent" else ("crosscurrent", *folder)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            targets = [alias.name.split(".") for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = [*package[: len(package) - node.level + 1]] if node.level else []
            base += node.module.split(".") if node.module else []
            targets = [[*base, alias.name] for alias in node.names]
        else:
            continue
        for target in targets:
            if target[0] == "crosscurrent" and target[1:] != ["__version__"]:
                yield target[1] if len(target) > 1 and target[1] in ROOMS else "crosscurrent"


@pytest.mark.parametrize("floor", range(len(ROOMS)), ids=ROOMS)
def test_imports_only_go_down(floor):
    for path in files(ROOT / ROOMS[floor]):
        if path.suffix == ".py":
            above = set(imported_rooms(path)) - set(ROOMS[: floor + 1])
            assert not above, f"{path.relative_to(ROOT)} imports {above}"


def test_imports_are_seen():
    assert set(imported_rooms(ROOT / "solver" / "problem.py")) == {"geometries", "solver"}
    assert {"crosscurrent", "cases", "solver"} <= set(imported_rooms(FACE / "command.py"))


def test_no_file_is_past_500_lines():
    sources = [path for folder in (*ROOMS, "tests") for path in files(ROOT / folder)] + face_files()
    long = {path.name for path in sources if path.suffix == ".py" and len(path.read_text("utf-8").splitlines()) > 500}
    assert not long


def test_changelog_knows_this_version():
    headings = [line for line in (ROOT / "CHANGELOG.md").read_text("utf-8").splitlines() if line.startswith("## ")]
    assert any(crosscurrent.__version__ in heading for heading in headings)


def test_readme_holds_the_command_that_ci_runs():
    text = (ROOT / "README.md").read_text("utf-8")
    between = text.split("<!-- test command -->")[1].split("<!-- end of test command -->")[0]
    assert ".[test]" in between
    assert "-m pytest" in between
