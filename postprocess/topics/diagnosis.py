"""The words, table and record of a diagnosis: what explains a measured difference, and what would tell more."""

from __future__ import annotations

import math
from collections.abc import Iterator

from crosscurrent.postprocess.answers.axial_names import Json
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.meter.causes import CAPACITANCE, CONTACT, FLOOR, LEADS, NEIGHBOUR, OFFSET, SCALE, STEEL
from crosscurrent.solver.meter.diagnosis import Amount, Diagnosis, Drowned, Explained, Explanation, HeldBand, Separation

COVERED = 2.0  # standard uncertainties behind "+-": 95 % of a normal distribution
HARDLY_MORE = 0.05  # of the last digit of a bar: not rounded up
TOGETHER = 0.9  # correlation from which amounts are said to go together
FIRM = 0.02  # chance of a misfit below which it is told
ENOUGH = 20  # rows from which scatter is told well
SHORT = Separation("short", 0.0, "R", math.inf)
PLAIN = ("", "degC")  # units without prefixes
WAYS = {CONTACT: "a series resistance of {0}", LEADS: "a series inductance of {0}",
        CAPACITANCE: "a capacitance of {0} across the terminals",
        NEIGHBOUR: "metal nearby that pushes {0} out of the loop", STEEL: "steel nearby that adds {0} to the loop",
        "roughness": "a roughness Rq of {0}", "temperature": "metals at {0}"}  # fmt: skip


def sentences(found: Diagnosis, joints: int = 0) -> Iterator[str]:
    """What the difference says, the verdict first."""
    yield from _VERDICTS[found.verdict](found)
    for one in found.explanations[:1]:
        if found.verdict in ("named", "undecided"):
            yield from _details(one, joints)
            rivals = {key for other in found.explanations for key in other.keys}
            if not found.floor_stated and CONTACT in one.keys and OFFSET not in rivals:
                yield f"an offset of the meter, whose floor is not stated, would look the same: {advice(SHORT)}"
    if found.rejected is not None and found.verdict != "within":
        yield _reach(found.rejected)
    yield from map(_drowned, found.drowned)


def _within(found: Diagnosis) -> Iterator[str]:
    bare = found.bare
    judged = f"({_judged(found, bare)}, chance {_percent(bare.chance)})"
    if not bare.causes:
        yield f"no cause is needed: meter and calculation leave as much open as they differ {judged}"
        return
    yield f"no cause is needed: {worded(bare)} explains what noise does not {judged}"
    for one in bare.causes[0].alike:
        yield (
            f"{_alone(one.key, one)} would look the same: a short in the place of the run tells them apart, since the "
            "floor of the meter stays and joints of the run go"
        )


def _named(found: Diagnosis) -> Iterator[str]:
    one = found.explanations[0]
    verb = "explains" if len(one.causes) == 1 else "together explain"
    yield f"{worded(one)} {verb} all of it ({_judged(found, one)}); nothing simpler does"


def _undecided(found: Diagnosis) -> Iterator[str]:
    first, *others = found.explanations
    rivals = "; or ".join(f"{worded(one)} ({_percent(one.weight)})" for one in others)
    yield f"likeliest {worded(first)} ({_percent(first.weight)})" + (f"; or {rivals}" if rivals else "")
    if certain := found.certain:
        names = " and ".join(one.name for one in first.causes if one.key in certain)
        yield f"in all of them: {names}"
    if not others:
        return
    if found.separation is None:
        yield (
            "this measurement cannot tell them apart, nor would another frequency, a longer run or another temperature:"
            " measure the parts"
        )
    else:
        yield f"this measurement cannot tell them apart: {advice(found.separation)} to tell the first two apart"


def _none(found: Diagnosis) -> Iterator[str]:
    yield (
        "no cause fits, alone or with others: from row to row what is left is more than their own scatter and the "
        "calculation leave open"
    )
    for one in found.explanations[:1]:
        yield (
            f"{worded(one)} comes nearest and leaves {_judged(found, one)}"
            + (" with rows that follow their neighbours" if one.streak > one.misfit / one.freedom else "")
        )
    if found.bare.freedom < 2 * ENOUGH:
        yield (
            f"the scatter is told from {found.bare.freedom // 2} rows, which can make it too small: measure {ENOUGH} "
            "frequencies or more before looking further"
        )


def _judged(found: Diagnosis, one: Explanation) -> str:
    """What an explanation leaves over what the uncertainties let expect."""
    told = f"chi-square {one.misfit:.0f} of {one.freedom}"
    if math.isinf(found.scatter_freedom):
        return told
    return f"{told}, judged by F as {len(found.rows)} rows tell their own scatter"


def _drowned(one: Drowned) -> str:
    """Where a reading is nothing but the floor."""
    low, high = (concise(f, "Hz", 2) for f in (one.low, one.high))
    band = f"at {low}" if low == high else f"from {low} to {high}"
    source = "as stated" if one.stated else "by its offset"
    floor = f"the floor of the meter, {concise(one.floor, 'ohm', 2)} {source}"
    return (
        f"{one.quantity} {band} is hardly more than {floor}, and says nothing there: measure it of a longer run, with "
        "more current, or in a range with less of a floor"
    )


_VERDICTS = {"within": _within, "named": _named, "undecided": _undecided, "none": _none}


def _details(one: Explanation, joints: int) -> Iterator[str]:
    for cause in one.causes:
        if cause.key == CONTACT and joints > 1:
            each = amount(cause.amount.value / joints, cause.amount.error / joints, "ohm")
            yield f"in {joints} joints alike that is {each} each, if none of it is in the leads"
        if cause.key in (NEIGHBOUR, STEEL):
            yield f"its skin begins at about {engineering(cause.shapes[0].value, 'Hz', 2)}"
    count = len(one.causes)
    for i in range(count):
        for k in range(i + 1, count):
            together = float(one.correlations[i, k])
            if abs(together) > TOGETHER:
                names = f"{one.causes[i].name} and {one.causes[k].name}"
                yield f"the amounts of {names} go together (correlation {together:.2f}): neither is known as well alone"


def _reach(found: HeldBand) -> str:
    if found.above is not None:
        where = f"from {concise(found.above, 'Hz', 2)} up"
    else:
        where = f"up to {concise(found.below or 0.0, 'Hz', 2)}"
    return f"{worded(found.explanation)} explains it {where} only"


def worded(one: Explanation) -> str:
    """An explanation as a sentence names it.

    Examples
    --------
    >>> import numpy as np
    >>> none = np.empty(0)
    >>> joint = Amount("contact", "series resistance", "ohm", 1.8e-5, 1e-6, 0.0)
    >>> cause = Explained("contact", "series resistance", joint, (), (), none, none)
    >>> worded(Explanation((cause,), 80.0, 81, 0.5, 0.1, 1.0, np.eye(1), none, none, none, none))
    'a series resistance of 18.0 +- 2.0 uohm'
    """
    return " and ".join(_cause(cause) for cause in one.causes) or "no cause at all"


def _cause(one: Explained) -> str:
    if one.key in (FLOOR, OFFSET):
        return _offsets(one)
    words = _alone(one.key, one.amount)
    others = [_alone(other.key, other) for other in one.alike]
    return f"{words} (or {', or '.join(others)})" if others else words


def _offsets(one: Explained) -> str:
    """The floor of a meter by the offsets that are seen of it."""
    seen = [a for a in (one.amount, *one.shapes) if abs(a.value) > COVERED * a.error] or [one.amount]
    told = []
    for each in seen:
        band = "" if each.band is None else f" {concise(each.band[0], 'Hz', 2)} to {concise(each.band[1], 'Hz', 2)}"
        told.append(f"{each.name}{band} {amount(each.value, each.error, each.unit)}")
    if one.key == OFFSET:
        return f"the floor of the meter, which is not stated ({', '.join(told)})"
    bound = ", ".join(dict.fromkeys(concise(each.stated, each.unit, 2) for each in seen))
    return f"the floor of the meter, stated as {bound} ({', '.join(told)})"


def _alone(key: str, one: Amount) -> str:
    way = WAYS.get(key, f"{one.name} of {{0}}")
    if one.stated == 0 and abs(one.value) < COVERED * one.error:
        return way.format(f"at most {engineering(abs(one.value) + COVERED * one.error, one.unit, 2)}")
    if key == SCALE:
        size = amount(100 * abs(one.value - 1), 100 * one.error, "%")
        return f"all of it {size} {'larger' if one.value > 1 else 'smaller'} (length of the run, or calibration)"
    shown = amount(one.value, one.error, one.unit)
    stated = f" in place of {concise(one.stated, one.unit)}" if one.stated and one.unit != "" else ""
    return (way.format(shown) if key in WAYS else f"{one.name} {shown}") + stated


def amount(value: float, error: float, unit: str) -> str:
    """A figure with twice its standard uncertainty, two digits rounded up (GUM, JCGM 100:2008, 7.2.6).

    Examples
    --------
    >>> amount(1.8e-5, 1e-6, "ohm"), amount(5.1e7, 2.1e4, "S/m"), amount(55.01, 0.0612, "degC")
    ('18.0 +- 2.0 uohm', '51.000 +- 0.042 MS/m', '55.01 +- 0.13 degC')
    """
    bar = COVERED * error
    power, sign = 0, unit
    if unit not in (*PLAIN, "%") and (value or bar):
        sign = engineering(max(abs(value), bar), unit, 3).split(" ")[1]
        power = 3 * math.floor(math.log10(max(abs(value), bar)) / 3 + 1e-9)
    if not bar or not math.isfinite(bar):
        return f"{value / 10.0**power:.4g} {sign}"
    scaled = bar / 10.0**power
    place = math.floor(math.log10(scaled)) - 1
    scaled = math.ceil(scaled / 10.0**place - HARDLY_MORE) * 10.0**place
    decimals = max(0, -place)
    text = f"{scaled:.{decimals}f}"
    shown = f"{value / 10.0**power:.{decimals}f} +- {text}"
    return f"{shown} {sign}".rstrip()


def advice(found: Separation) -> str:
    """What to measure.

    Examples
    --------
    >>> advice(Separation("lower frequency", 1e3, "R", 8.0))
    'measure R at 1 kHz or below'
    """
    if found.kind == "short":
        return "measure a short at the meter (its floor stays, all else goes)"
    if found.kind in ("lower frequency", "higher frequency"):
        side = "below" if found.kind == "lower frequency" else "above"
        return f"measure {found.quantity} at {concise(found.at, 'Hz', 2)} or {side}"
    if found.kind == "longer run":
        return f"measure {found.quantity} of a run of {concise(found.at, 'm', 3)} at the same ends"
    return f"measure {found.quantity} with the metal at {found.at:.0f} degC"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.095 else f"{100 * share:.1g} %"


def table(found: Diagnosis) -> TextTable:
    """The explanations that are left, likeliest first, and what they leave."""
    rows = tuple(
        (worded(one), f"{one.misfit:.0f} / {one.freedom}", _percent(one.chance),
         _percent(one.weight) if found.verdict != "none" else "-")
        for one in (*found.explanations, *(() if _bare_listed(found) else (found.bare,)))
    )  # fmt: skip
    scatter = "" if math.isinf(found.scatter_freedom) else "; chance by F, as rows tell their own scatter"
    heading = f"What explains the difference ({found.tried} sets of causes tried; +-: 95 %{scatter})"
    return TextTable(heading, ("cause", "chi-square", "chance", "share"), rows)


def _bare_listed(found: Diagnosis) -> bool:
    return any(one.keys <= {FLOOR} for one in found.explanations)


def record(found: Diagnosis) -> dict[str, Json]:
    """For results.json."""
    apart, reach = found.separation, found.rejected
    return {
        "verdict": found.verdict,
        "explanations": [_explanation(one) for one in found.explanations],
        "without_cause": _explanation(found.bare),
        "certain": sorted(found.certain),
        "further_measurement": None if apart is None else {
            "kind": apart.kind, "at": apart.at, "quantity": apart.quantity, "standard_uncertainties_apart": apart.apart
        },
        "in_part": None if reach is None else {
            "explanation": _explanation(reach.explanation), "from_hz": reach.above, "up_to_hz": reach.below
        },
        "floor_hides": [
            {"quantity": one.quantity, "from_hz": one.low, "up_to_hz": one.high, "floor_ohm": one.floor,
             "stated": one.stated} for one in found.drowned
        ],
        "sets_tried": found.tried,
    }  # fmt: skip


def _explanation(one: Explanation) -> dict[str, Json]:
    return {
        "causes": [
            {**_amount(cause.amount), "shape": [_amount(a) for a in cause.shapes],
             "alike": [_amount(a) for a in cause.alike]}
            for cause in one.causes
        ],
        "chi_square": one.misfit, "degrees_of_freedom": one.freedom, "chance": one.chance, "share": one.weight,
        "neighbour_correlation": one.streak, "correlations": one.correlations.tolist(),
    }  # fmt: skip


def _amount(one: Amount) -> dict[str, Json]:
    band: dict[str, Json] = {} if one.band is None else {"from_hz": one.band[0], "up_to_hz": one.band[1]}
    return {"key": one.key, "name": one.name, "unit": one.unit, "value": one.value, "standard_uncertainty": one.error,
            "stated": one.stated, **band}  # fmt: skip
