"""Rain: depths moved and scaled without losing water, and what is not known said so."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from moistwall.climate.depths import fitted_to_total, hourly_depths, spread_over_spells
from moistwall.climate.hours import HOURS, MONTH_OF_HOUR, hour_index
from moistwall.climate.kinds import depth_of_digits, depth_of_synoptic
from moistwall.climate.rain import RainRead, RainRule, rain_of_year

NORMALS = SimpleNamespace(place="Heron Point (invented)", rain=np.arange(50.0, 170.0, 10.0))
SCALED = RainRule(normals_at=lambda *_: NORMALS)
NOWHERE = RainRule(normals_at=lambda *_: None)


def showers():
    """2 mm in each hour 16 of the year."""
    depth = np.zeros(HOURS)
    depth[15::24] = 2.0
    return depth


def settled(depth, kind=None, rule=SCALED):
    rain, notes = rain_of_year(RainRead(depth, kind), rule, 30.0, -88.0)
    return rain, " | ".join(notes)


def month_sums(rain):
    return np.array([rain[month == MONTH_OF_HOUR].sum() for month in range(1, 13)])


def test_months_hold_their_normals_exactly():
    """Each scaled month adds up to its normal to 1e-9 mm, in the hours that had rain."""
    depth = showers()
    rain, notes = settled(depth)
    np.testing.assert_allclose(month_sums(rain), NORMALS.rain, rtol=0.0, atol=1e-9)
    np.testing.assert_array_equal(rain > 0.0, depth > 0.0)
    assert "each month scaled to the normals of Heron Point (invented), by 0.81" in notes


def test_totals_are_cut_and_put_back_by_the_scaling():
    """An hour of 50 mm, a total of several hours, holds at most 30; the month its normal."""
    depth = showers()
    depth[hour_index(7, 4, 16)] = 50.0
    rain, notes = settled(depth)
    np.testing.assert_allclose(month_sums(rain), NORMALS.rain, rtol=0.0, atol=1e-9)
    assert rain.max() <= 30.0
    assert "1 h hold more than 30 mm, totals of several hours, 20.0 mm above it in all" in notes


def test_totals_without_normals_keep_the_month():
    """Without normals near, what is above 30 mm goes to the hours of the same spell."""
    depth = showers()
    k = hour_index(7, 4, 16)
    depth[k - 1 : k + 2] = [1.0, 50.0, 3.0]
    rain, notes = settled(depth, rule=NOWHERE)
    np.testing.assert_allclose(rain[k - 1 : k + 2], [11.0, 30.0, 13.0], rtol=1e-12)
    np.testing.assert_allclose(month_sums(rain), month_sums(depth), rtol=0.0, atol=1e-9)
    assert "not scaled, as no normals are known near" in notes


def test_totals_standing_alone_reach_back():
    """A total of 50 mm among dry hours is taken as the end of a spell, which reaches back."""
    rain = spread_over_spells(np.array([0.0, 0.0, 50.0, 0.0]), np.zeros(4, dtype=bool))
    np.testing.assert_allclose(rain, [0.0, 20.0, 30.0, 0.0])
    rain = spread_over_spells(np.array([50.0, 0.0]), np.zeros(2, dtype=bool))
    np.testing.assert_allclose(rain, [30.0, 20.0])
    full = spread_over_spells(np.array([50.0, 30.0]), np.zeros(2, dtype=bool))
    np.testing.assert_allclose(full, [50.0, 30.0])


def test_hours_with_a_code_belong_to_the_spell():
    """An hour with a code of rain and no depth takes its share of a total beside it."""
    wet = np.array([False, True, False, True, False])
    rain = spread_over_spells(np.array([0.0, 0.0, 40.0, 0.0, 0.0]), wet)
    np.testing.assert_allclose(rain, [0.0, 5.0, 30.0, 5.0, 0.0])


@given(st.lists(st.floats(0.0, 90.0), min_size=3, max_size=60))
def test_spreading_loses_no_water(depths):
    """Whatever the month, its sum stays, nothing dries and no hour is lifted over 30 mm."""
    depth = np.array(depths)
    rain = spread_over_spells(depth, np.zeros(depth.size, dtype=bool))
    assert rain.sum() == pytest.approx(depth.sum(), abs=1e-9)
    assert (rain >= np.minimum(depth, 30.0) - 1e-9).all()
    assert (rain <= np.maximum(depth, 30.0) + 1e-9).all()


@given(st.lists(st.floats(0.01, 30.0), min_size=1, max_size=60), st.floats(0.0, 1.0))
def test_fitting_is_exact(depths, share):
    """Any total up to the cap in every hour is met; the order of the hours stays."""
    depth = np.array(depths)
    total = share * 30.0 * depth.size
    rain = fitted_to_total(depth, total)
    assert rain.sum() == pytest.approx(total, abs=1e-9)
    assert rain.max() <= 30.0
    assert (np.diff(rain[np.argsort(depth)]) >= -1e-9).all()


def test_fitting_what_cannot_be_held():
    """One hour of at most 30 mm holds no 31 mm."""
    with pytest.raises(ValueError, match="1 h of at most 30 mm cannot hold 31 mm"):
        fitted_to_total(np.array([0.0, 2.0]), 31.0)


def test_month_with_too_few_hours_stands_as_read():
    """0.3 mm in one hour is not blown up to a normal of 140 mm; the note has the numbers."""
    depth = showers()
    depth[MONTH_OF_HOUR == 10] = 0.0
    depth[hour_index(10, 5, 5)] = 0.3
    rain, notes = settled(depth)
    sums = month_sums(rain)
    assert sums[9] == pytest.approx(0.3)
    np.testing.assert_allclose(np.delete(sums, 9), np.delete(NORMALS.rain, 9), atol=1e-9)
    assert "rain of October not scaled, its 1 h of rain are too few for a normal of 140 mm" in notes
    assert "11 months scaled" in notes


def test_stuck_codes_are_not_taken_for_rain():
    """A month without depth whose code stays on for days stays dry, and is called doubtful."""
    depth = showers()
    depth[MONTH_OF_HOUR == 10] = 0.0
    kind = np.where(depth > 0.0, 1.0, 0.0)
    kind[hour_index(10, 3, 1) : hour_index(10, 9, 1)] = 1.0
    rain, notes = settled(depth, kind)
    assert month_sums(rain)[9] == 0.0
    assert (
        "rain of October is doubtful: the file has 0.0 mm in 0 h but codes of rain in 144 h: codes "
        "that stay on, or rain missing and written as 0?" in notes
    )


def test_codes_that_contradict_the_depths_are_not_taken():
    """Codes in three times as many hours as depths are not trusted, however short their runs."""
    depth = showers()
    depth[MONTH_OF_HOUR == 10] = 0.0
    depth[hour_index(10, 1, 16) : hour_index(10, 1, 20)] = 0.1
    kind = np.where(depth > 0.0, 1.0, 0.0)
    kind[hour_index(10, 1, 1) : hour_index(10, 30, 1) : 2] = 1.0
    rain, notes = settled(depth, kind)
    assert month_sums(rain)[9] == pytest.approx(0.4)
    assert "rain of October is doubtful" in notes


def test_codes_stand_in_for_missing_depths():
    """A month written as 0 with codes that come and go gets its normal in the hours of those."""
    depth = showers()
    depth[MONTH_OF_HOUR == 10] = 0.0
    kind = np.where(depth > 0.0, 1.0, 0.0)
    shower = np.array([hour_index(10, day, 15) for day in range(1, 21)])
    kind[shower] = 1.0
    kind[shower[::2]] = 5.0
    rain, notes = settled(depth, kind)
    assert month_sums(rain)[9] == pytest.approx(140.0, abs=1e-9)
    assert rain[shower[0]] == pytest.approx(5.0 * rain[shower[1]])
    assert "rain of October: hours with a code of rain taken as hours of rain" in notes
    unscaled, notes = settled(depth, kind, NOWHERE)
    assert month_sums(unscaled)[9] == 0.0
    assert "rain of October is doubtful" in notes


def test_as_read():
    """As read, depths stand as they are, totals and doubtful months too, and are told."""
    depth = showers()
    depth[5] = 50.0
    rain, notes = settled(depth, rule=RainRule(as_read=True, normals_at=lambda *_: NORMALS))
    np.testing.assert_array_equal(rain, depth)
    assert notes == "rain: depths as the file gives them"


def test_nothing_known():
    """Without depths and without kinds no rain is known: not a dry year."""
    assert settled(None) == (None, "no rain known: the file has no depths of rain")
    depth = showers()
    depth[:500] = np.nan
    assert settled(depth) == (None, "no rain known: the depth is missing in 500 h")


def test_zeros_are_no_dry_year():
    """Zero in every hour is missing where rain was observed or nobody looked, else a dry year."""
    zeros = np.zeros(HOURS)
    assert settled(zeros)[0] is None
    seen = np.where(showers() > 0.0, 1.0, 0.0)
    rain, notes = settled(zeros, seen, RainRule(as_read=True))
    assert rain is None
    assert "0 in every hour although rain was observed in 365 h" in notes
    rain, notes = settled(zeros, seen)
    np.testing.assert_allclose(month_sums(rain), NORMALS.rain, atol=1e-9)
    rain, notes = settled(zeros, np.zeros(HOURS))
    assert rain.sum() == 0.0
    assert "none in any hour, and none was observed" in notes


def test_a_few_hours_without_a_depth():
    """Up to 5 % of the hours may lack a depth; they are taken as dry and counted."""
    depth = showers()
    depth[:300] = np.nan
    rain, notes = settled(depth, rule=NOWHERE)
    assert rain[:300].sum() == 0.0
    assert "300 h without a depth are taken as dry" in notes


def test_kinds_that_stay_on_for_days_make_no_rain():
    """Kinds alone, stuck in one month, give no depths unless a normal bounds them."""
    kind = np.where(showers() > 0.0, 1.0, 0.0)
    kind[hour_index(4, 3, 1) : hour_index(4, 20, 1)] = 1.0
    rain, notes = settled(None, kind, NOWHERE)
    assert rain is None
    assert "codes of rain that stay on for days" in notes
    rain, notes = settled(None, kind)
    assert month_sums(rain)[3] == pytest.approx(80.0, abs=1e-9)
    assert "rain of April is doubtful" in notes


def test_year_too_wet_to_be_right():
    """Tenths of a millimeter taken for millimeters make a year of over 4000 mm, which is noted."""
    rain, notes = settled(showers() * 10.0, rule=NOWHERE)
    assert rain.sum() == pytest.approx(7300.0)
    assert "7300 mm in the year is doubtful: tenths of mm in place of mm?" in notes


def test_totals_that_the_file_names():
    """A total of 6 h is shared by the hours without rain of their own, less what others have."""
    depth, hours = np.full(HOURS, np.nan), np.full(HOURS, 1.0)
    depth[:4], depth[11] = 0.0, 12.0
    depth[9] = 2.0
    hours[11] = 6.0
    spread, notes = hourly_depths(depth, hours)
    np.testing.assert_allclose(spread[6:12], [2.0, 2.0, 2.0, 2.0, 2.0, 2.0])
    assert np.isnan(spread[5])
    assert notes == ("rain: 1 totals of 2 to 24 h put into the hours they fell in",)


def test_total_within_a_total():
    """A total of 24 h that holds one of 6 h is not counted twice."""
    depth, hours = np.full(HOURS, np.nan), np.full(HOURS, np.nan)
    depth[17], hours[17] = 6.0, 6.0
    depth[23], hours[23] = 24.0, 24.0
    spread, _ = hourly_depths(depth, hours)
    np.testing.assert_allclose(spread[12:18], 1.0)
    np.testing.assert_allclose(np.delete(spread[:24], np.s_[12:18]), 1.0)
    assert np.nansum(spread) == pytest.approx(24.0)


@pytest.mark.parametrize(
    ("digits", "depth"),
    [
        ("999999999", 0.0),
        ("909999999", 1.0),  # light rain
        ("919999999", 5.0),
        ("929999999", 12.0),
        ("939999999", 1.0),  # light shower
        ("049999999", 5.0),  # thunder and a moderate shower
        ("959999999", 12.0),
        ("979999999", 5.0),  # moderate freezing rain
        ("990999999", 1.0),  # light squall
        ("993999999", 0.2),  # light drizzle
        ("998999999", 0.8),  # heavy freezing drizzle
        ("903999999", 1.0),  # rain and drizzle
        ("999299999", 0.0),  # heavy snow
        ("999999099", 0.0),  # fog
    ],
)
def test_kinds_by_digits(digits, depth):
    """Digits of present weather by the TMY2 manual, appendix B; snow and fog are no rain."""
    assert depth_of_digits(digits) == depth


@pytest.mark.parametrize(
    ("code", "depth"),
    [
        (0, 0.0), (10, 0.0), (45, 0.0), (51, 0.2), (53, 0.4), (55, 0.8), (61, 1.0), (63, 5.0),
        (65, 12.0), (66, 1.0), (71, 0.0), (80, 1.0), (81, 5.0), (82, 12.0), (95, 5.0), (97, 12.0),
        (21, 0.0), (96, 5.0),
    ],
)  # fmt: skip
def test_kinds_by_synoptic_code(code, depth):
    """Codes of present weather by WMO code table 4677; 2x tells of the hour before."""
    assert depth_of_synoptic(code) == depth


def test_kinds_lie_in_their_classes():
    """Depths for light, moderate and heavy rain lie in the classes of the observer's handbook."""
    light, moderate, heavy = (depth_of_digits(f"9{digit}9999999") for digit in "012")
    assert light <= 2.5
    assert 2.8 <= moderate <= 7.6
    assert heavy > 7.6
