import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from moistwall.errors import UnitError
from moistwall.unit_kinds import canonical_unit
from moistwall.units import (
    KINDS,
    PERM,
    convert,
    format_quantity,
    quantity,
    quantity_of,
    unit_label,
)

# One inch is 0.0254 m, one pound 0.45359237 kg, by definition; Btu of the International Table.
READ = [
    ("1 1/2 in", "length", 0.0381),
    ("1-1/2 in", "length", 0.0381),
    ('3/4"', "length", 0.01905),
    ("7/16 inch", "length", 0.0111125),
    ("19 mm", "length", 0.019),
    ("19mm", "length", 0.019),
    (" 1.9e1  mm ", "length", 0.019),
    (".5 ft", "length", 0.1524),
    ("½ in", "length", 0.0127),
    ("1½ in", "length", 0.0381),
    ("1 ½ in", "length", 0.0381),
    ("1-½ in", "length", 0.0381),
    ("3\u20444 in", "length", 0.01905),
    ("⅝\u2033", "length", 0.015875),
    ("6'", "length", 1.8288),
    ("6\u2032", "length", 1.8288),
    ("8' 6\"", "length", 2.5908),
    ("8'-6\"", "length", 2.5908),
    ("8 ft 6 1/2 in", "length", 2.6035),
    ("8\u2019 6½\u201d", "length", 2.6035),
    ("½ perm", "permeance", 0.5 * 57.45e-12),
    ("\u22124 Pa", "pressure_difference", -4.0),
    ("6 mil", "length", 1.524e-4),
    ("75 degF", "temperature", 23.888888889),
    ("75 °F", "temperature", 23.888888889),
    ("75 F", "temperature", 23.888888889),
    ("75 deg F", "temperature", 23.888888889),
    ("-40 degF", "temperature", -40.0),
    ("300 K", "temperature", 26.85),
    ("9 degF", "temperature_difference", 5.0),
    ("5 K", "temperature_difference", 5.0),
    ("R-13", "thermal_resistance", 13 * 0.17611),
    ("R13", "thermal_resistance", 13 * 0.17611),
    ("R-0.62", "thermal_resistance", 0.62 * 0.17611),
    ("13 h·ft²·°F/Btu", "thermal_resistance", 13 * 0.17611),
    ("2.3 m2 K/W", "thermal_resistance", 2.3),
    ("R-5 per in", "conductivity", 0.14423 / 5),
    ("R-5/in", "conductivity", 0.14423 / 5),
    ("0.2 Btu in/(h ft2 degF)", "conductivity", 0.2 * 0.14423),
    ("0.2 BTU-in/hr-ft2-F", "conductivity", 0.2 * 0.14423),
    ("0.037 W/(m·K)", "conductivity", 0.037),
    ("0.037 W/mK", "conductivity", 0.037),
    ("5 perm", "permeance", 5 * 57.45e-12),
    ("290 ng/(Pa·s·m²)", "permeance", 290e-12),
    ("1 perm-in", "permeability", 1.459e-12),
    ("1 perm inch", "permeability", 1.459e-12),
    ("650 kg/m3", "density", 650.0),
    ("40 lb/ft³", "density", 640.74),
    ("0.45 Btu/(lb degF)", "heat_capacity", 0.45 * 4186.8),
    ("8 W/(m2 K)", "heat_transfer", 8.0),
    ("1 Btu/(h ft2 degF)", "heat_transfer", 5.67826),
    ("2e-8 s/m", "vapor_transfer", 2e-8),
    ("2e-8 kg/(m2 s Pa)", "vapor_transfer", 2e-8),
    ("80 kg/m3", "water_content", 80.0),
    ("12 %MC", "moisture_content", 0.12),
    ("100 g/m2", "area_water", 0.1),
    ("33 oz/100 ft2", "area_water", 33 * 0.0283495 / 9.290304),
    ("1 oz/100 sq ft", "area_water", 0.0283495 / 9.290304),
    ("100 sq in", "area", 0.064516),
    ("1000 cu ft", "volume", 28.316846592),
    ("100 1/h", "air_changes", 100.0),
    ("100 ach", "air_changes", 100.0),
    ("50 %", "share", 0.5),
    ("180 deg", "angle", 180.0),
    ("180°", "angle", 180.0),
    ("0.02 kg/(m2 s^0.5)", "absorption", 0.02),
    ("1.2 kg/(m² h^0.5)", "absorption", 0.02),
    ("0.02 kg/(m2 √s)", "absorption", 0.02),
    ("60 cfm", "flow", 0.0283168),
    ("101.325 kPa", "pressure", 101_325.0),
    ("-4 Pa", "pressure_difference", -4.0),
    ("10 mph", "speed", 4.4704),
    ("2 days", "time", 172_800.0),
    ("1 year", "time", 31_536_000.0),
    ("7000 grains/lb", "humidity_ratio", 1.0),
    ("86.4 kg/day", "moisture_rate", 1e-3),
    ("1 pints/day", "moisture_rate", 0.473176 / 86_400),
    ("1 kWh/m2", "energy_area", 3.6e6),
    ("0.4 %/K", "per_kelvin", 0.004),
    ("5 g/(m2 day)", "moisture_flux", 5e-3 / 86_400),
    ("2 in2/ft", "area_per_length", 2 * 0.0254**2 / 0.3048),
]


@pytest.mark.parametrize(("text", "kind", "si"), READ)
def test_text_is_read(text, kind, si):
    """Number and unit, in the spellings that people use, give the value in SI."""
    assert quantity(text, kind) == pytest.approx(si, rel=2e-5)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        (19, "length", r'a bare number; needs a length with its unit \(got 19\); write "19 mm"'),
        (0.019, "length", r"a bare number"),
        ("19", "length", r'has no unit; needs a length .*write "19 mm"'),
        ("50", "share", r'has no unit; needs a share .*write "50 %"'),
        ("1,5 mm", "length", r'has a comma; .*; write "1\.5 mm"$'),
        ("0,125 in", "length", r'; write "0\.125 in"$'),
        ("1,000 ft3", "volume", r'; write "1000 ft3" or, if it is a decimal comma, "1\.000 ft3"$'),
        ("R-13,5", "thermal_resistance", r'; write "R-13\.5"$'),
        ("1,000,000 ft3", "volume", r'has a comma; .*; write "300 m3"'),
        ("½5 in", "length", r"'5 in' is no unit"),
        ("1/½ in", "length", r"is no unit"),
        ("½½ in", "length", r"is no unit"),
        ("3.5½ in", "length", r"is no unit"),
        ("1²½ in", "length", r"is no unit"),
        ("5' 14\"", "length", r"12 inches or more beside its feet"),
        ("5' 6\"", "area", r"is no unit of an area"),
        ("kg/m3", "density", r"is a unit without a number"),
        ("ft2", "area", r"is a unit without a number"),
        ("nan mm", "length", r"does not begin with a number"),
        ("inf mm", "length", r"does not begin with a number"),
        ("1e999 mm", "length", r"not finite"),
        ("1/0 in", "length", r"not finite"),
        ("1e308 in", "length", r"must lie between 0 mm and"),
        ("9**9**9 mm", "length", r"'\*\*9\*\*9 mm' is no unit"),
        ("__import__('os') mm", "length", r"does not begin with a number"),
        ("5 perm", "length", r"'perm' is the unit of a vapor permeance, not of a length"),
        ("R-10", "length", r"is a thermal resistance, not a length"),
        ("R-5 per in", "thermal_resistance", r"is a thermal conductivity, not a thermal res"),
        ("R-0", "thermal_resistance", r"above 0"),
        ("5 parsec", "length", r"'parsec' is no unit of a length .*use one of: mm, cm, m"),
        ("5 mm*0", "length", r"is no unit"),
        ("-3 mm", "length", r"must not be negative"),
        ("150 %", "share", r"between 0.0 % and 100.0 %"),
        ("-500 degF", "temperature", r"must lie between -273\.1 degC"),
        ("1 1/2", "length", r"has no unit"),
        ("1 1/2 1/2 in", "length", r"is no unit"),
        ("٣ mm", "length", r"does not begin with a number"),
        ("", "length", r"is empty"),
        ("   ", "length", r"is empty"),
        (True, "length", r"as text \(got True\)"),
        (None, "length", r"as text \(got None\)"),
        (["19 mm"], "length", r"as text"),
        ("1" * 61 + " mm", "length", r"too long"),
        ("75 degF", "temperature_share", None),
    ],
)
def test_what_is_no_quantity_is_refused(text, kind, message):
    """Each mistake is named with what was given and what would be right."""
    if message is None:
        with pytest.raises(KeyError):
            quantity(text, kind)
        return
    with pytest.raises(UnitError, match=message):
        quantity(text, kind)


def test_fault_carries_place_and_value():
    """A mistake is reported with file, field, value and remedy."""
    with pytest.raises(UnitError) as caught:
        quantity("5 perm", "length", file="wall.toml", field="layer[2].thickness")
    (fault,) = caught.value.faults
    assert (fault.file, fault.field, fault.value) == ("wall.toml", "layer[2].thickness", "5 perm")
    assert "19 mm" in fault.remedy


def test_quantity_of_several_kinds():
    """A text may be of one of several kinds; the one that has its unit is told."""
    kinds = ("permeance", "permeability")
    assert quantity_of("2 perm", kinds) == (pytest.approx(2 * PERM), "permeance")
    assert quantity_of("2 perm in", kinds) == (pytest.approx(2 * PERM * 0.0254), "permeability")
    with pytest.raises(UnitError, match="a vapor permeance or a vapor permeability"):
        quantity_of("2", kinds)
    with pytest.raises(UnitError, match="'mm' is the unit of a length"):
        quantity_of("2 mm", kinds)


def test_units_that_the_trade_defines():
    """Handbook factors: R to RSI, perm-inch, conductivity, grains; computed or from memory."""
    assert quantity("1 perm", "permeance") == pytest.approx(57.45e-12)  # ASTM E96, 23 degC
    assert quantity("1 perm in", "permeability") == pytest.approx(1.459e-12, rel=5e-4)
    assert 1.0 / quantity("R-1", "thermal_resistance") == pytest.approx(5.678, rel=1e-4)
    assert quantity("1 grains/lb", "humidity_ratio") == pytest.approx(1 / 7000)


def test_every_unit_belongs_to_its_kind():
    """Each unit of each kind converts, and its examples and shown units can be read."""
    for name, kind in KINDS.items():
        for unit in kind.units:
            assert math.isfinite(quantity(f"1e-7 {unit}", name))
        for example in kind.examples:
            assert math.isfinite(quantity(example, name))
        for system in ("ip", "si"):
            assert unit_label(name, system) in kind.units


def test_spellings_of_one_kind_do_not_collide():
    """No two units of a kind that differ become one when spelled freely."""
    for kind in KINDS.values():
        meanings: dict[str, str] = {}
        for unit, meaning in kind.units.items():
            assert meanings.setdefault(canonical_unit(unit), meaning) == meaning


@given(
    value=st.floats(min_value=1e-6, max_value=0.9),
    kind=st.sampled_from(sorted(KINDS)),
    system=st.sampled_from(["ip", "si"]),
)
def test_shown_value_can_be_read_again(value, kind, system):
    """From SI to the unit shown and back, to round-off, for every kind and both systems."""
    value *= min(KINDS[kind].high, 1e3)
    shown = convert(value, kind, system)
    back = quantity(f"{shown!r} {unit_label(kind, system)}", kind)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-9 if kind == "temperature" else 1e-30)


@given(
    whole=st.integers(0, 99),
    over=st.integers(1, 63),
    under=st.sampled_from([2, 4, 8, 16, 32, 64]),
    unit=st.sampled_from(["in", "mm", "ft"]),
)
def test_mixed_fractions_are_sums(whole, over, under, unit):
    """A whole number and a fraction mean their sum."""
    both = quantity(f"{whole} {over}/{under} {unit}", "length")
    parts = quantity(f"{whole} {unit}", "length") + quantity(f"{over}/{under} {unit}", "length")
    assert both == pytest.approx(parts, rel=1e-12)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text):
    """Whatever is typed gives a finite value within bounds or a UnitError, nothing else."""
    try:
        value = quantity(text, "length")
    except UnitError:
        return
    assert 0.0 <= value <= KINDS["length"].high


def test_arrays_convert_as_numbers_do():
    """Arrays keep their shape, and each element its value."""
    t = np.array([[0.0, 100.0], [23.9, -40.0]])
    np.testing.assert_allclose(convert(t, "temperature", "ip"), 32.0 + 1.8 * t, atol=1e-9)
    assert convert(t, "temperature", "si") == pytest.approx(t)
    assert convert(0.5, "share", "ip") == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("value", "kind", "ip", "si"),
    [
        (23.9, "temperature", "75.0 degF", "23.9 degC"),
        (-1e-9, "temperature_difference", "0.0 degF", "0.0 K"),
        (0.0381, "length", "1.50 in", "38.1 mm"),
        (2.2588, "thermal_resistance", "R-12.8", "2.26 m2 K/W"),
        (5 * PERM, "permeance", "5.00 perm", "287 ng/(Pa s m2)"),
        (0.805, "share", "80.5 %", "80.5 %"),
        (0.01, "humidity_ratio", "70.0 grains/lb", "10.0 g/kg"),
        (0.1, "area_water", "32.8 oz/100 ft2", "100 g/m2"),
        (0.0, "moisture_rate", "0 pints/day", "0 kg/day"),
        (1e-4, "moisture_rate", "18.3 pints/day", "8.64 kg/day"),
        (9.999, "speed", "22.4 mph", "10.0 m/s"),
    ],
)
def test_text_for_people(value, kind, ip, si):
    """Values are shown with their unit and with digits that mean something."""
    assert format_quantity(value, kind, "ip") == ip
    assert format_quantity(value, kind, "si") == si


def test_import_is_light():
    """Reading the module imports neither pint nor pydantic."""
    code = (
        "import sys, moistwall.units as u; print(sorted({'pint', 'pydantic'} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert run.stdout.strip() == "[]"


@pytest.mark.parametrize("system", ["SI", "metric"])
def test_another_system_of_units_is_refused(system: str) -> None:
    """What is neither 'ip' nor 'si' is told with these two."""
    with pytest.raises(UnitError, match=rf"system: .* \(got {system}\); give 'ip' or 'si'"):
        convert(1.0, "length", system)  # type: ignore[arg-type]
