"""The section drawn to scale, outside on the left, with every part named."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from moistwall.result import Part, Result
from moistwall.show.palette import CONTROL, FILM, INK, LAYER_FILL, LAYER_HATCH, PAPER
from moistwall.units import System, convert

if TYPE_CHECKING:
    from matplotlib.figure import Figure


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
        Such as '5 1/2 in' or '140 mm'; below 1/16 in the decimal.
    """
    shown = convert(thickness, "length", system)
    if system == "si":
        return f"{shown:.3g} mm"
    sixteenths = round(shown * 16)
    if sixteenths == 0 or abs(sixteenths / 16 - shown) > 0.02:
        return f"{shown:.3g} in"
    whole, rest = divmod(sixteenths, 16)
    part = f"{Fraction(rest, 16)}" if rest else ""
    return " ".join(text for text in (str(whole) if whole else "", part, "in") if text)


def _label(part: Part, result: Result, system: System) -> str:
    text = part.name
    if part.thickness > 0:
        text += f", {thickness_text(part.thickness, system)}"
    if part.kind == "gap":
        text += f", {part.material}"
    if part.name == result.water_control:
        text += f"  (keeps rain out{', seams ' + result.seams if result.seams else ''})"
    return text


def section_figure(result: Result, system: System = "ip") -> Figure:
    """Draw the section to scale.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units of the thicknesses.

    Returns
    -------
    Figure
        Layers by fill and hatch, films as lines, one label a part with a leader to it.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure
    from matplotlib.patches import Rectangle

    total = sum(part.thickness for part in result.parts)
    parts = [
        part for part in result.parts if part.kind != "facer" or part.name == result.water_control
    ]
    figure = Figure(figsize=(8.0, 1.6 + 0.34 * len(parts)), facecolor=PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.02, 0.02, 0.96, 0.88))
    drawn = 0.46  # share of the picture's width that the section takes
    top, bottom = 1.0, 0.0
    x = 0.0
    row = 0
    step = 1.0 / len(parts)
    for part in result.parts:
        width = part.thickness / total * drawn
        middle = x + 0.5 * width
        control = part.name == result.water_control
        if part.kind == "layer":
            axes.add_patch(
                Rectangle(
                    (x, bottom),
                    width,
                    top - bottom,
                    facecolor=LAYER_FILL.get(part.material, PAPER),
                    hatch=LAYER_HATCH.get(part.material, ""),
                    edgecolor="#8A8A8A",
                    linewidth=0.4,
                )
            )
            axes.plot([x, x, x + width, x + width], [bottom, top, top, bottom], color=INK, lw=0.7)
        elif part.kind == "gap":
            axes.plot([x, x + width], [top, top], color=INK, lw=0.7, ls=":")
            axes.plot([x, x + width], [bottom, bottom], color=INK, lw=0.7, ls=":")
            if part.material != "sealed":
                axes.annotate(
                    "",
                    (middle, 0.78),
                    (middle, 0.22),
                    arrowprops={"arrowstyle": "->", "color": INK, "lw": 1.0},
                )
        if part.kind in ("film", "facer"):
            shown = part.kind == "film" or control
            axes.plot(
                [x, x],
                [bottom, top],
                color=CONTROL if control else FILM if shown else "#9A9A9A",
                lw=2.4 if control else 1.8 if shown else 0.8,
                solid_capstyle="butt",
            )
        elif control:
            axes.plot([x, x], [bottom, top], color=CONTROL, lw=2.4, solid_capstyle="butt")
        if part in parts:
            y = 1.0 - (row + 0.5) * step
            axes.plot([middle], [y], marker="o", ms=2.6, color=INK, zorder=5)
            axes.plot([middle, drawn + 0.02], [y, y], color=INK, lw=0.5, zorder=4)
            axes.text(
                drawn + 0.03,
                y,
                _label(part, result, system),
                va="center",
                fontsize=8.5,
                color=CONTROL if control else INK,
                parse_math=False,
            )
            row += 1
        x += width
    axes.text(0.0, 1.035, "outside", fontsize=8.5, color=INK)
    axes.text(drawn, 1.035, "room", fontsize=8.5, color=INK, ha="right")
    axes.set_xlim(-0.01, 1.0)
    axes.set_ylim(-0.03, 1.1)
    axes.axis("off")
    figure.text(0.03, 0.955, result.section_name, fontsize=10.5, color=INK, parse_math=False)
    figure.text(0.97, 0.955, "thicknesses to scale", fontsize=7.5, color=INK, ha="right")
    return figure
