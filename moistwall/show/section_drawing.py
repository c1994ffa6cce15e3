"""The section on a page: to scale from outside to inside, each part under its number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from moistwall.result import Part
from moistwall.show.drawing import Drawing
from moistwall.show.labels import spread
from moistwall.show.names import Drawable, board_of, water_control_name
from moistwall.show.palette import LAYER_FILL
from moistwall.show.section import BARS, thickness_text
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from markupsafe import Markup

LEFT, WIDTH = 2.0, 96.0
"""Of the section, in percent of the page."""

TAGS, TOP, TALL = 30.0, 62.0, 132.0
"""Middle of the numbers, upper edge and height of the section. [px]"""

TAG_APART = 7.0
"""Least distance of two numbers, so that they can be read at 360 px. [%]"""

ARROWS = {
    "ventilated": ((TOP + TALL + 12.0, -26.0), (TOP + 16.0, -26.0)),
    "vented": ((TOP + TALL + 12.0, -26.0), (TOP + TALL - 16.0, 26.0)),
    "drained": ((TOP + TALL - 14.0, 24.0),),
}
"""Start and way of the arrows of a gap's air, or of the water that it drains. [px]"""


@dataclass(frozen=True)
class Numbered:
    """A part under the number that it has on all pictures of a page.

    Parameters
    ----------
    number : int
        From 1, outside to inside; facers have none of their own.
    name, told : str
        Its name, and thickness, kind and duty in words.
    part : int
        Place in ``result.parts``.
    control : bool
        Whether it keeps the rain out.
    """

    number: int
    name: str
    told: str
    part: int
    control: bool


def numbered_parts(result: Drawable, system: System) -> list[Numbered]:
    """The parts of a section with their numbers.

    Parameters
    ----------
    result : Drawable
        A computed year, or a section.
    system : {'ip', 'si'}
        Units of the thicknesses.

    Returns
    -------
    list of Numbered
    """
    control = _control(result)
    found: list[Numbered] = []
    for k, part in enumerate(result.parts):
        if part.kind == "facer":
            continue
        words = []
        if part.thickness > 0.0:
            words.append(thickness_text(part.thickness, system))
        words.append(f"{part.material} gap" if part.kind == "gap" else part.made_of or part.kind)
        sides = sorted(other for other in range(len(result.parts)) if board_of(result, other) == k)
        if sides:
            words.append("faced with " + " and ".join(result.parts[s].made_of for s in sides))
        if k == control:
            name = water_control_name(result)
            face = "" if name == part.name else f" with its {name.removesuffix(f' of {part.name}')}"
            seams = f", seams {result.seams}" if result.seams else ""
            words.append(f"keeps rain out{face}{seams}")
        found.append(
            Numbered(len(found) + 1, part.name, ", ".join(words), k, k == control)
        )  # fmt: skip
    return found


def _control(result: Drawable) -> int | None:
    """The part that keeps rain out; of a facer, its board."""
    for k, part in enumerate(result.parts):
        if part.name == result.water_control:
            board = board_of(result, k)
            return k if board is None else board
    return None


def section_drawing(result: Drawable, system: System) -> Markup:
    """Draw the section to scale for a page.

    Parameters
    ----------
    result : Drawable
        A computed year, or a section.
    system : {'ip', 'si'}
        Units of the scale bar.

    Returns
    -------
    Markup
        SVG; the names that go with its numbers are those of `numbered_parts`.
    """
    numbered = numbered_parts(result, system)
    told = "From outside to inside: " + "; ".join(
        f"{one.number} {one.name}, {one.told}" for one in numbered
    )
    drawing = Drawing(TOP + TALL + 48.0, "The section, to scale", told + ".")
    scale = WIDTH / sum(part.thickness for part in result.parts)
    middles: dict[int, float] = {}
    lines: list[tuple[str, float, Part]] = []
    x = LEFT
    for k, part in enumerate(result.parts):
        width = part.thickness * scale
        middles[k] = x + 0.5 * width
        if part.kind == "layer":
            kind = part.material if part.material in LAYER_FILL else ""
            drawing.rect(f"layer layer-{kind}", x, TOP, width, TALL)
            if kind:
                drawing.rect(f"hatch-{kind}", x, TOP, width, TALL)
            drawing.line("edge", x, TOP, x, TOP + TALL)
            drawing.line("edge", x + width, TOP, x + width, TOP + TALL)
        elif part.kind == "gap":
            drawing.rect("gap", x, TOP, width, TALL)
            for start, way in ARROWS.get(part.material, ()):
                head = 5.0 if way < 0.0 else -5.0
                drawing.glyph(
                    "edge", x + 0.5 * width, start, f"M0 0V{way}M-4 {way + head}L0 {way}L4 {way + head}"
                )  # fmt: skip
        if part.name == result.water_control:
            lines.append(("control", x, part))
        elif part.kind in ("film", "facer"):
            lines.append((part.kind, x, part))
        x += width
    for kind, at, _ in lines:
        drawing.line(kind, at, TOP - 5.0, at, TOP + TALL + 5.0)
        if kind == "control":
            drawing.glyph("control", at, TOP + TALL + 8.0, "M-4 6L0 0L4 6Z")
            end = at > 70.0
            drawing.text(
                "small control end" if end else "small control", at, TOP + TALL + 24.0,
                "rain stops here",
            )  # fmt: skip
    wanted = np.array([middles[one.part] for one in numbered])
    for one, place in zip(numbered, spread(wanted, TAG_APART, 4.0, 96.0), strict=True):
        drawing.line("axis", float(place), TAGS + 10.0, middles[one.part], TOP + 6.0)
        drawing.circle("ink-fill", middles[one.part], TOP + 6.0, 2.0)
        tag(drawing, float(place), TAGS, one.number)
    drawing.text("strong", 0.0, 12.0, "outside")
    drawing.text("strong end", 100.0, 12.0, "room")
    _scale_bar(drawing, scale, system)
    return drawing.svg()


def tag(drawing: Drawing, x: float, y: float, number: int) -> None:
    """Draw the number of a part in its ring.

    Parameters
    ----------
    drawing : Drawing
        Where.
    x : float
        Middle. [%]
    y : float
        Middle. [px]
    number : int
        The number.
    """
    drawing.circle("paper-fill", x, y, 10.0)
    drawing.text("small middle", x, y + 4.0, str(number))


def _scale_bar(drawing: Drawing, scale: float, system: System) -> None:
    meter = convert(1.0, "length", system)
    bars = BARS[system]
    shown = next((bar for bar in bars if bar / meter * scale <= 30.0), bars[-1])
    length, y = shown / meter * scale, TOP + TALL + 36.0
    right = LEFT + WIDTH
    drawing.line("edge", right - length, y, right, y)
    for x in (right - length, right):
        drawing.line("edge", x, y - 4.0, x, y + 4.0)
    drawing.text(
        "small end", right - length, y + 4.0, f"{shown:g} {unit_label('length', system)}", dx=-6.0
    )
