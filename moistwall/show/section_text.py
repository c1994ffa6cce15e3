"""The section as a drawing of letters and signs, outside on the left, with a line on each part below."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from string import ascii_letters

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.drying_paths import part_resistance
from moistwall.section import Film, Gap, Layer, Part, Section
from moistwall.show.section import thickness_text
from moistwall.show.wrapping import WIDTH
from moistwall.units import System, convert, unit_label

Array = NDArray[np.float64]

LEAST_COLUMNS = 3
"""Columns of a thin layer; the rest of the room goes by thickness."""

ROWS = 4
SIGNS = {
    "cladding": "#",
    "masonry": "#",
    "foam": "o",
    "wool": "~",
    "natural": "~",
    "sheathing": "=",
    "lumber": "=",
    "flooring": "=",
    "lining": "%",
    "ground": ":",
}
"""What a layer is filled with, by kind of material; another kind with '-'."""

FILM, EDGE = "!", "|"
ARROWS = {"ventilated": "^", "vented": "'", "drained": ".", "sealed": " "}
"""What stands in every second row of a gap, by kind."""


def section_drawing(section: Section) -> list[str]:
    """Draw the section.

    Parameters
    ----------
    section : Section
        The section.

    Returns
    -------
    list of str
        Lines of at most 80 columns; none if it has too many parts for them. Facers are part of their
        boards; thin layers are wider than to scale.
    """
    shown = drawn_parts(section)
    solid = [part for part in shown if not isinstance(part, Film)]
    behind_film = sum(
        not isinstance(part, Film) and (k > 0 and isinstance(shown[k - 1], Film))
        for k, part in enumerate(shown)
    )
    edges = 1 + len(solid) + behind_film
    room = WIDTH - (len(shown) - len(solid)) - edges
    if room < len(solid) or len(shown) > len(ascii_letters):
        return []
    width = _columns(solid, room)
    rows = [EDGE for _ in range(ROWS)]
    letters = " "
    edge = True
    for key, part in zip(ascii_letters, shown, strict=False):
        if isinstance(part, Film):
            for r in range(ROWS):
                rows[r] += FILM
            letters += key
            edge = False
            continue
        if not edge:
            rows = [row + EDGE for row in rows]
            letters += " "
        wide = width[solid.index(part)]
        for r in range(ROWS):
            rows[r] += _fill(part, wide, r) + EDGE
        letters += key.center(wide) + " "
        edge = True
    head = "outside" + "room".rjust(max(len(rows[0]) - len("outside"), 5))
    return [head, *rows, letters.rstrip()]


def drawn_parts(section: Section) -> list[Part]:
    """Parts of a section without the facers that come with boards.

    Parameters
    ----------
    section : Section
        The section.
    """
    return [part for part in section.parts if not (isinstance(part, Film) and part.facer)]


def _columns(solid: Sequence[Layer | Gap], room: int) -> list[int]:
    """Columns of each layer and gap: a least number, and the rest by thickness."""
    least = min(LEAST_COLUMNS, room // len(solid))
    depth = np.array([_depth(part) for part in solid])
    wanted = (room - least * len(solid)) * depth / depth.sum()
    given = np.floor(wanted).astype(int)
    for k in np.argsort(given - wanted)[: room - least * len(solid) - int(given.sum())]:
        given[k] += 1
    return [int(one) + least for one in given]


def _depth(part: Layer | Gap) -> float:
    return part.depth if isinstance(part, Gap) else part.thickness


def _fill(part: Part, wide: int, row: int) -> str:
    if isinstance(part, Gap):
        sign = ARROWS[part.kind] if row % 2 == 0 else " "
        return sign.center(wide)
    assert isinstance(part, Layer)
    return SIGNS.get(part.material.kind, "-") * wide


def part_lines(
    section: Section, resistance: Array, left_out: Collection[str], system: System
) -> list[str]:
    """One line on each part: name, thickness, resistance, permeance at wet cup.

    Parameters
    ----------
    section : Section
        The section.
    resistance : (n_parts,) ndarray
        Thermal resistance of each part. [m2 K/W]
    left_out : collection of str
        Parts whose resistance does not count, and is not shown.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        A heading, and a line for each part that is drawn; of a board with facers the permeance is that
        of all three.
    """
    unit = "R" if system == "ip" else unit_label("thermal_resistance", system)
    permeance = unit_label("permeance", system)
    lines = [f"{'':44}{'thickness':>11}{unit:>8}{permeance:>15}"]
    shown = drawn_parts(section)
    for key, part in zip((*ascii_letters, *[" "] * len(shown)), shown, strict=False):
        k = section.parts.index(part)
        control = _keeps_rain_out(section, k)
        name = part.name + (" (keeps rain out)" if control else "")
        if isinstance(part, Gap):
            if "gap" not in part.name:
                name += f", {part.kind} gap"
            elif part.kind not in part.name:
                name += f", {part.kind}"
        thick = thermal = ""
        if not isinstance(part, Film):
            thick = thickness_text(_depth(part), system)
            value = convert(float(resistance[k]), "thermal_resistance", system)
            thermal = "-" if part.name in left_out else f"{value:.2f}"
        vapor = _permeance(section, k, system)
        lines.append(f"{key} {_fitted(name, 42)}{thick:>11}{thermal:>8}{vapor:>15}".rstrip())
    return lines


def _fitted(name: str, width: int) -> str:
    return (name if len(name) < width else name[: width - 3] + "..").ljust(width)


def _around(section: Section, k: int) -> list[Part]:
    """A part with the facers beside it."""
    parts = section.parts
    own = [parts[k]]
    for n in (k - 1, k + 1):
        if 0 <= n < len(parts):
            near = parts[n]
            if isinstance(near, Film) and near.facer and near.name.startswith(parts[k].name + " "):
                own.append(near)
    return own


def _keeps_rain_out(section: Section, k: int) -> bool:
    return any(part.name == section.water_control for part in _around(section, k))


def _permeance(section: Section, k: int, system: System) -> str:
    part = section.parts[k]
    if isinstance(part, Gap):
        return ""
    total = sum(part_resistance(one) for one in _around(section, k))
    return permeance_text(1.0 / total, system)


def permeance_text(permeance: float, system: System, digits: int = 3) -> str:
    """A permeance without its unit.

    Parameters
    ----------
    permeance : float
        [kg/(m2 s Pa)]
    system : {'ip', 'si'}
        Units to show.
    digits : int
        Significant digits, at most 3.
    """
    shown = convert(permeance, "permeance", system)
    return f"{shown:.0f}" if shown >= 100.0 else f"{shown:.{digits}g}"
