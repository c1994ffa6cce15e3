"""Figures of a lesson: every moment of both designs, as matplotlib figures and as a moving picture."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from moistwall.lesson.numbers import grams, stamp
from moistwall.lesson.picture import Scales, draw_moment, draw_section, draw_stairs, scales
from moistwall.lesson.story import Lesson
from moistwall.show.labels import folded
from moistwall.show.palette import (
    CONTROL,
    DEW_POINT,
    FACER,
    FILM,
    HATCH,
    INK,
    LAYER_FILL,
    LAYER_HATCH,
    PAPER,
    TEMPERATURE,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDE = 360.0
"""Width of one design in the pixels that pictures are drawn in."""

PIXELS_AN_INCH = 90.0
SECONDS = 3.0
"""How long each moment of the moving picture is shown. [s]"""

_LINES: dict[str, tuple[str, float, str]] = {
    "edge": (INK, 0.8, "-"),
    "rule": ("#C9C4B8", 0.7, "-"),
    "axis": (FACER, 0.8, "-"),
    "film": (FILM, 2.0, "-"),
    "facer": (FACER, 1.2, "-"),
    "control": (CONTROL, 2.8, "-"),
    "temperature": (TEMPERATURE, 1.6, "-"),
    "dew": (DEW_POINT, 1.4, "-"),
    "tread": (DEW_POINT, 2.6, "-"),
    "saturation": (FACER, 1.2, "--"),
}
_FILLS = {
    "drop": FILM,
    "heat-fill": TEMPERATURE,
    "dew-fill": DEW_POINT,
    "ink-fill": INK,
    "gap": PAPER,
    "layer": PAPER,
}


class AxesCanvas:
    """Matplotlib's axes as a canvas: the looks of the page, in the colors of the pictures.

    Parameters
    ----------
    axes : Axes
        From 0 to 100 across, and down in pixels.
    """

    def __init__(self, axes: Axes) -> None:
        self._axes = axes
        self._order = 1.0

    def _next(self) -> float:
        self._order += 0.01
        return self._order

    def rect(self, class_: str, x: float, y: float, width: float, height: float) -> None:
        """Draw a rectangle; a hatch is one without a fill."""
        from matplotlib.patches import Rectangle

        words = class_.split()
        fill, alpha, hatch = _FILLS.get(words[0], PAPER), 1.0, ""
        if words[0] == "dew-soft":
            fill, alpha = DEW_POINT, 0.18
        elif words[0].startswith("hatch-"):
            fill, hatch = "none", LAYER_HATCH.get(words[0].removeprefix("hatch-"), "")
        elif words[-1].startswith("layer-"):
            fill = LAYER_FILL.get(words[-1].removeprefix("layer-"), PAPER)
        self._axes.add_patch(
            Rectangle(
                (x, y), width, height, facecolor=fill, edgecolor=HATCH, hatch=hatch, alpha=alpha,
                linewidth=0.0, zorder=self._next(),
            )
        )  # fmt: skip

    def line(self, class_: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw a straight line."""
        color, width, style = _LINES[class_.split()[-1]]
        self._axes.plot(
            [x1, x2], [y1, y2], color=color, lw=width, ls=style, zorder=self._next(),
            solid_capstyle="butt",
        )  # fmt: skip

    def circle(self, class_: str, x: float, y: float, radius: float) -> None:
        """Draw a circle that is round whatever the axes are stretched to."""
        self._axes.plot(
            [x], [y], marker="o", ms=2 * radius * 72.0 / PIXELS_AN_INCH, color=_FILLS[class_],
            mec=PAPER, mew=0.6, zorder=self._next(),
        )  # fmt: skip

    def text(self, class_: str, x: float, y: float, text: str) -> None:
        """Write a text."""
        words = class_.split()
        head = "arrow" in words
        anchor = "center" if "middle" in words else "right" if "end" in words else "left"
        self._axes.text(
            x, y, text, ha=anchor, va="baseline", fontsize=7.5 if "small" in words else 11.0,
            color=_FILLS[words[-1]] if head else FACER if "soft" in words else INK, zorder=self._next(),
            fontweight="bold" if "strong" in words else "normal", parse_math=False,
        )  # fmt: skip


def moment_figure(lesson: Lesson, moment: int, *, trade: bool = False) -> Figure:
    """Draw both designs at one moment, side by side.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    moment : int
        Which of its moments.
    trade : bool
        Whether vapor pressure and saturation follow below.

    Returns
    -------
    Figure
        Columns are numbered; their names stand below.
    """
    scale = scales(lesson)
    one = lesson.moments[moment]
    tall = scale.height(trade)
    names = [_names(lesson, design) for design in (0, 1)]
    top, below = 90.0, 26.0 + 13.0 * max(text.count("\n") + 1 for text in names)
    figure, axes = _sheets(tall, top, below)
    figure.text(
        0.02, 1 - 22.0 / (tall + top + below), f"{one.name}: {stamp(one.hour)}, {lesson.climate_place}",
        fontsize=10.5, color=INK, parse_math=False,
    )  # fmt: skip
    figure.text(
        0.02, 1 - 30.0 / (tall + top + below),
        f"One drop: {grams(lesson.drop)} of water on a square meter, beyond what the room's air would leave "
        f"there.\nBelow: dots are temperatures, steps are dew points; vapor goes down the steps.",
        fontsize=7.5, color=FACER, va="top", linespacing=1.4,
    )  # fmt: skip
    for design, where in enumerate(axes):
        draw_moment(AxesCanvas(where), lesson, design, moment, scale, trade)
        _caption(where, lesson, design, tall, names[design])
    return figure


def blank_figure(lesson: Lesson) -> Figure:
    """Draw both designs without water, above empty staircases to be filled in by hand.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    """
    scale = scales(lesson)
    tall = scale.height(False)
    names = [_names(lesson, design) for design in (0, 1)]
    figure, axes = _sheets(tall, 40.0, 26.0 + 13.0 * max(text.count("\n") + 1 for text in names))
    for design, where in enumerate(axes):
        canvas = AxesCanvas(where)
        draw_section(canvas, lesson.designs[design])
        draw_stairs(canvas, lesson.designs[design], None, scale)
        _caption(where, lesson, design, tall, names[design])
    return figure


def _sheets(tall: float, top: float, below: float) -> tuple[Figure, list[Axes]]:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    whole = tall + top + below
    figure = Figure(figsize=(2.1 * WIDE / PIXELS_AN_INCH, whole / PIXELS_AN_INCH), facecolor=PAPER)
    FigureCanvasAgg(figure)
    found = []
    for design in (0, 1):
        axes = figure.add_axes((0.02 + 0.49 * design, below / whole, 0.465, tall / whole))
        axes.set_xlim(0.0, 100.0)
        axes.set_ylim(tall, 0.0)
        axes.axis("off")
        found.append(axes)
    return figure, found


def _names(lesson: Lesson, design: int) -> str:
    told = lesson.designs[design]
    text = ", ".join(f"{n} {told.parts[k].name}" for n, k in enumerate(told.columns, start=1))
    return folded(text, 58, 4)


def _caption(axes: Axes, lesson: Lesson, design: int, tall: float, names: str) -> None:
    axes.text(
        0.0, -10.0, lesson.designs[design].label, fontsize=9.5, color=INK, fontweight="bold",
        clip_on=False, parse_math=False,
    )  # fmt: skip
    axes.text(
        0.0, tall + 6.0, names, fontsize=7.5, color=INK, va="top", clip_on=False, parse_math=False
    )


def moments_gif(lesson: Lesson, *, trade: bool = False) -> bytes:
    """Make a moving picture of the moments, one after the other.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    trade : bool
        As for `moment_figure`.

    Returns
    -------
    bytes
        A GIF that starts over at its end.
    """
    from PIL import Image

    frames = []
    for moment in range(len(lesson.moments)):
        png = io.BytesIO()
        moment_figure(lesson, moment, trade=trade).savefig(png, format="png", dpi=120)
        frames.append(Image.open(png).convert("P", palette=Image.Palette.ADAPTIVE, colors=128))
    found = io.BytesIO()
    frames[0].save(
        found, format="GIF", save_all=True, append_images=frames[1:], loop=0,
        duration=int(1000 * SECONDS), disposal=1,
    )  # fmt: skip
    return found.getvalue()


def picture_names(lesson: Lesson) -> tuple[str, ...]:
    """Names of the files of the moments' figures, without ending."""
    return tuple(
        f"{lesson.plan.name}-{n}-{moment.name.replace(' ', '-').lower()}"
        for n, moment in enumerate(lesson.moments, start=1)
    )


__all__ = ["Scales", "blank_figure", "moment_figure", "moments_gif", "picture_names"]
