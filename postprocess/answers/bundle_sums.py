"""Bundles whose strands were solved for one by one, summed up as one conductor each."""

from __future__ import annotations

from .answers import Answers, ConductorAnswer, LayerAnswer
from .bundles import BundleLosses, where


def summed(found: Answers) -> tuple[ConductorAnswer, ...]:
    """Every bundle of resolved strands as a conductor under its own name.

    Loss, force and their bounds are sums, densities the largest of any strand.

    Examples
    --------
    >>> summed(Answers(0.0, {}, {}, (), None, 1.0, 0.0, 0.0, 0, 0, 0, 0))
    ()
    """
    return tuple(_sum(found, bundle) for bundle in found.bundles.values() if bundle.is_resolved)


def whole_conductors(found: Answers) -> tuple[ConductorAnswer, ...]:
    """What tables list: bundles in place of their strands, in the order of the section."""
    sums = {c.name: c for c in summed(found)}
    owner = {member: name for name in sums for member in found.bundles[name].members}
    names = dict.fromkeys(owner.get(name, name) for name in found.conductors)
    return tuple(sums[name] if name in sums else found.conductors[name] for name in names)


def loss_by_lay(found: Answers) -> float:
    """What groups of strands that are only twisted add to the loss of the section at most, in its unit."""
    return sum(
        (b.loss_high / b.loss - 1) * sum(found.conductors[name].loss for name in b.members)
        for b in found.bundles.values()
        if b.loss_high is not None and b.loss
    )


def share_by_lay(found: Answers) -> float:
    """The largest loss of a bundle as its groups are laid over that transposed perfectly; 1 without such groups."""
    return max((share for _, share in shares_by_lay(found)), default=1.0)


def shares_by_lay(found: Answers) -> list[tuple[tuple[str, ...], float]]:
    """The same of every bundle of such groups, with its name and those of its members."""
    return [
        ((name, *b.members), b.loss_high / b.loss)
        for name, b in found.bundles.items()
        if b.loss_high is not None and b.loss
    ]


def _sum(found: Answers, bundle: BundleLosses) -> ConductorAnswer:
    every = [found.conductors[name] for name in bundle.members]
    loss, missed = bundle.loss, sum(c.loss_error * c.loss for c in every)
    metal = next(iter(every[0].layers), "metal")
    return ConductorAnswer(
        name=bundle.name,
        current=bundle.current,
        loss=loss,
        loss_error=missed / loss if loss else 0.0,
        dc_resistance=1 / sum(1 / c.dc_resistance for c in every),
        loss_ratio=loss / bundle.dc_loss if bundle.dc_loss else None,
        skin_depth=every[0].skin_depth,
        peak_current_density=max(c.peak_current_density for c in every),
        crest_current_density=max(c.crest_current_density for c in every),
        mean_current_density=bundle.mean_density,
        force=(sum(c.force[0] for c in every), sum(c.force[1] for c in every)),
        force_error=sum(c.force_error for c in every),
        layers={metal: LayerAnswer(1.0 if bundle.current else None, 1.0)},
        sentence=where(bundle),
        temperature=every[0].temperature,
    )
