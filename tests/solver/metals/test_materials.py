"""The library of metals against published values."""

import math
from pathlib import Path

import pytest

from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS, Material, MaterialError, material

NAMES = [
    "copper", "silver", "gold", "aluminium-1350", "aluminium-6101", "brass", "bronze", "tin", "nickel", "zinc",
    "solder", "steel", "stainless-304", "titanium",
]  # fmt: skip


def test_the_library_is_whole():
    assert list(MATERIALS) == NAMES
    for name, metal in MATERIALS.items():
        assert metal.name == name
        assert metal.source, name
        assert 2000 < metal.density < 20000
        assert 0 < metal.temperature_coefficient < 0.01


# resistivity at 20 degC [nohm m] and how far handbooks are apart, or the value is rounded
@pytest.mark.parametrize(
    ("name", "nano_ohm_metres", "relative"),
    [
        ("copper", 17.241, 1e-4),  # IEC 60028:1925
        ("silver", 15.87, 3e-3),  # R. A. Matula, J. Phys. Chem. Ref. Data 8, 1979
        ("gold", 22.14, 2e-3),  # the same
        ("tin", 109, 1e-3),  # C. Kittel, Introduction to Solid State Physics, ch. 6: 110 at 295 K
        ("nickel", 69.3, 1e-2),  # CRC Handbook of Chemistry and Physics
        ("zinc", 59.0, 5e-3),  # CRC Handbook
        ("solder", 125, 0.2),  # lead-free solders, NIST database for solder properties 2002: 100 to 150
        ("steel", 143, 1e-3),  # carbon steel 1010, ASM Handbook vol. 1
        ("stainless-304", 730, 1e-3),  # 1.4301, EN 10088-1
        ("titanium", 560, 5e-3),  # grade 2, ASM Handbook vol. 2
    ],
)
def test_resistivity(name, nano_ohm_metres, relative):
    assert 1e9 / MATERIALS[name].conductivity == pytest.approx(nano_ohm_metres, rel=relative)


# resistivity [nohm m] and density [kg/m3] as the open library pymatgen carries them (pymatgen-core 2026.10.16)
@pytest.mark.parametrize(
    ("name", "nano_ohm_metres", "density"),
    [
        ("silver", 15.87, 10490), ("gold", 22.14, 19300), ("tin", 110, 7310), ("nickel", 69.3, 8908),
        ("zinc", 59.0, 7140),
    ],
)  # fmt: skip
def test_elements_as_an_open_library_carries_them(name, nano_ohm_metres, density):
    assert 1e9 / MATERIALS[name].conductivity == pytest.approx(nano_ohm_metres, rel=1e-2)
    assert MATERIALS[name].density == pytest.approx(density, rel=5e-3)


@pytest.mark.parametrize(("name", "pure"), [("solder", "tin")])
def test_coefficient_of_an_alloy_by_matthiessen(name, pure):
    """A. Matthiessen and C. Vogt 1864: an alloy's resistivity rises by as much per kelvin as its main metal's."""
    alloy, metal = MATERIALS[name], MATERIALS[pure]
    rise = metal.temperature_coefficient / metal.conductivity
    assert alloy.temperature_coefficient / alloy.conductivity == pytest.approx(rise, rel=0.02)


# share of the conductivity of annealed copper [% IACS]
@pytest.mark.parametrize(
    ("name", "iacs"),
    [("copper", 100), ("aluminium-1350", 60), ("aluminium-6101", 55), ("brass", 27.4)],  # K. C. Agrawal, p. 970; KME
)
def test_share_of_annealed_copper(name, iacs):
    assert MATERIALS[name].conductivity / 58e6 * 100 == pytest.approx(iacs, abs=0.1)


def test_copper_standard_iec_60028():
    copper = material("copper")
    assert (copper.conductivity, copper.temperature_coefficient, copper.density) == (58e6, 3.93e-3, 8890)
    assert copper.reference == 20


@pytest.mark.parametrize(("temperature", "rise"), [(20, 1), (70, 1.1965), (90, 1.2751)])
def test_resistivity_of_warm_copper_iec_60028(temperature, rise):
    copper = MATERIALS["copper"]
    assert copper.conductivity / copper.conductivity_at(temperature) == pytest.approx(rise, rel=1e-12)


def test_reference_temperature_counts():
    metal = Material("own", 30e6, 4e-3, reference=25)
    assert metal.conductivity_at(25) == 30e6
    assert metal.conductivity_at(75) == pytest.approx(25e6)


def test_skin_depth_of_copper_and_of_a_magnetic_metal():
    assert MATERIALS["copper"].skin_depth(50) * 1e3 == pytest.approx(9.3459, rel=1e-5)  # common tables
    plain = Material("plain", 6e6)
    magnetic = Material("magnetic", 6e6, permeability=100)
    assert plain.skin_depth(50) == pytest.approx(10 * magnetic.skin_depth(50))
    assert plain.skin_depth(0) == math.inf
    assert pytest.approx(1.25663706212e-6, rel=1e-9) == MU0  # CODATA 2018


def test_only_iron_and_nickel_are_magnetic_and_say_how_uncertain_that_is():
    magnetic = {name for name, metal in MATERIALS.items() if metal.permeability > 1.1}
    assert magnetic == {"nickel", "steel"}
    assert all("permeability" in MATERIALS[name].note for name in magnetic)


@pytest.mark.parametrize(
    ("wrong", "nearest"),
    [("coper", "copper"), ("Silver", "silver"), ("aluminium", "aluminium-"), ("stainless", "stainless-304")],
)
def test_wrong_name_gets_the_nearest_word(wrong, nearest):
    with pytest.raises(MaterialError, match=f'no material "{wrong}"; did you mean "{nearest}'):
        material(wrong)


@pytest.mark.parametrize(("wrong", "names"), [("Aluminum", ("aluminium-1350", "aluminium-6101")), ("Cu", ("copper",))])
def test_all_names_that_are_equally_near_are_listed(wrong, names):
    with pytest.raises(MaterialError) as caught:
        material(wrong)
    assert str(caught.value).split("? ")[0].endswith("did you mean " + " or ".join(f'"{n}"' for n in names))


def test_metals_know_where_they_melt_and_magnets_where_they_stop():
    """ITS-90 fixed points (H. Preston-Thomas, Metrologia 27, 1990); an alloy begins to melt below its main metal."""
    fixed = {"copper": 1084.62, "silver": 961.78, "gold": 1064.18, "tin": 231.928, "zinc": 419.527}
    assert {name: MATERIALS[name].melting for name in fixed} == fixed
    assert all(metal.melting and metal.melting_source for metal in MATERIALS.values())
    for name, pure in (("aluminium-1350", 660.323), ("brass", 1084.62), ("bronze", 1084.62), ("solder", 231.928)):
        assert MATERIALS[name].melting < pure
    assert {name for name, metal in MATERIALS.items() if metal.curie} == {"nickel", "steel"}
    assert MATERIALS["steel"].curie == 770  # common practice, no source


def test_readme_lists_every_metal_as_it_is():
    readme = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
    for m in MATERIALS.values():
        figures = f"{m.conductivity / 1e6:.4g} | {100 * m.temperature_coefficient:.3g} | {m.permeability:g}"
        assert f"\n| {m.name} | {figures} | {m.density:.0f} | {m.source} |\n" in readme, m.name


def test_hopeless_name_lists_what_there_is():
    with pytest.raises(MaterialError) as caught:
        material("xyzzy")
    assert str(caught.value) == f'no material "xyzzy"; known: {", ".join(NAMES)}'
    assert isinstance(caught.value, CrosscurrentError)
    assert isinstance(caught.value, ValueError)


def test_thermal_conductivity_lies_near_wiedemann_and_franz():
    """L sigma T with A. Sommerfeld's L of 2.44e-8 W ohm/K2: pure metals within a fifth, poor alloys
    conduct better, since their lattice carries heat too (stainless: 15 W/(m K) with 730 nohm m, EN 10088-1)."""
    for name, metal in MATERIALS.items():
        by_electrons = 2.44e-8 * metal.conductivity * 293.15
        assert 0.8 < metal.thermal_conductivity / by_electrons < 1.55, name
        assert metal.conduction == metal.thermal_conductivity
        assert metal.thermal_source, name
    assert Material("own", 30e6).conduction == pytest.approx(2.44e-8 * 30e6 * 293.15)


def test_heat_capacity_lies_near_dulong_and_petit():
    """3 R per mole (P. L. Dulong and A. T. Petit 1819), molar masses of the elements."""
    molar = {"copper": 63.55, "silver": 107.87, "gold": 196.97, "tin": 118.71, "nickel": 58.69, "zinc": 65.38}
    for name, mass in molar.items():
        assert MATERIALS[name].heat_capacity == pytest.approx(3 * 8.314 / mass * 1e3, rel=0.1), name
