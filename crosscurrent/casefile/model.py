"""What a case file may say: one frozen model for each table, text with units in, SI numbers inside.

The contract's words are the field names. Checks that need two tables are in `checks`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from .conductors_from_files import AnyConductor
from .entries import Length, OwnName, Sample, Temperature, some
from .tables.base import Table
from .tables.circuit import CircuitTable
from .tables.coil import CoilTable
from .tables.cooling import CoolingTable
from .tables.duty import DutyTable
from .tables.fault import FaultTable
from .tables.frequency import AccuracyTable, FrequencyTable
from .tables.heating import HeatingTable
from .tables.joints import JointTable
from .tables.ladder import LadderTable
from .tables.limits import LimitsTable
from .tables.material import MaterialTable
from .tables.measured import MeasuredTable
from .tables.named import NamedTable
from .tables.pictures import PicturesTable
from .tables.power import PowerTable
from .tables.prices import PricesTable
from .tables.report import ReportTable
from .tables.slopes import SlopesTable
from .tables.stray_field import FieldTable
from .tables.study import StudyTable
from .tables.supports import SupportsTable
from .tables.tank import TankTable
from .tables.tolerance import ToleranceTable
from .tables.vary import VaryTable
from .tables.voltage import VoltageTable
from .tables.water import WaterTable
from .tables.waveform import WaveformTable


class CaseData(Table):
    """The whole case file."""

    title: Annotated[str, Sample('"Feed to the pad"', "over every output; the name of the file if left out")] = ""
    symmetry: Annotated[
        Literal["plane", "axial"],
        Sample('"axial"', 'round an axis at x = 0: x is then the radius r and y goes along the axis z', apart=True),
    ] = "plane"
    length: Annotated[Length | None, Sample('"2.4 m"', "of the run: adds totals to the figures per metre")] = None
    ambient: Annotated[Temperature, Sample('"20 degC"', "of conductors without a temperature of their own")] = 20.0
    named: Annotated[
        NamedTable,
        OwnName("gap"),
        Sample("", "values said once and used by their names, wherever a quantity, a count or a metal stands"),
    ] = Field(default_factory=dict)
    frequency: Annotated[FrequencyTable, Sample('', "the frequencies to solve at")]
    accuracy: Annotated[AccuracyTable, Sample('', "how exact the answers are to be")] = AccuracyTable()
    material: Annotated[
        dict[str, MaterialTable], OwnName("my-alloy"), Sample("", "metals of your own, beside the built-in ones")
    ] = Field(default_factory=dict)
    conductor: Annotated[
        tuple[AnyConductor, ...],
        some("add a table [[conductor]] for each conductor"),
        Sample("", "a conductor: its shape, where it stands, and what it is made of"),
    ]
    circuit: Annotated[tuple[CircuitTable, ...], Sample('', "a current, and the conductors that carry it")] = ()
    coil: Annotated[tuple[CoilTable, ...], Sample('', "turns in series round an axis, each a ring")] = ()
    power: Annotated[
        PowerTable | None, Sample('', "round an axis: pieces that are heated on purpose, and the power wanted in them")
    ] = None
    tank: Annotated[
        TankTable | None, Sample('', "round an axis: the capacitor with which a coil resonates, and its duty")
    ] = None
    water: Annotated[
        tuple[WaterTable, ...], Sample('', "a stream of water through bores: flow, wall temperature, margin to boiling")
    ] = ()
    joint: Annotated[tuple[JointTable, ...], Sample('', "joints of a run, by the resistance of one")] = ()
    voltage: Annotated[
        VoltageTable | None, Sample('', "drop, voltage and field across the gap, capacitance, resonance")
    ] = None
    prices: Annotated[PricesTable | None, OwnName("copper"), Sample("", "prices of metals: what the run costs")] = None
    report: Annotated[ReportTable, Sample('', "title block of the report")] = ReportTable()
    pictures: Annotated[PicturesTable, Sample('', "what the pictures show")] = PicturesTable()
    field: Annotated[
        FieldTable | None, Sample('', "stray field: at points, along lines, how far reference levels reach")
    ] = None
    supports: Annotated[
        SupportsTable | None, Sample('', "forces at a fault, spacing and resonance of the supports")
    ] = None
    slopes: Annotated[
        SlopesTable | None, Sample('', "how resistance, inductance and loss change with each figure of the case")
    ] = None
    tolerance: Annotated[
        ToleranceTable | None,
        Sample('', "how what stands behind +- is read; wherever a figure has it, the answers get bands"),
    ] = None
    limits: Annotated[
        LimitsTable | None, Sample('', "what must not be exceeded: pass, fail or cannot tell; each may be left out")
    ] = None
    cooling: Annotated[CoolingTable | None, Sample('', "temperature in air; resistivity follows it")] = None
    duty: Annotated[tuple[DutyTable, ...], Sample('', "a current for a time, once or again and again")] = ()
    heating: Annotated[
        tuple[HeatingTable, ...], Sample('', "a work piece heated in time by its loss, round an axis")
    ] = ()
    waveform: Annotated[WaveformTable | None, Sample('', "a current of many harmonics, and what each costs")] = None
    ladder: Annotated[LadderTable | None, Sample('', "a network for circuit simulators, fitted to the run")] = None
    measured: Annotated[
        MeasuredTable | None, Sample('', "what a meter showed of the run: laid over what is calculated")
    ] = None
    vary: Annotated[
        tuple[VaryTable, ...], Sample('', "what `crosscurrent study` varies: a range, values, alternatives, orders")
    ] = ()
    study: Annotated[StudyTable | None, Sample('', "what is wanted of the designs that [[vary]] spans")] = None
    fault: Annotated[
        FaultTable | None, Sample('', "a short-circuit current in time: peak force, heat, hot spot")
    ] = None
