"""Pictures of a result for slides: each interface's year, water by cause, drying of gaps, dew point by depth."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.assess.budget import budget
from moistwall.assess.drying import gap_drying
from moistwall.climate.hours import MONTH_DAYS
from moistwall.result import Result
from moistwall.show.labels import folded
from moistwall.show.names import MONTHS, place_name, side_name
from moistwall.show.palette import DEW_POINT, HATCH, INK, PAPER, TEMPERATURE
from moistwall.show.places_drawing import day_text
from moistwall.show.water import water_unit
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

HEAD = 0.75
"""Height of the head of a picture. [in on paper]"""

STRIP = 0.95
"""Height of the strip of one place. [in on paper]"""


def _figure(result: Result, height: float, what: str) -> Figure:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.5, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    figure.text(
        0.02, 1.0 - 0.22 / height, folded(result.section_name, 80, 1), fontsize=11.5, color=INK,
        va="center", parse_math=False,
    )  # fmt: skip
    figure.text(
        0.02, 1.0 - 0.5 / height, folded(f"{what}; {result.climate_place}", 120, 1), fontsize=8.5,
        color=INK, va="center", parse_math=False,
    )  # fmt: skip
    return figure


def _bare(axes: Axes, *sides: str) -> None:
    for side in sides:
        axes.spines[side].set_visible(False)


def places_figure(result: Result, system: System = "ip") -> Figure:
    """Draw the humidity at every side of every interface through the year.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units of the mean temperatures beside the strips.

    Returns
    -------
    Figure
        A strip a place from outside to inside: the mean of the day as a line, a band from its lowest to
        its highest hour, 80 % dashed.
    """
    n = len(result.places)
    height = HEAD + STRIP * n + 0.35
    figure = _figure(
        result, height, "Relative humidity at each interface, mean and range of each day"
    )
    days = result.n_hours // 24
    starts = np.concatenate(([0], np.cumsum(MONTH_DAYS)))
    for k, place in enumerate(result.places):
        bottom = 1.0 - (HEAD + STRIP * (k + 1) - 0.08) / height
        axes = figure.add_axes((0.06, bottom, 0.88, (STRIP - 0.38) / height), label=f"place {k}")
        rh = 100.0 * result.rh_place[: 24 * days, k].reshape(days, 24)
        x = np.arange(days) + 0.5
        axes.fill_between(x, rh.min(axis=1), rh.max(axis=1), color=DEW_POINT, alpha=0.28, lw=0)
        axes.plot(x, rh.mean(axis=1), color=DEW_POINT, lw=1.1, gid=f"mean {k}")
        axes.axhline(80.0, color=HATCH, lw=0.9, ls=(0, (5, 3)))
        axes.set_ylim(0.0, 100.0)
        axes.set_yticks([0.0, 80.0], ["0", "80 %"], fontsize=7.5)
        axes.set_xlim(0, starts[-1])
        axes.set_xticks([])
        for day in starts[1:-1]:
            axes.axvline(day, color=HATCH, lw=0.4, alpha=0.5, zorder=0)
        _bare(axes, "top", "right")
        warmth = float(convert(float(result.temperature_place[:, k].mean()), "temperature", system))
        told = f"{place_name(result, place)}, {side_name(result, place)}"
        if place.outboard:
            told += " (outside of the water-control layer)"
        axes.text(
            0.0, 1.06, folded(told, 95, 1), transform=axes.transAxes, fontsize=8, color=INK,
            va="bottom", parse_math=False,
        )  # fmt: skip
        axes.text(
            1.0, 1.06, f"mean {warmth:.1f} {unit_label('temperature', system)}",
            transform=axes.transAxes, fontsize=7.5, color=INK, va="bottom", ha="right",
        )  # fmt: skip
        if k == n - 1:
            axes.set_xticks(0.5 * (starts[1:] + starts[:-1]), MONTHS, fontsize=8)
            axes.tick_params(axis="x", length=0)
    return figure


def _shown_water(values: Array, system: System) -> Array:
    return convert(values, "area_water", "ip") if system == "ip" else values


def water_figure(result: Result, system: System = "ip") -> Figure:
    """Draw what each cause brought into the section, and what it took out of it.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure
        Full bars to the right for what came, hatched ones to the left for what went.
    """
    causes = budget(result).causes
    height = HEAD + 0.52 * len(causes) + 0.55
    unit = water_unit(system)[0]
    figure = _figure(result, height, f"Water of the year by cause, {unit}")
    axes = figure.add_axes(
        (0.04, 0.12 / height, 0.92, (height - HEAD - 0.42) / height), label="causes"
    )
    came = _shown_water(np.array([cause.came for cause in causes]), system)
    went = _shown_water(np.array([cause.went for cause in causes]), system)
    most = max(float(came.max()), float(went.max()), 1e-12)
    y = np.arange(len(causes), dtype=np.float64)
    axes.barh(y, came, 0.34, color=DEW_POINT, gid="brought")
    axes.barh(y, -went, 0.34, facecolor=PAPER, edgecolor=INK, hatch="////", lw=0.7, gid="took")
    decimals = 0 if system == "ip" else 2
    for k, cause in enumerate(causes):
        axes.text(
            -1.62 * most, y[k] - 0.28, folded(cause.name, 80, 1), fontsize=8, color=INK,
            va="bottom", parse_math=False,
        )  # fmt: skip
        for value, sign, side in ((came[k], 1.0, "left"), (went[k], -1.0, "right")):
            if value > 0.0:
                axes.text(
                    sign * (value + 0.02 * most), y[k], f"{value:.{decimals}f}", fontsize=8,
                    ha=side, va="center", color=INK,
                )  # fmt: skip
    axes.axvline(0.0, color=INK, lw=0.9)
    axes.set_xlim(-1.64 * most, 1.3 * most)
    axes.set_ylim(len(causes) - 0.5, -0.75)
    axes.set_xticks([])
    axes.set_yticks([])
    _bare(axes, "top", "right", "bottom", "left")
    at = (height - HEAD - 0.12) / height
    middle = 0.04 + 0.92 * 1.64 / 2.94
    figure.text(middle - 0.01, at, "took out", ha="right", fontsize=8.5, color=INK)
    figure.text(middle + 0.01, at, "brought in", fontsize=8.5, color=INK)
    return figure


def drying_figure(result: Result, system: System = "ip") -> Figure | None:
    """Draw the drying potential of the gaps and what their air carried off, month by month.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure or None
        Hatched bars for what could be taken, full ones for what was, downward where the air wets; None
        where there is no gap.
    """
    gaps = gap_drying(result)
    if not gaps:
        return None
    height = HEAD + 2.5 * len(gaps) + 0.3
    unit = water_unit(system)[0]
    figure = _figure(result, height, f"Drying of gaps by month, {unit}")
    x = np.arange(12)
    for k, gap in enumerate(gaps):
        axes = figure.add_axes(
            (0.09, 1.0 - (HEAD + 2.5 * (k + 1) - 0.15) / height, 0.89, 1.95 / height),
            label=gap.name,
        )
        could, did = (
            _shown_water(values, system) for values in (gap.potential_month, gap.removed_month)
        )
        axes.bar(
            x - 0.2, could, 0.36, facecolor=PAPER, edgecolor=INK, hatch="////", lw=0.7,
            label="could take, were the inner face wet",
        )  # fmt: skip
        axes.bar(x + 0.2, did, 0.36, color=DEW_POINT, label="carried off from both faces")
        axes.axhline(0.0, color=INK, lw=0.9)
        axes.set_xticks(x, MONTHS, fontsize=8)
        axes.tick_params(axis="x", length=0)
        axes.tick_params(axis="y", labelsize=8)
        axes.margins(y=0.05)
        _bare(axes, "top", "right")
        told = f"{gap.name}, {gap.kind}, {gap.air_changes_mean:.0f} air changes an hour"
        axes.text(
            0.0, 1.05, folded(told, 70, 1), transform=axes.transAxes, fontsize=9, color=INK,
            va="bottom", parse_math=False,
        )  # fmt: skip
        if k == 0:
            axes.legend(
                fontsize=8, frameon=False, ncols=2, loc="lower right", bbox_to_anchor=(1.0, 1.0)
            )
    return figure


def chosen_hours(result: Result) -> tuple[int, ...]:
    """Hours that tell how a section works: the two dew points at their farthest apart, either way.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    tuple of int
        Hour with the strongest inward drive between outdoor and room air, and with the strongest outward
        one, where there are such.
    """
    drive = result.outdoor_vapor - result.room_vapor
    found = [int(drive.argmax())] if drive.max() > 0.0 else []
    return (*found, int(drive.argmin())) if drive.min() < 0.0 else tuple(found)


def depth_figure(
    result: Result, hours: Sequence[int] | None = None, system: System = "ip"
) -> Figure:
    """Draw temperature and dew point over the depth of the section in chosen hours.

    Parameters
    ----------
    result : Result
        A computed year.
    hours : sequence of int or None
        Hours of the year from 0; None takes `chosen_hours`.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure
        One panel an hour: layers as columns, temperature and dew point as lines that break in gaps, the air
        on both sides as marks. Where the lines meet there is liquid or saturated air.
    """
    hours = chosen_hours(result) if hours is None else hours
    height = HEAD + 2.7 * len(hours) + 0.3
    figure = _figure(result, height, "Temperature and dew point by depth, outside on the left")
    total = sum(part.thickness for part in result.parts)
    for k, hour in enumerate(hours):
        axes = figure.add_axes(
            (0.08, 1.0 - (HEAD + 2.7 * (k + 1) - 0.3) / height, 0.89, 2.05 / height),
            label=f"hour {hour}",
        )
        x = 0.0
        for number, part in enumerate(result.parts):
            if part.thickness > 0.0 and part.kind == "layer":
                axes.axvspan(
                    x, x + part.thickness, color=HATCH, alpha=0.10 + 0.08 * (number % 2), lw=0
                )
            x += part.thickness
        _depth_lines(axes, result, hour, total, system)
        day, clock = divmod(hour, 24)
        axes.text(
            0.0, 1.04, f"{day_text(day)}, hour {clock + 1}", transform=axes.transAxes, fontsize=9,
            color=INK, va="bottom",
        )  # fmt: skip
        axes.set_ylabel(unit_label("temperature", system), fontsize=8.5)
        axes.tick_params(axis="y", labelsize=8)
        axes.set_xticks([])
        axes.set_xlim(-0.06 * total, 1.06 * total)
        axes.margins(y=0.1)
        _bare(axes, "top", "right")
        if k == 0:
            axes.legend(
                fontsize=8, frameon=False, ncols=2, loc="lower right", bbox_to_anchor=(1.0, 1.0)
            )
    return figure


def _depth_lines(axes: Axes, result: Result, hour: int, total: float, system: System) -> None:
    """Draw the lines of one hour, layer by layer, and the air at both ends."""
    temperature = result.temperature_cell[hour]
    least = 1e-6  # of a foam that holds nothing and a dry surface alike
    vapor = np.maximum(result.rh_cell[hour], least) * saturation_pressure(temperature)
    dew_point = dew_point_from_vapor_pressure(vapor)
    lines = (
        (temperature, TEMPERATURE, "-", "temperature", result.outdoor_temperature, result.room_temperature),
        (dew_point, DEW_POINT, (0, (5, 2)), "dew point",
         dew_point_from_vapor_pressure(result.outdoor_vapor), dew_point_from_vapor_pressure(result.room_vapor)),
    )  # fmt: skip
    for values, color, style, name, outdoor, room in lines:
        shown = np.asarray(convert(values, "temperature", system))
        for number, part in enumerate(result.parts):
            mine = np.flatnonzero(result.part_cell == number)
            if part.kind == "layer" and mine.size:
                axes.plot(
                    result.x_cell[mine], shown[mine], color=color, ls=style, lw=1.8,
                    label=name if part is _first_layer(result) else None,
                )  # fmt: skip
        for x, air in ((-0.03 * total, outdoor[hour]), (1.03 * total, room[hour])):
            y = float(convert(float(air), "temperature", system))
            axes.plot([x], [y], marker="D", ms=5, color=color, mec=INK, mew=0.6)


def _first_layer(result: Result) -> object:
    return next(part for part in result.parts if part.kind == "layer")
