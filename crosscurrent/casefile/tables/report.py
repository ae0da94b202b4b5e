"""The table [report]: the title block."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator

from ..entries import Sample
from .base import Table


def _in_small_letters(value: object) -> object:
    return value.lower() if isinstance(value, str) else value


class ReportTable(Table):
    """The title block of a report, the requirement in the customer's words, and the sheet it is printed on."""

    project: Annotated[str, Sample('"Shuttle pier"', "what it is for")] = ""
    customer: Annotated[str, Sample('"Harbour ferries"', "for whom")] = ""
    date: Annotated[str, Sample('"12 May 2031"', "as it is to stand there")] = ""
    revision: Annotated[str, Sample('"A"', "of the design")] = ""
    prepared_by: Annotated[str, Sample('"pier workshop"', "who answers for it")] = ""
    requirement: Annotated[str, Sample('"900 A at 85 kHz, bars below 90 degC"', "in the customer's words")] = ""
    sheet: Annotated[
        Literal["a4", "letter"], BeforeValidator(_in_small_letters), Sample('"letter"', "to print on; A4 if left out")
    ] = "a4"
