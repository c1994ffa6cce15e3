"""Thermal resistance of air: at the two surfaces of a section, and in the gaps within it.

The rules of ISO 6946, annexes on surface resistances and airspaces, from memory throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from moistwall.air import KELVIN, STEFAN_BOLTZMANN
from moistwall.section import Gap, Section
from moistwall.solver.gap_faces import surface_emittance

Direction = Literal["horizontal", "up", "down"]

INSIDE_RESISTANCE: dict[Direction, float] = {"horizontal": 0.13, "up": 0.10, "down": 0.17}
"""Surface resistance in still air, indoors or sheltered, by direction of heat flow. [m2 K/W]"""

OUTSIDE_RESISTANCE = 0.04
"""Surface resistance in wind of 4 m/s. [m2 K/W]"""

RADIATION_TEMPERATURE = 10.0
"""Mean temperature at which the standard tabulates airspaces. At 25 degC radiation is 17 % stronger
and an ordinary airspace some 12 % less resistant. [degC]"""

STILL_AIR: dict[Direction, float] = {"horizontal": 1.25, "up": 1.95, "down": 0.12}
"""Convection across a wide airspace [W/(m2 K)]; of heat that flows down, times d^-0.44 [d in m]."""

OPEN_SHARE = {"sealed": 0.0, "drained": 0.0, "vented": 0.5, "ventilated": 1.0}
"""How far a gap counts as well ventilated, by kind. [-] Openings below 500 mm2 in a meter leave an
airspace unventilated, 1500 and more ventilate it well, and between them resistance goes over in a
straight line. Weep holes at the bottom do not count. A vented gap is put in the middle."""


@dataclass(frozen=True)
class Surfaces:
    """Resistance of the air at both surfaces.

    Parameters
    ----------
    inside, outside : float
        At the room and outdoors. [m2 K/W]
    sheltered : float
        At a surface that faces a well-ventilated gap. [m2 K/W]
    source : str
        In words.
    """

    inside: float
    outside: float
    sheltered: float
    source: str


def heat_direction(section: Section) -> Direction:
    """Direction of heat into an air-conditioned room.

    Parameters
    ----------
    section : Section
        The section; up to 30 degrees from upright it is a wall.

    Returns
    -------
    {'horizontal', 'up', 'down'}
        Down through a roof, up through a floor.
    """
    if section.tilt < 60.0:
        return "down"
    return "horizontal" if section.tilt <= 120.0 else "up"


def standard_surfaces(direction: Direction) -> Surfaces:
    """Surface resistances of ISO 6946.

    Parameters
    ----------
    direction : {'horizontal', 'up', 'down'}
        Of the heat.

    Returns
    -------
    Surfaces
        Next to a well-ventilated gap the air is as still as indoors.
    """
    inside = INSIDE_RESISTANCE[direction]
    return Surfaces(inside, OUTSIDE_RESISTANCE, inside, f"ISO 6946, heat flow {direction}")


def airspace_resistance(
    depth: float,
    emittance_outer: float,
    emittance_inner: float,
    direction: Direction,
    mean_temperature: float = RADIATION_TEMPERATURE,
) -> float:
    """Resistance of an unventilated airspace.

    Parameters
    ----------
    depth : float
        Distance of its faces, above 0. [m]
    emittance_outer, emittance_inner : float
        Of its faces. [-]
    direction : {'horizontal', 'up', 'down'}
        Of the heat.
    mean_temperature : float
        Of its faces. [degC]

    Returns
    -------
    float
        1 / (h_a + h_r): still air, and radiation between parallel faces. [m2 K/W]
    """
    still = STILL_AIR[direction] * (depth**-0.44 if direction == "down" else 1.0)
    convection = max(still, 0.025 / depth)  # below some 20 mm the air only conducts
    black = 4.0 * STEFAN_BOLTZMANN * (mean_temperature + KELVIN) ** 3
    radiation = black / (1.0 / emittance_outer + 1.0 / emittance_inner - 1.0)
    return 1.0 / (convection + radiation)


def gap_resistance(section: Section, gap: Gap, direction: Direction) -> float:
    """Resistance of a gap of a section, as if its air stood still.

    Parameters
    ----------
    section : Section
        The section that holds the gap.
    gap : Gap
        The gap.
    direction : {'horizontal', 'up', 'down'}
        Of the heat.

    Returns
    -------
    float
        [m2 K/W]
    """
    return airspace_resistance(
        gap.depth,
        surface_emittance(section, gap, -1),
        surface_emittance(section, gap, 1),
        direction,
    )
