"""crosscurrent: where alternating current flows in a conductor of any section, and what that costs.

Names are loaded when first used, so that the command line starts at once.
"""

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from crosscurrent import shape_constructors
from crosscurrent.shape_constructors import *  # noqa: F403

# A checkout without symbolic links keeps the rooms one folder up.
if not (Path(__file__).parent / "geometries" / "__init__.py").exists():
    __path__.append(str(Path(__file__).resolve().parent.parent))  # noqa: F405

__version__ = "0.1.0"

if TYPE_CHECKING:
    from crosscurrent.api import case, circuit, coil, conductor
    from crosscurrent.casefile.case import Case
    from crosscurrent.casefile.faults import CaseError
    from crosscurrent.casefile.quantities import QuantityError
    from crosscurrent.casefile.reader import read_case
    from crosscurrent.comparing import compare
    from crosscurrent.evaluating import evaluator
    from crosscurrent.extras import MissingExtra
    from crosscurrent.folders import OutputError
    from crosscurrent.geometries.errors import (
        CrosscurrentError,
        DrawingError,
        GeometryError,
        MeshError,
        RunStopped,
        UnknownKey,
    )
    from crosscurrent.meter_files.meter_file import MeterFileError
    from crosscurrent.page.conduct import bench
    from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer, ConductorAnswer
    from crosscurrent.postprocess.answers.chapter import Chapter, Measured
    from crosscurrent.postprocess.files.read import ResultsError
    from crosscurrent.result import Result
    from crosscurrent.run import run_case
    from crosscurrent.run import solve_case as solve
    from crosscurrent.solver.field.forecast import SolveError
    from crosscurrent.solver.metals.materials import MATERIALS, Material, material
    from crosscurrent.solver.meter.reading import MeterReading
    from crosscurrent.studies.conduct import study
    from crosscurrent.studies.run import Study

# every public name by the module that holds it
_HOMES = {
    "api": ("case", "circuit", "coil", "conductor"),
    "casefile.case": ("Case",),
    "casefile.faults": ("CaseError",),
    "casefile.quantities": ("QuantityError",),
    "casefile.reader": ("read_case",),
    "comparing": ("compare",),
    "evaluating": ("evaluator",),
    "extras": ("MissingExtra",),
    "folders": ("OutputError",),
    "geometries.errors": (
        "CrosscurrentError", "DrawingError", "GeometryError", "MeshError", "RunStopped", "UnknownKey",
    ),
    "meter_files.meter_file": ("MeterFileError",),
    "page.conduct": ("bench",),
    "postprocess.answers.answers": ("Answers", "CircuitAnswer", "ConductorAnswer"),
    "postprocess.answers.chapter": ("Chapter", "Measured"),
    "postprocess.files.read": ("ResultsError",),
    "result": ("Result",),
    "run": ("run_case", "solve"),
    "solver.field.solve": ("SolveError",),
    "studies.conduct": ("study",),
    "studies.run": ("Study",),
    "solver.metals.materials": ("MATERIALS", "Material", "material"),
    "solver.meter.reading": ("MeterReading",),
}  # fmt: skip
_HOME = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "MATERIALS", "Answers", "Case", "CaseError", "Chapter", "CircuitAnswer", "ConductorAnswer", "CrosscurrentError",
    "DrawingError", "GeometryError", "Material", "Measured", "MeshError", "MeterFileError", "MeterReading",
    "MissingExtra", "OutputError", "QuantityError", "Result", "ResultsError", "RunStopped", "SolveError", "Study",
    "UnknownKey", "bench", "case", "circuit", "coil", "compare", "conductor", "evaluator", "material", "read_case",
    "run_case", "solve", "study",
    *shape_constructors.__all__,
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_HOME[name]}", __name__), "solve_case" if name == "solve" else name)


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
