"""crosscurrent: where alternating current flows in a conductor of any section, and what that costs.

Names are loaded when first used, so that the command line starts at once.
"""

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

# A checkout without symbolic links keeps the rooms one folder up.
if not (Path(__file__).parent / "geometries" / "__init__.py").exists():
    __path__.append(str(Path(__file__).resolve().parent.parent))

__version__ = "0.1.0"

if TYPE_CHECKING:
    from .cases.api import case, circuit, conductor
    from .cases.case import Case
    from .cases.comparing import compare
    from .cases.evaluating import evaluator
    from .cases.faults import CaseError
    from .cases.reader import read_case
    from .cases.run import Result, run_case
    from .cases.run import solve_case as solve
    from .geometries.errors import CrosscurrentError
    from .solver.materials import MATERIALS, Material, material

_HOMES = {
    "Case": "cases.case",
    "CaseError": "cases.faults",
    "CrosscurrentError": "geometries.errors",
    "MATERIALS": "solver.materials",
    "Material": "solver.materials",
    "Result": "cases.run",
    "case": "cases.api",
    "circuit": "cases.api",
    "compare": "cases.comparing",
    "conductor": "cases.api",
    "evaluator": "cases.evaluating",
    "material": "solver.materials",
    "read_case": "cases.reader",
    "run_case": "cases.run",
    "solve": "cases.run",
}

__all__ = [
    "MATERIALS", "Case", "CaseError", "CrosscurrentError", "Material", "Result",
    "case", "circuit", "compare", "conductor", "evaluator", "material", "read_case", "run_case", "solve",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_HOMES[name]}", __name__), "solve_case" if name == "solve" else name)


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
