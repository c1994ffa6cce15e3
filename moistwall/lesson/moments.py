"""Named moments of a computed year, chosen from the run by rule."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.climate.hours import HOURS, MONTH_OF_HOUR
from moistwall.climate.record import Climate
from moistwall.lesson.flows import inside_joints
from moistwall.result import Result
from moistwall.section import Section

Array = NDArray[np.float64]
Truth = NDArray[np.bool_]

HOUR_OF_DAY: NDArray[np.int64] = np.arange(HOURS) % 24 + 1
"""Hour of the day, 1 to 24, at whose end an element of an hourly array stands."""

NOON, NIGHT = (11, 14), (1, 5)
"""First and last hour of the day that count as noon and as night."""

WET_BEFORE = 24
"""Rain within so many hours before a moment makes it one after rain. [h]"""

SUMMER_NAMES = ("July", "January")
"""Names of the summer month north and south of the equator."""


@dataclass(frozen=True)
class Moment:
    """One hour of the year, and why it was chosen.

    Parameters
    ----------
    name : str
        What the storyboard calls it.
    rule : str
        How it was chosen.
    hour : int
        Element of the hourly arrays.
    """

    name: str
    rule: str
    hour: int


def _rained(climate: Climate) -> Truth:
    """Whether rain fell in the hours before each hour; the year is closed."""
    if climate.rain is None:
        return np.zeros(HOURS, dtype=bool)
    total = np.zeros(HOURS)
    for back in range(WET_BEFORE):
        total += np.roll(climate.rain, back)
    return total > 0.0


def _first_best(score: Array, among: Truth) -> int:
    hours = np.flatnonzero(among)
    return int(hours[np.argmax(score[hours])])


def year_moments(result: Result, climate: Climate) -> tuple[Moment, ...]:
    """Moments of a year: a summer noon after rain, a summer night, a winter night, the dampest hour.

    Parameters
    ----------
    result : Result
        A computed year of the design that is asked about.
    climate : Climate
        Its weather.

    Returns
    -------
    tuple of Moment
        Where no noon of that month comes after rain, a noon without.
    """
    north = climate.latitude >= 0.0
    summer, winter = SUMMER_NAMES if north else SUMMER_NAMES[::-1]
    summer_month, winter_month = (7, 1) if north else (1, 7)
    in_summer = summer_month == MONTH_OF_HOUR
    in_winter = winter_month == MONTH_OF_HOUR
    noon = (NOON[0] <= HOUR_OF_DAY) & (NOON[1] >= HOUR_OF_DAY)
    night = (NIGHT[0] <= HOUR_OF_DAY) & (NIGHT[1] >= HOUR_OF_DAY)
    vapor = result.rh_place * saturation_pressure(result.temperature_place)
    highest = vapor.max(axis=1)
    after, words = in_summer & noon & _rained(climate), " after rain"
    if not after.any():
        after, words = in_summer & noon, ""
    sides = [k for joint in inside_joints(result) for k in joint.places]
    damp = result.rh_place[:, sides].max(axis=1)
    found = [
        Moment(
            f"{summer} noon{words}",
            f"of the midday hours of {summer}{' within a day of rain' if words else ''}, the one with the "
            "highest dew point anywhere in the section",
            _first_best(highest, after),
        ),
        Moment(
            f"{summer} night",
            f"of the hours of {summer} between midnight and dawn, the one with the coldest outer face",
            _first_best(-result.temperature_place[:, 0], in_summer & night),
        ),
        Moment(
            f"{winter} night",
            f"of the hours of {winter} between midnight and dawn, the one with the coldest outdoor air",
            _first_best(-result.outdoor_temperature, in_winter & night),
        ),
        Moment(
            "the dampest hour",
            "of all hours, the one with the highest humidity at a joint inside of the layer that keeps the "
            "rain out",
            int(np.argmax(damp)),
        ),
    ]
    return tuple(found)


def storm_moments(result: Result, section: Section) -> tuple[Moment, ...]:
    """Moments of a drying: before the storm, when it is wettest, half dry, nine tenths dry.

    Parameters
    ----------
    result : Result
        A computed year of the design that is asked about, with a storm in it.
    section : Section
        What was run; its first pour is the storm.

    Returns
    -------
    tuple of Moment
    """
    pour = section.exposure.pours[0]
    water = np.roll(wetted_water(result, section), -(pour.first_hour - 1))  # begins an hour before
    start, peak = float(water[0]), int(np.argmax(water[: HOURS // 2]))
    surplus = water - start

    def fallen(share: float) -> int | None:
        below = np.flatnonzero(surplus[peak:] <= share * surplus[peak])
        return int(below[0]) + peak if below.size else None

    def at(since: int) -> int:
        return (since + pour.first_hour - 1) % HOURS

    part = pour.spot.part
    found = [
        Moment("the hour before the storm", "the last hour before its water arrives", at(0)),
        Moment("soaked", f"the hour after the storm in which {part} holds most water", at(peak)),
    ]
    for share, name in ((0.5, "half dry"), (0.1, "nearly dry")):
        since = fallen(share)
        if since is None:
            continue
        words = "half" if share == 0.5 else "a tenth"
        rule = f"the first hour in which {words} of the storm's water is left in {part}"
        found.append(Moment(name, rule, at(since)))
    return tuple(found)


def wetted_water(result: Result, section: Section) -> Array:
    """Water of the layer that the storm wets, hour by hour. [kg/m2]"""
    part = section.exposure.pours[0].spot.part
    index = [one.name for one in result.parts].index(part)
    own = np.flatnonzero((result.part_cell == index) & (result.skin_cell == 0))
    water: Array = result.content_cell[:, own] @ result.width_cell[own]
    return water


def days_to_dry(result: Result, section: Section) -> float | None:
    """Days from the start of the storm until every inside joint stays below 80 % RH for a day.

    Parameters
    ----------
    result : Result
        A computed year with a storm in it.
    section : Section
        What was run; its first pour is the storm.

    Returns
    -------
    float or None
        Counted to the start of the first such day; None if the year has none. [d]
    """
    first = section.exposure.pours[0].first_hour
    sides = [k for joint in inside_joints(result) for k in joint.places]
    damp = np.roll(result.rh_place[:, sides].max(axis=1) >= 0.8, -first)
    dry_for = 0
    for hour in range(HOURS):
        dry_for = 0 if damp[hour] else dry_for + 1
        if dry_for == 24:
            return (hour + 1 - 24) / 24.0
    return None
