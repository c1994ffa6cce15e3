"""The section drawn to scale, outside on the left, with every part named."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from moistwall.result import Part, parts_of
from moistwall.section import Section
from moistwall.show.labels import folded
from moistwall.show.names import Drawable, board_of, water_control_name
from moistwall.show.palette import CONTROL, FACER, FILM, HATCH, INK, LAYER_FILL, LAYER_HATCH, PAPER
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, LEFT, DRAWN, BOTTOM, ABOVE, ROW = 8.0, 0.35, 3.4, 0.7, 0.95, 0.36
"""Of the picture: its width, the section's left edge and width, the room below and above it, and the
height that a label gets. [in on paper]"""

LABEL_CHARACTERS = 60
"""Longest line of a label."""

BARS: dict[System, tuple[float, ...]] = {
    "ip": (6.0, 4.0, 2.0, 1.0, 0.5),
    "si": (100.0, 50.0, 20.0, 10.0),
}
"""Lengths that the scale bar may show. [in], [mm]"""


@dataclass(frozen=True)
class Outline:
    """What of a section can be drawn before it is run.

    Parameters
    ----------
    section_name : str
        What it is called.
    parts : tuple of Part
        From outside to inside.
    water_control, seams : str
        The part that keeps rain out, and how its seams are treated; empty if none is named.
    tilt : float
        Between outer face and ground. [deg]
    """

    section_name: str
    parts: tuple[Part, ...]
    water_control: str
    seams: str
    tilt: float


def outline_of(section: Section) -> Outline:
    """What of a section can be drawn before it is run.

    Parameters
    ----------
    section : Section
        The section.

    Returns
    -------
    Outline
    """
    return Outline(
        section.name,
        parts_of(section),
        section.water_control or "",
        section.seams or "",
        section.tilt,
    )


def thickness_text(thickness: float, system: System) -> str:
    """A thickness as people say it: inches to the sixteenth, or millimeters.

    Parameters
    ----------
    thickness : float
        [m]
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        Such as '5 1/2 in' or '140 mm'; in decimals where no fraction comes near.
    """
    shown = convert(thickness, "length", system)
    if system == "si":
        return f"{shown:.3g} mm"
    for parts, near in ((16, 0.02), (32, 0.002)):  # panels are sold in thirty-seconds as well
        count = round(shown * parts)
        if count and abs(count / parts - shown) <= near:
            whole, rest = divmod(count, parts)
            part = f"{Fraction(rest, parts)}" if rest else ""
            return " ".join(text for text in (str(whole) if whole else "", part, "in") if text)
    return f"{shown:.3g} in"


def _label(part: Part, control: str, result: Drawable, system: System) -> str:
    """Name, thickness and role of a part; ``control`` is what of it keeps rain out."""
    text = part.name
    if part.thickness > 0:
        text += f", {thickness_text(part.thickness, system)}"
    if part.kind == "gap":
        text += f", {part.material}"
    if control:
        seams = f", seams {result.seams}" if result.seams else ""
        text += f" ({control} rain out{seams})"
    return folded(text, LABEL_CHARACTERS)


def _controls(result: Drawable) -> dict[int, str]:
    """What of which part keeps rain out, as the label says it."""
    for k, part in enumerate(result.parts):
        if part.name == result.water_control:
            board = board_of(result, k)
            if board is None:
                return {k: "keeps"}
            face = water_control_name(result).removesuffix(f" of {result.parts[board].name}")
            return {board: f"{face} keeps"}
    return {}


def section_figure(result: Drawable, system: System = "ip") -> Figure:
    """Draw the section to scale.

    Parameters
    ----------
    result : Drawable
        A computed year, or `outline_of` a section.
    system : {'ip', 'si'}
        Units of the thicknesses.

    Returns
    -------
    Figure
        Layers by fill and hatch, films as lines, one label a part with a leader to it.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    labeled = [k for k, part in enumerate(result.parts) if part.kind != "facer"]
    tall = max(ROW * len(labeled), 2.2)
    height = BOTTOM + tall + ABOVE
    figure = Figure(figsize=(WIDTH, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))  # its unit is the inch on paper
    axes.set_xlim(0.0, WIDTH)
    axes.set_ylim(0.0, height)
    axes.axis("off")

    scale = DRAWN / sum(part.thickness for part in result.parts)
    controls = _controls(result)
    row = tall / len(labeled)
    x = LEFT
    for k, part in enumerate(result.parts):
        width = part.thickness * scale
        if part.kind == "layer":
            _layer(axes, part, x, width, tall)
        elif part.kind == "gap":
            _gap(axes, part, x, width, tall, row)
        _film(axes, part, part.name == result.water_control, x, tall)
        if k in labeled:
            y = BOTTOM + tall - (labeled.index(k) + 0.5) * row
            color = CONTROL if k in controls else INK
            _leader(axes, x + 0.5 * width, y)
            text = _label(part, controls.get(k, ""), result, system)
            axes.text(
                LEFT + DRAWN + 0.22, y, text, va="center", fontsize=8.5, color=color, parse_math=False
            )  # fmt: skip
        x += width
    top = BOTTOM + tall
    axes.text(LEFT, top + 0.28, "outside", fontsize=8.5, color=INK)
    axes.text(LEFT + DRAWN, top + 0.28, "room", fontsize=8.5, color=INK, ha="right")
    axes.text(
        LEFT, height - 0.2, folded(result.section_name, 75), fontsize=11, color=INK, va="top",
        parse_math=False,
    )  # fmt: skip
    _scale_bar(axes, scale, system, result.tilt)
    return figure


def _layer(axes: Axes, part: Part, x: float, width: float, tall: float) -> None:
    from matplotlib.patches import Rectangle

    axes.add_patch(
        Rectangle(
            (x, BOTTOM),
            width,
            tall,
            facecolor=LAYER_FILL.get(part.material, PAPER),
            hatch=LAYER_HATCH.get(part.material, ""),
            edgecolor=HATCH,
            linewidth=0.0,
            gid=f"layer {part.name}",
        )
    )
    axes.plot([x, x], [BOTTOM, BOTTOM + tall], color=INK, lw=0.8)
    axes.plot([x + width, x + width], [BOTTOM, BOTTOM + tall], color=INK, lw=0.8)


def _gap(axes: Axes, part: Part, x: float, width: float, tall: float, row: float) -> None:
    """Draw a gap with its air: in below and out above, to and fro at one opening, or none."""
    top = BOTTOM + tall
    for y in (BOTTOM, top):
        axes.plot([x, x + width], [y, y], color=INK, lw=0.8, ls=":")
    inward = min(
        0.45, 0.9 * row
    )  # clear of the dot of its label, which is in the second row or below
    arrows: dict[str, tuple[tuple[float, float, str], ...]] = {
        "ventilated": ((BOTTOM - 0.2, BOTTOM + inward, "->"), (top - inward, top + 0.2, "->")),
        "vented": ((BOTTOM - 0.2, BOTTOM + inward, "<->"),),
        "drained": ((BOTTOM + inward, BOTTOM - 0.15, "->"),),
    }
    for start, end, style in arrows.get(part.material, ()):
        axes.annotate(
            "",
            (x + 0.5 * width, end),
            (x + 0.5 * width, start),
            arrowprops={"arrowstyle": style, "color": INK, "lw": 1.1, "shrinkA": 0, "shrinkB": 0},
        )


def _film(axes: Axes, part: Part, control: bool, x: float, tall: float) -> None:
    """Draw the line of a film or facer; of the part that keeps rain out, the line at its outer edge."""
    if part.kind == "gap" or (part.kind == "layer" and not control):
        return
    color, lw = (CONTROL, 2.6) if control else (FILM, 2.0) if part.kind == "film" else (FACER, 1.2)
    axes.plot(
        [x, x], [BOTTOM, BOTTOM + tall], color=color, lw=lw, solid_capstyle="butt", zorder=3,
        gid=f"line {part.name}",
    )  # fmt: skip


def _leader(axes: Axes, x: float, y: float) -> None:
    ends = ([x, LEFT + DRAWN + 0.15], [y, y])
    axes.plot(*ends, color=PAPER, lw=2.6, alpha=0.8, zorder=4, solid_capstyle="butt")
    axes.plot(*ends, color=INK, lw=0.6, zorder=5)
    axes.plot([x], [y], marker="o", ms=3.0, color=INK, mec=PAPER, mew=0.4, zorder=6)


def _scale_bar(axes: Axes, scale: float, system: System, tilt: float) -> None:
    """Draw a length to read the section by, and say how the section lies in truth."""
    meter = convert(1.0, "length", system)
    bars = BARS[system]
    shown = next((bar for bar in bars if bar / meter * scale <= 1.3), bars[-1])
    length, y = shown / meter * scale, 0.3
    axes.plot([LEFT, LEFT + length], [y, y], color=INK, lw=1.0)
    for x in (LEFT, LEFT + length):
        axes.plot([x, x], [y - 0.04, y + 0.04], color=INK, lw=1.0)
    text = f"{shown:g} {unit_label('length', system)}"
    axes.text(LEFT + length + 0.1, y, text, fontsize=7.5, color=INK, va="center")
    if tilt != 90.0:
        up = "outside on top" if tilt < 90.0 else "outside below"
        level = tilt if tilt < 90.0 else 180.0 - tilt
        text = f"drawn upright; in truth {level:.3g} deg from level, {up}"
        axes.text(LEFT + DRAWN + 0.22, y, text, fontsize=7.5, color=INK, va="center")
