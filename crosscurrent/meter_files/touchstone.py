"""Touchstone files of one or two ports, versions 1 and 2, read by scikit-rf."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Literal

import numpy as np

from crosscurrent.extras import extra
from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.meter.scattering import one_port, series_through, shunt_through

from .meter_file import MeterFile, MeterFileError, in_order

Connection = Literal["one-port", "series-through", "shunt-through"]
ENDINGS = (".s1p", ".s2p", ".ts")
THROUGH: Mapping[str, Callable[[ComplexArray, ComplexArray], ComplexArray]] = {
    "series-through": series_through,
    "shunt-through": shunt_through,
}
RECIPROCAL = 0.02  # share of S21 by which S12 may differ


def is_touchstone(path: Path) -> bool:
    """By the ending of its name."""
    return path.suffix.lower() in ENDINGS


def read_touchstone(path: Path, connection: Connection | None = None) -> MeterFile:
    """The impedance of a part from its scattering parameters.

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
    _scattered(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = skrf.Network()
            found.read_touchstone(str(path))  # given to the class, a file would be tried as a pickle first, and run
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
    way = _way(path.name, ports, connection)
    z0 = reference[:, 0].astype(complex)
    with np.errstate(divide="ignore", invalid="ignore"):
        read = one_port(scattering[:, 0, 0], z0) if way == "one-port" else THROUGH[way](scattering[:, 1, 0], z0)
    said = [f"Touchstone file of {ports} port{'s' if ports > 1 else ''}, {z0[0].real:g} ohm, {way}"]
    if ports == 2:
        said += _lopsided(scattering)
    return in_order(path.name, frequencies, read, said)


def _scattered(path: Path) -> None:
    """Refuses parameters that are neither S nor Z: of others, versions and readers disagree on what they are over."""
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    option = next((line for line in lines if line.strip().startswith("#")), "").upper().split("!")[0].split()
    if found := {"Y", "G", "H"} & set(option):
        hint = "save the sweep as scattering parameters"
        raise MeterFileError(path.name, "parameters S or Z", f"{found.pop()} in its option line", hint)


def _way(name: str, ports: int, connection: Connection | None) -> Connection:
    if ports == 1:
        if connection in THROUGH:
            hint = 'write connection = "one-port", or leave it out'
            raise MeterFileError(name, f"two ports for {connection}", "one", hint, "connection")
        return "one-port"
    if connection is None or connection == "one-port":
        found = "two ports, between which it may hang in series or from which to ground"
        hint = 'write connection = "series-through" or connection = "shunt-through"'
        raise MeterFileError(name, "how the part was connected", found, hint, "connection")
    return connection


def _lopsided(scattering: ComplexArray) -> list[str]:
    forth, back = scattering[:, 1, 0], scattering[:, 0, 1]
    off = float(np.abs(forth - back).max() / np.abs(forth).max())
    return [f"S12 differs from S21 by up to {100 * off:.2g} %: S21 is read"] if off > RECIPROCAL else []
