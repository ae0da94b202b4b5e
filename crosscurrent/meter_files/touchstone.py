"""Touchstone files of one or two ports, versions 1 and 2, read by scikit-rf.

Impedances, admittances and hybrid parameters of version 1 are over the reference resistance, those of version 2 in ohms
and siemens (Touchstone File Format Specification 1.1 and 2.0, EIA/IBIS Open Forum, from memory). scikit-rf 2.2 takes
all of them otherwise, so that it is given the numbers as if they were scattering parameters, and they are scaled here.
"""

from __future__ import annotations

import io
import re
import warnings
from pathlib import Path

import numpy as np

from crosscurrent.extras import extra
from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.meter.scattering import of_hybrid, of_inverse_hybrid

from .connection import Connection, impedance_of, way
from .meter_file import MeterFile, MeterFileError, in_order

ENDING = re.compile(r"\.(s\d+p|ts)", re.IGNORECASE)
OPTION = re.compile(r"^[ \t]*#[^!\r\n]*", re.MULTILINE)
SECOND = re.compile(r"^[ \t]*\[version\][ \t]*2", re.IGNORECASE | re.MULTILINE)
WORDS = {"S": "scattering parameters", "Z": "impedances", "Y": "admittances", "H": "hybrid parameters",
         "G": "inverse hybrid parameters"}  # fmt: skip
# The power of the reference resistance that a number is over, at every place: V over V 0, V over I 1, I over V -1.
UNITS = {"Z": np.ones((2, 2)), "Y": -np.ones((2, 2)), "H": np.diag((1, -1)), "G": np.diag((-1, 1))}
RECIPROCAL = 0.02  # share of S21 by which S12 may differ


def is_touchstone(path: Path) -> bool:
    """By the ending of its name."""
    return ENDING.fullmatch(path.suffix) is not None


def read_touchstone(path: Path, connection: Connection | None = None) -> MeterFile:
    """The impedance of a part from its scattering parameters, impedances, admittances or hybrid parameters.

    Parameters
    ----------
    path : Path
    connection : "one-port", "series-through", "shunt-through", optional
        Where the part hung; needed of a file with two ports.

    Raises
    ------
    MeterFileError
        The file is at fault, has other ports than one or two, or does not say how the part was connected.
    MissingExtra
        scikit-rf is not installed.
    """
    with extra("meter"):
        import skrf
    kind, text = _as_scattering(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = skrf.Network()
            file = io.StringIO(text)
            file.name = path.name  # its ending says how many ports there are
            found.read_touchstone(file)  # given to the class, a file would be tried as a pickle first, and run
        scattering, reference, frequencies = found.s, found.z0, found.f
    except Exception:  # of any kind; what it says may repeat what stands in another file than was meant
        hint = "save the sweep again as Touchstone, or export it as CSV"
        raise MeterFileError(path.name, "a Touchstone file", "one that cannot be read", hint) from None
    ports = scattering.shape[1]
    if ports not in (1, 2) or not len(frequencies):
        text = f"{ports} ports" if len(frequencies) else "no frequencies"
        raise MeterFileError(path.name, "a file of one or two ports", text, "save S11, or S11 to S22 of the part alone")
    if np.abs(reference.imag).max() > 0 or np.ptp(reference.real, axis=1).max() > 0:
        found_words = "a complex one, or another at each port"
        raise MeterFileError(path.name, "one real reference impedance", found_words, "save the sweep at 50 ohm")
    if (lowest := float(reference.real.min())) <= 0:
        raise MeterFileError(
            path.name, "a reference impedance above 0 ohm", f"{lowest:g} ohm",
            "write that of the analyser behind R in its option line, 50 as a rule",
        )  # fmt: skip
    connected = way(path.name, ports, connection)
    z0 = reference[:, 0].astype(complex)
    if ports == 1 and kind in "GH":
        raise MeterFileError(path.name, f"two ports for {WORDS[kind]}", "one", "save the sweep as S, Z or Y")
    if kind != "S":
        unit = z0[:, None, None] ** UNITS[kind][:ports, :ports] if SECOND.search(text) else 1.0
        scattering = _made(kind, scattering / unit)
    read = impedance_of(scattering[:, ports - 1, 0], z0, connected)
    size = f"{ports} port{'s' if ports > 1 else ''}"
    said = [f"Touchstone file of {size}, {WORDS[kind]}, {z0[0].real:g} ohm, {connected}"]
    if ports == 2:
        said += _lopsided(scattering)
    return in_order(path.name, frequencies, read, said)


def _as_scattering(path: Path) -> tuple[str, str]:
    """What its option line says the parameters are, and its text with S in their place."""
    text = path.read_text(encoding="utf-8", errors="replace")
    line = OPTION.search(text)
    words = line[0].upper().split() if line else []
    kind = next((word for word in WORDS if word in words), "S")
    if line is None or kind == "S":
        return "S", text
    return kind, text[: line.start()] + re.sub(rf"(?i)\b{kind}\b", "S", line[0]) + text[line.end() :]


def _made(kind: str, numbers: ComplexArray) -> ComplexArray:
    """Scattering parameters of normalised others."""
    import skrf

    if kind in "GH":
        return (of_hybrid if kind == "H" else of_inverse_hybrid)(numbers)
    made = skrf.network.z2s if kind == "Z" else skrf.network.y2s
    return np.asarray(made(numbers, z0=1))


def _lopsided(scattering: ComplexArray) -> list[str]:
    forth, back = scattering[:, 1, 0], scattering[:, 0, 1]
    off = float(np.abs(forth - back).max() / np.abs(forth).max())
    return [f"S12 differs from S21 by up to {100 * off:.2g} %: S21 is read"] if off > RECIPROCAL else []
