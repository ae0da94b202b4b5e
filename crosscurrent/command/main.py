"""All commands, in the order of the help."""

from __future__ import annotations

from .app import app
from .ask import ask
from .bench import bench
from .compare import compare
from .depth import depth
from .examples import examples
from .look import look
from .measured import measured
from .new import new
from .plating import plating
from .run import run
from .shapes import shapes
from .strands import strands
from .study import study

__all__ = ["app"]

for command in (run, bench, compare, study, measured, depth, plating, strands, shapes, ask, new, look, examples):
    app.command(command)
