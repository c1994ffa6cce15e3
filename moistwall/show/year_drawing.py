"""Where and when it is wet, on a page: humidity over depth and the days of the year, dew points below."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure
from moistwall.assess.condensation import LEAST_LIQUID
from moistwall.climate.hours import MONTH_DAYS
from moistwall.result import Result
from moistwall.show.drawing import Drawing
from moistwall.show.humidity import (
    HIGHEST,
    HOLDS_NOTHING,
    LOWEST,
    Band,
    bands_of,
    daily_means,
    liquid_depths,
)
from moistwall.show.names import MONTHS
from moistwall.show.palette import HUMIDITY_MAP
from moistwall.show.section_drawing import numbered_parts, tag
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from markupsafe import Markup

Array = NDArray[np.float64]

GUTTER = 8.0
"""Room for the numbers of the parts, left of the map. [%]"""

TOP, TALL = 20.0, 340.0
"""Of the map. [px]"""

DAYS = int(sum(MONTH_DAYS))
WET = 80.0
"""Humidity whose line is drawn. [%]"""

LINE_TALL = 110.0
"""Height of the curves of dew points. [px]"""


def months_above(drawing: Drawing, y: float, left: float = 0.0, width: float = 100.0) -> None:
    """Write the names of the months over a year.

    Parameters
    ----------
    drawing : Drawing
        Where.
    y : float
        Baseline. [px]
    left, width : float
        Of the year. [%]
    """
    ends = np.cumsum(MONTH_DAYS)
    for name, end, days in zip(MONTHS, ends, MONTH_DAYS, strict=True):
        x = left + width * (float(end) - 0.5 * days) / DAYS
        drawing.text("small soft middle", x, y, name)


def humidity_map_drawing(result: Result, system: System) -> Markup:
    """Draw humidity over depth (outside at the top) and the days of the year.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units of thicknesses.

    Returns
    -------
    Markup
        SVG; daily means, a white line at 80 %, ticks on days with liquid.
    """
    bands = bands_of(result)
    drawing = Drawing(
        TOP + TALL + 6.0,
        "Humidity in the section through the year",
        "Daily means over depth, outside at the top; the numbers are in the table of hours and in the months "
        "of each interface.",
    )
    months_above(drawing, 12.0, GUTTER, 100.0 - GUTTER)
    width = 100.0 - GUTTER
    for band in bands:
        y, height = TOP + band.low * TALL, (band.high - band.low) * TALL
        percent = _percent_of(result, band, height)
        if band.kind == "gap":
            drawing.rect("gap", GUTTER, y, width, height)
            drawing.text("small soft middle", GUTTER + 0.5 * width, y + 0.5 * height + 4.0, "air")
        elif percent is None:
            drawing.rect("panel-fill", GUTTER, y, width, height)
            drawing.text(
                "small soft middle", GUTTER + 0.5 * width, y + 0.5 * height + 4.0,
                "holds no moisture",
            )  # fmt: skip
        else:
            drawing.image(_png(percent), GUTTER, y, width, height)
    for band in bands:
        if band.kind != "surface":
            y = TOP + band.low * TALL
            drawing.line("edge", GUTTER, y, 100.0, y)
    drawing.line("edge", GUTTER, TOP + TALL, 100.0, TOP + TALL)
    _control_line(drawing, result, bands)
    _liquid(drawing, result, bands)
    middle = {band.index: 0.5 * (band.low + band.high) for band in bands if band.kind != "surface"}
    for one in numbered_parts(result, system):
        if one.part in middle:
            tag(drawing, 0.4 * GUTTER, TOP + middle[one.part] * TALL, one.number)
    return drawing.svg()


def _percent_of(result: Result, band: Band, height: float) -> Array | None:
    """Humidity in rows of equal depth by day; None of what has none."""
    if band.kind == "gap":
        return None
    if band.kind == "surface":
        return 100.0 * daily_means(result.rh_place[:, [band.index]]).T
    mine = np.flatnonzero((result.part_cell == band.index) & (result.skin_cell == 0))
    if result.content_cell[:, mine].max() < HOLDS_NOTHING:
        return None
    percent = 100.0 * daily_means(np.minimum(result.rh_cell[:, mine], 1.0)).T
    ends = np.cumsum(result.width_cell[mine])
    rows = (np.arange(max(int(height), 2)) + 0.5) / max(int(height), 2) * ends[-1]
    found: Array = percent[np.minimum(np.searchsorted(ends, rows), mine.size - 1)]
    return found


def _png(percent: Array) -> bytes:
    """Colors of a map, white where 80 % is crossed."""
    from matplotlib import colormaps
    from matplotlib.colors import Normalize
    from matplotlib.image import imsave

    colors = colormaps[HUMIDITY_MAP](Normalize(LOWEST, HIGHEST, clip=True)(percent), bytes=True)
    wet = percent >= WET
    crossed = np.zeros(wet.shape, dtype=bool)
    crossed[:, 1:] |= wet[:, 1:] != wet[:, :-1]
    crossed[1:] |= wet[1:] != wet[:-1]
    colors[crossed] = 255
    file = io.BytesIO()
    imsave(file, colors[..., :3].copy(), format="png")
    return file.getvalue()


def _control_line(drawing: Drawing, result: Result, bands: list[Band]) -> None:
    """Draw the line behind which rain must not get."""
    first = next((place for place in result.places if not place.outboard), None)
    if not result.water_control or first is None:
        return
    depth = next(
        (
            band.low
            for band in bands
            if band.kind == "layer" and result.parts[band.index].name == first.part
        ),
        0.0,
    )
    y = TOP + depth * TALL
    drawing.line("control", 0.0, y, 100.0, y)


def _liquid(drawing: Drawing, result: Result, bands: list[Band]) -> None:
    """Mark the days on which a place has liquid by ticks."""
    present = daily_means(result.liquid_place > LEAST_LIQUID) > 0.0
    for k, depth in enumerate(liquid_depths(result, bands)):
        days = np.flatnonzero(present[:, k])
        if days.size:
            y = TOP + depth * TALL
            with drawing.frame(GUTTER, y - 4.0, 100.0 - GUTTER, 8.0, (DAYS, 8.0)) as frame:
                for day in days:
                    frame.rect("tick", float(day), 0.0, 0.6, 8.0)


def humidity_scale_drawing() -> Markup:
    """Draw the scale of the map's colors.

    Returns
    -------
    Markup
        SVG.
    """
    drawing = Drawing(
        34.0, "Scale of humidity", f"From {LOWEST:g} % (light) to {HIGHEST:g} % (dark)."
    )
    ramp = np.linspace(LOWEST, HIGHEST, 141)[None, :]
    drawing.image(_png(ramp), GUTTER, 0.0, 100.0 - GUTTER, 14.0)
    for value in (30.0, 50.0, 80.0, 100.0):
        x = GUTTER + (100.0 - GUTTER) * (value - LOWEST) / (HIGHEST - LOWEST)
        anchor = "end" if value == HIGHEST else "start" if value == LOWEST else "middle"
        text = "30 % and less" if value == LOWEST else f"{value:.0f} %"
        drawing.text(f"small soft {anchor}", x, 29.0, text)
    return drawing.svg()


def dew_points_drawing(result: Result, system: System) -> Markup:
    """Draw the dew points of outdoor and room air and the room's temperature, daily means.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units of temperature.

    Returns
    -------
    Markup
        SVG.
    """
    rows = [
        ("dew", dew_point_from_vapor_pressure(daily_means(result.outdoor_vapor))),
        ("dew dashed", dew_point_from_vapor_pressure(daily_means(result.room_vapor))),
        ("temperature", daily_means(result.room_temperature)),
    ]
    curves = [(kind, np.asarray(convert(values, "temperature", system))) for kind, values in rows]
    low = min(float(values.min()) for _, values in curves)
    high = max(float(values.max()) for _, values in curves)
    step = 10.0 if system == "ip" else 5.0
    low, high = step * np.floor(low / step), step * np.ceil(high / step)
    drawing = Drawing(LINE_TALL + 26.0, "Dew points outdoors and in the room", _dew_words(curves))
    months_above(drawing, 12.0, GUTTER, 100.0 - GUTTER)
    for value in np.arange(low, high + 0.5 * step, 2.0 * step if high - low > 5 * step else step):
        y = 20.0 + LINE_TALL * (1.0 - (value - low) / (high - low))
        drawing.line("rule", GUTTER, y, 100.0, y)
        drawing.text("small soft end", GUTTER, y + 4.0, f"{value:.0f}", dx=-5.0)
    drawing.text("small soft", 0.0, 12.0, unit_label("temperature", system))
    with drawing.frame(GUTTER, 20.0, 100.0 - GUTTER, LINE_TALL, (DAYS, 100.0)) as frame:
        for kind, values in curves:
            height = 100.0 * (1.0 - (values - low) / (high - low))
            frame.path(kind, zip(np.arange(values.size) + 0.5, height, strict=True))
    return drawing.svg()


def _dew_words(curves: list[tuple[str, Array]]) -> str:
    outdoor, room = curves[0][1], curves[1][1]
    return (
        f"Outdoor air from {outdoor.min():.0f} to {outdoor.max():.0f}, room air from {room.min():.0f} to "
        f"{room.max():.0f}; higher outdoors on {int((outdoor > room).sum())} of {outdoor.size} days."
    )
