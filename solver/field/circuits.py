"""Circuits: from the impedance matrix of the conductors to the current in each of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray
from crosscurrent.solver.elements.factor import Numbers

from .problem import Bound, Circuit, CircuitError, Sharing

_Group = tuple[tuple[int, ...], ...]  # threads, each of its conductors


@dataclass(frozen=True, eq=False)
class Connections:
    """How circuits join conductors.

    Attributes
    ----------
    threads : (conductors, threads) float
        Shares of what carries its current evenly: strands of a bundle that lies in parallel to other conductors, or in
        rings. All else is a thread of its own.
    member : (threads, groups) float
        1 where a thread belongs to a group: those joined in parallel have one voltage; transposed and idle ones are
        groups of their own.
    pattern : (groups, circuits) float
        Current in every group per ampere of each circuit; several entries in a row where circuits share a group.
    group_currents : (groups,) complex
        Prescribed current of every group, the sum over its circuits [A rms].
    shorted : (circuits,) bool
        Circuits without a voltage at their terminals, whose currents are not prescribed.
    """

    threads: FloatArray
    member: FloatArray
    pattern: FloatArray
    group_currents: ComplexArray
    shorted: BoolArray

    @classmethod
    def of(cls, names: Sequence[str], circuits: Sequence[Circuit], bundles: Sequence[Bound] = ()) -> Connections:
        """Read it off the circuits; names are those of all conductors, in their order.

        Circuits with the same conductors on one of their sides share that group; its current is the sum of theirs.

        Raises
        ------
        KeyError
            A circuit names a conductor that is not among them.
        CircuitError
            Two circuits share some conductors of their sides, but not all, or not in the same way.

        Examples
        --------
        >>> pair = Connections.of(["a", "b", "wall"], [Circuit("feed", 10.0, ("a", "b"))])
        >>> pair.member.T.tolist(), pair.group_currents.real.tolist()
        ([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0]], [10.0, 0.0])

        A return that two circuits share:

        >>> lines = [Circuit("one", 10.0, ("a",), ("n",)), Circuit("two", 4.0, ("b",), ("n",))]
        >>> Connections.of(["a", "b", "n"], lines).pattern.tolist()
        [[1.0, 0.0], [-1.0, -1.0], [0.0, 1.0]]
        """
        return _read(tuple(names), tuple(circuits), tuple(bundles))

    def shared(self, impedance: ComplexArray) -> ComplexArray:
        """Current of every conductor for impedance matrices (m, n, n) [ohm/m], (m, n) [A rms].

        Every member of a group: Z I = v of its group; the currents of a group add up to what is prescribed.

        Examples
        --------
        Two in parallel, without mutual impedance, share inversely to their own:

        >>> pair = Connections.of(["a", "b"], [Circuit("feed", 3.0, ("a", "b"))])
        >>> pair.shared(np.diag([1.0, 2.0])[None] + 0j).real.round(12).tolist()
        [[2.0, 1.0]]

        One that is shorted carries what leaves no voltage on it:

        >>> pair = Connections.of(["a", "b"], [Circuit("one", 3.0, ("a",)), Circuit("two", 0.0, ("b",), shorted=True)])
        >>> pair.shared(np.array([[[1.0, 0.5], [0.5, 2.0]]]) + 0j).real.round(12).tolist()
        [[3.0, -0.75]]
        """
        return np.asarray(self.answered(impedance, self.group_currents[:, None])[..., 0])

    def answered(self, impedance: ComplexArray, given: ComplexArray) -> ComplexArray:
        """As `spread`, with the currents that then flow in circuits that are shorted."""
        found = self.spread(impedance, given)
        if self.shorted.any():
            free = self.spread(impedance, self.pattern[:, self.shorted].astype(complex))
            ends = self.at_terminals[self.shorted] @ impedance
            found = found - free @ np.linalg.solve(ends @ free, ends @ found)
        return np.asarray(found)

    def induced(self, impedance: ComplexArray, driving: Numbers) -> ComplexArray:
        """Currents (n, k) that voltages induced along conductors (n, k) [V/m] drive while groups carry none.

        All threads of a group have one Z I + e; nothing is shorted.

        Examples
        --------
        One volt in one of two in parallel drives a current round both:

        >>> pair = Connections.of(["a", "b"], [Circuit("feed", 3.0, ("a", "b"))])
        >>> pair.induced(np.diag([1.0, 3.0]) + 0j, np.array([[4.0], [0.0]])).real.tolist()
        [[-1.0], [1.0]]
        """
        between, along = self.threads.T @ impedance @ self.threads, self.threads.T @ driving
        joined = self.member[:, self.member.sum(axis=0) > 1]
        found = np.zeros(along.shape, dtype=complex)
        if some := np.flatnonzero(joined.any(axis=1)).tolist():
            member, inner = joined[some], between[np.ix_(some, some)]
            scale, ends = np.abs(inner).max(), np.zeros((member.shape[1], member.shape[1]))
            system = np.block([[inner / scale, -member], [member.T, ends]])
            right = np.concatenate((-along[some] / scale, np.zeros((len(ends), along.shape[1]))))
            found[some] = np.linalg.solve(system, right)[: len(some)]
        return np.asarray(self.threads @ found)

    def induced_shorted(self, impedance: ComplexArray, driving: ComplexArray) -> ComplexArray:
        """The same with the currents that then flow in circuits that are shorted."""
        found = self.induced(impedance, driving)
        if self.shorted.any():
            free = self.spread(impedance[None], self.pattern[:, self.shorted].astype(complex))[0]
            ends = self.at_terminals[self.shorted]
            found = found - free @ np.linalg.solve(ends @ impedance @ free, ends @ (impedance @ found + driving))
        return np.asarray(found)

    def terminal(self, impedance: ComplexArray) -> ComplexArray:
        """Terminal voltage of every circuit per ampere of each, all others open, (m, circuits, circuits) [ohm/m].

        Examples
        --------
        Two circuits with one return, without mutual impedance: what they share is the resistance of the return.

        >>> lines = [Circuit("one", 10.0, ("a",), ("n",)), Circuit("two", 4.0, ("b",), ("n",))]
        >>> joined = Connections.of(["a", "b", "n"], lines)
        >>> joined.terminal(np.diag([1.0, 2.0, 5.0])[None] + 0j)[0].real.tolist()
        [[6.0, 5.0], [5.0, 7.0]]
        """
        return np.asarray(self.at_terminals @ impedance @ self.spread(impedance, self.pattern.astype(complex)))

    @property
    def plain(self) -> bool:
        """Whether every conductor is a thread of its own."""
        return len(self.threads) == len(self.member)

    @property
    def at_terminals(self) -> FloatArray:
        """From voltages along the conductors to those at the terminals of the circuits, (circuits, conductors)."""
        return np.asarray((self.threads @ (self.member / self.member.sum(axis=0)) @ self.pattern).T)

    def spread(self, impedance: ComplexArray, given: ComplexArray) -> ComplexArray:
        """Currents of the conductors (m, n, k) for currents of the groups (groups, k): as `shared` has them."""
        if not self.plain:
            between = self.threads.T @ impedance @ self.threads
            return np.asarray(self.threads @ self._spread(between, given))
        return self._spread(impedance, given)

    def _spread(self, impedance: ComplexArray, given: ComplexArray) -> ComplexArray:
        """The same by threads."""
        count, groups = self.member.shape
        single = self.member.sum(axis=0) == 1
        currents = np.empty((*impedance.shape[:2], given.shape[1]), dtype=complex)
        if groups < count:
            scale = np.abs(impedance).max(axis=(1, 2), keepdims=True)
            system = np.zeros((len(impedance), count + groups, count + groups), dtype=complex)
            system[:, :count, :count] = impedance / scale
            system[:, :count, count:], system[:, count:, :count] = -self.member, self.member.T
            right = np.concatenate((np.zeros((count, given.shape[1])), given))
            currents[:] = np.linalg.solve(system, np.broadcast_to(right, (len(system), *right.shape)))[:, :count]
        currents[:, self.member[:, single].argmax(axis=0)] = given[single]
        return currents


@lru_cache(maxsize=8)  # what one section asks for again and again
def _read(names: tuple[str, ...], circuits: tuple[Circuit, ...], bundles: tuple[Bound, ...]) -> Connections:
    if clash := next(clashes(circuits), None):
        where = f'circuit "{circuits[clash.number].name}", {clash.side}'
        raise CircuitError(f"{where}: expected {clash.expected}, found {clash.found}; {clash.hint}")
    index = {name: k for k, name in enumerate(names)}
    groups: dict[_Group, int] = {}
    driven: list[tuple[int, int, float]] = []  # group, circuit, and its current in the one per ampere of the other
    for number, circuit in enumerate(circuits):
        for side, sign in ((circuit.out, 1.0), (circuit.back, -1.0)):
            for group, share in _groups(side, circuit.sharing, bundles, index):
                driven.append((groups.setdefault(group, len(groups)), number, sign * share))
    used = {k for group in groups for thread in group for k in thread}
    every = [*groups, *(((k,),) for k in range(len(index)) if k not in used)]
    single = sorted(thread for group in every for thread in group)
    threads, member = np.zeros((len(index), len(single))), np.zeros((len(single), len(every)))
    pattern, place = np.zeros((len(every), len(circuits))), {thread: k for k, thread in enumerate(single)}
    for number, thread in enumerate(single):
        threads[list(thread), number] = 1 / len(thread)
    for g, group in enumerate(every):
        member[[place[thread] for thread in group], g] = 1.0
    for g, number, share in driven:
        pattern[g, number] += share
    shorted = np.array([c.shorted for c in circuits], dtype=bool)
    prescribed = np.array([0.0 if c.shorted else c.current for c in circuits], dtype=complex)
    return Connections(threads, member, pattern, pattern @ prescribed, shorted)


def _groups(
    side: Sequence[str], sharing: Sharing, bundles: Sequence[Bound], index: dict[str, int]
) -> list[tuple[_Group, float]]:
    """The groups of one side of a circuit, each with its share of the current."""
    owner = {name: bound for bound in bundles for name in bound.members}
    units: dict[str, list[tuple[int, ...]]] = {}  # what shares the side: bundles, and conductors by themselves
    for name in side:
        bound = owner.get(name)
        even = bound.even if bound else ((name,),)
        units.setdefault(bound.name if bound else name, [tuple(sorted(index[k] for k in one)) for one in even])
    one_by_one = sharing in ("equal", "series")
    apart = [[unit] for unit in units.values()] if one_by_one else [list(units.values())] if units else []
    share = 1.0 if sharing == "series" else 1 / max(len(apart), 1)
    found: list[tuple[_Group, float]] = []
    for together in apart:
        every = tuple(sorted(thread for unit in together for thread in unit))
        if len(every) == 1:  # what is even by itself needs no thread of several
            found += [(((k,),), share / len(every[0])) for k in every[0]]
        else:
            found.append((every, share))
    return found


@dataclass(frozen=True)
class Clash:
    """Two circuits that share some conductors in a way that no wiring can.

    Attributes
    ----------
    number : int
        Of the later circuit.
    side : str
        Of that, "out" or "back".
    expected, found, hint : str
    """

    number: int
    side: str
    expected: str
    found: str
    hint: str


def clashes(circuits: Sequence[Circuit]) -> Iterator[Clash]:
    """Sides of two circuits that have conductors in common without being the same, or that share unlike.

    Conductors joined at both ends in one circuit are joined in every other that names one of them.

    Examples
    --------
    >>> lines = [Circuit("L1", 1.0, ("a",), ("n",)), Circuit("L2", 1.0, ("b",), ("n", "chassis"))]
    >>> print(next(clashes(lines)).found)
    n alone in back of "L1", but n joined with chassis here
    """
    before: list[tuple[int, str, tuple[str, ...]]] = []
    for number, circuit in enumerate(circuits):
        for key, side in (("out", circuit.out), ("back", circuit.back)):
            for first, place, other in before:
                if first == number or not set(side) & set(other):
                    continue
                there, sharing = f'in {place} of "{circuits[first].name}"', circuits[first].sharing
                if set(side) != set(other):
                    found = f"{_joined(other)} {there}, but {_joined(side)} here"
                    hint = f'write the same conductors {there} and in {key} of "{circuit.name}"'
                    yield Clash(number, key, "conductors that are joined alike in every circuit", found, hint)
                elif len(side) > 1 and sharing != circuit.sharing:
                    found = f'"{sharing}" {there}, but "{circuit.sharing}" here'
                    hint = "write the same sharing in both circuits"
                    yield Clash(number, key, f"one sharing for {_joined(side)}", found, hint)
            before.append((number, key, side))


def _joined(side: Sequence[str]) -> str:
    return f"{side[0]} alone" if len(side) == 1 else f"{side[0]} joined with {', '.join(side[1:])}"


def sides_apart(circuits: Sequence[Circuit], bundles: Sequence[Bound] = ()) -> tuple[Circuit, ...]:
    """Every side of the circuits as a circuit of its own that comes back elsewhere, with the sum of their currents.

    A side is named by its conductors, the strands of `bundles` by their bundle. What is shorted stays as it is.

    Examples
    --------
    >>> lines = [Circuit("L1", 3.0, ("a",), ("n",)), Circuit("L2", -1.0, ("b", "c"), ("n",))]
    >>> [(side.name, side.current) for side in sides_apart(lines)]
    [('a', 3.0), ('n', -2.0), ('b + c', -1.0)]
    >>> [side.name for side in sides_apart(lines, (Bound("lead", ("b", "c"), "transposed", (0, 0)),))]
    ['a', 'n', 'lead']
    """
    owner = {member: bundle.name for bundle in bundles for member in bundle.members}
    found: dict[frozenset[str], Circuit] = {}
    for circuit in circuits:
        if circuit.shorted:
            found[frozenset(circuit.members)] = circuit
            continue
        for side, current in ((circuit.out, circuit.current), (circuit.back, -circuit.current)):
            if side:
                name = " + ".join(dict.fromkeys(owner.get(each, each) for each in side))
                before = found.get(frozenset(side), Circuit(name, 0.0, side, (), circuit.sharing))
                found[frozenset(side)] = replace(before, current=before.current + current)
    return tuple(found.values())


def currents_and_voltages(
    impedance: ComplexArray, names: Sequence[str], circuits: Sequence[Circuit], bundles: Sequence[Bound] = ()
) -> tuple[ComplexArray, ComplexArray]:
    """Share the circuits' currents among their conductors.

    Conductors joined in parallel have one voltage along the run between them; transposed ones have equal
    currents; those in no circuit carry no net current.

    Parameters
    ----------
    impedance : (n, n) complex [ohm/m]
    names : n names, in the order of the matrix
    circuits : sequence of Circuit
    bundles : sequence of Bound, optional

    Returns
    -------
    currents : (n,) complex [A rms]
    voltages : (n,) complex [V/m rms]
        Along each conductor, in the direction of positive current.

    Raises
    ------
    KeyError
        A circuit names a conductor that is not among the names.

    Examples
    --------
    >>> one = Circuit("feed", 2.0, ("a",), ("b",))
    >>> currents, voltages = currents_and_voltages(np.array([[3.0, 1.0], [1.0, 3.0]]) + 0j, ["a", "b"], [one])
    >>> currents.real.tolist(), voltages.real.tolist()
    ([2.0, -2.0], [4.0, -4.0])
    """
    currents = Connections.of(names, circuits, bundles).shared(impedance[None])[0]
    return currents, impedance @ currents


def carried(circuit: Circuit, names: Sequence[str], currents: ComplexArray) -> complex:
    """Current of a circuit [A rms]: what is prescribed, or of one that is shorted what is induced in it.

    Examples
    --------
    >>> carried(Circuit("loop", 0.0, ("a", "b"), sharing="series", shorted=True), ["a", "b"], np.array([2j, 2j]))
    2j
    """
    if not circuit.shorted:
        return complex(circuit.current)
    index = {name: k for k, name in enumerate(names)}
    way = [*((name, 1) for name in circuit.out), *((name, -1) for name in circuit.back)]
    if circuit.sharing != "series":
        way = way[: len(circuit.out)]
    return complex(sum(sign * currents[index[name]] for name, sign in way) / circuit.turns)


def circuit_voltage(circuit: Circuit, names: Sequence[str], voltages: ComplexArray) -> complex:
    """Terminal voltage of a circuit per metre of run, out and back together [V/m rms].

    Examples
    --------
    >>> circuit_voltage(Circuit("feed", 1.0, ("a",), ("b", "c")), ["a", "b", "c"], np.array([5.0, 1.0, 3.0]) + 0j)
    (3+0j)
    """
    return complex(_between_terminals(circuit, names, voltages))


def terminal_weights(circuit: Circuit, names: Sequence[str]) -> FloatArray:
    """What turns the conductors' voltages, or anything else along them, into `circuit_voltage`, (conductors,).

    Examples
    --------
    >>> terminal_weights(Circuit("feed", 1.0, ("a",), ("b", "c")), ["a", "b", "c"]).tolist()
    [1.0, -0.5, -0.5]
    """
    return np.asarray(_between_terminals(circuit, names, np.eye(len(names))))


def _between_terminals(circuit: Circuit, names: Sequence[str], along: Numbers) -> Numbers:
    """Mean over the members that go out less that over those that come back, of what (conductors, ...) stands along.

    The sums in place of the means where they are in series, over strands of one bundle their means.
    """
    index = {name: k for k, name in enumerate(names)}
    out, back = (along[[index[m] for m in side]] for side in (circuit.out, circuit.back))
    if circuit.sharing == "series":
        share = 1 / np.array(circuit.parallel or (1,) * len(circuit.members))
        share[len(circuit.out) :] *= -1
        return np.asarray(np.tensordot(share, np.concatenate((out, back)), axes=1))
    return np.asarray(out.mean(axis=0) - (back.mean(axis=0) if circuit.back else 0.0))
