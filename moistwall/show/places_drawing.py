"""Each interface through the year: humidity of its sides day by day, with the values for the page's script."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import MONTH_DAYS
from moistwall.result import Result
from moistwall.show.drawing import Drawing
from moistwall.show.names import MONTHS, place_name, side_name
from moistwall.show.year_drawing import DAYS, WET, months_above
from moistwall.units import System, convert

if TYPE_CHECKING:
    from markupsafe import Markup

Array = NDArray[np.float64]

SAME_RH = 0.005
"""Sides that never differ by more are drawn as one. [-]"""

TOP, TALL = 18.0, 74.0
"""Of a strip. [px]"""

DOWN_SAMPLED = (
    "Each day is drawn by the lowest, the mean and the highest of its 24 hourly values; the hours themselves "
    "are in hourly.csv, which --out writes."
)


@dataclass(frozen=True)
class Strip:
    """One interface, or one of its sides, through the year.

    Parameters
    ----------
    name, side : str
        The interface and which side or sides of it.
    outboard : bool
        Outside of the water-control layer.
    picture : Markup
        Its drawing.
    values : dict
        For the script: humidity in tenths of a percent (low, mean, high), temperature in tenths of the
        shown unit, by day.
    months : tuple of str
        Mean humidity of each month. [%]
    """

    name: str
    side: str
    outboard: bool
    picture: Markup
    values: dict[str, Any]
    months: tuple[str, ...]


def strips(result: Result, system: System) -> list[Strip]:
    """Every side of every interface through the year; sides that are the same, as one.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units of temperature.

    Returns
    -------
    list of Strip
        From outside to inside.
    """
    found = []
    joined: set[int] = set()
    for k, place in enumerate(result.places):
        if k in joined:
            continue
        side = side_name(result, place)
        after = k + 1
        if after < len(result.places) and not place.surface:
            other = result.places[after]
            apart = np.abs(result.rh_place[:, k] - result.rh_place[:, after]).max()
            if other.name == place.name and other.side != place.side and apart < SAME_RH:
                joined.add(after)
                side = "both sides"
        found.append(_strip(result, k, place_name(result, place), side, system))
    return found


def _strip(result: Result, k: int, name: str, side: str, system: System) -> Strip:
    days = result.n_hours // 24
    rh = 100.0 * result.rh_place[: 24 * days, k].reshape(days, 24)
    warmth = result.temperature_place[: 24 * days, k].reshape(days, 24).mean(axis=1)
    low, mean, high = rh.min(axis=1), rh.mean(axis=1), rh.max(axis=1)
    temperature = np.asarray(convert(warmth, "temperature", system))
    months = np.split(mean, np.cumsum(MONTH_DAYS)[:-1])
    by_month = tuple(f"{float(one.mean()):.0f}" for one in months if one.size)
    return Strip(
        name,
        side,
        result.places[k].outboard,
        _picture(f"{name}, {side}", low, mean, high),
        {
            "low": _tenths(low),
            "mean": _tenths(mean),
            "high": _tenths(high),
            "temperature": _tenths(temperature),
        },
        by_month,
    )


def _tenths(values: Array) -> list[int]:
    return [int(value) for value in np.rint(10.0 * values)]


def _picture(name: str, low: Array, mean: Array, high: Array) -> Markup:
    most, least = int(high.argmax()), int(low.argmin())
    told = (
        f"Daily means from {mean.min():.0f} to {mean.max():.0f} %; highest hour {high[most]:.0f} % on "
        f"{day_text(most)}, lowest {low[least]:.0f} % on {day_text(least)}."
    )
    drawing = Drawing(TOP + TALL + 4.0, f"Relative humidity through the year: {name}", told)
    months_above(drawing, 11.0)
    drawing.rect("panel-fill", 0.0, TOP, 100.0, TALL)
    for value in (0.0, 50.0, 100.0):
        y = TOP + TALL * (1.0 - value / 100.0)
        drawing.line("rule", 0.0, y, 100.0, y)
    x = np.arange(mean.size) + 0.5

    def down(values: Array) -> Array:
        return 100.0 - values

    with drawing.frame(0.0, TOP, 100.0, TALL, (DAYS, 100.0)) as frame:
        there = np.column_stack((x, down(high)))
        back = np.column_stack((x, down(low)))[::-1]
        frame.path("dew-soft", np.vstack((there, back)), closed=True)
        frame.path("dew", np.column_stack((x, down(mean))))
    y = TOP + TALL * (1.0 - WET / 100.0)
    drawing.line("saturation", 0.0, y, 100.0, y)
    drawing.text("small halo", 0.0, y - 3.0, "80 %", dx=3)
    drawing.line("cursor", 0.0, TOP, 0.0, TOP + TALL)
    return drawing.svg("strip")


def day_text(day: int) -> str:
    """A day of the year in words.

    Parameters
    ----------
    day : int
        From 0.

    Returns
    -------
    str
        Such as 'Jul 14'.
    """
    ends = np.cumsum(MONTH_DAYS)
    month = int(np.searchsorted(ends, day, side="right"))
    return f"{MONTHS[month]} {day - int(ends[month]) + MONTH_DAYS[month] + 1}"
