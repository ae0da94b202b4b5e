"""The cautions that belong on the answers, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from .answers import Answers

ALWAYS = (
    "Currents and voltages are rms. A peak value read as rms doubles the computed heat.",
    "Conductors get hot, and their resistance rises with temperature; the figures hold at the stated temperatures. "
    "Check the temperature before anything is touched or enclosed.",
    "Joints, bends and ends are not in these figures: a bad joint is the first thing to fail.",
    "Follow the electrical code that applies where the equipment stands, and leave design approval, isolation and "
    "work on live parts to licensed people.",
)
BURNS = 3e3  # from which live parts burn without a warning shock [Hz]
HIGH_FREQUENCY = (
    "At this frequency a live part burns deeply without a warning shock, and rings, tools and implants nearby carry "
    "induced currents: keep people and loose metal away; check exposure limits."
)
RESONANCE = (
    "With a capacitor the voltage across this inductance can be many times the supply's: choose insulation for the "
    "resonance voltage."
)
PARALLEL = (
    "Parallel conductors share as computed only if both ends are joined alike; unequal tails and joints change it."
)
FORCE = (
    "Forces are time averages in service; the peak is at least twice that, and a fault current multiplies it by the "
    "square of its ratio. Supports must stand the fault."
)
STEEL = (
    "Steel near the conductors heats up, and its permeability is uncertain and falls when it saturates: treat its "
    "loss as an estimate."
)
HOT = (
    "Bare metal from about 65 degC burns skin in a second, and above 43 degC if it is held for hours (EN ISO 13732-1, "
    "from memory): keep people off it, and keep off it what burns, melts or ages."
)
HOT_PIECE = (
    "A heated work piece burns at a touch and by radiation, sets fire, and may be far too hot long "
    "before it glows: keep people and fuel away, and mind that scale flies off and that wet metal spits."
)
SCATTER = (
    "A temperature in air is no better than its correlations: dust, draught, paint, a lid or a neighbour shift it by "
    "more than the band. Measure the first one built."
)
PLATING = "Plated metal conducts worse than the bulk metal; the figures take the conductivity of the bulk."

JOINTS = (
    "Joint resistances are what the case file allows for, not computed: measure them after assembly and again in "
    "service. A bad joint gets hot first."
)
WATER = (
    "Water and electricity: use hoses and lengths of hose that insulate for the voltage, watch the water's "
    "conductivity, and expect a leak to fall on live parts.",
    "Interlock the power on water flow and on outlet temperature: when the flow stops, the water in the conductor "
    "boils within seconds and its pressure rises.",
    "Every part of the water circuit must stand the pump's pressure with its pump running against a closed valve; fit "
    "a relief valve.",
    "Metal colder than the dew point of the air gets wet outside: keep the inlet above it.",
    "Film temperatures are known to about 20 %; scale and dirt in the bore make them worse.",
)
FAULT = (
    "A fault bends, breaks and melts: supports, bolts and insulation must stand the peak force and its shaking at once "
    "and at twice the frequency, where a bar in resonance moves several times further.",
    "The heat of a fault is that at the temperatures before it; as the metal warms its resistance and the heat rise, "
    "which only the temperature afterwards takes in.",
)
VOLTAGE = (
    "The field in the gap is a mean, several times higher at edges. Moisture, dirt, altitude and frequency lower the "
    "breakdown of air and surfaces: choose clearances by the standard that applies."
)

FIELD = (
    "Reference levels are cited for orientation, not as compliance: implants, rings and loose metal need more "
    "distance; leave the assessment of exposure to those whom local rules name."
)
INDUCTION = (
    "Any metal in the field of a coil heats like the piece: rings and tools burn hands, implants and pacemakers fail. "
    "Keep people and loose metal out, and guard hot pieces: they look cold."
)
PULL = (
    "Steel is pulled into a working coil and let go when it passes its Curie temperature or the current stops: clamp "
    "piece and coil, and keep steel tools away."
)
CAPACITOR = (
    "Capacitors of a tank hold their charge, carry more current than the supply and fail with force: leave a margin in "
    "frequency, voltage and kvar, cool them, fit discharge resistors, short them."
)
BENCH = (
    "A meter measures with a small signal: it says nothing of saturation, of heat, or of joints that open when they "
    "get warm. Measure again in service.",
    "Never hang a meter on live parts. Isolate, discharge capacitors and leave them shorted, prove the parts dead, and "
    "only then connect it.",
)
SHORT = {
    ALWAYS[0]: "values are rms",
    ALWAYS[1]: "conductors get hot",
    ALWAYS[2]: "joints, bends and ends are not in these figures",
    HIGH_FREQUENCY: "live parts burn deeply without warning and heat rings, tools and implants nearby",
    RESONANCE: "a capacitor can multiply the voltage",
    PARALLEL: "parallel conductors share so only with both ends joined alike",
    FORCE: "forces pulse, and a fault multiplies them: supports must stand it",
    STEEL: "the loss of steel is an estimate",
    HOT: "bare metal from 65 degC burns, from 43 degC if held",
    HOT_PIECE: "work pieces burn at a touch and by radiation, before they glow too",
    SCATTER: "temperatures in air are no better than their correlations: measure the first one built",
    PLATING: "plated metal conducts worse than taken here",
    JOINTS: "joints are as allowed for: measure them",
    WATER[0]: "a leak of water falls on live parts",
    WATER[1]: "interlock power with flow and outlet temperature",
    WATER[2]: "the water circuit must stand the pump's closed-valve pressure",
    WATER[3]: "inlet water below the dew point wets the metal",
    WATER[4]: "films of water are known to 20 %",
    FAULT[0]: "a fault bends and breaks supports, more so in resonance",
    FAULT[1]: "fault heat is that at the temperatures before it",
    VOLTAGE: "fields in gaps are means, higher at edges: choose clearances by the standard",
    INDUCTION: "rings, tools and implants heat in the field of a coil, and a hot piece looks cold",
    PULL: "steel is pulled into a coil: clamp it",
    CAPACITOR: "capacitors of a tank hold charge: discharge and short them before work",
    BENCH[0]: "a meter's small signal says nothing of saturation and heat",
    BENCH[1]: "never measure live parts or beside charged capacitors",
    FIELD: "reference levels are for orientation, not compliance",
    ALWAYS[3]: "follow the local electrical code, and leave approval, isolation and live work to licensed people",
}


def cautions(found: Sequence[Answers], *, parallel: bool, magnetic: bool, plated: bool) -> tuple[str, ...]:
    """The cautions for a set of answers.

    Parameters
    ----------
    found : sequence of Answers
    parallel, magnetic, plated : bool
        Whether conductors are joined in parallel, some metal is magnetic, some conductor is plated.

    Examples
    --------
    >>> len(cautions([], parallel=False, magnetic=False, plated=False))
    4
    """
    highest = max((a.frequency for a in found), default=0.0)
    push = max((abs(f) for a in found for c in a.conductors.values() for f in c.force), default=0.0)
    several = (
        (HIGH_FREQUENCY, highest >= BURNS),
        (RESONANCE, highest >= 1e3),
        (PARALLEL, parallel),
        (FORCE, push > 1.0),
        (STEEL, magnetic),
        (PLATING, plated),
    )
    return (*ALWAYS, *(text for text, applies in several if applies))


def in_short(found: Sequence[str]) -> str:
    """Cautions in one paragraph, each in a clause; who decides stands last. One without a clause stands whole.

    Examples
    --------
    >>> in_short([ALWAYS[3], ALWAYS[0]])
    'Values are rms; follow the local electrical code, and leave approval, isolation and live work to licensed people.'
    """
    order = list(SHORT)
    known = sorted((text for text in found if text in SHORT), key=order.index)
    clauses = [*(text.rstrip(".") for text in found if text not in SHORT), *(SHORT[text] for text in known)]
    joined = "; ".join(clauses)
    return f"{joined[:1].upper()}{joined[1:]}." if joined else ""
