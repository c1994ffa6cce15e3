"""Frames of pandas, for people who want to go on from an answer by themselves."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from moistwall.assess.condensation import WetHours, sheltered_outdoor_air, wet_hours
from moistwall.assess.verdict import Verdict
from moistwall.climate.record import Climate
from moistwall.result import Result
from moistwall.show.hourly import hourly_columns
from moistwall.show.names import place_name
from moistwall.units import System

if TYPE_CHECKING:
    from pandas import DataFrame, DatetimeIndex

FIRST_HOUR = "2001-01-01"
"""Start of the first hour in the index of hourly frames. The year says nothing: it has no February 29."""

CLIMATE_COLUMNS = {
    "temperature": "temperature_degC",
    "dew_point": "dew_point_degC",
    "pressure": "pressure_Pa",
    "wind_speed": "wind_speed_m_s",
    "wind_direction": "wind_direction_deg",
    "sun_global": "sun_global_W_m2",
    "sun_direct": "sun_direct_W_m2",
    "sun_diffuse": "sun_diffuse_W_m2",
    "cloud": "cloud_fraction",
    "rain": "rain_mm",
}
"""Series of a `Climate`, and what their columns are called."""


def _hours(n_hours: int) -> DatetimeIndex:
    """Starts of the hours of a year, so that a month or day that pandas gathers holds its own hours."""
    import pandas

    return pandas.date_range(FIRST_HOUR, periods=n_hours, freq="h", name="hour_from")


def hourly_frame(result: Result, system: System = "si") -> DataFrame:
    """Temperature and humidity of the air and of every place, hour by hour.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Unit of temperature, named in each column.

    Returns
    -------
    DataFrame
        The columns of ``hourly.csv``; the index is the start of each hour, at whose end the values hold.
    """
    import pandas

    names, table = hourly_columns(result, system)
    return pandas.DataFrame(table, index=_hours(result.n_hours), columns=names)


def place_frame(result: Result) -> DataFrame:
    """How many hours of the year every side is wet, a row each, outdoor air first.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    DataFrame
        The fields of `WetHours`, a bracket as two columns that end in ``_low`` and ``_high``, and the depth from
        the outer face; names without the facers that come with boards.
    """
    import pandas

    air = _flat(sheltered_outdoor_air(result)) | {"depth_m": float("nan")}
    rows = [
        _flat(row) | {"name": place_name(result, place), "depth_m": place.position}
        for place, row in zip(result.places, wet_hours(result), strict=True)
    ]
    return pandas.DataFrame([air, *rows])


def _flat(row: WetHours) -> dict[str, Any]:
    """Fields of a row; those of a bracket apart."""
    found: dict[str, Any] = {}
    for name, value in dataclasses.asdict(row).items():
        if name.endswith("_range"):
            low, high = value or (None, None)
            found |= {name.replace("_range", "_low"): low, name.replace("_range", "_high"): high}
        else:
            found[name] = value
    return found


def criteria_frame(verdict: Verdict) -> DataFrame:
    """Every criterion where it comes nearest to its limit, a row each.

    Parameters
    ----------
    verdict : Verdict
        What `moistwall.judge` found.

    Returns
    -------
    DataFrame
        Word, number and its bracket, limit and band in the quantity's unit (SI; hours for times), the layer,
        whether it counts, and the source.
    """
    import pandas

    rows = []
    for one in verdict.judged:
        asked, worst = one.criterion, one.worst
        rows.append(
            {
                "criterion": asked.name,
                "word": one.word,
                "value": worst.at.value if worst else None,
                "low": worst.at.low if worst else None,
                "high": worst.at.high if worst else None,
                "limit": asked.limit,
                "marginal": asked.marginal,
                "layer": worst.at.part if worst else "",
                "counts": asked.counts,
                "source": asked.source.text,
                "quality": asked.source.quality,
            }
        )
    return pandas.DataFrame(rows)


def climate_frame(climate: Climate) -> DataFrame:
    """A year of weather, a row an hour.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    DataFrame
        One column a series, its unit in the name; no column of rain where none is known. The index is the
        start of each hour: sun and rain came in it, the others hold at its end.
    """
    import pandas

    series = {
        column: getattr(climate, name)
        for name, column in CLIMATE_COLUMNS.items()
        if getattr(climate, name) is not None
    }
    return pandas.DataFrame(series, index=_hours(climate.temperature.size))
