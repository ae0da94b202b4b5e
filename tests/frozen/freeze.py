"""Keep every answer of the command line, and tell which of them a change of the code has changed.

Moving and rewriting code must leave every number the same to the last digit on one machine. So: store the answers
before, compare after.

    python tests/frozen/freeze.py store tests/frozen/answers.json.xz
    python tests/frozen/freeze.py compare tests/frozen/answers.json.xz

With `--only GLOB` store renews the answers of those cases and keeps the others.

Both run `crosscurrent run CASE --out FOLDER --report` for the shipped cases (cases/*.toml) and for the further ones
beside this script (tests/frozen/cases/*.toml), two at a time, each with one thread for linear algebra. Kept of each
case: the exit code, what it said, every number and text of results.json by its path, and the SHA-256 of every other
file of its folder. Another machine or another version of a library may round otherwise, as two threads do (sweeps,
ladders and faults by 1e-13): store anew there before comparing, or compare numbers only, `--within 1e-6`.

Left out, since it differs from one run of the same code to the next: the order of the classes in the head of
section.dxf, which its library takes from a set. Of a traceback only the last line is kept, since its files and line
numbers are those of the code, not answers. Every run has a temporary folder of its own as working directory and leaves
"out" in it, so that no path of the machine gets into what it says.
"""

from __future__ import annotations

import argparse
import difflib
import hashlib
import json
import lzma
import math
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = {"cases": ROOT / "cases", "frozen": ROOT / "tests" / "frozen" / "cases"}
AT_ONCE = 2
LINES = 20  # told of one case
LONGEST = 160  # of a text that is told
PATIENCE = 600.0  # for one case [s]
CLASSES, CLASS, END = b"  2\nCLASSES\n", b"  0\nCLASS\n", b"  0\nENDSEC\n"  # of a DXF file
ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


@dataclass(frozen=True)
class Answer:
    """What the run of one case left.

    Attributes
    ----------
    code : int
        The exit code.
    said, complained : str
        Standard output; standard error, where the exit code is not 0.
    values : mapping of str to number, text, bool or None
        Every leaf of results.json by its path, as "points[0].total_loss_w_per_m".
    files : mapping of str to str
        SHA-256 of every other file of the results folder.
    """

    code: int
    said: str
    complained: str
    values: Mapping[str, Any]
    files: Mapping[str, str]


def flat(tree: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every leaf of nested mappings and lists with its path; what is empty is a leaf too."""
    if isinstance(tree, dict) and tree:
        for key, branch in tree.items():
            yield from flat(branch, f"{path}.{key}" if path else key)
    elif isinstance(tree, list) and tree:
        for k, branch in enumerate(tree):
            yield from flat(branch, f"{path}[{k}]")
    else:
        yield path, tree


def chosen(only: str) -> dict[str, Path]:
    """The case files by folder and name, "frozen/coax"; `only` is a pattern for either the name or both."""
    rows = [(folder, path) for folder, where in FOLDERS.items() for path in sorted(where.glob("*.toml"))]
    return {key: path for folder, path in rows if is_wanted(key := f"{folder}/{path.stem}", only)}


def is_wanted(key: str, only: str) -> bool:
    """Whether the pattern fits the key of a case."""
    return fnmatch(key, only) or fnmatch(key.partition("/")[2], only)


def run(case: Path) -> Answer:
    """Run one case with the code of this checkout."""
    environment = {**os.environ, **ONE_THREAD, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "COLUMNS": "120"}
    call = [sys.executable, "-m", "crosscurrent", "run", str(case), "--out", "out", "--report", "--all"]
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            call, cwd=folder, env=environment, capture_output=True, encoding="utf-8", timeout=PATIENCE, check=False
        )
        out = Path(folder) / "out"
        results = out / "results.json"
        values = dict(flat(json.loads(results.read_text(encoding="utf-8")))) if results.exists() else {}
        files = {
            path.relative_to(out).as_posix(): digest(path)
            for path in sorted(out.rglob("*"))
            if path.is_file() and path != results
        }
    complained = done.stderr if done.returncode else ""
    if "Traceback (most recent call last)" in complained:
        complained = complained.rstrip().rpartition("\n")[2]
    return Answer(done.returncode, done.stdout, complained, values, files)


def digest(path: Path) -> str:
    """SHA-256 of a file; of a DXF file with the classes of its head in the order of their names."""
    content = path.read_bytes()
    if path.suffix == ".dxf":
        head, opening, rest = content.partition(CLASSES)
        classes, closing, tail = rest.partition(END)
        content = head + opening + CLASS.join(sorted(classes.split(CLASS))) + closing + tail
    return hashlib.sha256(content).hexdigest()


def run_all(cases: Mapping[str, Path]) -> dict[str, Answer]:
    """Run all cases, two at a time."""
    with ThreadPoolExecutor(AT_ONCE) as pool:
        return dict(zip(cases, pool.map(run, cases.values()), strict=True))


def store(file: Path, only: str) -> int:
    """Write the answers of the chosen cases; those of others stay, as long as there is their case."""
    fresh = {key: asdict(answer) for key, answer in run_all(chosen(only)).items()}
    kept = json.loads(lzma.decompress(file.read_bytes())) if file.exists() else {}
    answers = {key: answer for key, answer in kept.items() if key in chosen("*")} | fresh
    text = json.dumps(answers, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    file.write_bytes(lzma.compress(text.encode(), preset=9 | lzma.PRESET_EXTREME))
    values = sum(len(answer["values"]) for answer in fresh.values())
    tell(f"{len(fresh)} cases, {values} values stored; {len(answers)} cases kept")
    return 0


def compare(file: Path, only: str, within: float) -> int:
    """Run the chosen cases again and tell every difference; 1 if there is any.

    With `within` numbers may differ by that much, relatively; texts and files that are made from numbers are then not
    compared, only whether they are there.
    """
    stored = json.loads(lzma.decompress(file.read_bytes()))
    before = {key: Answer(**answer) for key, answer in stored.items() if is_wanted(key, only)}
    now = run_all(chosen(only))
    differ = 0
    for key in sorted(before | now):
        if key not in before or key not in now:
            lines = ["a new case" if key in now else "the case is missing"]
        else:
            lines = list(differences(before[key], now[key], within))
        differ += bool(lines)
        for line in lines[:LINES]:
            tell(f"{key}: {line}")
        if len(lines) > LINES:
            tell(f"{key}: {len(lines)} differences in all")
    tell(f"{differ} of {len(before | now)} cases differ")
    return 1 if differ else 0


def differences(before: Answer, now: Answer, within: float) -> Iterator[str]:
    """What has changed in one case, one line each."""
    if before.code != now.code:
        yield f"exit code: {before.code} -> {now.code}"
        yield from (f"now on standard error: {line}" for line in now.complained.splitlines()[-5:])
    for path in sorted(before.values.keys() | now.values.keys()):
        if path not in now.values:
            yield f"{path}: {short(before.values[path])} -> missing"
        elif path not in before.values:
            yield f"{path}: new, {short(now.values[path])}"
        elif not same(old := before.values[path], new := now.values[path], within):
            yield f"{path}: {short(old)} -> {short(new)}{relative(old, new)}"
    for name in sorted(before.files.keys() | now.files.keys()):
        if name not in now.files or name not in before.files:
            yield f"file {name}: {'missing' if name in before.files else 'new'}"
        elif before.files[name] != now.files[name] and not within:
            yield f"file {name}: differs"
    if not within:
        yield from changed_lines("standard output", before.said, now.said)
        if before.code == now.code:
            yield from changed_lines("standard error", before.complained, now.complained)


def same(old: Any, new: Any, within: float) -> bool:
    """Whether two leaves are equal to the last digit, or as nearly as is asked for."""
    if type(old) is type(new) and repr(old) == repr(new):
        return True
    if not within:
        return False
    if is_number(old) and is_number(new):
        return math.isclose(old, new, rel_tol=within, abs_tol=0.0)
    return isinstance(old, str) and isinstance(new, str)


def is_number(value: Any) -> bool:
    """Whether a leaf is a number; True and False are none."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def relative(old: Any, new: Any) -> str:
    """The relative difference of two numbers in words."""
    if not (is_number(old) and is_number(new)) or old == new:
        return ""
    return f", relative difference {abs(new - old) / max(abs(old), abs(new)):.3g}"


def short(value: Any) -> str:
    """A leaf as it is told."""
    text = repr(value)
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."


def changed_lines(where: str, before: str, now: str) -> Iterator[str]:
    """The lines of a text that went, with -, and that came, with +."""
    for line in difflib.unified_diff(before.splitlines(), now.splitlines(), lineterm="", n=0):
        if not line.startswith(("---", "+++", "@@")):
            yield f"{where}: {line}"


def tell(line: str) -> None:
    """Write a line at once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> int:
    """Read the command line and do what it asks for."""
    parser = argparse.ArgumentParser(description="keep every answer of the command line, or compare it with those kept")
    verbs = parser.add_subparsers(dest="verb", required=True)
    for verb, what in (("store", "run the cases and keep their answers"), ("compare", "run them again and compare")):
        asked = verbs.add_parser(verb, help=what)
        asked.add_argument("file", type=Path, help="the answers, compressed JSON (.json.xz)")
        asked.add_argument("--only", default="*", metavar="GLOB", help='cases such as "feed-*" or "frozen/*"')
        if verb == "compare":
            asked.add_argument("--within", type=float, default=0.0, help="relative difference that numbers may have")
    given = parser.parse_args()
    if given.verb == "store":
        return store(given.file, given.only)
    return compare(given.file, given.only, given.within)


if __name__ == "__main__":
    sys.exit(main())
