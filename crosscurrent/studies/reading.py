"""The tables [[vary]] and [study] of a case, or every fault in them with its line."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.lines import LineIndex, Path
from crosscurrent.casefile.quantities import QuantityError, nearest, read_quantity
from crosscurrent.casefile.tables.study import StudyTable
from crosscurrent.casefile.tables.vary import VaryTable
from crosscurrent.casefile.variables import NUMBER, Variable, as_written, variables
from crosscurrent.casefile.varied import Value, is_conductor
from crosscurrent.casefile.wording import locate

from .plan import OF_ORDERS, Alternative, Choice, Orders, Plan, Question, Range, currency_of

OF_RUNS = ("mass", "cost", "voltage_drop")  # figures of straight runs alone
MOST_ORDERS = 200_000  # that are gone through
MOST_BESIDE = 5000  # in every design
FOLLOWS = ("cooling", "water", "waveform", "duty", "fault")  # tables whose answers follow the losses of an order


def plan_of(case: Case) -> Plan:
    """What the tables [[vary]] and [study] of a case ask for.

    Raises
    ------
    CaseError
        Nothing is varied, or something that the case does not have; with the line of each fault.
    """
    reader = _Reader(case)
    for number, table in enumerate(case.data.vary):
        reader.take(number, table)
    question = reader.question(case.data.study or StudyTable())
    if not case.data.vary:
        reader.fault((), "a table [[vary]]", "none", '[[vary]] with name = "gap", from = "1 mm", to = "9 mm"')
    reader.check_orders(question)
    if reader.faults:
        raise CaseError(reader.faults, case.path.name if case.path else "")
    asked = case.data.study or StudyTable()
    orders = next((found for found, _ in reader.orders), None)
    if reader.ranges or reader.choices:  # then it is a matter of each design
        question, orders = replace(question, orders=orders), None
    dimensions = {key: one.dimension for key, one in reader.known.items() if key in reader.taken}
    return Plan(
        tuple(reader.ranges), tuple(reader.choices), orders, question, asked.designs, asked.starts, dimensions
    )


class _Reader:
    """Collects what varies, and every fault."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.known: Mapping[str, Variable] = {one.key: one for one in variables(case)}
        self.named: Mapping[str, Value] = case.data.named
        self.data = as_written(case)
        self.lines = LineIndex(case.source.decode("utf-8-sig"))
        self.faults: list[Fault] = []
        self.ranges: list[Range] = []
        self.choices: list[Choice] = []
        self.orders: list[tuple[Orders, Path]] = []
        self.count = 0  # of orders
        self.taken: set[str] = set()

    def fault(self, path: Path, expected: str, found: str, hint: str) -> None:
        """Note one."""
        place, key = locate(path, self.data) if path else ("", "")
        self.faults.append(Fault(self.lines.line(path) if path else None, key, expected, found, hint, place))

    def take(self, number: int, table: VaryTable) -> None:
        """One table [[vary]]."""
        path: Path = ("vary", number)
        if table.orders:
            self._orders(path, table)
        elif table.choices:
            self._choices(path, table)
        elif table.name is not None and self._free(path, "name", table.name):
            if table.values:
                written = [self._value((*path, "values", k), table.name, one) for k, one in enumerate(table.values)]
                labels = [str(one) for one in table.values]
                pairs = zip(labels, written, strict=True)
                options = tuple(Alternative(label, {table.name: v}) for label, v in pairs if v is not None)
                self.choices.append(Choice(table.name, options))
            else:
                self._range(path, table.name, table)

    def _free(self, path: Path, key: str, name: str, *, whole: bool = False) -> bool:
        """Whether a name is one of the case, of a conductor as a whole perhaps, and varied here alone."""
        conductors = [row.name for row in self.case.data.conductor]
        if whole and name not in conductors:
            near = nearest(name, conductors)
            hint = f'did you mean "{near}"?' if near else f"the conductors are {', '.join(conductors)}"
            self.fault((*path, key), "the name of a conductor before a whole one", f'"{name}"', hint)
            return False
        if not whole and name not in self.known and name not in self.named:
            near = nearest(name, (*self.known, *self.named))
            hint = f'did you mean "{near}"?' if near else "say it in [named] and use its name"
            self.fault((*path, key), "a value of the case", f'"{name}", which it does not have', hint)
            return False
        if name in self.taken:
            self.fault((*path, key), "each value varied once", f'"{name}" a second time', "leave one of them out")
            return False
        self.taken.add(name)
        return True

    def _range(self, path: Path, name: str, table: VaryTable) -> None:
        if name not in self.known:
            hint = 'write values = [...] with those to try'
            self.fault((*path, "name"), "a quantity for a range", f'"{name}", a count or a metal', hint)
            return
        low, high = self._value((*path, "from"), name, table.start), self._value((*path, "to"), name, table.to)
        if isinstance(low, float) and isinstance(high, float):
            if low >= high:
                found = f"{table.start} to {table.to}"
                self.fault((*path, "to"), "a range from a lower to a higher value", found, "exchange them")
            else:
                self.ranges.append(Range(name, low, high, self.known[name].dimension))

    def _value(self, path: Path, name: str, written: Value | None) -> Value | None:
        variable = self.known.get(name)
        if variable is None or written is None:
            return written
        if variable.dimension == NUMBER:
            if isinstance(written, str):
                self.fault(path, f"a bare number, as {name} is one", f'"{written}"', "write it without quotes")
                return None
            return float(written)
        try:
            return read_quantity(written, variable.dimension)
        except QuantityError as error:
            self.fault(path, f"{error.expected}, as {name} is one", error.found, error.hint)
            return None

    def _choices(self, path: Path, table: VaryTable) -> None:
        keys = [key for key in dict.fromkeys(key for choice in table.choices for key in choice) if key != "is"]
        whole = {key for choice in table.choices for key, value in choice.items() if is_conductor(value)}
        free = [self._free((*path, "choices"), key, key, whole=key in whole) for key in keys]
        if not all(free):
            return
        options = []
        for k, choice in enumerate(table.choices):
            if lacking := [key for key in keys if key not in choice]:
                expected = "the same values in every choice"
                hint = "add them, or leave them out of all"
                self.fault((*path, "choices", k), expected, f"{', '.join(lacking)} missing", hint)
            values = {key: self._value((*path, "choices", k, key), key, choice.get(key)) for key in keys}
            options.append(Alternative(str(choice["is"]), {key: v for key, v in values.items() if v is not None}))
        self.choices.append(Choice(" and ".join(keys), tuple(options)))

    def _orders(self, path: Path, table: VaryTable) -> None:
        copies = [n for row in self.case.data.conductor if row.name == table.of for n in row.copies]
        circuits = {c.name: c for c in self.case.problem().circuits}
        for name in table.circuits:
            if name not in circuits:
                near = nearest(name, circuits)
                hint = f'did you mean "{near}"?' if near else f"the circuits are {', '.join(circuits)}"
                self.fault((*path, "circuits"), "the name of a circuit", f'"{name}"', hint)
                return
        if not copies:
            names = ", ".join(row.name for row in self.case.data.conductor if row.repeat is not None)
            hint = f"repeated are {names}" if names else "repeat it: repeat = { count = 6, step = [...] }"
            self.fault((*path, "of"), "a repeated conductor", f'"{table.of}"', hint)
            return
        sides = [set(circuits[name].out) for name in table.circuits]
        if set().union(*sides) != set(copies) or len({len(side) for side in sides}) != 1:
            hint = "each circuit names as many of the copies in out, and all of them are named"
            self.fault((*path, "of"), f"copies of {table.of} that the circuits share evenly", "others", hint)
            return
        count = math.factorial(len(copies)) // math.factorial(len(sides[0])) ** len(sides)
        if count > MOST_ORDERS:
            hint = "let each copy stand for two bars side by side, or compare some orders as cases of their own"
            self.fault((*path, "of"), f"at most {MOST_ORDERS} orders", f"{count} of {len(copies)} copies", hint)
            return
        self.count = count
        self.orders.append((Orders(str(table.of), tuple(table.circuits)), path))

    def check_orders(self, question: Question) -> None:
        """What orders of phases cannot stand beside."""
        if not self.orders:
            return
        (_, path), *more = self.orders
        if more:
            hint = "vary one of them in a study of its own, with the best order of the other"
            self.fault(more[0][1], "orders of one conductor", "a second table of orders", hint)
        if not question.frequency:
            found = "direct current, which no order changes"
            self.fault(("study", "at"), "a frequency above 0 Hz", found, "see [frequency]")
        elif question.frequency not in self.case.data.frequency.at:
            hint = "write it in [frequency] at"
            self.fault(("study", "at"), "a frequency asked for by itself beside orders", "one of a sweep", hint)
        if self.ranges or self.choices:
            self._orders_beside(path)
        elif not set(question.aims) <= set(OF_ORDERS):
            found = " and ".join(question.aims)
            expected = f"one or two of {', '.join(OF_ORDERS)} beside orders"
            self.fault(("study", "least"), expected, found, 'write least = ["loss"]')

    def _orders_beside(self, path: Path) -> None:
        """Every design is solved once and taken in its best order: its temperatures are to be those of all orders."""
        data, count = self.case.data, self.count
        found = [key for key in FOLLOWS if getattr(data, key)] + ["sweep"] * (data.frequency.sweep is not None)
        if found:
            expected = "stated temperatures and single frequencies where orders stand beside what else varies"
            hint = "leave it out here, and vary the orders alone with the best values"
            self.fault(path, expected, f"[{found[0]}]" if found[0] != "sweep" else "a sweep", hint)
        if count > MOST_BESIDE:
            hint = "vary the orders in a study of their own, with the best values of this one"
            self.fault((*path, "of"), f"at most {MOST_BESIDE} orders in every design", f"{count}", hint)

    def question(self, asked: StudyTable) -> Question:
        """What is wanted, at which frequency and of which circuit."""
        listed = self.case.data.frequency.at or self.case.frequencies
        circuits = [circuit.name for circuit in self.case.problem().circuits]
        if asked.at is not None and asked.at not in self.case.frequencies:
            hint = "write one of them, or add it to at"
            self.fault(("study", "at"), "one of the frequencies of the case", f"{asked.at:g} Hz", hint)
        if asked.circuit is not None and asked.circuit not in circuits:
            hint = _near(asked.circuit, circuits)
            self.fault(("study", "circuit"), "the name of a circuit", f'"{asked.circuit}"', hint)
        needs = {"cost": ("prices", "[prices]"), "temperature": ("cooling", "[cooling]"), "field": ("field", "[field]")}
        for aim in asked.least:
            if self.case.axial and aim in OF_RUNS:
                hint = f"leave {aim} out"
                self.fault(("study", "least"), "figures of a section round an axis", f'"{aim}" of a straight run', hint)
                continue
            if aim in ("waste", "leakage") and not self.case.axial:
                hint = "least loss says the same of a straight run" if aim == "waste" else f"leave {aim} out"
                self.fault(("study", "least"), f"a section round an axis beside {aim}", "a plane one", hint)
            if aim == "leakage" and self.case.axial and len(self.case.problem().circuits) < 2:
                self.fault(("study", "least"), "two coils or more beside leakage", "one", "state the other coil")
            table, heading = needs.get(aim, ("", ""))
            if table and getattr(self.case.data, table) is None and not (aim == "temperature" and self.case.data.water):
                self.fault(("study", "least"), f"{heading} beside {aim}", "none", f"add a table {heading}")
            if aim == "voltage_drop" and self.case.length is None:
                self.fault(("study", "least"), "the length of the run beside voltage_drop", "none", 'length = "2.4 m"')
        at = listed[0] if asked.at is None else asked.at
        circuit = asked.circuit or circuits[0]
        return Question(asked.least, at, circuit, currency=currency_of(self.case), axial=self.case.axial)


def _near(name: str, names: Sequence[str]) -> str:
    near = nearest(name, names)
    return f'did you mean "{near}"?' if near else f"the circuits are {', '.join(names)}"
