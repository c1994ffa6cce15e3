"""Pictures of studies on pages: a number over what is varied, designs side by side, chances, influence, drying."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from moistwall.show.drawing import Drawing

if TYPE_CHECKING:
    from markupsafe import Markup

MARKS = (
    ("dot-a", "M-4.5 0A4.5 4.5 0 1 1 4.5 0A4.5 4.5 0 1 1 -4.5 0Z"),
    ("dot-b", "M-4 -4H4V4H-4Z"),
    ("dot-c", "M0 -6L5.5 0L0 6L-5.5 0Z"),
    ("dot-d", "M0 -5.5L5.5 4.5H-5.5Z"),
    ("dot-e", "M-5 -1.5H-1.5V-5H1.5V-1.5H5V1.5H1.5V5H-1.5V1.5H-5Z"),
)
"""Class and shape of the marks of series; their lines differ in color and in dashes."""

LEFT = 11.0
"""Room for the numbers of the axis. [%]"""

TALL = 190.0
"""Height of a chart. [px]"""

ROW = 17.0
"""Height of a line of the legend. [px]"""

Point = tuple[float, float]


def nice_steps(high: float, most: int = 5) -> list[float]:
    """Round numbers from 0 up to a little over a highest value.

    Parameters
    ----------
    high : float
        The highest value.
    most : int
        Steps at most.
    """
    if high <= 0.0:
        return [0.0, 1.0]
    size = 10.0 ** np.floor(np.log10(high / most))
    step = next(size * k for k in (1.0, 2.0, 5.0, 10.0) if size * k * most >= high * (1.0 - 1e-9))
    count = int(np.ceil(high / step - 1e-9))
    return [step * k for k in range(max(count, 1) + 1)]


def curves_drawing(
    title: str,
    series: Sequence[tuple[str, Sequence[Point]]],
    ticks: Sequence[tuple[float, str]],
    *,
    limit: tuple[float, str] | None = None,
    marked: bool = True,
) -> Markup:
    """Draw numbers over what is varied, or over time.

    Parameters
    ----------
    title : str
        What is shown, with its unit.
    series : sequence of (str, sequence of (float, float))
        Name and points of each line.
    ticks : sequence of (float, str)
        Places along the axis and what stands there.
    limit : (float, str) or None
        A limit and its name.
    marked : bool
        Whether each point has the mark of its line; else only the last one.

    Returns
    -------
    Markup
        SVG.
    """
    legend = len(series) > 1
    top = (ROW * len(series) if legend else 0.0) + 14.0
    high = max(
        [y for _, points in series for _, y in points] + [0.0 if limit is None else limit[0]]
    )
    steps = nice_steps(high)
    x_low, x_high = ticks[0][0], ticks[-1][0]
    told = "; ".join(
        (f"{name}: " if name else "")
        + ", ".join(f"{y:.4g} at {_near(x, ticks)}" for x, y in points)
        for name, points in series
        if marked
    )
    drawing = Drawing(top + TALL + 26.0, title, told + "." if told else "")

    def across(x: float) -> float:
        return LEFT + 2.0 + (96.0 - LEFT) * (x - x_low) / max(x_high - x_low, 1e-12)

    def down(y: float) -> float:
        return top + TALL * (1.0 - y / steps[-1])

    for value in steps:
        drawing.line("rule", LEFT, down(value), 100.0, down(value))
        drawing.text("small soft end", LEFT, down(value) + 4.0, f"{value:.6g}", dx=-5.0)
    if limit is not None:
        drawing.line("limit-line", LEFT, down(limit[0]), 100.0, down(limit[0]))
        drawing.text("small strong end halo-paper", 100.0, down(limit[0]) - 5.0, limit[1])
    for x, text in ticks:
        if text:
            drawing.text("small soft middle", across(x), top + TALL + 16.0, text)
    for k, (name, points) in enumerate(series):
        kind, shape = MARKS[k % len(MARKS)]
        line = kind.replace("dot", "line")
        with drawing.frame(0.0, 0.0, 100.0, top + TALL, (100.0, top + TALL)) as frame:
            frame.path(line, [(across(x), down(y)) for x, y in points])
        for x, y in points if marked else points[-1:]:
            drawing.glyph(kind, across(x), down(y), shape)
        if legend:
            drawing.line(line, 0.0, ROW * k + 8.0, 7.0, ROW * k + 8.0)
            drawing.glyph(kind, 3.5, ROW * k + 8.0, shape)
            drawing.text("", 9.0, ROW * k + 12.0, name)
    return drawing.svg()


def _near(x: float, ticks: Sequence[tuple[float, str]]) -> str:
    return min(ticks, key=lambda tick: abs(tick[0] - x))[1] or f"{x:.4g}"


def bars_drawing(
    title: str,
    rows: Sequence[tuple[str, float | None, str]],
    *,
    limit: tuple[float, str] | None = None,
) -> Markup:
    """Draw one number of several designs, one below the other.

    Parameters
    ----------
    title : str
        What is shown.
    rows : sequence of (str, float or None, str)
        Name, number and the number as text; None where there is none.
    limit : (float, str) or None
        A limit and its name.

    Returns
    -------
    Markup
        SVG.
    """
    known = [value for _, value, _ in rows if value is not None]
    most = max([*known, 0.0 if limit is None else limit[0], 1e-12])
    reach = 80.0
    told = "; ".join(f"{name}: {text}" for name, _, text in rows)
    drawing = Drawing(36.0 * len(rows) + (18.0 if limit else 2.0), title, told + ".")
    for k, (name, value, text) in enumerate(rows):
        y = 36.0 * k
        drawing.text("", 0.0, y + 12.0, name)
        drawing.rect("panel-fill", 0.0, y + 17.0, reach, 12.0)
        width = 0.0 if value is None else reach * value / most
        if width > 0.0:
            drawing.rect("dew-fill", 0.0, y + 17.0, width, 12.0)
        drawing.text("strong", reach, y + 28.0, text, dx=6.0)
    if limit is not None:
        x, low = reach * limit[0] / most, 36.0 * len(rows)
        drawing.line("limit", x, 14.0, x, low)
        drawing.text("small end", x, low + 13.0, limit[1])
    return drawing.svg()


def chances_drawing(title: str, rows: Sequence[tuple[str, float, float, float]]) -> Markup:
    """Draw chances with their intervals, from 0 to 100 %.

    Parameters
    ----------
    title : str
        What is shown.
    rows : sequence of (str, float, float, float)
        Name, share and interval. [-]

    Returns
    -------
    Markup
        SVG: a hatched bar for the interval, a lozenge for the share.
    """
    told = "; ".join(
        f"{name}: {100 * share:.0f} %, {100 * low:.0f} to {100 * high:.0f} %"
        for name, share, low, high in rows
    )
    drawing = Drawing(36.0 * len(rows) + 18.0, title, told + ".")
    for k, (name, share, low, high) in enumerate(rows):
        y = 36.0 * k
        drawing.text("", 0.0, y + 12.0, name)
        drawing.text("strong end", 100.0, y + 12.0, f"{100 * share:.0f} %")
        drawing.rect("panel-fill", 1.0, y + 18.0, 98.0, 11.0)
        drawing.rect("soak", 1.0 + 98.0 * low, y + 18.0, 98.0 * (high - low), 11.0)
        drawing.glyph("lozenge", 1.0 + 98.0 * share, y + 23.5, "M0 -8L5.5 0L0 8L-5.5 0Z")
    for value in (0, 50, 100):
        anchor = "start" if value == 0 else "end" if value == 100 else "middle"
        drawing.text(
            f"small soft {anchor}", 1.0 + 0.98 * value, 36.0 * len(rows) + 12.0, f"{value} %"
        )
    return drawing.svg()


def influence_drawing(title: str, rows: Sequence[tuple[str, float]]) -> Markup:
    """Draw rank correlations, from -1 to 1.

    Parameters
    ----------
    title : str
        What is shown.
    rows : sequence of (str, float)
        Input and correlation.

    Returns
    -------
    Markup
        SVG: full bars to the right for more, hatched ones to the left for less.
    """
    told = "; ".join(f"{name}: {value:+.2f}" for name, value in rows)
    drawing = Drawing(36.0 * len(rows) + 16.0, title, told + ".")
    drawing.text("small soft", 0.0, 11.0, "more of it, fewer")
    drawing.text("small soft end", 100.0, 11.0, "more of it, more")
    for k, (name, value) in enumerate(rows):
        y = 16.0 + 36.0 * k
        width = 44.0 * abs(value)
        drawing.text("", 0.0, y + 12.0, name)
        drawing.rect(
            "dew-fill" if value > 0.0 else "soak",
            50.0 if value > 0.0 else 50.0 - width,
            y + 17.0,
            width,
            12.0,
        )
        side = "" if value > 0.0 else "end"
        at = 50.0 + width if value > 0.0 else 50.0 - width
        drawing.text(side, at, y + 28.0, f"{value:+.2f}", dx=5.0 if value > 0.0 else -5.0)
        drawing.line("axis", 50.0, y + 15.0, 50.0, y + 31.0)
    return drawing.svg()
