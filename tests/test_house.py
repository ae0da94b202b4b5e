"""The house stands: packages hold the whole tree, and rooms have one name."""

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
ROOMS = ("geometries", "solver", "postprocess", "cases")
CODE = ROOMS[:3]
FACE = ROOT / "crosscurrent"


def files(folder):
    """Every file of a folder that belongs to the project, links not followed."""
    found = (path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return [path for path in found if not any(part.startswith(".") for part in path.relative_to(folder).parts)]


def face_files():
    """Those of the front door itself."""
    return [path for path in files(FACE) if path.relative_to(FACE).parts[0] not in ROOMS]


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
    assert held == tree | {path.relative_to(ROOT).as_posix() for path in face_files()}
    assert {"crosscurrent/py.typed", "crosscurrent/solver/metals/materials.py"} <= held


def test_sdist_holds_the_tree_as_it_stands(packages):
    with tarfile.open(next(packages.glob("*.tar.gz"))) as sdist:
        held = {name.split("/", 1)[1] for name in sdist.getnames()} - {"PKG-INFO", ".gitignore"}
    tree = [path for folder in (*ROOMS, "docs", "tests") for path in files(ROOT / folder)] + face_files()
    loose = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"}
    assert held == {path.relative_to(ROOT).as_posix() for path in tree} | {n for n in loose if (ROOT / n).exists()}


def test_installed_wheel_works_on_its_own(packages, tmp_path):
    with zipfile.ZipFile(next(packages.glob("*.whl"))) as wheel:
        wheel.extractall(tmp_path)
    done = python(["-c", "import crosscurrent.solver.metals.materials as m; print(m.__file__)"], tmp_path)
    assert Path(done.stdout.strip()) == tmp_path / "crosscurrent" / "solver" / "metals" / "materials.py", done.stderr
    shop = tmp_path / "shop"
    shop.mkdir()
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); from crosscurrent.__main__ import main; "
    done = python(["-c", code + "sys.exit(main(['examples', 't-slot-busbar']))"], shop)
    assert done.returncode == 0, done.stderr
    assert (shop / "drawings" / "t-slot-busbar.dxf").exists()


def test_checkout_without_links_works(tmp_path):
    for path in face_files():
        copy = tmp_path / path.relative_to(ROOT)
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, copy)
    for room in ROOMS:
        shutil.copytree(ROOT / room, tmp_path / room)
    done = python(["-c", "import crosscurrent.solver.metals.materials as m; print(m.__file__, m.__name__)"], tmp_path)
    where = tmp_path / "solver" / "metals" / "materials.py"
    assert done.stdout.split() == [str(where), "crosscurrent.solver.metals.materials"], done.stderr
    done = python(["-m", "crosscurrent", "depth", "copper", "--at", "100 kHz"], tmp_path)
    assert "8.228" in done.stdout, done.stderr  # thou


@pytest.mark.parametrize("room", CODE)
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


def test_no_file_is_past_450_lines():
    sources = [path for folder in (*ROOMS, "tests") for path in files(ROOT / folder)] + face_files()
    long = {path.name for path in sources if path.suffix == ".py" and len(path.read_text("utf-8").splitlines()) > 450}
    assert not long


def test_changelog_knows_this_version():
    headings = [line for line in (ROOT / "CHANGELOG.md").read_text("utf-8").splitlines() if line.startswith("## ")]
    assert any(crosscurrent.__version__ in heading for heading in headings)


def test_readme_holds_the_command_that_ci_runs():
    text = (ROOT / "README.md").read_text("utf-8")
    between = text.split("<!-- test command -->")[1].split("<!-- end of test command -->")[0]
    assert ".[test]" in between
    assert "-m pytest" in between
