"""Driving rain on planes, the exposure table, and the indices of ISO 15927-3."""

from __future__ import annotations

import numpy as np
import pytest
from weather import changed, with_showers, without_rain

from moistwall.errors import ClimateError, InputError
from moistwall.loads.driving_rain import (
    DEPOSITION_FACTORS,
    EXPOSURE_FACTORS,
    INDEX_LIMIT,
    airfield_index,
    driving_rain,
    exposure_factor,
    wall_index,
)


def test_worked_numbers_of_ashrae_160() -> None:
    """U 5 m/s head on, 10 mm/h, F_E 1, F_D 0.35: 3.50 kg/(m2 h), computed from the formula."""
    year = changed(wind_speed=5.0, wind_direction=180.0, rain=10.0)
    rain = driving_rain(year, 90.0, 180.0, deposition_factor=DEPOSITION_FACTORS["below steep roof"])
    assert rain.shape == (8760,)
    np.testing.assert_allclose(rain, 3.50, rtol=1e-12)


@pytest.mark.parametrize(("off", "share"), [(60.0, 0.5), (-60.0, 0.5), (90.0, 0.0), (135.0, 0.0)])
def test_wind_at_an_angle_brings_its_cosine_and_nothing_from_behind(
    off: float, share: float
) -> None:
    """Wind at 60 degrees to the normal brings half; from the side and from behind, nothing."""
    year = changed(wind_speed=5.0, wind_direction=180.0, rain=10.0)
    np.testing.assert_allclose(driving_rain(year, 90.0, 180.0 + off), 10.0 * share, atol=1e-12)


@pytest.mark.parametrize("tilt", [0.0, 20.0, 45.0, 70.0])
def test_tilted_planes_take_their_share_of_both(tilt: float) -> None:
    """What comes through is r cos(b) + r_v sin(b), to leeward r cos(b) - r_v sin(b) or none."""
    year = changed(wind_speed=3.0, wind_direction=90.0, rain=4.0)
    falling, carried = 4.0 * np.cos(np.radians(tilt)), 2.4 * np.sin(np.radians(tilt))
    np.testing.assert_allclose(driving_rain(year, tilt, 90.0), falling + carried, rtol=1e-12)
    np.testing.assert_allclose(
        driving_rain(year, tilt, 270.0), max(falling - carried, 0.0), atol=1e-12
    )


def test_overhang_gets_only_what_wind_drives_under_it() -> None:
    """A plane that looks down 30 degrees stays dry below some wind and gets wet above it."""
    wind = np.linspace(0.0, 20.0, 8760)
    rain = driving_rain(changed(wind_speed=wind, wind_direction=0.0, rain=1.0), 120.0, 0.0)
    turning = np.cos(np.radians(60.0)) / (0.2 * np.sin(np.radians(120.0)))
    assert np.all(rain[wind < turning] == 0.0)
    assert np.all(rain[wind > turning + 1e-9] > 0.0)


def test_wall_and_tilt_meet() -> None:
    """The wall's own branch agrees with planes a hair off upright."""
    year = with_showers()
    np.testing.assert_allclose(
        driving_rain(year, 90.0, 110.0), driving_rain(year, 90.0 - 1e-9, 110.0), atol=1e-8
    )


def test_whole_turns_change_nothing() -> None:
    """An azimuth of -90 deg is 270 deg."""
    year = with_showers()
    np.testing.assert_allclose(
        driving_rain(year, 90.0, -90.0), driving_rain(year, 90.0, 270.0), atol=1e-12
    )


def test_unknown_rain_is_not_a_dry_year() -> None:
    """Without rain depths there is an error that says so, never zeros."""
    with pytest.raises(ClimateError, match="no rain known"):
        driving_rain(without_rain(), 90.0, 180.0)


def test_exposure_grows_with_height_and_openness() -> None:
    """The factors (from memory) rise with height and exposure, and lie from 0.7 to 1.5."""
    heights = np.array([3.0, 10.0, 10.1, 18.0, 25.0, 35.0, 45.0, 80.0])
    table = np.array(
        [[exposure_factor(h, e) for e in ("sheltered", "medium", "severe")] for h in heights]
    )
    assert np.all(np.diff(table, axis=0) >= 0.0)
    assert np.all(np.diff(table, axis=1) >= 0.0)
    assert np.array_equal(table[0], table[1])
    assert 0.7 <= table.min() <= table.max() <= 1.5
    assert [top for top, _ in EXPOSURE_FACTORS] == sorted(top for top, _ in EXPOSURE_FACTORS)


@pytest.mark.parametrize(
    ("arguments", "named"),
    [((-1.0, "medium"), "height"), ((5.0, "windy"), "exposure"), ((np.nan, "medium"), "height")],
)
def test_impossible_exposure(arguments: tuple[float, str], named: str) -> None:
    """A height or a class that cannot be right is refused by name."""
    with pytest.raises(InputError, match=named):
        exposure_factor(*arguments)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("plane", "factors", "named"),
    [
        ((-1.0, 0.0), {}, "tilt"),
        ((90.0, np.inf), {}, "azimuth"),
        ((90.0, 0.0), {"exposure_factor": -0.1}, "exposure_factor"),
        ((90.0, 0.0), {"deposition_factor": 1.1}, "deposition_factor"),
    ],
)
def test_impossible_planes(
    plane: tuple[float, float], factors: dict[str, float], named: str
) -> None:
    """Angles and factors out of range are refused by name."""
    with pytest.raises(InputError, match=named):
        driving_rain(with_showers(), *plane, **factors)


@pytest.mark.parametrize(("speed", "rain", "index"), [(5.0, 10.0, 8.603), (10.0, 5.0, 9.292)])
def test_airfield_index_of_one_hour_head_on(speed: float, rain: float, index: float) -> None:
    """2/9 v r^(8/9): 8.603 mm for 5 m/s and 10 mm, 9.292 mm for 10 m/s and 5 mm, from the formula."""
    assert airfield_index([speed], [200.0], [rain], 200.0) == pytest.approx(index, abs=5e-4)
    assert airfield_index([speed] * 2, [200.0] * 2, [rain] * 2, 200.0, years=2.0) == pytest.approx(
        index, abs=5e-4
    )
    assert airfield_index([speed], [200.0], [rain], 20.0) == 0.0


def test_wall_index_is_the_product_of_its_factors() -> None:
    """I_WA = I_A C_R C_T O W; a negative factor is refused."""
    factors = {"roughness": 0.9, "topography": 1.1, "obstruction": 0.8, "wall": 0.4}
    assert wall_index(100.0, **factors) == pytest.approx(31.68, rel=1e-12)
    with pytest.raises(InputError, match="obstruction"):
        wall_index(100.0, **(factors | {"obstruction": -0.1}))
    with pytest.raises(InputError, match="years"):
        airfield_index([5.0], [0.0], [1.0], 0.0, years=0.0)


def test_limit_of_the_standard_is_said() -> None:
    """The indices' limit for convective rain names the Gulf coast and Florida."""
    assert "convective" in INDEX_LIMIT
    assert "Gulf coast" in INDEX_LIMIT
    for function in (airfield_index, wall_index):
        assert "INDEX_LIMIT" in str(function.__doc__)
