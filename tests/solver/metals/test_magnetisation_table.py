"""Tables of magnetisation curves: units, and each fault with its line."""

from __future__ import annotations

import math

import pytest

from crosscurrent.solver.metals.magnetisation_table import CurveError, read_curve

GOOD = "# sheet\nH [A/m]; B [T]\n0; 0\n100; 0.1\n300; 0.9\n2000; 1.5\n"


def test_units_and_signs() -> None:
    plain = read_curve(GOOD)
    assert plain.strength == (100.0, 300.0, 2000.0)
    assert plain.flux == (0.1, 0.9, 1.5)
    other = read_curve("\ufeffH [kA/m], B [mT]\n0.1, 100\n0.3, 900\n2, 1500\n")
    assert other.strength == pytest.approx(plain.strength)
    assert other.flux == pytest.approx(plain.flux)
    # 1 Oe is 1000 / (4 pi) A/m, 1 G 0.1 mT: NIST SP 811, appendix B
    assert read_curve("H [Oe]\tB [kG]\n1\t1\n2\t9\n9\t15").strength[0] == pytest.approx(250 / math.pi)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "x.csv: expected a line"),
        ("B [T]; H [A/m]\n1; 1", 'x.csv, line 1: expected the titles "H [A/m], B [T]", found something else'),
        ("H [A/m]; B [Wb]\n1; 1", 'found "H [A/m]; B [Wb]"; units are A/m, kA/m, A/cm, Oe and T, mT, G, kG'),
        (GOOD.replace("300; 0.9", "300; 0,9"), 'x.csv, line 5: expected two numbers, H and B, found "300; 0,9"'),
        (GOOD.replace("300; 0.9", "300; nan"), "x.csv, line 5: expected two finite numbers"),
        (GOOD.replace("300; 0.9", "90; 0.9"), "x.csv, line 5: expected a field strength above 100 A/m, found 90 A/m"),
        (GOOD.replace("0.9", "0.05"), "x.csv, line 5: expected a flux density of at least 0.100251 T"),
        (GOOD.replace("1.5", "1500"), "x.csv, line 6: expected flux densities that metals reach, up to 10 T"),
        ("H [A/m], B [T]\n0, 0\n1, 1\n2, 1.1", "x.csv: expected at least 3 points beside 0, 0, found 2"),
        ("H [A/m], B [T]\n" + "1, 1\n" * 2001, "x.csv: expected at most 2000 rows, found 2001"),
    ],
)
def test_faults(text: str, message: str) -> None:
    with pytest.raises(CurveError) as caught:
        read_curve(text, "x.csv")
    assert message in str(caught.value)
    assert caught.value.hint
