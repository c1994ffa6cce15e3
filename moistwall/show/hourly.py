"""The hourly table of a run as CSV."""

from __future__ import annotations

import csv
import io
import re

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.assess.zone_air import MACHINES, WATER_NAMES, zone_year
from moistwall.climate.hours import hour_stamp
from moistwall.result import Result
from moistwall.show.names import place_name, side_name
from moistwall.units import System, convert, unit_label

Array = NDArray[np.float64]

_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]*)?([eE][+-]?[0-9]+)?")


def plain_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula.

    Parameters
    ----------
    text : str
        A name from the input.

    Returns
    -------
    str
        The same, behind an apostrophe if it starts with = + - @ or a control character, blanks before it left
        out; a plain number stays one.
    """
    if text[:1] not in ("\t", "\r", "\n") and text.lstrip()[:1] not in ("=", "+", "-", "@"):
        return text
    return text if _NUMBER.fullmatch(text) else "'" + text


def hourly_columns(result: Result, system: System) -> tuple[list[str], Array]:
    """Temperature and relative humidity of the air and of every place, with the names of the columns.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Unit of temperature, named in each column.

    Returns
    -------
    names : list of str
        Place, quantity and unit.
    table : (n_hours, n_columns) ndarray
        The values.
    """
    unit = unit_label("temperature", system)
    names, columns = [], []
    for name, temperature, vapor in (
        ("outdoor air", result.outdoor_temperature, result.outdoor_vapor),
        ("room air", result.room_temperature, result.room_vapor),
    ):
        names += [f"{name} temperature_{unit}", f"{name} relative_humidity_percent"]
        columns += [
            convert(temperature, "temperature", system),
            100.0 * vapor / saturation_pressure(temperature),
        ]
    zone = zone_year(result)
    if zone is not None:
        names += [f"{zone.kind} air dew_point_{unit}"]
        columns += [convert(zone.dew_point, "temperature", system)]
        for name in MACHINES:
            names += [f"{zone.kind} {name} water_kg"]
            columns += [-result.zone_flow[:, WATER_NAMES.index(name)]]
    for k, place in enumerate(result.places):
        label = f"{place_name(result, place)} ({side_name(result, place)})"
        names += [f"{label} temperature_{unit}", f"{label} relative_humidity_percent"]
        columns += [
            convert(result.temperature_place[:, k], "temperature", system),
            100.0 * result.rh_place[:, k],
        ]
    return names, np.column_stack(columns)


def hourly_csv(result: Result, system: System) -> str:
    """The hourly table as a file.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Unit of temperature, named in each column.

    Returns
    -------
    str
        CSV with a header; month, day and hour (1 to 24) stamp the hour's end.
    """
    names, table = hourly_columns(result, system)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([plain_cell(name) for name in ("month", "day", "hour", *names)])
    for k, row in enumerate(table):
        writer.writerow([*hour_stamp(k), *(f"{value:.3f}" for value in row)])
    return out.getvalue()
