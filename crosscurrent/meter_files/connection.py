"""How a part hung on the ports of a network analyser, and the impedance that its scattering parameters then say."""

from __future__ import annotations

from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.meter.scattering import one_port, series_through, shunt_through

from .meter_file import MeterFileError

Connection = Literal["one-port", "series-through", "shunt-through"]


def way(name: str, ports: int, connection: Connection | None) -> Connection:
    """How the part hung, from how many ports a file has and from what is said of it.

    Raises
    ------
    MeterFileError
        Both contradict, or nothing is said where it has to be.
    """
    if ports == 1:
        if connection not in (None, "one-port"):
            hint = 'write connection = "one-port", or leave it out'
            raise MeterFileError(name, f"two ports for {connection}", "one", hint, "connection")
        return "one-port"
    if connection is None or connection == "one-port":
        found = "two ports, between which it may hang in series or from which to ground"
        hint = 'write connection = "series-through" or connection = "shunt-through"'
        raise MeterFileError(name, "how the part was connected", found, hint, "connection")
    return connection


def impedance_of(scattering: ComplexArray, reference: ComplexArray, connected: Connection) -> ComplexArray:
    """From S11 of one port, or S21 of two, (n,), at a reference impedance [ohm]; not finite where there is none."""
    made = {"one-port": one_port, "series-through": series_through, "shunt-through": shunt_through}[connected]
    with np.errstate(divide="ignore", invalid="ignore"):
        return made(scattering, reference)
