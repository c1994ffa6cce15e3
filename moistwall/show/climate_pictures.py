"""A year of weather in three pictures: what walls get by month and facing, dew points, vapor drive."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.weather import (
    FACINGS,
    ROOM_TEMPERATURE,
    WallWeather,
    room_dew_point,
)
from moistwall.climate.hours import MONTH_DAYS
from moistwall.climate.record import Climate
from moistwall.loads.driving_rain import NO_RAIN_KNOWN
from moistwall.show.climate_words import (
    against_room,
    degrees_text,
    kind_of_year,
    rain_decimals,
    shown_rain,
    shown_sun,
    sun_decimals,
    sun_unit,
    water_depth,
)
from moistwall.show.labels import folded
from moistwall.show.names import MONTHS
from moistwall.show.palette import (
    DEW_POINT,
    HATCH,
    HUMIDITY_MAP,
    INK,
    PAPER,
    SUN_RAMP,
    TEMPERATURE,
)
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.colors import Colormap
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

YEAR_COLUMN = 12.75
"""Where the sums of the year stand, a little apart from the months."""

OUTWARD_FILL = "#E3D8E8"
"""A tint of the purple of dew points."""

NOTHING_FILL = "#F1F1EE"
"""Cells in which nothing falls."""


def walls_figure(climate: Climate, walls: WallWeather, system: System = "ip") -> Figure:
    """Draw sun and driving rain by month and by the direction that a wall looks to.

    Parameters
    ----------
    climate : Climate
        The year.
    walls : WallWeather
        What it brings to walls.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure
        Sun above, driving rain below: a row a facing, a column a month, numbers in the cells, the
        sums of the year beside them.
    """
    from matplotlib import colormaps

    known = walls.rain_month is not None
    height = 7.6 if known else 4.6
    figure = _figure(height)
    _head(figure, climate, "What falls on walls in the open, by month and by where they look to")
    strip = 2.74 / height
    sun = figure.add_axes((0.075, 1.0 - 3.84 / height, 0.9, strip), label="sun")
    _title(figure, 0.77, f"sun, {sun_unit(system)}")
    ramp = sun_ramp()
    _strip(sun, shown_sun(walls.sun_month, system), sun_decimals(system), ramp)
    title = f"driving rain, {water_depth(system)}"
    if walls.rain_month is None:
        title += f": {NO_RAIN_KNOWN}, which does not mean that none fell"
    else:
        rain = figure.add_axes((0.075, 1.0 - 7.45 / height, 0.9, strip), label="rain")
        shown = shown_rain(walls.rain_month, system)
        _strip(rain, shown, rain_decimals(system), colormaps[HUMIDITY_MAP])
    _title(figure, 4.38 if known else 4.25, title)
    return figure


def dew_point_figure(climate: Climate, walls: WallWeather, system: System = "ip") -> Figure:
    """Draw the dew point through the year against the room.

    Parameters
    ----------
    climate : Climate
        The year.
    walls : WallWeather
        What it brings to walls.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure
        A band from the lowest to the highest of each day, darker above the room's temperature, the
        mean as a line, and the room's temperature and dew point.
    """
    figure = _figure(4.4)
    _head(figure, climate, "Dew point of outdoor air through the year, and the room")
    axes = figure.add_axes((0.075, 0.145, 0.775, 0.68), label="dew point")
    low, mean, high, room, room_dew = (
        convert(np.asarray(values, dtype=np.float64), "temperature", system)
        for values in (
            walls.dew_point_low,
            walls.dew_point_mean,
            walls.dew_point_high,
            [ROOM_TEMPERATURE],
            [room_dew_point()],
        )
    )
    days = np.arange(mean.size) + 0.5
    axes.fill_between(days, low, high, color=DEW_POINT, alpha=0.28, lw=0, step="mid")
    above = high > room
    axes.fill_between(
        days, np.maximum(low, room), np.maximum(high, room), where=above, color=DEW_POINT,
        alpha=0.65, lw=0, step="mid", gid="above the room",
    )  # fmt: skip
    axes.plot(days, mean, color=DEW_POINT, lw=1.3)
    axes.axhline(room[0], color=TEMPERATURE, lw=1.8)
    axes.axhline(room_dew[0], color=DEW_POINT, lw=1.3, ls=(0, (5, 3)))
    _months(axes)
    axes.set_ylabel(unit_label("temperature", system), fontsize=8.5)
    axes.tick_params(axis="y", labelsize=8)
    axes.margins(y=0.06)
    for y, text, color in (
        (float(room[0]), f"room temperature\n{degrees_text(ROOM_TEMPERATURE, system)}", INK),
        (
            float(room_dew[0]),
            f"room dew point\n{degrees_text(room_dew_point(), system)}",
            DEW_POINT,
        ),
    ):
        axes.text(370.0, y, text, va="center", fontsize=8, color=color, clip_on=False)
    remark = "Line: mean of the day. Band: lowest to highest of the day."
    if above.any():
        remark += " Dark: dew point over the room's temperature."
    figure.text(0.075, 0.025, remark, fontsize=7.5, color=INK)
    return figure


def drive_figure(climate: Climate, walls: WallWeather, system: System = "ip") -> Figure:
    """Draw the hours of inward and outward vapor drive of each month.

    Parameters
    ----------
    climate : Climate
        The year.
    walls : WallWeather
        What it brings to walls.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure
        Bars up for hours inward, down for hours outward.
    """
    figure = _figure(3.9)
    _head(figure, climate, f"Hours with vapor drive {against_room(system)}")
    axes = figure.add_axes((0.075, 0.04, 0.9, 0.72), label="drive")
    x = np.arange(12)
    inward, outward = walls.inward_hours_month, walls.outward_hours_month
    axes.bar(x, inward, 0.62, color=DEW_POINT, gid="inward")
    axes.bar(
        x, -outward, 0.62, facecolor=OUTWARD_FILL, edgecolor=DEW_POINT, hatch="///", lw=0.8,
        gid="outward",
    )  # fmt: skip
    for k in range(12):
        if inward[k]:
            axes.text(k, inward[k] + 14, f"{inward[k]}", ha="center", va="bottom", fontsize=8)
        if outward[k]:
            axes.text(k, -outward[k] - 14, f"{outward[k]}", ha="center", va="top", fontsize=8)
    axes.axhline(0.0, color=INK, lw=0.9)
    axes.set_xlim(-0.95, 11.6)
    axes.set_ylim(-max(int(outward.max()) * 1.1 + 90, 160), max(int(inward.max()) * 1.1 + 90, 160))
    axes.set_xticks(x, MONTHS, fontsize=8.5)
    axes.tick_params(axis="x", length=0)
    axes.xaxis.set_ticks_position("top")
    axes.set_yticks([])
    low, high = axes.get_ylim()
    for y, text in ((0.5 * high, "inward"), (0.5 * low, "outward")):
        axes.text(
            -0.75, y, text, rotation=90, ha="center", va="center", fontsize=8.5, color=DEW_POINT
        )
    for side in axes.spines:
        axes.spines[side].set_visible(False)
    return figure


def _figure(height: float) -> Figure:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.5, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure


def _head(figure: Figure, climate: Climate, what: str) -> None:
    """Write the place and what is shown, at the same distance from the top in inches."""
    height = figure.get_figheight()
    figure.text(
        0.02, 1.0 - 0.22 / height, folded(f"{climate.place} ({climate.name})", 90, 1), fontsize=11.5,
        color=INK, va="center", parse_math=False,
    )  # fmt: skip
    figure.text(
        0.02, 1.0 - 0.5 / height, folded(f"{what}; {kind_of_year(climate)}", 120, 1), fontsize=8.5,
        color=INK, va="center", parse_math=False,
    )  # fmt: skip


def _title(figure: Figure, below: float, text: str) -> None:
    """Write the title of a strip, so many inches below the top."""
    y = 1.0 - below / figure.get_figheight()
    figure.text(0.075, y, text, fontsize=9, color=INK, va="center", weight="bold")


def _months(axes: Axes) -> None:
    starts = np.concatenate(([0], np.cumsum(MONTH_DAYS)))
    for day in starts[1:-1]:
        axes.axvline(day, color=HATCH, lw=0.4, alpha=0.5, zorder=0)
    axes.set_xlim(0, starts[-1])
    axes.set_xticks(0.5 * (starts[1:] + starts[:-1]), MONTHS, fontsize=8.5)
    axes.tick_params(axis="x", length=0)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _frame(axes: Axes) -> None:
    """Set up a strip without cells."""
    axes.set_xlim(-0.5, YEAR_COLUMN + 0.5)
    axes.set_ylim(len(FACINGS) - 0.5, -0.5)
    axes.set_xticks([])
    axes.set_yticks([])
    for side in axes.spines:
        axes.spines[side].set_visible(False)


def _strip(axes: Axes, values: Array, decimals: int, ramp: Colormap) -> None:
    """Fill a strip: a cell for each month and facing, the year's sums, the largest marked."""
    from matplotlib.colors import Normalize

    _frame(axes)
    scale = Normalize(0.0, max(float(values.max()), 1e-9))
    fill = ramp.with_extremes(bad=NOTHING_FILL)
    shown = np.ma.masked_less_equal(values, 0.0)
    axes.pcolormesh(
        np.arange(13) - 0.5,
        np.arange(len(FACINGS) + 1) - 0.5,
        shown.T,
        cmap=fill,
        norm=scale,
        edgecolors=PAPER,
        linewidth=1.6,
    )
    total = values.sum(axis=0)
    most = int(total.argmax()) if total.max() > 0.0 else -1
    for row, facing in enumerate(FACINGS):
        for month in range(12):
            value = float(values[month, row])
            text, color = "0", HATCH
            if value > 0.0:
                text, color = f"{value:.{decimals}f}", _ink_on(ramp(scale(value)))
            axes.text(month, row, text, ha="center", va="center", fontsize=8, color=color)
        weight = "bold" if row == most else "normal"
        axes.text(
            YEAR_COLUMN, row, f"{total[row]:.{decimals}f}", ha="center", va="center", fontsize=8.5,
            color=INK, weight=weight,
        )  # fmt: skip
        axes.text(
            -0.62, row, facing, ha="right", va="center", fontsize=8.5, color=INK, weight=weight
        )
    for x, text in (*enumerate(MONTHS), (YEAR_COLUMN, "year")):
        axes.text(x, -0.62, text, ha="center", va="bottom", fontsize=8.5, color=INK)


def sun_ramp() -> Colormap:
    """Fill of cells of sunshine, from little to much."""
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("sun", SUN_RAMP)


def luminance(fill: tuple[float, float, float, float]) -> float:
    """Relative luminance of a color (WCAG 2.2): black and white stand out alike at 0.179.

    Parameters
    ----------
    fill : (red, green, blue, alpha)
        From 0 to 1.
    """
    part = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in fill[:3]]
    return 0.2126 * part[0] + 0.7152 * part[1] + 0.0722 * part[2]


def _ink_on(fill: tuple[float, float, float, float]) -> str:
    """Light or dark ink, whichever stands out more."""
    return INK if luminance(fill) > 0.2 else PAPER
