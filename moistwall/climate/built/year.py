"""An hourly year of weather that is made up, but holds the twelve monthly values of a place."""

from __future__ import annotations

from moistwall.climate.built.air import draw_air
from moistwall.climate.built.days import draw_days
from moistwall.climate.built.draws import Draws
from moistwall.climate.built.seasons import seasons_of
from moistwall.climate.built.showers import draw_rain
from moistwall.climate.built.sunshine import draw_sunshine
from moistwall.climate.built.wind import draw_pressure, draw_wind
from moistwall.climate.normals import MonthlyNormals
from moistwall.climate.record import Climate

LABEL = "built from monthly normals, not measured"
"""What the source of every built year begins with."""

NO_EXTREMES = "a built year has ordinary weather only: no hurricane, no record heat, cold or rain"


def built_year(normals: MonthlyNormals, seed: int | None = None) -> Climate:
    """Make an hourly year of twelve monthly values.

    Parameters
    ----------
    normals : MonthlyNormals
        The place.
    seed : int, optional
        What the year is drawn from, 0 or more; that of ``normals`` unless given. Another seed
        gives another year with the same monthly values.

    Returns
    -------
    Climate
        The year, closed and labelled as built.

    Raises
    ------
    ClimateError
        If a month has more sun than its hours can give.

    Notes
    -----
    Held in every month: mean high, low, temperature and dew point within 0.1 K, sun, wind and days
    with rain, the rain itself to round-off. Everything between the months' values is a model of
    ordinary weather, told and compared with measured years in docs/climates.md.
    """
    chosen = normals.seed if seed is None else seed
    draws = Draws(chosen)
    seasons = seasons_of(normals)
    days = draw_days(normals, seasons, draws)
    rain = draw_rain(normals, seasons, days, draws)
    temperature, dew_point = draw_air(normals, seasons, days, rain, draws)
    sunshine = draw_sunshine(normals, seasons, days, rain, draws)
    wind_speed, wind_direction = draw_wind(normals, seasons, days, rain, draws)
    pressure = draw_pressure(normals, seasons, days, draws)
    return Climate(
        name=normals.name,
        place=normals.place,
        source=f"{LABEL}; seed {chosen}",
        latitude=normals.latitude,
        longitude=normals.longitude,
        time_zone=normals.time_zone,
        elevation=normals.elevation,
        temperature=temperature,
        dew_point=dew_point,
        pressure=pressure,
        wind_speed=wind_speed,
        wind_direction=wind_direction,
        sun_global=sunshine.sun_global,
        sun_direct=sunshine.sun_direct,
        sun_diffuse=sunshine.sun_diffuse,
        cloud=sunshine.cloud,
        rain=rain,
        notes=(
            NO_EXTREMES,
            *normals.notes,
            *(
                f"monthly {name.replace('_', ' ')}: {text}"
                for name, text in normals.sources.items()
            ),
        ),
    )
