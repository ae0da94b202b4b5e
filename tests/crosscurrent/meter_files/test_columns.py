"""Files that cannot be read, or in two ways: each with its message, and the key of [measured] that decides."""

import pytest

from crosscurrent.meter_files.columns import StatedColumns
from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.meter_files.read import read_meter_file

HEAD = "f [kHz],Rs [mohm],Ls [uH]\n"
GOOD = HEAD + "1,0.52,1.31\n10,0.61,1.28\n"
COLUMNS = 'say in [measured] what its columns are, in their order: columns = ["f [kHz]", "Rs [mohm]", "Ls [uH]"]'

FAULTY = {
    "empty": ("", "", "bench.csv: expected rows of numbers, frequency and what was measured, found nothing"),
    "another text": ("Dear customer,\nthe sweep is done.\n", "", "found words only; export the table of the sweep"),
    "no titles": ("1000,0.52,1.31\n", "columns", "line 1: expected titles that say what was measured, found three "
                  f"columns without titles, which may be R and L, R and X, or |Z| and phase; {COLUMNS}"),
    "four columns without titles": ("1000,0.52,1.31,2\n", "columns", "found 4 columns without titles"),
    "a word among numbers": (GOOD + "20,low,1.2\n", "", 'line 4: expected 3 numbers parted by commas, as in the rows '
                             'above, found "20,low,1.2"; mend the row, or put # before it'),
    "a number short": (GOOD + "20,0.7\n", "", 'line 4: expected 3 numbers'),
    "no frequency": ("Rs [mohm],Ls [uH]\n1,2\n", "columns", 'expected one column of frequency, found none among'),
    "two frequencies": ("f [Hz],f [kHz],R,L\n1,1,2,3\n", "columns", "found several among"),
    "a capacitance": ("f [Hz],Cp [F],D\n1000,1e-9,0.1\n", "columns", "expected two columns that fix an impedance, "
                      'found "f [Hz]", "Cp [F]", "D"; R with L or X'),
    "resistance alone": ("f [Hz],Rs [ohm]\n1000,0.1\n", "columns", "expected two columns that fix an impedance"),
    "twice the same": ("f [Hz],R [ohm],Rs [ohm],L [H]\n1000,1,1,1\n", "columns", 'expected one column of series '
                       'resistance [ohm], found "R [ohm]" and "Rs [ohm]"'),
    "milli or mega": ("f [Hz],R [MOHM],L [uH]\n1000,1,1\n", "columns", '"R [MOHM]", which may be mohm or Mohm'),
    "hertz or kilohertz": ("f,R,L\n1,2,3\n10,2,3\n", "columns", "expected a unit of the frequency, found numbers up to "
                           "10 without a unit, which may be Hz or kHz"),
    "degrees or radians": ("f [Hz],Z [ohm],phase\n1000,1,0.9\n", "phase", '"phase" with angles up to 0.9, which may be '
                           'degrees or radians; write phase = "deg" or phase = "rad"'),
    "series or parallel": ("f [Hz],L [uH],Q\n1000,1,5\n", "equivalent", '"L [uH]" beside Q or D, which may be the '
                           'series or the parallel equivalent; write equivalent = "series" or equivalent = "parallel"'),
    "thousands or decimals": ("f [Hz];R [mohm];L [uH]\n1,000;2,512;1,310\n2,000;2,512;1,310\n", "decimal", '"1,000", '
                              'which may be 1000 or 1.000; decimal = "comma" says that it is a decimal comma'),
    "thousands and decimals": ("f [Hz];R [mohm];L [uH]\n1.000,5;2,5;1\n", "", 'expected numbers with one decimal mark, '
                               'point or comma, found "1.000,5"; export without signs between thousands'),
    "point here, comma there": ("f [Hz];R [mohm];L [uH]\n1000.5;2,51;1\n", "", 'found "1000.5" and "2,51"'),
    "commas for everything": ("f [kHz],R [mohm],L [uH]\n1,0,0,52,1,31\n", "decimal", '6 whole numbers, or 3 with '
                              'decimal commas ("1,0"); export with semicolons between columns'),
    "direct current only": (HEAD + "0,0.5,1\n", "", "expected rows with a frequency above 0, found none"),
    "all overload": (HEAD + "1,OL,1\n", "", "expected rows with a frequency above 0 Hz"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTY)
def test_faulty_files_say_where_what_and_which_key(tmp_path, name: str) -> None:
    text, key, message = FAULTY[name]
    path = tmp_path / "bench.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(MeterFileError) as caught:
        read_meter_file(path)
    assert caught.value.key == key
    assert message.replace("above 0,", "above 0 Hz,") in str(caught.value)


@pytest.mark.parametrize(
    ("text", "stated", "impedance"),
    [
        ("1000,0.5,60\n", StatedColumns(("f [Hz]", "Z [ohm]", "phase [deg]")), 0.25 + 0.4330127j),
        ("9,1000,0.5,60\n", StatedColumns(("-", "f [Hz]", "Z [ohm]", "phase [deg]")), 0.25 + 0.4330127j),
        ("f [Hz],Z [ohm],phase\n1000,1,0.9\n", StatedColumns(phase="rad"), 0.6216100 + 0.7833269j),
        ("f [Hz],Z [ohm],phase\n1000,1,0.9\n", StatedColumns(phase="deg"), 0.9998766 + 0.0157073j),
        ("f [Hz],X [ohm],Q\n1000,1,2\n", StatedColumns(equivalent="series"), 0.5 + 1j),
        ("f [Hz],X [ohm],Q\n1000,1,2\n", StatedColumns(equivalent="parallel"), 0.4 + 0.8j),
        ("f [Hz],R [ohm],X [ohm]\n1000,1,1\n", StatedColumns(equivalent="parallel"), 0.5 + 0.5j),
        ("f [Hz];R [ohm];X [ohm]\n1,000;2,512;1,310\n", StatedColumns(decimal="comma"), 2.512 + 1.31j),
        ("f [Hz],R [ohm],X [ohm],n\n1000,2,3,4\n", StatedColumns(decimal="point"), 2 + 3j),
    ],
)
def test_the_key_decides(tmp_path, text: str, stated: StatedColumns, impedance: complex) -> None:
    path = tmp_path / "bench.csv"
    path.write_text(text, encoding="utf-8")
    assert read_meter_file(path, stated).impedance[0] == pytest.approx(impedance, rel=1e-6)


@pytest.mark.parametrize(
    ("stated", "message"),
    [
        (StatedColumns(("f [Hz]", "R [ohm]")), "expected a title for each of 3 columns, found 2; '-' stands for one"),
        (StatedColumns(("f [Hz]", "R [ohm]", "sugar")), 'expected a quantity with its unit, found "sugar"'),
        (StatedColumns(("f [Hz]", "R [furlong]", "L [H]")), 'expected a quantity with its unit, found "R [furlong]"'),
        (StatedColumns(decimal="comma"), "expected another sign than a comma between numbers with decimal commas"),
    ],
)
def test_what_is_stated_must_fit(tmp_path, stated: StatedColumns, message: str) -> None:
    path = tmp_path / "bench.csv"
    path.write_text(GOOD, encoding="utf-8")
    with pytest.raises(MeterFileError) as caught:
        read_meter_file(path, stated)
    assert message in str(caught.value)


def test_files_that_are_none(tmp_path) -> None:
    for path, message in ((tmp_path / "no.csv", "found no such file"), (tmp_path, "expected a file, found a folder")):
        with pytest.raises(MeterFileError, match=message):
            read_meter_file(path)
    other = tmp_path / "sheet.csv"
    other.write_bytes(b"PK\x03\x04\x00\x00")
    with pytest.raises(MeterFileError, match="a file of another kind; export it as CSV or Touchstone"):
        read_meter_file(other)
    long = tmp_path / "long.csv"
    long.write_text(HEAD + "1,2,3\n" * 2001, encoding="utf-8")
    with pytest.raises(MeterFileError, match="at most 2000 rows, found 2001"):
        read_meter_file(long)
