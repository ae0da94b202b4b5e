"""The chapter "mass": of every metal, and what it costs at the prices of the case file."""

from __future__ import annotations

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.prices import PricedMetal, PricesAnswer, measured, record, sentences, table
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.masses import metal_shares


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case file has a table [prices], empty or not."""
    prices = solved.case.data.prices
    if prices is None:
        return None
    priced = [(share, prices.get(share.material)) for share in metal_shares(next(iter(solved.solutions.values())))]
    currency = next((price.currency for _, price in priced if price), "")
    metals = tuple(PricedMetal(share, price.per_kg if price else None) for share, price in priced)
    found = PricesAnswer(metals, currency, solved.case.length)
    return Chapter(
        "mass",
        "Mass and money",
        record(found),
        (table(found),),
        tuple(sentences(found)),
        measured=measured(found),
    )
