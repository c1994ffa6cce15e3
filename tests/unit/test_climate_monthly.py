import re

import numpy as np
import pytest
from monthly_values import TEXT, place

from moistwall.air import saturation_pressure
from moistwall.climate.monthly import monthly_from_text, read_monthly
from moistwall.climate.normals import clear_sky_sun
from moistwall.climate.sun_path import extraterrestrial_days
from moistwall.errors import ClimateError


def faults(text):
    with pytest.raises(ClimateError) as caught:
        monthly_from_text(text, "here.toml")
    return [str(fault) for fault in caught.value.faults]


def without(table):
    """The text without one of its tables."""
    return re.sub(rf"\[{table}\]\n(.+\n)+", "", TEXT)


def test_units_become_those_of_the_record():
    """61 degF is 16.111 degC, 5 in is 127 mm, 9 mph is 4.0234 m/s, 10 ft is 3.048 m, SE is 135."""
    normals = monthly_from_text(TEXT, "here.toml")
    assert normals.name == "here"
    assert normals.high[0] == pytest.approx((61 - 32) / 1.8)
    assert normals.rain[0] == pytest.approx(127.0)
    assert normals.wind_speed[0] == pytest.approx(9 * 0.44704)
    assert normals.elevation == pytest.approx(3.048)
    assert normals.wind_direction[2] == 135.0
    assert normals.sources["rain"] == "invented"
    assert normals.notes == ()
    assert not normals.high.flags.writeable


@pytest.mark.parametrize(
    ("unit", "value"), [("MJ/(m2 day)", 18.0), ("W/m2", 5000 / 24), ("Btu/(ft2 day)", 1584.99)]
)
def test_units_of_sun(unit, value):
    """18 MJ, 208.3 W/m2 around the clock and 1585 Btu/ft2 a day are each 5 kWh/m2."""
    text = without("sun") + f'[sun]\nunit = "{unit}"\nvalues = {[value] * 12}\nsource = "x"\n'
    text = text.replace("latitude_deg = 30.25", "latitude_deg = 5")
    assert monthly_from_text(text, "a.toml").sun == pytest.approx(np.full(12, 5.0), rel=1e-5)


def test_file_and_its_name(tmp_path):
    """A file is read from disk, a byte order mark and line ends of Windows included."""
    path = tmp_path / "my-town.toml"
    path.write_bytes(b"\xef\xbb\xbf" + ("seed = 7\n" + TEXT).replace("\n", "\r\n").encode())
    normals = read_monthly(path)
    assert (normals.name, normals.seed) == ("my-town", 7)


def test_humidity_instead_of_dew_point():
    """Mean relative humidity gives the dew point at the mean temperature of the month, with a note."""
    text = without("dew_point") + '[humidity]\nunit = "%"\n'
    normals = monthly_from_text(text + f'values = {[75] * 12}\nsource = "x"\n', "a.toml")
    share = saturation_pressure(normals.dew_point) / saturation_pressure(normals.mean)
    assert share == pytest.approx(np.full(12, 0.75), rel=1e-9)
    assert any("relative humidity" in note for note in normals.notes)
    assert normals.sources["dew_point"] == "from the relative humidity: x"


def test_what_may_be_left_out():
    """Days with rain, wind speed and wind direction may be missing; a note tells what stands in."""
    text = TEXT[: TEXT.index("[rain_days]")]
    normals = monthly_from_text(text, "a.toml")
    assert normals.rain_days[0] == 13.0  # 127 mm, one day for each 10 mm begun
    assert np.all(normals.wind_speed == 3.5)
    assert normals.wind_direction is None
    assert len(normals.notes) == 3


@pytest.mark.parametrize("table", ["high", "low", "sun", "rain"])
def test_what_is_needed(table):
    """A file without one of the four tables that are needed is refused, and told what to write."""
    (found,) = faults(without(table))
    assert found.startswith(f"here.toml: {table}: is missing; write a table [{table}]")


def test_exactly_one_humidity():
    """Neither no table of humidity nor two of them."""
    assert "exactly one table of humidity" in faults(without("dew_point"))[0]
    both = TEXT + f'[humidity]\nunit = "%"\nvalues = {[70] * 12}\nsource = "x"\n'
    assert any("exactly one table of humidity" in fault for fault in faults(both))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[61, 64", "[-61, 64", "high, January: must lie from -50 to 55 degC (got -51.6667 degC)"),
        ("[61, 64", "[41, 64", "the mean high must lie at least 0.5 K above the mean low"),
        ("[41, 45", "[53, 45", "the mean dew point must lie at least 0.2 K below the mean temp"),
        ("[2.8, 3.4", "[2.8, 8.4", "sun, February: is more than a month of clear days gives"),
        ("[2.8, 3.4", "[0.2, 3.4", "sun, January: is less than a sixth of what a month of clear"),
        ("[10, 9", "[10, 29", "rain_days, February: more days than the month has (got 29)"),
        ("[10, 9", "[0, 9", "rain and days with rain must both be 0 or both be more"),
        ("[5, 5", "[-5, 5", "rain, January: must lie from 0 to 3000 mm"),
        ("[9, 9", "[0, 9", "wind_speed, January: must lie from 0.2 to 30 m/s"),
        ('"N", "N"', '"N", "NORTH"', "is not a point of the compass (got 'NORTH')"),
        ("[61, 64", "[nan, 64", "high.values, January: is not a finite number (got nan)"),
        ("[61, 64", '["61", 64', "is not a finite number (got '61')"),
        ("[61, 64", "[true, 64", "is not a finite number (got True)"),
        ("[61, 64, ", "[64, ", "must be twelve values (got 11 values)"),
        ('unit = "degF"', 'unit = "F"', "is not a unit of this table (got 'F'); use \"degC\" or"),
        ('unit = "degF"\n', "", 'high.unit: is missing; its unit is "degC" or "degF"'),
        ('source = "invented"\n', "", "high.source: is missing; say where the values are from"),
        ("latitude_deg", "latitude", "latitude: has no unit (got 30.25); name it latitude_deg"),
        ("elevation_ft = 10", 'elevation_ft = "10"', "elevation_ft: is not a finite number"),
        ("= -88.1", "= 88.1", "east is positive: both are negative in America"),
        ('place = "Heron Point (invented)"', 'place = ""', "place: must be a text of one line"),
        ('place = "Her', 'seed = -1\nplace = "Her', "seed: must be 0 or a positive whole number"),
        ('place = "Her', 'plaza = 1\nplace = "Her', "plaza: is not a known key (got 1)"),
        ('source = "inv', 'sauce = 1\nsource = "inv', "high.sauce: is not a known key"),
    ],
)
def test_a_mistake_is_named(old, new, message):
    """Each mistake is reported with file, field, value and, where there is one, a remedy."""
    found = faults(TEXT.replace(old, new, 1))
    assert any(message in fault for fault in found), found
    assert all(fault.startswith("here.toml: ") for fault in found)


def test_bare_numbers_are_refused():
    """Twelve numbers without a table have no unit, and the message says how to write it."""
    text = f"high = {[16] * 12}\n" + without("high")
    (found,) = faults(text)
    assert found.startswith("here.toml: high: has no unit (got [16, 16")
    assert 'its unit is "degC" or "degF"' in found


def test_every_mistake_is_reported_at_once():
    """Four mistakes in four tables are four faults."""
    text = TEXT.replace("[61, 64", "[61, 640").replace("[10, 9", "[10, 29")
    text = text.replace("[2.8,", "[28,").replace('"mph"', '"miles"')
    assert len(faults(text)) == 4


@pytest.mark.parametrize("text", ["a = [", "a" * 3 + " = 1 = 2", "[high", "\x00"])
def test_what_is_not_toml(text, tmp_path):
    """A text that is not TOML is refused with its place."""
    path = tmp_path / "a.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ClimateError, match=r"a\.toml: (is not valid TOML|holds NUL)"):
        read_monthly(path)


def test_values_are_checked_when_built_in_python():
    """The record itself refuses what the reader refuses, under its own name."""
    with pytest.raises(ClimateError, match="'heron point': rain: must hold one value for each of"):
        place(rain=np.ones(11))
    with pytest.raises(ClimateError, match="seed"):
        place(seed=-3)


def test_extraterrestrial_sun_of_a_worked_example():
    """32.2 MJ/m2 on September 3 at 20 deg south (FAO Irrigation and Drainage Paper 56, example 8)."""
    energy = extraterrestrial_days(-20.0)[246 - 1] * 3.6
    assert energy == pytest.approx(32.2, abs=0.05)


def test_no_sun_in_the_polar_night():
    """At 80 deg north the sun gives nothing in December and more in June than at the equator."""
    polar = clear_sky_sun(80.0, 0.0)
    assert polar[11] == 0.0
    assert polar[5] > clear_sky_sun(0.0, 0.0)[5]
