"""The weather of a year on a page: a strip of months by facing for sun and driving rain, and vapor drive."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.weather import FACINGS, WallWeather, azimuth_of
from moistwall.show.climate_pictures import luminance
from moistwall.show.drawing import Drawing
from moistwall.show.names import MONTHS

if TYPE_CHECKING:
    from markupsafe import Markup
    from matplotlib.colors import Colormap

Array = NDArray[np.float64]

HEAD, YEAR = 9.0, 10.0
"""Width of the names of the facings, and of the sums of the year. [%]"""

ROW = 22.0
"""[px]"""


def facing_of(tilt: float, azimuth: float) -> str | None:
    """The facing that a section looks to.

    Parameters
    ----------
    tilt, azimuth : float
        Of its plane. [deg]

    Returns
    -------
    str or None
        The nearest of the eight; None of what is no wall.
    """
    if tilt != 90.0:
        return None
    return min(FACINGS, key=lambda one: abs((azimuth_of(one) - azimuth + 180.0) % 360.0 - 180.0))


def facing_strip(
    title: str, values: Array, decimals: int, ramp: Colormap, mine: str | None
) -> Markup:
    """Draw months by facing, a number in each cell.

    Parameters
    ----------
    title : str
        What is shown, with its unit.
    values : (12, 8) ndarray
        By month and facing.
    decimals : int
        Of the numbers.
    ramp : Colormap
        Fill, from little to much.
    mine : str or None
        The facing of the section, which is marked.

    Returns
    -------
    Markup
        SVG.
    """
    total = values.sum(axis=0)
    told = ", ".join(
        f"{one} {value:.{decimals}f}" for one, value in zip(FACINGS, total, strict=True)
    )
    drawing = Drawing(
        20.0 + ROW * len(FACINGS) + 4.0, f"{title}, by month and wall", f"In the year: {told}."
    )
    step = (100.0 - HEAD - YEAR) / 12.0
    for k, month in enumerate(MONTHS):
        drawing.text("small soft middle", HEAD + (k + 0.5) * step, 12.0, month)
    drawing.text("small soft end", 100.0, 12.0, "year")
    most = max(float(values.max()), 1e-12)
    for row, facing in enumerate(FACINGS):
        y = 20.0 + row * ROW
        own = "strong" if facing == mine else ""
        drawing.text(own, 0.0, y + 15.0, f"{'> ' if facing == mine else ''}{facing}")
        for k in range(12):
            value = float(values[k, row])
            color = ramp(value / most)
            fill = "#" + "".join(f"{round(255 * part):02x}" for part in color[:3])
            drawing.rect("", HEAD + k * step, y, step - 0.2, ROW - 2.0, fill=fill)
            ink = "on-light" if luminance(color) > 0.179 else "on-dark"
            drawing.text(
                f"small middle {ink}", HEAD + (k + 0.5) * step, y + 14.0, f"{value:.{decimals}f}"
            )  # fmt: skip
        drawing.text(f"small end {own}", 100.0, y + 14.0, f"{total[row]:.{decimals}f}")
        if facing == mine:
            drawing.rect("frame", HEAD, y - 1.0, 100.0 - HEAD - YEAR, ROW)
    return drawing.svg()


def drive_strip(walls: WallWeather) -> Markup:
    """Draw the hours of inward and of outward vapor drive of each month.

    Parameters
    ----------
    walls : WallWeather
        What the year brings to walls.

    Returns
    -------
    Markup
        SVG: full bars up for inward, hatched ones down for outward.
    """
    inward, outward = walls.inward_hours_month, walls.outward_hours_month
    told = "; ".join(
        f"{month} {one} inward, {two} outward"
        for month, one, two in zip(MONTHS, inward, outward, strict=True)
    )
    drawing = Drawing(178.0, "Hours of vapor drive by month", told + ".")
    step, tall, zero = (100.0 - HEAD) / 12.0, 62.0, 98.0
    for k, month in enumerate(MONTHS):
        x = HEAD + k * step
        up, down = tall * float(inward[k]) / 744.0, tall * float(outward[k]) / 744.0
        drawing.text("small soft middle", x + 0.5 * step, 12.0, month)
        drawing.rect("dew-fill", x + 0.12 * step, zero - up, 0.76 * step, up)
        drawing.rect("soak", x + 0.12 * step, zero, 0.76 * step, down)
        drawing.text("small middle", x + 0.5 * step, zero - up - 4.0, str(int(inward[k])))
        drawing.text("small middle", x + 0.5 * step, zero + down + 13.0, str(int(outward[k])))
    drawing.line("axis", HEAD, zero, 100.0, zero)
    drawing.text("small", 0.0, zero - 26.0, "in")
    drawing.text("small", 0.0, zero + 32.0, "out")
    return drawing.svg()
