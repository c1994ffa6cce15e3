"""The picture of a moment: the section as a still with counted drops, what moves, and the staircase below.

One drawing for pages and for figures: it asks a canvas for rectangles, lines, circles and texts, across in
percent, down in pixels, by the classes of ``page.css``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from moistwall.lesson.columns import Step
from moistwall.lesson.numbers import fahrenheit, grams
from moistwall.lesson.story import Lesson, Still, Told

LEFT, AIR = 7.0, 11.0
"""Room for the scale, and width of the columns of outdoor and room air. [%]"""

SECTION_TOP, SECTION_HEIGHT = 20.0, 96.0
DROP_ROWS, DROP_RADIUS = 6, 3.6
MOST_DRAWN = 36
"""Drops drawn in one column at most; the number below counts all of them."""

ARROWS_TOP, ARROW_ROW = 150.0, 34.0
LONGEST, HEAD = 88.0, 4.5
"""Length of the longest arrow without its head, and of the head. [%]"""

STAIRS_TOP, PIXELS_A_DEGREE, GRID = 240.0, 2.0, 20
PRESSURES_HEIGHT = 150.0


class Canvas(Protocol):
    """What a picture is drawn on."""

    def rect(self, class_: str, x: float, y: float, width: float, height: float) -> None:
        """Draw a rectangle."""

    def line(self, class_: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw a straight line."""

    def circle(self, class_: str, x: float, y: float, radius: float) -> None:
        """Draw a circle."""

    def text(self, class_: str, x: float, y: float, text: str) -> None:
        """Write a text."""


@dataclass(frozen=True)
class Scales:
    """What all pictures of a lesson share, so that they can be compared.

    Parameters
    ----------
    low, high : int
        Ends of the staircase. [degF]
    most_flow : float
        What the longest arrow stands for. [kg/(m2 h)]
    most_pressure : float
        Top of the scale of vapor pressure. [Pa]
    """

    low: int
    high: int
    most_flow: float
    most_pressure: float

    @property
    def stairs_height(self) -> float:
        """Height of the staircase. [px]"""
        return (self.high - self.low) * PIXELS_A_DEGREE

    def y(self, degf: float) -> float:
        """Where a temperature stands. [px]"""
        return STAIRS_TOP + (self.high - degf) * PIXELS_A_DEGREE

    def height(self, trade: bool) -> float:
        """Height of a picture. [px]"""
        return STAIRS_TOP + self.stairs_height + 34.0 + (PRESSURES_HEIGHT + 40.0 if trade else 0.0)


def scales(lesson: Lesson) -> Scales:
    """Scales that hold every moment of both designs and of all variants.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    """
    stills = [
        still
        for told in (*lesson.designs, *(told for _, told in lesson.variants))
        for still in told.stills
    ]
    shown = [
        fahrenheit(value)
        for still in stills
        for step in still.steps
        for value in (step.temperature, step.dew_point)
        if value is not None
    ]
    flows = [
        abs(value)
        for told in lesson.designs
        for still in told.stills
        for value in (still.leak, _at_lining(told, still))
    ]
    pressures = [
        step.vapor_pressure
        for told in lesson.designs
        for still in told.stills
        for step in still.steps
        if step.vapor_pressure is not None
    ]
    return Scales(
        int(min(shown) // GRID) * GRID,
        -int(-max(shown) // GRID) * GRID,
        max(*flows, 1e-6),
        1.1 * max(pressures),
    )


def _at_lining(told: Told, still: Still) -> float:
    return still.vapor[told.joints.index(told.lining)]


def edges(told: Told) -> tuple[float, ...]:
    """Where the columns begin and end, air on both sides included. [%]

    Parameters
    ----------
    told : Told
        A design.

    Returns
    -------
    tuple of float
        Two more than it has columns, and one.

    Notes
    -----
    Half of the width goes to all columns alike and half by thickness, so that thin layers can be seen.
    """
    thickness = [told.parts[k].thickness for k in told.columns]
    total, n = sum(thickness), len(thickness)
    room = 100.0 - LEFT - 2 * AIR
    found = [LEFT, LEFT + AIR]
    for one in thickness:
        found.append(found[-1] + room * (0.6 / n + 0.4 * one / total))
    found.append(100.0)
    return tuple(found)


def drops(extra: float, drop: float) -> int:
    """How many drops a column has; none where it is drier than the room's air would leave it."""
    return max(round(extra / drop), 0)


def draw_section(canvas: Canvas, told: Told) -> None:
    """Draw the layers and films, without water.

    Parameters
    ----------
    canvas : Canvas
        Where to.
    told : Told
        The design.
    """
    at = edges(told)
    top, tall = SECTION_TOP, SECTION_HEIGHT
    canvas.text("small soft middle", 0.5 * (at[0] + at[1]), top + 14, "out-")
    canvas.text("small soft middle", 0.5 * (at[0] + at[1]), top + 28, "doors")
    canvas.text("small soft middle", 0.5 * (at[-2] + at[-1]), top + 14, "room")
    for n, k in enumerate(told.columns):
        part = told.parts[k]
        x, width = at[n + 1], at[n + 2] - at[n + 1]
        if part.kind == "gap":
            canvas.rect("gap", x, top, width, tall)
        else:
            canvas.rect(f"layer layer-{part.material}", x, top, width, tall)
            canvas.rect(f"hatch-{part.material}", x, top, width, tall)
        canvas.line("edge", x, top, x, top + tall)
        canvas.text("small middle strong", x + 0.5 * width, top - 7, str(n + 1))
    canvas.line("edge", at[-2], top, at[-2], top + tall)
    for n, names in enumerate(films_between(told)):
        if not names:
            continue
        kind = "film" if any(told.parts[k].kind == "film" for k in names) else "facer"
        canvas.line(kind, at[n + 1], top, at[n + 1], top + tall)
    if told.control >= 0:
        x = at[told.control + 1]
        canvas.line("control", x, top, x, top + tall)


def films_between(told: Told) -> list[list[int]]:
    """Films and facers before each column, and those before the room's air, as places in ``told.parts``."""
    found: list[list[int]] = [[]]
    for k in range(len(told.parts)):
        if k in told.columns:
            found.append([])
        else:
            found[-1].append(k)
    return found


def draw_drops(canvas: Canvas, told: Told, still: Still, drop: float) -> None:
    """Draw the counted drops of each column, and their number below it.

    Parameters
    ----------
    canvas : Canvas
        Where to.
    told, still : Told, Still
        The design at a moment.
    drop : float
        What one drop stands for. [kg/m2]
    """
    at = edges(told)
    bottom = SECTION_TOP + SECTION_HEIGHT
    for n, extra in enumerate(still.extra):
        count = drops(extra, drop)
        x, width = at[n + 1], at[n + 2] - at[n + 1]
        shown = min(count, MOST_DRAWN)
        across = -(-shown // DROP_ROWS) if shown else 0
        for k in range(shown):
            column, row = divmod(k, DROP_ROWS)
            place = x + width * (column + 0.5) / max(across, 1)
            canvas.circle("drop", place, bottom - 9 - row * 14.5, DROP_RADIUS)
        canvas.text("small middle", x + 0.5 * width, bottom + 15, str(count))
    canvas.text("small soft start", 0.0, bottom + 15, "drops")


def draw_flows(canvas: Canvas, told: Told, still: Still, most: float) -> None:
    """Draw vapor at the inside board and the leak as two arrows on one scale.

    Parameters
    ----------
    canvas : Canvas
        Where to.
    told, still : Told, Still
        The design at a moment.
    most : float
        What the longest arrow stands for. [kg/(m2 h)]
    """
    last = len(told.columns)
    rows = (
        (f"vapor between {last - 1} and {last}", _at_lining(told, still), "dew-fill"),
        ("leaking air", still.leak, "ink-fill"),
    )
    for n, (words, flow, kind) in enumerate(rows):
        y = ARROWS_TOP + n * ARROW_ROW
        length = LONGEST * abs(flow) / most
        way = " inward" if flow > 0 else " outward" if flow < 0 else ""
        canvas.text("small start", LEFT, y + 12, f"{words}: {grams(abs(flow))}{way}")
        if flow > 0:
            canvas.rect(kind, LEFT, y + 21, max(length, 0.3), 5)
            canvas.text(f"start arrow {kind}", LEFT + length, y + 28.5, "\u25b6")
        elif flow < 0:
            canvas.rect(kind, LEFT + HEAD, y + 21, max(length, 0.3), 5)
            canvas.text(f"end arrow {kind}", LEFT + HEAD, y + 28.5, "\u25c0")


def draw_stairs(canvas: Canvas, told: Told, steps: Sequence[Step] | None, scale: Scales) -> None:
    """Draw the staircase of dew points, with the temperature of each column.

    Parameters
    ----------
    canvas : Canvas
        Where to.
    told : Told
        The design.
    steps : sequence of Step or None
        None draws the empty grid.
    scale : Scales
        Scales of the lesson.
    """
    at = edges(told)
    bottom = STAIRS_TOP + scale.stairs_height
    for degf in range(scale.low, scale.high + 1, GRID):
        canvas.line("rule", LEFT, scale.y(degf), 100.0, scale.y(degf))
        canvas.text("small soft start", 0.0, scale.y(degf) + 4, str(degf))
    canvas.text("small soft start", 0.0, STAIRS_TOP - 10, "degF")
    for x in at[1:-1]:
        canvas.line("rule", x, STAIRS_TOP, x, bottom)
    for n in range(len(told.columns)):
        canvas.text("small middle strong", 0.5 * (at[n + 1] + at[n + 2]), bottom + 16, str(n + 1))
    canvas.text("small soft middle", 0.5 * (at[0] + at[1]), bottom + 16, "outdoors")
    canvas.text("small soft middle", 0.5 * (at[-2] + at[-1]), bottom + 16, "room")
    if steps is None:
        return
    before: tuple[float, float] | None = None
    for n, step in enumerate(steps):
        x, width = at[n], at[n + 1] - at[n]
        middle, warm = x + 0.5 * width, scale.y(fahrenheit(step.temperature))
        canvas.line("temperature", x + 0.3 * width, warm, x + 0.7 * width, warm)
        canvas.circle("heat-fill", middle, warm, 4.0)
        if step.dew_point is None:
            before = None
            continue
        height = fahrenheit(step.dew_point)
        y = scale.y(height)
        if before is not None:
            canvas.line("dew", x, before[1], x, y)
        canvas.rect("dew-soft", x, y, width, bottom - y)
        canvas.line("dew tread", x, y, x + width, y)
        above = y - 5 if abs(warm - (y - 9)) > 9 else y + 13
        canvas.text("small middle strong", middle, above, f"{height:.0f}")
        before = (x, y)


def draw_pressures(canvas: Canvas, told: Told, steps: Sequence[Step], scale: Scales) -> None:
    """Draw vapor pressure by column below the saturation line.

    Parameters
    ----------
    canvas : Canvas
        Where to.
    told : Told
        The design.
    steps : sequence of Step
        Air of the columns.
    scale : Scales
        Scales of the lesson.
    """
    at = edges(told)
    top = STAIRS_TOP + scale.stairs_height + 58.0
    bottom = top + PRESSURES_HEIGHT

    def y(pressure: float) -> float:
        return bottom - PRESSURES_HEIGHT * min(pressure / scale.most_pressure, 1.0)

    canvas.text(
        "small soft start",
        0.0,
        top - 8,
        "vapor pressure, Pa; dashed: saturation, where the scale holds it",
    )
    canvas.line("axis", LEFT, bottom, 100.0, bottom)
    for (a, b), step in zip(pairwise(at), steps, strict=True):
        if step.saturation <= scale.most_pressure:
            canvas.line("saturation", a, y(step.saturation), b, y(step.saturation))
        if step.vapor_pressure is not None:
            canvas.rect("dew-soft", a, y(step.vapor_pressure), b - a, bottom - y(step.vapor_pressure))  # fmt: skip
            canvas.line("dew tread", a, y(step.vapor_pressure), b, y(step.vapor_pressure))
            canvas.text("small middle", 0.5 * (a + b), bottom + 14, f"{step.vapor_pressure:.0f}")


def draw_moment(
    canvas: Canvas, lesson: Lesson, design: int, moment: int, scale: Scales, trade: bool
) -> None:
    """Draw one design at one moment.

    Parameters
    ----------
    canvas : Canvas
        Where to.
    lesson : Lesson
        A computed lesson.
    design, moment : int
        Which.
    scale : Scales
        Scales of the lesson.
    trade : bool
        Whether vapor pressure and saturation follow below.
    """
    told = lesson.designs[design]
    still = told.stills[moment]
    draw_section(canvas, told)
    draw_drops(canvas, told, still, lesson.drop)
    draw_flows(canvas, told, still, scale.most_flow)
    draw_stairs(canvas, told, still.steps, scale)
    if trade:
        draw_pressures(canvas, told, still.steps, scale)
