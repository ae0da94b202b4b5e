"""crosscurrent: where alternating current flows in a conductor of any section, and what that costs."""

from pathlib import Path

# A checkout without symbolic links keeps the rooms one folder up.
if not (Path(__file__).parent / "geometries" / "__init__.py").exists():
    __path__.append(str(Path(__file__).resolve().parent.parent))

__version__ = "0.1.0"
