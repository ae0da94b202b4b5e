"""The table [measured]: the file of a meter, and how it was measured."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, model_validator

from crosscurrent.meter_files.columns import StatedColumns
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.meter.accuracy import MeterRange

from ..entries import (
    Frequency,
    JointResistance,
    Joints,
    LeadInductance,
    Length,
    Ratio,
    ReferenceImpedance,
    Sample,
    Temperature,
    fault,
)
from .base import Table

ASSUMED = 0.01  # of the impedance, where nothing is said: a meter that is held in the hand


def _as_list(written: object) -> object:
    return [written] if isinstance(written, Mapping) else written


class MeterAccuracyTable(Table):
    """The bound on a meter's error, up to a frequency."""

    to: Annotated[
        Frequency | None, Sample('"100 kHz"', "highest frequency it holds at; left out in the last", apart=True)
    ] = None
    impedance: Annotated[Ratio, Sample('"0.1 %"', "of the magnitude of the impedance, in R and in X alike")]
    floor: Annotated[JointResistance | None, Sample('"20 uohm"', "what is added to it, in R and in X")] = None


class MeasuredTable(Table):
    """A measurement over frequency: its file, and what the file does not say."""

    file: Annotated[
        str | None,
        Sample('"bench.csv"', "of the meter, CSV or Touchstone; else that of `crosscurrent measured`", apart=True),
    ] = None
    circuit: Annotated[str | None, Sample('"feed"', "that hung on the meter; needed where there are several")] = None
    length: Annotated[
        Length | None, Sample('"2.4 m"', "of the run that was measured; that of the case if left out")
    ] = None
    temperature: Annotated[
        Temperature | None, Sample('"22 degC"', "of all conductors at the measurement; ambient if left out")
    ] = None
    accuracy: Annotated[
        tuple[MeterAccuracyTable, ...],
        BeforeValidator(_as_list),
        Sample(
            '[{ to = "100 kHz", impedance = "0.1 %", floor = "20 uohm" }, { impedance = "0.5 %", floor = "50 uohm" }]',
            "of the meter, by its data sheet: bounds, range after range",
        ),
    ] = ()
    columns: Annotated[
        tuple[str, ...],
        Sample(
            '["f [kHz]", "Rs [mohm]", "Ls [uH]"]', 'titles in the place of its own, "-" for one not to read', apart=True
        ),
    ] = ()
    decimal: Annotated[
        Literal["point", "comma"] | None, Sample('"comma"', "in numbers, where rows do not tell", apart=True)
    ] = None
    equivalent: Annotated[
        Literal["series", "parallel"] | None, Sample('"series"', "of R and L whose titles do not say", apart=True)
    ] = None
    phase: Annotated[
        Literal["deg", "rad"] | None, Sample('"deg"', "unit of a phase whose title does not say", apart=True)
    ] = None
    connection: Annotated[
        Literal["one-port", "series-through", "shunt-through"] | None,
        Sample('"shunt-through"', "of the part between two ports of a network analyser", apart=True),
    ] = None
    reference: Annotated[
        ReferenceImpedance | None,
        Sample('"75 ohm"', "of scattering parameters in a CSV file; 50 ohm if left out", apart=True),
    ] = None
    open: Annotated[
        str | None, Sample('"open.csv"', "file of the fixture with nothing in the place of the part", apart=True)
    ] = None
    short: Annotated[str | None, Sample('"short.csv"', "file of the fixture shorted there", apart=True)] = None
    lead_resistance: Annotated[
        JointResistance | None, Sample('"0.4 mohm"', "in series with the run, as stated: taken off")
    ] = None
    lead_inductance: Annotated[LeadInductance | None, Sample('"80 nH"', "likewise", apart=True)] = None
    find_leads: Annotated[
        tuple[Literal["resistance", "inductance"], ...],
        Sample('["inductance"]', "what of the leads is to be found: constant over frequency, not below 0"),
    ] = ()
    joints: Annotated[Joints, Sample('2', "in the run, contacts at the meter included")] = 0

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        for key in ("resistance", "inductance"):
            if key in self.find_leads and getattr(self, f"lead_{key}") is not None:
                hint = f"leave lead_{key} out, or {key} out of find_leads"
                raise fault(f"the {key} of the leads stated or to be found", "both", hint, "find_leads")
        ends = [one.to for one in self.accuracy]
        open_ended = [k for k, end in enumerate(ends) if end is None]
        if any(k < len(ends) - 1 for k in open_ended):
            hint = 'write to = "100 kHz" in all but the last'
            raise fault("ranges of accuracy that end", "one without an end before the last", hint, "accuracy")
        stated = [end for end in ends if end is not None]
        if any(b <= a for a, b in itertools.pairwise(stated)):
            found = ", ".join(concise(end, "Hz") for end in stated)
            raise fault("ranges of accuracy with rising ends", found, "sort them", "accuracy")
        return self

    @property
    def stated(self) -> StatedColumns:
        """What it says of columns."""
        return StatedColumns(
            self.columns, self.decimal, self.equivalent, self.phase, self.connection, self.reference
        )  # fmt: skip

    @property
    def ranges(self) -> tuple[MeterRange, ...]:
        """The accuracy of the meter, or what is assumed of it."""
        found = (
            MeterRange(math.inf if one.to is None else one.to, one.impedance, one.floor or 0.0) for one in self.accuracy
        )
        return tuple(found) or (MeterRange(math.inf, ASSUMED),)
