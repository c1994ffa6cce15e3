"""A year of weather as plain data: what ``--json`` of the climates holds, always in SI."""

from __future__ import annotations

from typing import Any

from moistwall import __version__
from moistwall.assess.weather import FACINGS, Fingerprint, WallWeather
from moistwall.climate.record import Climate
from moistwall.loads.driving_rain import INDEX_LIMIT
from moistwall.show.climate_words import CLIMATE_CAUTIONS, kind_of_year


def list_summary(years: list[tuple[Climate, Fingerprint]]) -> dict[str, Any]:
    """Several years, as they are listed.

    Parameters
    ----------
    years : list of (Climate, Fingerprint)
        The years.

    Returns
    -------
    dict
        Fit for JSON; keys name their units where a value has one.
    """
    return {
        "moistwall": __version__,
        "climates": [_year(climate, found) for climate, found in years],
        "cautions": list(CLIMATE_CAUTIONS),
    }


def climate_summary(climate: Climate, found: Fingerprint, walls: WallWeather) -> dict[str, Any]:
    """One year with what it brings to walls.

    Parameters
    ----------
    climate : Climate
        The year.
    found : Fingerprint
        Its fingerprint.
    walls : WallWeather
        What it brings to walls.

    Returns
    -------
    dict
        Fit for JSON; keys name their units where a value has one. Tables have a row a month and a
        column a facing; what is not known is null.
    """
    return {
        "moistwall": __version__,
        **_year(climate, found),
        "facings": list(FACINGS),
        "sun_on_walls_kWh_m2": walls.sun_month.tolist(),
        "driving_rain_on_walls_kg_m2": None
        if walls.rain_month is None
        else walls.rain_month.tolist(),
        "airfield_index_mm": None
        if walls.airfield_index_facing is None
        else walls.airfield_index_facing.tolist(),
        "airfield_index_limit": INDEX_LIMIT,
        "inward_hours": walls.inward_hours_month.tolist(),
        "outward_hours": walls.outward_hours_month.tolist(),
        "cautions": list(CLIMATE_CAUTIONS),
    }


def _year(climate: Climate, found: Fingerprint) -> dict[str, Any]:
    return {
        "name": climate.name,
        "place": climate.place,
        "kind": kind_of_year(climate),
        "source": climate.source,
        "notes": list(climate.notes),
        "latitude_deg": climate.latitude,
        "longitude_deg": climate.longitude,
        "elevation_m": climate.elevation,
        "fingerprint": {
            "temperature_mean_degC": found.temperature_mean,
            "dew_point_mean_degC": found.dew_point_mean,
            "hours_dew_point_over_75_degF": found.hours_dew_point_over_75_degF,
            "hours_dew_point_over_24_degC": found.hours_dew_point_over_24_degC,
            "sun_per_day_kWh_m2": found.sun_per_day,
            "rain_mm": found.rain_depth,
            "rain_hours": found.rain_hours,
            "wettest_facing": found.wettest_facing,
            "wettest_rain_kg_m2": found.wettest_rain,
        },
    }
