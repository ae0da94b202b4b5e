"""The answers as tables a reader takes in at a glance: rows of text, for the terminal or a notebook."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import groupby

from .answers import Answers, RoughnessAnswer
from .bundle_sums import whole_conductors
from .few_names import few, row_of
from .noise import (
    NONE,
    bar_or_dash,
    column,
    density_noise,
    figure,
    flows,
    force_noise,
    inductance_noise,
    loss_noise,
    or_none,
    own_noise,
    own_resistance_noise,
    reactance_noise,
    resistance_noise,
    terminal_noise,
    voltage_noise,
)
from .per_turn import per_turn
from .units import THOU, concise, engineering, temperatures, together


@dataclass(frozen=True)
class TextTable:
    """A heading, column names and rows of text; the first column is left-aligned, the others right."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def round_the_axis(self) -> TextTable:
        """The same in the words of a section round an axis."""
        rows = tuple(tuple(map(per_turn, row)) for row in self.rows)
        return TextTable(per_turn(self.heading), tuple(map(per_turn, self.columns)), rows)

    def html(self) -> str:
        """As an HTML table, everything escaped.

        Examples
        --------
        >>> TextTable("Loss", ("bar", "loss"), (("a & b", "1 W/m"),)).html().count("a &amp; b")
        1
        """

        def cells(kind: str, row: Sequence[str]) -> str:
            return "".join(f"<{kind}>{escape(cell)}</{kind}>" for cell in row)

        body = "".join(f"<tr>{cells('td', row)}</tr>" for row in self.rows)
        return f"<table><caption>{escape(self.heading)}</caption><tr>{cells('th', self.columns)}</tr>{body}</table>"


def html_list(title: str, lines: Sequence[str]) -> str:
    """Lines of text as an HTML list under a title, everything escaped; nothing where there are none.

    Examples
    --------
    >>> html_list("Notes", ["R < X"]), html_list("Notes", [])
    ('<p>Notes:</p><ul><li>R &lt; X</li></ul>', '')
    """
    entries = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"{title and f'<p>{title}:</p>'}<ul>{entries}</ul>" if entries else ""


def conditions(found: Answers) -> str:
    """Frequency and temperatures that the figures hold at."""
    warm = [c.temperature for c in found.conductors.values() if c.temperature is not None and c.loss_ratio is not None]
    at = concise(found.frequency, "Hz")
    return f"{at}, {temperatures(min(warm), max(warm))}" if warm else at


def circuit_table(found: Answers) -> TextTable:
    """One line per circuit: current, resistance and inductance with their bars, loss."""
    every = found.circuits.values()
    laid = any(c.laid_resistance is not None for c in every)
    columns = ("circuit", "current", "R loop", "+-", *["as laid up to"] * laid, "Rac/Rdc", "L loop", "+-", "loss")
    rows = _rows(
        [c.name for c in every],
        together([abs(c.current) for c in every], "A"),
        column([c.resistance for c in every], [resistance_noise(c) for c in every], "ohm/m", 5),
        [bar_or_dash(c.resistance_error) for c in every],
        *[column([c.laid_resistance for c in every], [0.0] * len(every), "ohm/m")] * laid,
        [_ratio(c.resistance_ratio) for c in every],
        column([c.inductance for c in every], [inductance_noise(c) for c in every], "H/m", 5),
        [bar_or_dash(c.inductance_error) for c in every],
        column([c.loss for c in every], [terminal_noise(c, found) for c in every], "W/m"),
    )
    kind = "out and back together" if len(rows) < 2 else "at the terminals; the others carry no current"
    return TextTable(f"Circuits at {conditions(found)} (rms, {kind})", columns, rows)


def own_table(found: Answers, length: float | None = None) -> TextTable:
    """One line per coupled circuit: what its own conductors lose, and its drop; below it the whole section."""
    every = found.circuits.values()
    lost, noise = [own_noise(c, found) for c in every], [voltage_noise(c, found) for c in every]
    columns: tuple[str, ...] = ("circuit", "current", "[deg]", "R of its own", "+-", "Rac/Rdc", "own loss", "drop")
    cells = [
        [c.name for c in every],
        together([abs(c.current) for c in every], "A"),
        [_angle(c.current) if c.current else "-" for c in every],
        column([c.own_resistance for c in every], [own_resistance_noise(c) for c in every], "ohm/m", 5),
        [bar_or_dash(c.own_resistance_error if c.own_resistance else None) for c in every],
        [_ratio(c.own_ratio) for c in every],
        column([c.own_loss for c in every], lost, "W/m"),
        column([abs(c.voltage) for c in every], noise, "V/m"),
    ]
    whole = ["the whole section", *["-"] * 5, figure(found.total_loss, 0.0, "W/m"), "-"]
    if length is not None:
        columns += (f"loss of {length:g} m", f"drop of {length:g} m")
        cells += [
            _over([c.own_loss for c in every], lost, length, "W"),
            _over([abs(c.voltage) for c in every], noise, length, "V"),
        ]
        whole += [figure(found.total_loss * length, 0.0, "W"), "-"]
    heading = f"Circuits at {conditions(found)} (rms; R and loss of the conductors each has for itself)"
    return TextTable(heading, columns, (*_rows(*cells), tuple(whole)))


def shared_table(found: Answers) -> TextTable | None:
    """One line per conductor that several circuits share: the sum of their currents, and its loss."""
    users: dict[str, list[str]] = {}
    for circuit in found.circuits.values():
        for name in circuit.shared:
            users.setdefault(name, []).append(circuit.name)
    firsts = {b.name: b.members[0] for b in found.bundles.values()}
    every = [c for c in whole_conductors(found) if firsts.get(c.name, c.name) in users]
    currents = together([abs(c.current) if c.loss_ratio is not None else None for c in every], "A")
    rows = _rows(
        [c.name for c in every],
        [", ".join(users[firsts.get(c.name, c.name)]) for c in every],
        [text if text != "-" else "none" for text in currents],
        column([c.loss for c in every], [loss_noise(c, found) for c in every], "W/m"),
        [bar_or_dash(c.loss_error) for c in every],
    )
    columns = ("conductor", "of", "current", "loss", "+-")
    heading = "Conductors that circuits share (the sum of their currents, rms)"
    return TextTable(heading, columns, rows) if users else None


def sequence_table(found: Answers) -> TextTable | None:
    """The impedances of three phases to currents that are alike or follow one another."""
    s = found.sequences
    if s is None:
        return None
    every = (s.zero, s.positive, s.negative)
    bars = (s.zero_error, s.positive_error, s.negative_error)
    cells = [["zero", "positive", "negative"]]
    for part in ([z.real for z in every], [z.imag for z in every]):
        cells.append(column(part, bars, "ohm/m", 5))
        cells.append([bar_or_dash(bar / abs(x)) if x else "-" for x, bar in zip(part, bars, strict=True)])
    kind = f"one sequence drives at most {100 * s.mutual:.2g} % of the positive in another"
    if not found.axial and not all(c.shared for c in found.circuits.values()):
        kind += f"; zero: back at {concise(found.return_radius, 'm', 3)} around"
    return TextTable(f"Sequence impedances ({kind})", ("sequence", "R", "+-", "X", "+-"), _rows(*cells))


def terminal_table(found: Answers) -> TextTable:
    """What the terminals of coupled circuits show, where power passes between them."""
    every = found.circuits.values()
    rows = _rows(
        [c.name for c in every],
        column([c.resistance for c in every], [resistance_noise(c) for c in every], "ohm/m", 5),
        [bar_or_dash(c.resistance_error) for c in every],
        column([c.inductance for c in every], [inductance_noise(c) for c in every], "H/m", 5),
        [bar_or_dash(c.inductance_error) for c in every],
        column([c.reactance for c in every], [reactance_noise(c) for c in every], "ohm/m"),
        column([c.loss for c in every], [terminal_noise(c, found) for c in every], "W/m"),
    )
    columns = ("circuit", "terminal R", "+-", "terminal L", "+-", "terminal X", "power taken in")
    heading = (
        "Power passed between coupled circuits: terminal R = Re(V/I), negative where a circuit receives power from the "
        "others"
    )
    return TextTable(heading, columns, rows)


def voltage_table(found: Answers, length: float | None = None) -> TextTable:
    """One line per circuit: reactance and voltage, and the totals over a run of a length [m]."""
    every = found.circuits.values()
    noise = [voltage_noise(c, found) for c in every]
    columns: tuple[str, ...] = ("circuit", "X loop", "voltage")
    cells = [
        [c.name for c in every],
        column([c.reactance for c in every], [reactance_noise(c) for c in every], "ohm/m"),
        column([abs(c.voltage) for c in every], noise, "V/m"),
    ]
    if length is not None:
        columns += tuple(f"{what} of {length:g} m" for what in ("R", "L", "voltage", "loss"))
        cells += [
            _over([c.resistance for c in every], [resistance_noise(c) for c in every], length, "ohm"),
            _over([c.inductance for c in every], [inductance_noise(c) for c in every], length, "H"),
            _over([abs(c.voltage) for c in every], noise, length, "V"),
            _over([c.loss for c in every], [terminal_noise(c, found) for c in every], length, "W"),
        ]
    return TextTable("Voltage along the run", columns, _rows(*cells))


def conductor_table(found: Answers) -> TextTable:
    """One line per conductor: current, loss with its bar, ratio to direct current."""
    every = whole_conductors(found)
    losses = column([c.loss for c in every], [loss_noise(c, found) for c in every], "W/m")
    currents = together([abs(c.current) if c.loss_ratio is not None else None for c in every], "A")
    rows = _rows(
        [c.name for c in every],
        [text if text != "-" else "induced" for text in currents],
        ["-" if c.loss_ratio is None else _angle(c.current) for c in every],
        ["-" if c.temperature is None else f"{c.temperature:.1f}" for c in every],
        losses,
        ["-" if loss == NONE else bar_or_dash(c.loss_error) for c, loss in zip(every, losses, strict=True)],
        [_ratio(c.loss_ratio) for c in every],
    )
    columns = ("conductor", "current", "[deg]", "at [degC]", "loss", "+-", "loss/dc")
    return TextTable(f"Conductors at {concise(found.frequency, 'Hz')} (rms, per metre of run)", columns, rows)


def cause_table(found: Answers) -> TextTable | None:
    """One line per bundle: the most that a strand carries, with its bar, and the parts of its loss."""
    every = [b for b in found.bundles.values() if b.skin_loss is not None and b.loss]
    rows = tuple(
        (
            b.name,
            engineering(b.strand_current_high, "A", 3),
            bar_or_dash(b.strand_current_error / b.strand_current_high) if b.strand_current_error else "-",
            engineering(b.loss, "W/m"),
            *(
                _percent(None if part is None else part / b.loss)
                for part in (
                    b.dc_loss, (b.skin_loss or 0.0) - b.dc_loss, b.sharing_loss, b.inside_loss, b.outside_loss,
                    b.crossed_loss,
                )
            ),
        )
        for b in every
    )  # fmt: skip
    columns = ("bundle", "most in a strand", "+-", "loss", "as dc", "strand skin", "sharing", "within", "of others",
               "both")  # fmt: skip
    return TextTable("Loss of bundles by cause", columns, rows) if rows else None


def density_table(found: Answers) -> TextTable:
    """One line per conductor: skin depth, largest density (rms and crest), force."""
    every = whole_conductors(found)
    depths = [_depth(c.skin_depth) for c in every]
    rows = _rows(
        [c.name for c in every],
        [millimetres for millimetres, _ in depths],
        [thou for _, thou in depths],
        [_density(c.peak_current_density, density_noise(c, found)) for c in every],
        [_density(c.crest_current_density, density_noise(c, found)) if found.frequency else "-" for c in every],
        [_force(c.force[0], force_noise(c)) for c in every],
        [_force(c.force[1], force_noise(c)) for c in every],
    )
    columns = (
        "conductor", "skin [mm]", "[thou]", "largest J, rms [A/mm2]", "its crest [A/mm2]", "force x [N/m]",
        "force y [N/m]",
    )  # fmt: skip
    return TextTable("Skin depth, largest current density and force (mean over a period)", columns, rows)


def layer_table(found: Answers) -> TextTable | None:
    """One line per metal of every conductor that has several: its share of the current and of the loss."""
    rows = tuple(
        (c.name, metal, _percent(layer.current_share), or_none(_percent(layer.loss_share), c.loss, noise))
        for c in found.conductors.values()
        if len(c.layers) > 1
        for noise in (loss_noise(c, found),)
        for metal, layer in c.layers.items()
    )
    columns = ("conductor", "metal, inside first", "of its current", "of its loss")
    return TextTable("Metals of one conductor", columns, rows) if rows else None


def tables(found: Answers, length: float | None = None) -> tuple[TextTable, ...]:
    """All tables of one frequency, with the totals over a run of a length [m]."""
    first: list[TextTable | None] = [circuit_table(found), voltage_table(found, length)]
    if found.coupled:
        first = [own_table(found, length), shared_table(found), sequence_table(found)]
    last = [terminal_table(found)] if found.coupled else []
    middle = [conductor_table(found), cause_table(found), density_table(found), layer_table(found)]
    every = [*first, *middle, *last]
    shown = (table for table in every if table is not None)
    return tuple(table.round_the_axis() if found.axial else table for table in shown)


def sentences(found: Answers) -> tuple[str, ...]:
    """Where the current flows, one sentence per conductor; and where the rest of it returns."""
    said = [(c.name, f"{flows(c, found)}{_rough(c.roughness)}") for c in whole_conductors(found)]
    lines = [f"{name}: {text}" for name, text in (_of_turns if found.axial else _of_rows)(said)]
    currents = [c.current for c in found.conductors.values()]
    rest = 0.0 if found.axial else abs(sum(currents))
    if rest > 1e-9 * max(map(abs, currents), default=0.0):
        lines.append(
            f"outside: {engineering(rest, 'A')} return on a circle of radius {concise(found.return_radius, 'm', 4)}; "
            "the inductances are relative to it"
        )
    return tuple(map(per_turn, lines) if found.axial else lines)


def _of_turns(said: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """What is said of several turns alike, once for all of them."""
    alike: dict[str, list[str]] = {}
    for name, text in said:
        alike.setdefault(text, []).append(name)
    return [(few(names), text) for text, names in alike.items()]


def _of_rows(said: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """What is said alike of neighbours in a row of repeated parts, once for all of them."""
    found = []
    for (_, text), alike in groupby(said, lambda one: (row_of(one[0]), one[1])):
        found.append((few([name for name, _ in alike]), text))
    return found


def _over(values: Sequence[float | None], noises: Sequence[float], length: float, unit: str) -> list[str]:
    """A column of figures over a run of a length [m], from those per metre."""
    return column([None if v is None else v * length for v in values], [n * length for n in noises], unit)


def _rows(*columns: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    return tuple(zip(*columns, strict=True))


def _percent(share: float | None) -> str:
    """One decimal; never "-0.0"."""
    return "-" if share is None else f"{round(100 * share, 1) + 0.0:.1f} %"


def _rough(roughness: RoughnessAnswer | None) -> str:
    if roughness is None:
        return ""
    return (
        f"; its roughness (Rq {concise(roughness.rq, 'm', 3)}) multiplies the surface resistance by "
        f"{roughness.factor:.4g} (the published models range from {roughness.low:.4g} to {roughness.high:.4g})"
    )


def _ratio(value: float | None) -> str:
    return "-" if value is None else _four(value)


def _depth(depth: float | None) -> tuple[str, str]:
    return ("-", "-") if depth is None else (_three(depth * 1e3), _three(depth / THOU))


def _three(value: float) -> str:
    """Three digits, without an exponent where the number is large."""
    return f"{value:.3g}" if value < 999.5 else f"{value:.0f}"


def _four(value: float) -> str:
    """Four digits, without an exponent where the number is large."""
    return f"{value:.4g}" if value < 9999.5 else f"{value:.0f}"


def _density(value: float, noise: float) -> str:
    """In amperes per square millimetre."""
    return or_none(_four(value / 1e6), value, noise)


def _force(value: float, noise: float) -> str:
    return or_none(f"{value:.3g}" if abs(value) < 999.5 else f"{value:.0f}", value, noise)


def _angle(current: complex) -> str:
    angle = round(math.degrees(cmath.phase(current)), 1)
    return f"{180.0 if angle == -180 else angle + 0.0:.1f}"
