"""Years built from monthly values: what they hold exactly, and how far their texture is real."""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from monthly_values import place, turned

from moistwall.climate.built import LABEL, built_year
from moistwall.climate.built.air import day_curve
from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import month_means, smooth_hours
from moistwall.climate.built.showers import LEAST_RAIN
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.climate.monthly import monthly_from_text, read_monthly
from moistwall.climate.normals import clear_sky_sun
from moistwall.climate.read import read_climate
from moistwall.climate.sun_path import sun_path
from moistwall.errors import ClimateError
from moistwall.loads.sun import plane_irradiance

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "climates").glob("*.toml"))
MONTH_OF_DAY = MONTH_OF_HOUR[::24]


@cache
def shipped(name, seed=None):
    """Year of a place that ships."""
    return built_year(read_monthly(ROOT / "climates" / f"{name}.toml"), seed)


def by_month(days):
    """Means of the days of each month."""
    return np.array([days[month == MONTH_OF_DAY].mean() for month in range(1, 13)])


def check_months(normals, year):
    """Assert that a year holds its monthly values and is possible hour by hour."""
    temperature = year.temperature.reshape(365, 24)
    assert np.abs(by_month(temperature.mean(axis=1)) - normals.mean).max() < 0.1
    assert np.abs(by_month(temperature.max(axis=1)) - normals.high).max() < 0.2
    assert np.abs(by_month(temperature.min(axis=1)) - normals.low).max() < 0.2
    assert np.abs(month_means(year.dew_point) - normals.dew_point).max() < 0.1
    assert np.all(year.dew_point <= year.temperature)
    np.testing.assert_allclose(month_means(year.sun_global) * 0.024, normals.sun, rtol=1e-6)
    np.testing.assert_allclose(month_means(year.wind_speed), normals.wind_speed, rtol=0.02)
    days = year.rain.reshape(365, 24).sum(axis=1)
    for month in range(1, 13):
        here = days[month == MONTH_OF_DAY]
        assert here.sum() == pytest.approx(normals.rain[month - 1], rel=1e-9, abs=1e-12)
        least = 1.0 if normals.rain[month - 1] else 0.0
        wet = max(np.floor(normals.rain_days[month - 1] + 0.5), least)
        assert np.count_nonzero(here > 0.0) == wet
    path = sun_path(year.latitude, year.longitude, year.time_zone, year.elevation)
    flat = year.sun_direct * np.maximum(np.cos(np.radians(path.zenith)), 0.0) + year.sun_diffuse
    np.testing.assert_allclose(flat, year.sun_global, rtol=1e-9, atol=1e-9)
    assert np.all(year.sun_global[path.zenith >= 90.0] == 0.0)
    assert np.all(year.sun_direct <= year.sun_direct.max())
    assert year.sun_direct.max() < 1367.0


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_years_hold_their_months(path):
    """Temperatures, dew point, sun, wind, rain and days with rain of every month are those given."""
    check_months(read_monthly(path), shipped(path.stem))


@pytest.mark.slow
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
@pytest.mark.parametrize("seed", range(21))
def test_every_seed_holds_the_months(path, seed):
    """The same for seeds 0 to 20."""
    normals = read_monthly(path)
    check_months(normals, built_year(normals, seed))


@pytest.mark.parametrize("seed", [2, 20])
@pytest.mark.parametrize(
    "normals",
    [
        place(),
        place(wind_direction=None),
        place(elevation=2500.0),
        turned(place(), longitude=18.0, time_zone=2.0),
        place(longitude=179.0, time_zone=12.0),
        place(rain=np.zeros(12), rain_days=np.zeros(12)),
        place(rain=np.full(12, 900.0), rain_days=np.full(12, 28.0)),
        place(rain=np.full(12, 0.5), rain_days=np.full(12, 0.3)),
        place(high=np.full(12, 31.0), low=np.full(12, 24.0), dew_point=np.full(12, 23.0)),
        place(dew_point=place().mean - 0.5),
        place(high=place().high - 28.0, low=place().low - 30.0, dew_point=place().dew_point - 33.0),
    ],
    ids=[
        "coast",
        "calm",
        "high",
        "south",
        "dateline",
        "dry",
        "wet",
        "trace",
        "level",
        "fog",
        "cold",
    ],
)
def test_places_of_other_kinds_hold_their_months(normals, seed):
    """Highlands, the southern hemisphere, the date line, no rain, much rain, fog and frost work."""
    check_months(normals, built_year(normals, seed))


def test_polar_night():
    """Where the sun does not rise its monthly value is 0, and no hour has any."""
    sun = np.array([0.0, 0.1, 1.3, 3.6, 5.0, 5.4, 4.8, 3.2, 1.5, 0.2, 0.0, 0.0])
    season = np.cos(2.0 * np.pi * (np.arange(12) - 6.5) / 12.0)
    cold = place(
        latitude=75.0,
        sun=sun,
        high=-8.0 + 15.0 * season,
        low=-14.0 + 15.0 * season,
        dew_point=-15.0 + 14.0 * season,
    )
    year = built_year(cold)
    check_months(cold, year)
    assert year.sun_global[MONTH_OF_HOUR == 12].max() == 0.0


def test_more_sun_than_the_hours_give_is_refused():
    """A month of clear days is built whole; beyond it, the month and the value are named."""
    sun = clear_sky_sun(30.25, 3.0)
    year = built_year(place(sun=sun))
    np.testing.assert_allclose(month_means(year.sun_global) * 0.024, sun, rtol=1e-6)
    with pytest.raises(ClimateError, match=r"sun, July: is more than .* \(got 9"):
        place(sun=np.where(np.arange(12) == 6, 9.0, sun))


def test_label_and_notes():
    """The source says built and not measured, with the seed; notes give each value's source."""
    year = shipped("mobile")
    assert year.source == "built from monthly normals, not measured; seed 1"
    assert year.source.startswith(LABEL)
    text = " ".join(year.notes)
    assert "from memory" in text
    assert "monthly dew point: computed from the NREL TMY3 typical year of station 722230" in text
    assert "no hurricane" in text


def test_file_of_monthly_values_is_a_climate(tmp_path):
    """A climate file in TOML is read as the year built from it, with the seed that it names."""
    text = (ROOT / "climates" / "mobile.toml").read_text(encoding="utf-8")
    assert np.array_equal(
        read_climate(ROOT / "climates" / "mobile.toml").temperature, shipped("mobile").temperature
    )
    (tmp_path / "mobile.toml").write_text("seed = 4\n" + text, encoding="utf-8")
    other = read_climate(tmp_path / "mobile.toml")
    assert other.source.endswith("seed 4")
    assert np.array_equal(other.temperature, shipped("mobile", 4).temperature)


def test_same_seed_same_year():
    """A seed gives the same bytes each time, another seed another year."""
    normals = place()
    first, again, other = (built_year(normals, seed) for seed in (5, 5, 6))
    for name in ("temperature", "dew_point", "rain", "sun_global", "wind_direction", "pressure"):
        assert getattr(first, name).tobytes() == getattr(again, name).tobytes()
        assert getattr(first, name).tobytes() != getattr(other, name).tobytes()


def test_draws_are_those_of_the_generator():
    """A year hangs on PCG64's uniform numbers alone: the first of seed 1 is 0.5118216247002567.

    Value printed by NumPy's own documentation of ``default_rng`` streams (from memory) and by every
    NumPy since 1.17.
    """
    assert Draws(1).uniform(1)[0] == pytest.approx(0.5118216247002567, abs=1e-15)


def test_persistent_series_is_what_it_says():
    """Variance and the correlations of one and two steps are those asked for, around the end too."""
    series = np.concatenate([Draws(seed).persistent(2000, 0.64, 0.22) for seed in range(50)])
    parts = series.reshape(50, 2000)
    assert np.mean(parts**2) == pytest.approx(1.0, abs=0.02)
    assert np.mean(parts * np.roll(parts, 1, axis=1)) == pytest.approx(0.64, abs=0.02)
    assert np.mean(parts * np.roll(parts, 2, axis=1)) == pytest.approx(0.22, abs=0.02)
    ends = np.array([Draws(seed).persistent(50, 0.9)[[0, -1]] for seed in range(2000)])
    assert np.corrcoef(ends.T)[0, 1] == pytest.approx(0.9, abs=0.02)


def test_months_become_hours_without_steps():
    """Hourly values keep every monthly mean to round-off and have no step at any month's border."""
    months = np.array([3.0, 5.0, 9.0, 14.0, 18.0, 22.0, 23.0, 22.0, 19.0, 14.0, 8.0, 4.0])
    hours = smooth_hours(months)
    np.testing.assert_allclose(month_means(hours), months, rtol=1e-12)
    steps = np.abs(hours - np.roll(hours, 1))
    assert steps.max() < 0.02
    assert np.all(smooth_hours(np.full(12, 4.0)) == 4.0)


@pytest.mark.parametrize("name", ["mobile", "san-juan", "minneapolis"])
def test_the_year_is_closed(name):
    """From the last hour to the first, and over each month's border, no hour jumps more than others."""
    year = shipped(name)
    borders = np.flatnonzero(np.roll(MONTH_OF_HOUR, 1) != MONTH_OF_HOUR)
    for series in (year.temperature, year.dew_point, year.pressure):
        step = np.abs(series - np.roll(series, 1))
        night = np.arange(8760) % 24 == 0
        assert step[borders].max() <= step[night].max()
        assert step[borders].mean() < 2.0 * step[night].mean()


def test_day_runs_from_sunrise_to_mid_afternoon():
    """The coldest hour is at sunrise, the warmest about 14:30 solar time, midway on the mean."""
    normals = place(longitude=-90.0)
    curve = day_curve(normals, np.arange(1.0, 8761.0) % 24.0).reshape(365, 24)
    assert set(curve.argmin(axis=1) + 1) <= {5, 6, 7}
    assert set(curve.argmax(axis=1) + 1) <= {14, 15}
    assert np.abs(curve.mean(axis=1) - 0.5).max() < 0.02


def test_other_hemisphere_mirrors_the_seasons():
    """South of the equator January is warm, the sun is in the north, cold air comes from the south."""
    north = built_year(place(wind_direction=None))
    south = built_year(turned(place(wind_direction=None), longitude=18.0, time_zone=2.0))
    assert south.temperature[MONTH_OF_HOUR == 1].mean() > 24.0
    assert south.sun_global[MONTH_OF_HOUR == 1].mean() > 1.5 * (
        south.sun_global[MONTH_OF_HOUR == 7].mean()
    )
    assert plane_irradiance(south, 90.0, 0.0).sum() > plane_irradiance(south, 90.0, 180.0).sum()
    for year, sign, winter in ((north, 1.0, (12, 1, 2)), (south, -1.0, (6, 7, 8))):
        cold = np.isin(MONTH_OF_HOUR, winter)
        from_north = np.cos(np.radians(year.wind_direction[cold]))
        assert sign * np.corrcoef(from_north, year.temperature[cold])[0, 1] < -0.3


def test_altitude_thins_the_air():
    """At 2500 m the mean pressure is that of the standard atmosphere, 74.7 kPa."""
    year = built_year(place(elevation=2500.0))
    assert year.pressure.mean() == pytest.approx(74_682.0, abs=300.0)  # ASHRAE ch. 1, table 1
    assert built_year(place()).pressure.std() > year.pressure.std() > 100.0


def test_rain_has_its_seasons():
    """Summer rain at Mobile comes in short spells after noon, winter rain lasts and comes any time."""
    year = shipped("mobile")
    wet = (year.rain > 0.0).reshape(365, 24)
    summer, winter = np.isin(MONTH_OF_DAY, (6, 7, 8)), np.isin(MONTH_OF_DAY, (12, 1, 2))
    spell = wet.sum(axis=1)
    assert spell[summer & (spell > 0)].mean() < 3.5 < spell[winter & (spell > 0)].mean()
    assert wet[summer, 12:20].sum() > 0.6 * wet[summer].sum()
    assert 0.15 < wet[winter, 12:20].sum() / wet[winter].sum() < 0.5
    days = year.rain.reshape(365, 24).sum(axis=1)
    assert days[days > 0.0].min() >= 0.99 * LEAST_RAIN
    assert year.rain.max() < 75.0


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_rain_and_clouds_go_together(path):
    """It rains under clouds in humid air, and days with rain have less sun."""
    year = shipped(path.stem)
    wet = year.rain > 0.0
    assert year.cloud[wet].min() >= 0.85
    assert year.relative_humidity[wet].mean() > year.relative_humidity.mean() + 0.05
    days = wet.reshape(365, 24).any(axis=1)
    sun = year.sun_global.reshape(365, 24).sum(axis=1)
    path_ = sun_path(year.latitude, year.longitude, year.time_zone, year.elevation)
    outside = path_.extraterrestrial * np.maximum(np.cos(np.radians(path_.zenith)), 0.0)
    clearness = sun / outside.reshape(365, 24).sum(axis=1)
    assert clearness[days].mean() < 0.9 * clearness[~days].mean()


@pytest.mark.parametrize("name", ["mobile", "new-orleans", "charleston", "houston", "miami-built"])
def test_hours_of_rain_are_plausible(name):
    """The humid coasts have 200 to 600 hours of rain a year, as their TMY3 years do."""
    assert 200 < np.count_nonzero(shipped(name).rain > 0.0) < 600


def test_prevailing_wind_prevails():
    """Nearly half of San Juan's wind is within 45 deg of the monthly direction; Mobile's is less so."""
    share = {}
    for name in ("san-juan", "mobile"):
        normals = read_monthly(ROOT / "climates" / f"{name}.toml")
        off = shipped(name).wind_direction - normals.wind_direction[MONTH_OF_HOUR - 1]
        share[name] = np.mean(np.abs((off + 180.0) % 360.0 - 180.0) <= 45.0)
    assert share["san-juan"] > share["mobile"] > 0.3
    assert share["san-juan"] > 0.5


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_built_miami_beside_the_measured_year(seed):
    """A built year of Miami has the humid hours and the day-to-day texture of the TMY2 year.

    The ranges are wide on purpose: the TMY2 year is one year of many, and a model draws another.
    """
    built, measured = shipped("miami-built", seed), read_climate(ROOT / "climates" / "miami.csv")
    for year in (built, measured):
        check_texture(
            year,
            humid=(200, 800),
            damp=(2400, 3400),
            muggy=(4000, 5400),
            winter=(2.0, 4.0),
            persistence=(0.45, 0.8),
        )


def check_texture(year, *, humid, damp, muggy, winter, persistence):
    """Assert hours over 24 and 20 degC dew point, hours of 80 % RH, spread and memory of the days."""
    assert humid[0] < np.count_nonzero(year.dew_point > 24.0) < humid[1]
    assert muggy[0] < np.count_nonzero(year.dew_point >= 20.0) < muggy[1]
    assert damp[0] < np.count_nonzero(year.relative_humidity >= 0.8) < damp[1]
    days = year.temperature.reshape(365, 24).mean(axis=1)
    turn = 2.0 * np.pi * np.arange(365) / 365.0
    waves = [np.ones(365)] + [f(n * turn) for n in (1, 2) for f in (np.cos, np.sin)]
    basis = np.column_stack(waves)
    departure = days - basis @ np.linalg.lstsq(basis, days, rcond=None)[0]
    cold = np.isin(MONTH_OF_DAY, (12, 1, 2))
    assert winter[0] < departure[cold].std() < winter[1]
    memory = np.corrcoef(departure[:-1], departure[1:])[0, 1]
    assert persistence[0] < memory < persistence[1]


FILES = ROOT.parent / "shared" / "weather"


@pytest.mark.weather_files
@pytest.mark.parametrize(
    ("name", "file", "limits"),
    [
        (
            "mobile",
            "AL-Mobile_Regional_Ap.tmy3",
            {
                "humid": (80, 600),
                "damp": (2900, 4500),
                "muggy": (2300, 3600),
                "winter": (4.0, 7.5),
                "persistence": (0.5, 0.8),
            },
        ),
        (
            "san-juan",
            "PR-San_Juan_Intl_Arpt.tmy3",
            {
                "humid": (800, 1700),
                "damp": (3000, 4300),
                "muggy": (6500, 7800),
                "winter": (0.5, 1.3),
                "persistence": (0.4, 0.7),
            },
        ),
    ],
)
def test_built_years_beside_tmy3_years(name, file, limits):
    """Built years of Mobile and San Juan and the TMY3 years lie within the same wide ranges."""
    if not (FILES / file).is_file():
        pytest.skip("no TMY3 files beside the project")
    for year in (shipped(name), shipped(name, 2), read_climate(FILES / file)):
        check_texture(year, **limits)


@pytest.mark.slow
def test_building_a_year_is_fast():
    """The second year of a process takes less than a second."""
    import time

    built_year(place())
    start = time.perf_counter()
    built_year(place(), 9)
    assert time.perf_counter() - start < 1.0


PAGE = (ROOT / "docs" / "climates.md").read_text(encoding="utf-8")


def test_example_of_the_page_can_be_built():
    """The file that docs/climates.md shows is read without a fault and gives a year."""
    (text,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    normals = monthly_from_text(text, "page.toml")
    assert (normals.name, normals.seed) == ("heron-point", 7)
    check_months(normals, built_year(normals))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_table_of_the_page(path):
    """The row of docs/climates.md for a built year has the figures of that year."""
    (row,) = re.findall(rf"^\| `{path.stem}` \|(.*)\|$", PAGE, re.MULTILINE)
    year = shipped(path.stem)
    figures = (
        f"{year.temperature.mean():.1f}",
        f"{year.dew_point.mean():.1f}",
        f"{np.count_nonzero(year.dew_point > 24.0)}",
        f"{np.count_nonzero(year.dew_point >= 20.0)}",
        f"{np.count_nonzero(year.relative_humidity >= 0.8)}",
        f"{year.sun_global.sum() / 1000.0:.0f}",
        f"{year.rain.sum():.0f}",
        f"{np.count_nonzero(year.rain > 0.0)}",
    )
    assert tuple(cell.strip() for cell in row.split("|")[1:]) == figures
