"""The zone of a run in the printed report, and as data."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.zone_air import LIMITS_RH, MACHINES, ZoneYear, daily_by_month, zone_year
from moistwall.result import Result
from moistwall.show.names import MONTHS
from moistwall.show.wrapping import wrapped
from moistwall.units import System, convert, unit_label

Array = NDArray[np.float64]

TITLES = {
    "section": "what is built like this section",
    "room and supply air": "air of the room and of the supply",
}
"""Accounts whose names say too little."""


def zone_lines(result: Result, system: System) -> list[str]:
    """Air, water and heat of the zone month by month, and how well it closes.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        Empty without a zone.
    """
    year = zone_year(result)
    if year is None or result.zone is None:
        return []
    degrees, rate = unit_label("temperature", system), unit_label("moisture_rate", system)
    lines = wrapped(
        f"The air of the {year.kind}, balanced hour by hour ({rate} of water taken by machines, and "
        "brought by the rest):"
    )
    brought = [one for one in year.water if one.name not in MACHINES]
    lines.append(
        f"      {degrees:>6}{'dew pt':>7}{'RH %':>6}{'>60 %h':>7}"
        f"{'cooled':>8}{'dried':>7}{'brought':>9}{'runs %':>8}"
    )
    columns = [
        convert(year.temperature_month, "temperature", system),
        convert(year.dew_point_month, "temperature", system),
        100.0 * year.rh_month,
        year.hours_over_month,
        *(_daily(-year.water_by(name), system) for name in MACHINES),
        _daily(np.sum([one.month for one in brought], axis=0), system),
        100.0 * year.running_month,
    ]
    formats = ("6.1f", "7.1f", "6.0f", "7.0f", "8.1f", "7.1f", "9.1f", "8.0f")
    for k, month in enumerate(MONTHS):
        cells = "".join(
            _plain(float(column[k]), form) for column, form in zip(columns, formats, strict=True)
        )
        lines.append(f"  {month:4}{cells}")
    over = ", ".join(
        f"{hours} h over {100 * limit:.0f} %"
        for hours, limit in zip(year.hours_over, LIMITS_RH, strict=True)
    )
    lines += wrapped(
        f"RH {100 * year.lowest_rh:.0f} to {100 * year.highest_rh:.0f} %; {over}; longest stretch over "
        f"60 %: {year.longest_over} h.",
        "  ",
        "  ",
    )
    lines += ["", *_water(year, system), *_objects(year, system)]
    if year.coil_freezing_hours:
        lines += wrapped(
            f"The coil would be colder than freezing in {year.coil_freezing_hours} hours.",
            "  ",
            "  ",
        )
    zone = result.zone
    drift = convert(zone.drift_temperature, "temperature_difference", system)
    lines += wrapped(
        f"Closure of the {zone.kind}: moisture {zone.water_relative:.1e}, heat "
        f"{zone.heat_relative:.1e}; the air that the section has seen differs from what the balances ask for "
        f"by at most {drift:.1e} {unit_label('temperature_difference', system)} and "
        f"{100 * zone.drift_rh:.1e} % RH; {zone.marches:.1f} marches an hour.",
        "",
        "  ",
    )
    if year.kind == "room":
        lines += wrapped(
            "What leaks in comes straight from outdoors: none of it passes this section.", "", "  "
        )
    if zone.outer:
        lines += wrapped(
            "In all tables of this report, outdoor air is the air of the crawl space, which lies on the "
            "outer side of this floor.",
            "",
            "  ",
        )
    return [*lines, ""]


def ridge_lines(ridge: Result, system: System) -> list[str]:
    """The air below the ridge of an attic, and how well it closes.

    Parameters
    ----------
    ridge : Result
        The strip of roof along the ridge.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
    """
    year = zone_year(ridge)
    assert year is not None, "a ridge was run without its air"
    assert ridge.zone is not None
    unit, degrees = unit_label("moisture_rate", system), unit_label("temperature", system)
    lines = wrapped("Along the ridge, where what the roof gives off gathers:")
    means = convert(year.dew_point_month, "temperature", system)
    lines.append(f"  dew point below the ridge by month, {degrees}")
    lines.append("    " + "".join(f"{month:>6}" for month in MONTHS))
    lines.append("    " + "".join(f"{float(value):6.1f}" for value in means))
    vent = -year.water_by("diffusion vent")
    if np.any(vent):
        lines.append(f"  taken by its diffusion vent by month, {unit}")
        lines.append(
            "    " + "".join(_plain(float(value), "6.2f") for value in _daily(vent, system))
        )
    rates = {
        one.name: float(convert(one.month.sum() / (365.0 * 86400.0), "moisture_rate", system))
        for one in year.water
    }
    rises, mixes, falls = (
        rates.get(name, 0.0) for name in ("people and processes", "room and supply air", "fog")
    )
    lines += wrapped(
        f"Rises to it: {rises:.1f} {unit}; mixes with the attic's air: {_plain(-mixes, '.1f')}; falls as fog: "
        f"{_plain(-falls, '.2f')}. RH {100 * year.lowest_rh:.0f} to {100 * year.highest_rh:.0f} %. Closure: "
        f"moisture {ridge.zone.water_relative:.1e}, heat {ridge.zone.heat_relative:.1e}. In the table below, "
        "room air is the air below the ridge.",
        "  ",
        "  ",
    )
    return lines


def _plain(value: float, form: str) -> str:
    """A number in a form such as '6.1f'; what rounds to nothing has no sign."""
    decimals = int(form[-2])
    return f"{round(value, decimals) + 0.0:{form}}"


def _daily(month: Array, system: System) -> Array:
    """Sums by month as means a day, in the unit shown."""
    return np.array(
        [float(convert(one / 86400.0, "moisture_rate", system)) for one in daily_by_month(month)]
    )


def _water(year: ZoneYear, system: System) -> list[str]:
    unit = unit_label("moisture_rate", system)
    lines = [f"  water into its air, {unit} on a mean day of the year"]
    for one in year.water:
        mean = float(convert(one.month.sum() / (365.0 * 86400.0), "moisture_rate", system))
        lines.append(f"    {TITLES.get(one.name, one.name):38}{_plain(mean, '9.1f')}")
    return lines


def _objects(year: ZoneYear, system: System) -> list[str]:
    if not year.objects:
        return []
    lines = ["  hours in which its dew point is above what is cold in it"]
    for one in year.objects:
        cold = float(convert(one.mean_temperature, "temperature", system))
        name = f"{one.name} ({cold:.0f} {unit_label('temperature', system)})"
        lines.append(f"    {name:38}{one.hours:9d}")
    return lines


def zone_data(result: Result) -> dict[str, Any] | None:
    """The zone as data for the summary.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    dict or None
        SI; None without a zone.
    """
    year, zone = zone_year(result), result.zone
    if year is None or zone is None:
        return None
    return {
        "kind": zone.kind,
        "area_m2": zone.area,
        "volume_m3": zone.volume,
        "temperature_by_month_degC": _list(year.temperature_month),
        "dew_point_by_month_degC": _list(year.dew_point_month),
        "rh_by_month": _list(year.rh_month),
        "limits_rh": list(LIMITS_RH),
        "hours_over": list(year.hours_over),
        "hours_over_first_by_month": _list(year.hours_over_month),
        "longest_over_first": year.longest_over,
        "highest_rh": year.highest_rh,
        "lowest_rh": year.lowest_rh,
        "water_by_month_kg": [
            {"cause": one.name, "by_month": _list(one.month)} for one in year.water
        ],
        "heat_by_month_J": [{"cause": one.name, "by_month": _list(one.month)} for one in year.heat],
        "water_stored_kg": year.water_stored,
        "heat_stored_J": year.heat_stored,
        "cooling_demand_by_month": _list(year.running_month),
        "dehumidifier_running_by_month": _list(year.drying_month),
        "cold_objects": [
            {
                "name": one.name,
                "mean_temperature_degC": one.mean_temperature,
                "hours": one.hours,
                "hours_by_month": _list(one.hours_month),
            }
            for one in year.objects
        ],
        "coil_freezing_hours": year.coil_freezing_hours,
        "balance": {
            "moisture_relative": zone.water_relative,
            "heat_relative": zone.heat_relative,
            "drift_temperature_K": zone.drift_temperature,
            "drift_rh": zone.drift_rh,
            "marches_per_hour": zone.marches,
        },
    }


def _list(values: Array) -> list[float]:
    return [float(value) for value in values]
