"""The monthly dew-point calculation: where vapor would condense if each month were steady.

Temperatures follow resistances, vapor pressure follows vapor resistances; where it would rise above
saturation, the line is pulled taut below it: the lower convex hull of both ends and the saturation
pressures between them. Its corners are planes of condensation. A plane that holds water stands at
saturation until it is dry (ISO 13788, from memory; here a plane that dries within a month is dry from that
instant on, so that water in and out add up to what is stored).

The method knows neither storage nor liquid, neither sun nor rain nor any change within the month.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypedDict

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.assess.air_spaces import gap_resistance, heat_direction
from moistwall.assess.taut_line import AIR_PERMEABILITY, follow_month
from moistwall.assess.thermal import design_conductivity, first_inside
from moistwall.climate.hours import MONTH_DAYS, MONTH_OF_HOUR
from moistwall.climate.record import Climate
from moistwall.errors import InputError
from moistwall.loads.rooms import prescribed_room
from moistwall.section import Film, Gap, Layer, Section

Array = NDArray[np.float64]

GAP_THICKNESS = 0.01
"""s_d of a gap, whatever its depth (ISO 13788, from memory). [m]"""

INSIDE, OUTSIDE, INSIDE_FURNISHED = 0.13, 0.04, 0.25
"""Surface resistance at the room, outdoors, and at the room behind furniture, where mold is judged
(ISO 13788, from memory). [m2 K/W]"""

LARGEST_STEP = 0.25
"""A layer with a larger resistance is cut into equal steps that have at most this one. [m2 K/W]"""

PROPERTY_RH = 0.5
"""Humidity at which permeability is taken: between dry cup and wet cup. [-]"""

MOLD_RH = 0.8
"""Monthly mean humidity at the room's surface from which mold is expected (ISO 13788, from memory). [-]"""


@dataclass(frozen=True)
class Steps:
    """A section cut for the method, from its outer face or its innermost well-ventilated gap inwards.

    Parameters
    ----------
    name_node : tuple of str
        What lies on both sides of each node, or the layer that it lies in; facers go by their board.
        Nodes that share a name are one place to people.
    depth_node : (n,) ndarray
        Below the outer face of the whole section. [m]
    resistance : (n - 1,) ndarray
        Between nodes. [m2 K/W]
    air_thickness : (n - 1,) ndarray
        s_d between nodes, above 0. [m]
    outside : float
        Surface resistance at the first node. [m2 K/W]
    left_out : tuple of str
        What lies outside of the first node.
    """

    name_node: tuple[str, ...]
    depth_node: Array
    resistance: Array
    air_thickness: Array
    outside: float
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class Steady:
    """Twelve steady months.

    Parameters
    ----------
    section_name, climate_name, climate_place : str
        What was computed.
    steps : Steps
        How the section was cut.
    outdoor_temperature, outdoor_vapor, room_temperature, room_vapor : (12,) ndarray
        Air on both sides. [degC], [Pa]
    first_month : int or None
        Month, from 1, in which accumulation begins; None if nothing condenses.
    temperature_node, saturation_node, vapor_node : (12, n) ndarray
        Temperature [degC], saturation pressure and mean vapor pressure [Pa]; row 0 is January.
    gained_node, stored_node : (12, n) ndarray
        Water gained in each month, and what is there at its end. [kg/m2]
    entered_month, left_month : (12,) ndarray
        Vapor in through the first node and out through the last one, positive to the inside. [kg/m2]
    surface_saturated : bool
        True if the air at an end is above saturation at the surface, which the method cannot follow.
    accumulates : bool
        True if water is left when the month in which it began comes again.
    surface_factor : float
        (T_surface - T_outside) / (T_room - T_outside) at the room's surface, behind furniture. [-]
    surface_rh_month : (12,) ndarray
        Humidity at that surface. [-]
    needed_factor_month : (12,) ndarray
        Factor that keeps it below 80 %; nan where it is warmer outdoors than inside. [-]
    """

    section_name: str
    climate_name: str
    climate_place: str
    steps: Steps
    outdoor_temperature: Array
    outdoor_vapor: Array
    room_temperature: Array
    room_vapor: Array
    first_month: int | None
    temperature_node: Array
    saturation_node: Array
    vapor_node: Array
    gained_node: Array
    stored_node: Array
    entered_month: Array
    left_month: Array
    surface_saturated: bool
    accumulates: bool
    surface_factor: float
    surface_rh_month: Array
    needed_factor_month: Array

    @property
    def planes(self) -> dict[str, Array]:
        """Water at the end of each month, by the places that ever hold any, outside to inside. [kg/m2]"""
        found: dict[str, Array] = {}
        for k, name in enumerate(self.steps.name_node):
            stored = self.stored_node[:, k]
            if stored.any() or self.gained_node[:, k].any():
                found[name] = found.get(name, np.zeros(12)) + stored
        return found


def cut(section: Section, rh: float = PROPERTY_RH) -> Steps:
    """Cut a section into steps.

    Parameters
    ----------
    section : Section
        The section.
    rh : float
        Humidity at which permeability is taken, 0 to 1. [-]

    Returns
    -------
    Steps

    Raises
    ------
    InputError
        If the humidity is none.
    """
    if not 0.0 <= rh <= 1.0:
        raise InputError(
            f"humidity at which permeability is taken must lie from 0 to 1, got {rh:g}"
        )
    start = first_inside(section)
    direction = heat_direction(section)
    boards = boards_of(section)
    depth = sum(_depth(part) for part in section.parts[:start])
    names, depths = [_joint(section, boards, start - 1)], [depth]
    resistance: list[float] = []
    air: list[float] = []
    for k, part in enumerate(section.parts[start:], start=start):
        heat = vapor = 0.0
        if isinstance(part, Layer):
            material = part.material
            heat = part.thickness / design_conductivity(part)
            delta = float(np.interp(rh, material.vapor_rh, material.vapor_permeability))
            vapor = AIR_PERMEABILITY * part.thickness / delta
        elif isinstance(part, Film):
            vapor = AIR_PERMEABILITY / float(np.interp(rh, part.rh, part.permeance))
        else:
            heat, vapor = gap_resistance(section, part, direction), GAP_THICKNESS
        pieces = max(int(np.ceil(heat / LARGEST_STEP - 1e-9)), 1) if isinstance(part, Layer) else 1
        thickness = _depth(part)
        names += [f"within {boards[k]}"] * (pieces - 1) + [_joint(section, boards, k)]
        depths += [depth + thickness * (n + 1) / pieces for n in range(pieces)]
        depth += thickness
        resistance += [heat / pieces] * pieces
        air += [vapor / pieces] * pieces
    return Steps(
        tuple(names),
        np.array(depths),
        np.array(resistance),
        np.array(air),
        INSIDE if start else OUTSIDE,
        tuple(part.name for part in section.parts[:start]),
    )


def _depth(part: Layer | Film | Gap) -> float:
    if isinstance(part, Layer):
        return part.thickness
    return part.depth if isinstance(part, Gap) else 0.0


def boards_of(section: Section) -> list[str]:
    """Name of each part; of a facer, that of the layer that it belongs to.

    Parameters
    ----------
    section : Section
        The section.
    """
    names = []
    for k, part in enumerate(section.parts):
        name = part.name
        if isinstance(part, Film) and part.facer:
            near = [section.parts[n] for n in (k + 1, k - 1) if 0 <= n < len(section.parts)]
            own = [one.name for one in near if isinstance(one, Layer) and name.startswith(one.name)]
            name = own[0] if own else name
        names.append(name)
    return names


def _joint(section: Section, boards: list[str], k: int) -> str:
    """Name of the node inside of part k: what meets there, or at that face of the board it lies in."""
    outer = boards[k] if k >= 0 else "outdoor air"
    inner = boards[k + 1] if k + 1 < len(boards) else "room air"
    if outer == inner and isinstance(section.parts[k], Film):  # between outer facer and core
        outer = next((name for name in boards[k::-1] if name != inner), "outdoor air")
    elif outer == inner:  # between core and inner facer
        inner = next((name for name in boards[k:] if name != outer), "room air")
    return f"{outer} | {inner}"


def monthly_means(hourly: Array) -> Array:
    """Means of an hourly series by month, as a (12,) ndarray."""
    return np.bincount(MONTH_OF_HOUR - 1, hourly, 12) / (24.0 * np.array(MONTH_DAYS))


def steady_year(section: Section, climate: Climate, rh: float = PROPERTY_RH) -> Steady:
    """Compute twelve steady months of a section under the monthly means of a year.

    Parameters
    ----------
    section : Section
        The section; its room is taken as it is set or as its form sets it, without hours in which
        nothing cools it.
    climate : Climate
        The year; its monthly means of temperature and vapor pressure are used.
    rh : float
        Humidity at which permeability is taken. [-]

    Returns
    -------
    Steady
    """
    room, humidity = prescribed_room(section, climate)
    return steady_months(
        section,
        (monthly_means(climate.temperature), monthly_means(climate.vapor_pressure)),
        (monthly_means(room), monthly_means(humidity * saturation_pressure(room))),
        rh=rh,
        climate_name=climate.name,
        climate_place=climate.place,
    )


def steady_months(
    section: Section,
    outdoor: tuple[Array, Array],
    room: tuple[Array, Array],
    *,
    rh: float = PROPERTY_RH,
    climate_name: str = "",
    climate_place: str = "",
) -> Steady:
    """Compute twelve steady months of a section.

    Parameters
    ----------
    section : Section
        The section.
    outdoor, room : pair of (12,) ndarray
        Monthly means of temperature [degC] and vapor pressure [Pa] on both sides.
    rh : float
        Humidity at which permeability is taken. [-]
    climate_name, climate_place : str
        Whose months these are.

    Returns
    -------
    Steady
    """
    steps = cut(section, rh)
    x = np.concatenate(([0.0], np.cumsum(steps.air_thickness)))
    total = steps.outside + steps.resistance.sum() + INSIDE
    share = (steps.outside + np.concatenate(([0.0], np.cumsum(steps.resistance)))) / total
    temperature = outdoor[0][:, None] + share * (room[0] - outdoor[0])[:, None]
    saturation = saturation_pressure(temperature)
    # a surface cannot hold more than saturation; that it would is told
    ends = np.stack((outdoor[1], room[1]), axis=1)
    limits = saturation[:, [0, -1]]
    months = [
        (x, saturation[m], (float(held[0]), float(held[1])))
        for m, held in enumerate(np.minimum(ends, limits))
    ]
    seconds = 86_400.0 * np.array(MONTH_DAYS)
    dry = np.zeros(x.size)
    alone = [follow_month(*months[m], dry, seconds[m]) for m in range(12)]
    first = _first_month([bool(one.stored.any()) for one in alone])
    done, stored = alone, dry
    if first is not None:
        done = list(alone)
        for m in (np.arange(12) + first) % 12:
            done[m] = follow_month(*months[m], stored, seconds[m])
            stored = done[m].stored
    kept = np.stack([one.stored for one in done])
    before = np.roll(kept, 1, axis=0)
    if first is not None:
        before[first] = 0.0
    return Steady(
        section_name=section.name,
        climate_name=climate_name,
        climate_place=climate_place,
        steps=steps,
        outdoor_temperature=outdoor[0],
        outdoor_vapor=outdoor[1],
        room_temperature=room[0],
        room_vapor=room[1],
        first_month=None if first is None else first + 1,
        temperature_node=temperature,
        saturation_node=saturation,
        vapor_node=np.stack([one.vapor for one in done]),
        gained_node=kept - before,
        stored_node=kept,
        entered_month=np.array([one.entered for one in done]),
        left_month=np.array([one.left for one in done]),
        surface_saturated=bool(np.any(ends > limits)),
        accumulates=bool(stored.any()),
        **_surface(steps, outdoor, room),
    )


def _first_month(condenses: list[bool]) -> int | None:
    """Month in which accumulation begins: the first to condense after the longest dry time, from 0."""
    if not any(condenses):
        return None

    def dry_before(m: int) -> int:
        return next((n for n in range(12) if condenses[(m - 1 - n) % 12]), 12)

    return max((m for m in range(12) if condenses[m]), key=dry_before)


class _Surface(TypedDict):
    """The fields of `Steady` on the room's surface behind furniture."""

    surface_factor: float
    surface_rh_month: Array
    needed_factor_month: Array


def _surface(steps: Steps, outdoor: tuple[Array, Array], room: tuple[Array, Array]) -> _Surface:
    total = steps.outside + float(steps.resistance.sum()) + INSIDE_FURNISHED
    factor = 1.0 - INSIDE_FURNISHED / total
    surface = outdoor[0] + factor * (room[0] - outdoor[0])
    coldest = dew_point_from_vapor_pressure(room[1] / MOLD_RH)
    warmer = room[0] - outdoor[0]
    needed = np.full(12, np.nan)
    inside = warmer > 0.0
    needed[inside] = (coldest - outdoor[0])[inside] / warmer[inside]
    return _Surface(
        surface_factor=factor,
        surface_rh_month=room[1] / saturation_pressure(surface),
        needed_factor_month=needed,
    )
