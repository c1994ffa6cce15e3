"""Water on its way in one hour: vapor across each joint, and what a leak of air brings, on one scale."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import humidity_ratio_from_vapor_pressure
from moistwall.assembly import load_stages
from moistwall.assess.condensation import wet_hours
from moistwall.climate.record import Climate
from moistwall.lesson.columns import columns
from moistwall.library import data_folder
from moistwall.loads.leakage import section_air
from moistwall.result import Place, Result
from moistwall.section import Section
from moistwall.show.names import place_name

Array = NDArray[np.float64]

ROOM_AIR = "room air"
"""What lies behind the last joint."""

LEAKY_EXAMPLE = "heron-point-wall-blower-door.toml"
"""Whose first blower-door test stands beside a section that has none of its own."""


@dataclass(frozen=True)
class Joint:
    """Where two layers meet inside of a section, or the lining meets its finish.

    Parameters
    ----------
    name : str
        What meets there, from outside to inside.
    column : int
        The column behind it; as many as there are columns if it is the room's face.
    face : int
        Column of the flow arrays.
    outboard : bool
        True if it lies outside of the rain-control layer.
    hours_rh_80, hours_rh_90 : int
        Hours at or above that humidity on its damper side. [h]
    highest_rh : float
        Highest humidity of the year there. [-]
    places : tuple of int
        Its sides in ``result.places``.
    """

    name: str
    column: int
    face: int
    outboard: bool
    hours_rh_80: int
    hours_rh_90: int
    highest_rh: float
    places: tuple[int, ...]


def joint_words(result: Result, place: Place) -> str:
    """What meets at a place, as people say it.

    Parameters
    ----------
    result : Result
        A computed year.
    place : Place
        One of its places.

    Returns
    -------
    str
        Such as 'between foam and sheathing'; films and facers in between go unnamed, a finish does not.
    """
    names = place_name(result, place).split(" | ")
    if names[-1] == ROOM_AIR and len(names) > 2:
        return f"{names[0]}, behind {names[1]}"
    return f"between {names[0]} and {names[-1]}"


def joints(result: Result) -> tuple[Joint, ...]:
    """Joints of a section, from outside to inside, and faces of gaps that lie where it should stay dry.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    tuple of Joint
        Where a gap is on one side, it is the face of the layer behind its facers and films.
    """
    hours = wet_hours(result)
    part_of = [result.parts[k].name for k in columns(result)]
    found: dict[str, list[int]] = {}
    for k, place in enumerate(result.places[:-1]):
        if not place.surface or not place.outboard:
            found.setdefault(place.name, []).append(k)
    rows = []
    for sides in found.values():
        first, last = result.places[sides[0]], result.places[sides[-1]]
        behind = part_of.index(last.part) + (1 if last.side == "a" else 0)
        rows.append(
            Joint(
                joint_words(result, first),
                behind,
                first.face,
                all(result.places[k].outboard for k in sides),
                max(hours[k].hours_rh_80 for k in sides),
                max(hours[k].hours_rh_90 for k in sides),
                float(result.rh_place[:, sides].max()),
                tuple(sides),
            )
        )
    return tuple(sorted(rows, key=lambda one: one.face))


def inside_joints(result: Result) -> tuple[Joint, ...]:
    """Joints inside of the rain-control layer: where water does harm that nobody sees."""
    return tuple(one for one in joints(result) if not one.outboard)


def wettest(result: Result) -> Joint:
    """The inside joint with most hours at or above 80 % RH; of equals the one with the highest humidity."""
    return max(inside_joints(result), key=lambda one: (one.hours_rh_80, one.highest_rh))


def lining_joint(result: Result) -> Joint:
    """The joint at the outer face of the innermost layer, where air conditioning meets outdoor vapor."""
    last = len(columns(result)) - 1
    return next(one for one in joints(result) if one.column == last)


def vapor_across(result: Result, joint: Joint) -> Array:
    """Vapor across a joint, inwards.

    Parameters
    ----------
    result : Result
        A computed year.
    joint : Joint
        One of its joints.

    Returns
    -------
    (n_hours,) ndarray
        [kg/(m2 h)]
    """
    flow: Array = result.vapor_b[:, joint.face]
    if joint.face == result.vapor_b.shape[1] - 1 or joint.column > len(columns(result)) - 1:
        flow = result.vapor_a[:, joint.face]
    return flow


def leak_air(result: Result, section: Section, climate: Climate) -> tuple[Array, str]:
    """Air that leaks through a section, or would by the first blower-door test of the same cabin.

    Parameters
    ----------
    result : Result
        A computed year.
    section : Section
        What was run.
    climate : Climate
        The year.

    Returns
    -------
    air : (n_hours,) ndarray
        Inwards. [kg/(m2 h)]
    test : str
        Label of the test where the section has none of its own, else empty: such air is shown beside the
        run and is not in it.
    """
    if section.exposure.leakage is not None:
        return result.air_flow, ""
    test, tested = load_stages(data_folder("examples") / LEAKY_EXAMPLE)[0]
    leakage = tested.exposure.leakage
    assert leakage is not None
    marks = section_air(
        leakage, climate, section.azimuth, section.tilt, section.room_temperature, section.room_rh
    )
    return 1800.0 * (marks[1:] + marks[:-1]), test


def leak_water(result: Result, air: Array) -> Array:
    """Water that leaking air brings beyond what the air that it moves into has.

    Parameters
    ----------
    result : Result
        A computed year.
    air : (n_hours,) ndarray
        Inwards. [kg/(m2 h)]

    Returns
    -------
    (n_hours,) ndarray
        The way of the air, inwards positive: what outdoor air that comes in has more than the room's, or
        room air that goes out more than outdoors; 0 where the air that moves is the drier one. [kg/(m2 h)]
    """
    outdoors = humidity_ratio_from_vapor_pressure(result.outdoor_vapor)
    room = humidity_ratio_from_vapor_pressure(result.room_vapor)
    surplus = np.where(air > 0.0, outdoors - room, room - outdoors)
    water: Array = air * np.maximum(surplus, 0.0)
    return water
