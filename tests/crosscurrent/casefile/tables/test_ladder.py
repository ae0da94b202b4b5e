"""[ladder]: its band and its bound."""

from __future__ import annotations

from table_rows import refused

from crosscurrent.casefile.tables.ladder import LadderTable


def test_the_band_is_whole_or_the_sweep_s() -> None:
    assert LadderTable().bound == 0.01
    found = LadderTable.model_validate({"from": "50 Hz", "to": "1 MHz", "bound": "2 %"})
    assert (found.start, found.to, found.bound) == (50, 1e6, 0.02)
    assert refused(LadderTable, to="1 MHz") == ("both from and to, or neither", "one of them")
    assert refused(LadderTable, **{"from": "1 MHz", "to": "50 Hz"})[1] == "1 MHz to 50 Hz"
