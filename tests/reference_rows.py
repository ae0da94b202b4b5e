"""The reference values as rows, and the judgement of what was found against them."""

import csv
import os
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

TABLE = Path(__file__).parents[0] / "references" / "reference_values.csv"
LIBRARY = TABLE.with_name("general_library.csv")
TIGHT = 1e-4  # asked of every row with eight digits or more


@dataclass(frozen=True)
class Row:
    """One published or independently computed value."""

    id: str
    topic: str
    quantity: str
    conditions: str
    value: float
    precision: str
    source: str

    def number(self, name: str) -> float:
        """The number that follows `name` in the conditions; "pi" multiples stand there as decimals."""
        return float(re.search(rf"(?<![\w/]){re.escape(name)}=([-+\d.e]+)", self.conditions)[1])

    @property
    def own_error(self) -> float:
        """Relative error of the reference itself."""
        stated = re.match(r"(?:>=)?(\d+) digits", self.precision)
        if stated:
            return 10.0 ** (1 - int(stated[1]))
        if self.precision == "exact":
            return 1e-11
        return float(re.match(r"~([\d.e-]+)", self.precision)[1])

    @property
    def tolerance(self) -> float:
        """Relative difference that is allowed."""
        return TIGHT if self.own_error < 2e-7 else self.own_error


@dataclass(frozen=True)
class Outcome:
    """What a solve says about a row: a value and the error bar it carries, if it carries one."""

    row: Row
    found: float
    bar: float | None = None  # absolute, in the unit of the row
    tolerance: float | None = None  # relative, where the row's own is not the measure
    own_error: float | None = None

    @property
    def difference(self) -> float:
        return abs(self.found - self.row.value)

    @property
    def allowed(self) -> float:
        return (self.row.tolerance if self.tolerance is None else self.tolerance) * abs(self.row.value)

    @property
    def covered(self) -> bool:
        own = self.row.own_error if self.own_error is None else self.own_error
        return self.bar is None or self.difference <= self.bar + own * abs(self.row.value)

    def __str__(self) -> str:
        bar = "no bar" if self.bar is None else f"bar {self.bar / abs(self.row.value):.1e}"
        off = self.difference / abs(self.row.value)
        what = f"{self.row.id} {self.row.quantity} ({self.row.conditions})"
        return f"{what}: expected {self.row.value:.12g}, found {self.found:.12g}, off {off:.1e}, {bar}"


@cache
def every_row() -> tuple[Row, ...]:
    """The whole table."""
    names = ("id", "topic", "quantity", "conditions", "value", "precision", "source")
    with TABLE.open(newline="") as file:
        table = [[line[n] for n in names] for line in csv.DictReader(file)]
    return tuple(Row(*line[:4], float(line[4]), *line[5:]) for line in table)


def rows(topic: str, first: int = 1, last: int = 10_000) -> list[Row]:
    """The rows of a topic, by their numbers."""
    return [r for r in every_row() if r.topic == topic and first <= int(r.id.split("-")[-1]) <= last]


def thinned(every: list[Row], total: int, *names: str, keep: int = 3) -> list[Row]:
    """Those of a grid of `total` rows at the smallest, the largest and evenly picked values between of each number.

    The rows left out repeat what these show; CROSSCURRENT_EXAMPLES=3000 takes every row.
    """
    assert len(every) == total
    if "CROSSCURRENT_EXAMPLES" in os.environ:
        return every
    for name in names:
        values = sorted({row.number(name) for row in every})
        kept = {values[round(k * (len(values) - 1) / (keep - 1))] for k in range(keep)}
        every = [row for row in every if row.number(name) in kept]
    return every


@cache
def solved_again() -> dict[str, float]:
    """What a general library found on fine meshes for some of the rows, by their ids; good to 1e-7."""
    with LIBRARY.open(newline="") as file:
        found = {line["quantity"].rpartition(" of ")[2]: float(line["value"]) for line in csv.DictReader(file)}
    return {row.id: found[row.id] for row in every_row() if row.id in found}


def judge(outcomes: list[Outcome], expected: int) -> None:
    """Every row within its tolerance, and at most one bar in a hundred too short."""
    assert len({o.row.id for o in outcomes}) == expected
    far = [str(o) for o in outcomes if not o.difference <= o.allowed]
    assert not far, f"{len(far)} of {len(outcomes)} rows out of tolerance:\n" + "\n".join(far)
    short = [str(o) for o in outcomes if not o.covered]
    assert 100 * len(short) <= len(outcomes), f"{len(short)} of {len(outcomes)} bars too short:\n" + "\n".join(short)
