"""Text to numbers: what parts the columns, where the titles stand."""

import pytest

from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.meter_files.text_table import text_of, text_table


@pytest.mark.parametrize(
    ("text", "titles", "words"),
    [
        ("a,b\n1,2\n3,4", ("a", "b"), "columns parted by commas, decimal point, 2 rows"),
        ("a;b\n1,5;2\n", ("a", "b"), "columns parted by semicolons, decimal comma, 1 row"),
        ("a\tb\n1\t2\n", ("a", "b"), "columns parted by tabs, decimal point, 1 row"),
        ("# f_Hz R_ohm\n1 2\n", ("f_Hz", "R_ohm"), ""),
        ("Freq in Hz   R in ohm\n1   2\n", (), "columns parted by spaces, decimal point, 1 row"),
        ("1 2\n", (), ""),
        ('"a","b"\n"1,5","2,5"\n', ("a", "b"), "columns parted by commas, decimal comma, 1 row"),
        ("bench;7\na;b\nHz;ohm\n1;2\n", ("a [Hz]", "b [ohm]"), ""),
    ],
)
def test_layouts(text: str, titles: tuple[str, ...], words: str) -> None:
    found = text_table(text, "bench.csv")
    assert found.titles == titles or not titles
    assert found.words == words or not words
    assert found.values.shape[1] == 2


def test_titles_of_several_words_above_spaces() -> None:
    found = text_table("Frequency [Hz]  Rs [ohm]\n100  0.5\n", "bench.csv")
    assert found.titles == ("Frequency [Hz]", "Rs [ohm]")


def test_codings() -> None:
    sign = "\u00b5\u03a9"
    assert text_of(("\ufeff" + sign).encode()) == sign
    assert text_of(sign.encode("utf-16")) == sign
    assert text_of(b"\xb5") == "\u00b5"


def test_a_last_column_of_remarks_is_not_read() -> None:
    rows = "100\t0.18\t26.1\tok\n300\t0.31\t49.5\tok\n"
    found = text_table(f'"Freq. (Hz)"\t"R (mOhm)"\t"L (nH)"\t"remark"\n{rows}', "a.csv")
    assert found.titles[-1] == "remark"
    assert found.values[:, :3].tolist() == [[100, 0.18, 26.1], [300, 0.31, 49.5]]
    with pytest.raises(MeterFileError, match="mend the row"):
        text_table("f,R,L\n100,1,2\n200,1,ok\n", "a.csv")
