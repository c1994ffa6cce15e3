"""Air leakage: the pressure of the house hour by hour, and the air that it drives through a section.

The house is one zone. Its leaks are spread over floor, walls and ceiling; stack and wind press on
each of them in another way, fans move what they move whatever the pressure is. The house takes the
pressure at which as much dry air enters as leaves. Pressures are those of outdoors over indoors, so
that a positive one drives air inwards; the pressure of the house itself is indoors over outdoors.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.air import GAS_CONSTANT_DRY_AIR, KELVIN, density, saturation_pressure
from moistwall.climate.hours import HOURS, node_readings
from moistwall.climate.record import Climate
from moistwall.errors import BalanceError, Fault, InputError
from moistwall.exposure import Leakage
from moistwall.loads.air_pressure import (
    GRAVITY,
    around_coefficient,
    dynamic_pressure,
    outdoor_density,
    outdoor_dry_density,
    plane_coefficient,
    wall_coefficient,
)

Array = NDArray[np.float64]

TEST_PRESSURE = 50.0
"""Pressure of a blower-door test that a flow without another word refers to. [Pa]"""

EXPONENT = 0.65
"""Exponent of the flow over pressure where none was measured (common practice: the middle of what
tests of houses give, 0.6 to 0.7; from memory). [-]"""

FAN_AIR_DENSITY = 1.2
"""Density of the air that the flow of a fan is stated for, near 20 degC (common practice; standard
air of ASHRAE has 1.204). The same for both directions: balanced fans move equal masses. [kg/m3]"""

WALL_SHARE, TOP_SHARE, FLOOR_SHARE = 0.5, 0.25, 0.25
"""Where the leaks of a house are: in its walls, its ceiling or roof, its floor or the foot of its
walls (common practice, no source; LBL's and AIM-2's R of 0.5 says the same, from memory). [-]"""

WALL_LEVELS = 5
"""Number of heights, evenly spaced, at which the leaks of each of the four walls lie."""

MOST_FAN_PRESSURE = 100.0
"""Pressure that fans alone may put a house under; common ones give up before it (common practice,
no source). [Pa]"""

MOST_IMBALANCE = 1e-9
"""Air that may be left over in an hour, over all that the leaks let through or fans move. [-]"""


@dataclass(frozen=True)
class HouseAir:
    """The air of the house, hour by hour.

    Parameters
    ----------
    pressure : (8760,) ndarray
        Indoors over outdoors at the middle of the building's height, as in still air, at the end of
        each hour. [Pa]
    infiltration, exfiltration : (8760,) ndarray
        Dry air that enters and leaves through leaks, fans left out, per area of enclosure.
        [kg/(m2 s)]
    imbalance : (8760,) ndarray
        What is left over, of all that the leaks let through and fans move. [-]
    """

    pressure: Array
    infiltration: Array
    exfiltration: Array
    imbalance: Array


@dataclass(frozen=True)
class _Air:
    """Air on both sides, at the end of each hour: density of moist air and of the dry part of it."""

    moist_out: Array
    moist_room: Array
    dry_out: Array
    dry_room: Array


def flow_50_from_air_changes(ach50: float, volume: float, envelope_area: float) -> float:
    """Leakage of an enclosure from the air changes of a blower-door test.

    Parameters
    ----------
    ach50 : float
        Air changes at 50 Pa. [1/h]
    volume : float
        Volume of the building. [m3]
    envelope_area : float
        Area of its enclosure: walls, ceiling or roof, floor. [m2]

    Returns
    -------
    float
        Volume flow at 50 Pa per area of enclosure. [m3/(s m2)]

    Raises
    ------
    InputError
        If a number is not above 0.
    """
    _refuse_unless_positive({"ach50": ach50, "volume": volume, "envelope_area": envelope_area})
    return ach50 * volume / 3600.0 / envelope_area


def flow_50_from_flow(
    flow: float,
    envelope_area: float,
    *,
    pressure: float = TEST_PRESSURE,
    exponent: float = EXPONENT,
) -> float:
    """Leakage of an enclosure from the flow of a blower-door test, at 50 Pa or another pressure.

    Parameters
    ----------
    flow : float
        Volume flow. [m3/s]
    envelope_area : float
        Area of the enclosure. [m2]
    pressure : float
        Pressure of the test. [Pa]
    exponent : float
        Exponent of the flow over pressure. [-]

    Returns
    -------
    float
        Volume flow at 50 Pa per area of enclosure. [m3/(s m2)]

    Raises
    ------
    InputError
        If a number is not above 0, or the exponent does not lie from 0.5 to 1.
    """
    _refuse_unless_positive({"flow": flow, "envelope_area": envelope_area, "pressure": pressure})
    if fault := _exponent_fault(exponent):
        raise InputError(fault)
    return float(flow / envelope_area * (TEST_PRESSURE / pressure) ** exponent)


def leak_flow(pressure: ArrayLike, flow_50: float, exponent: float = EXPONENT) -> Array:
    """Volume flow through leaks at a pressure.

    Parameters
    ----------
    pressure : array_like
        Pressure across the leaks. [Pa]
    flow_50 : float
        Volume flow at 50 Pa, in any unit.
    exponent : float
        0.5 (holes) to 1 (fine cracks). [-]

    Returns
    -------
    ndarray
        Flow, of the sign of the pressure, in the unit of ``flow_50``.

    References
    ----------
    The power law of ASTM E779.
    """
    across = np.asarray(pressure, dtype=np.float64)
    flow: Array = flow_50 * np.sign(across) * (np.abs(across) / TEST_PRESSURE) ** exponent
    return flow


def house_air(
    leakage: Leakage,
    climate: Climate,
    azimuth: float,
    tilt: float,
    room_temperature: float | Array,
    room_rh: float | Array,
) -> HouseAir:
    """Pressure of the house at which as much air enters as leaves, hour by hour.

    Parameters
    ----------
    leakage : Leakage
        Leaks and fans.
    climate : Climate
        The year.
    azimuth, tilt : float
        Where the section looks to, clockwise from north, and its angle to the ground; the house has
        a square plan, and the section is on one of its sides, its top or its floor. [deg]
    room_temperature : float or (8760,) ndarray
        Air temperature inside. [degC]
    room_rh : float or (8760,) ndarray
        Relative humidity inside. [-]

    Returns
    -------
    HouseAir

    Raises
    ------
    InputError
        If a number of the leakage, an angle or the state of the room cannot be right.
    BalanceError
        If the air of an hour does not balance; names the hour.

    Notes
    -----
    Sum over the leaks of share rho flow(p_out - p_in) + fans = 0, the left side falling with the
    pressure of the house without a break: one root, found between bounds. Leaks and their shares:
    `WALL_SHARE` over four sides and `WALL_LEVELS` heights, `TOP_SHARE` at the top, `FLOOR_SHARE` at
    the foot. Top and foot feel the mean of the four sides (vents all around), but a section that
    looks up or down by more than 45 degrees stands for the top or the floor and gives its own
    coefficient. A leak lets through a volume by its pressure alone, of air as dense as where
    it comes from.
    """
    _check(leakage, azimuth, tilt)
    air = _air(climate, room_temperature, room_rh)
    wind = leakage.shelter**2 * dynamic_pressure(climate)
    angle = climate.wind_direction - azimuth
    lighter = air.moist_out - air.moist_room
    shares, outside = [], []

    def leak(share: float, height: float, coefficient: Array) -> None:
        """Add a leak: its share, and what presses on it from outside if the house is at 0 Pa."""
        shares.append(share)
        outside.append(coefficient * wind - lighter * GRAVITY * height)

    levels = leakage.height * ((np.arange(WALL_LEVELS) + 0.5) / WALL_LEVELS - 0.5)
    for turn in (0.0, 90.0, 180.0, 270.0):
        side = wall_coefficient(angle - turn)
        for height in levels:
            leak(WALL_SHARE / (4 * WALL_LEVELS), float(height), side)
    around, own = around_coefficient(angle), plane_coefficient(angle, tilt)
    leak(TOP_SHARE, 0.5 * leakage.height, own if tilt < 45.0 else around)
    leak(FLOOR_SHARE, -0.5 * leakage.height, own if tilt > 135.0 else around)
    return _balanced(leakage, air, np.array(shares), np.array(outside))


def section_air(
    leakage: Leakage,
    climate: Climate,
    azimuth: float,
    tilt: float,
    room_temperature: float | Array,
    room_rh: float | Array,
    *,
    house: HouseAir | None = None,
) -> Array:
    """Air that leaks through a section, in its true direction.

    Parameters
    ----------
    leakage : Leakage
        Leaks and fans, and where in the building the section's own leaks are.
    climate : Climate
        The year.
    azimuth, tilt : float
        Where the section looks to, clockwise from north, and its angle to the ground. [deg]
    room_temperature : float or (8760,) ndarray
        Air temperature inside. [degC]
    room_rh : float or (8760,) ndarray
        Relative humidity inside. [-]
    house : HouseAir or None
        What `house_air` gave for the same arguments; None works it out.

    Returns
    -------
    (8761,) ndarray
        Dry air per area of the section at the hour marks, positive inwards. [kg/(m2 s)]

    Raises
    ------
    InputError, BalanceError
        As `house_air`.
    """
    _check(leakage, azimuth, tilt)
    if house is None:
        house = house_air(leakage, climate, azimuth, tilt, room_temperature, room_rh)
    air = _air(climate, room_temperature, room_rh)
    coefficient = plane_coefficient(climate.wind_direction - azimuth, tilt)
    across = (
        coefficient * leakage.shelter**2 * dynamic_pressure(climate)
        - (air.moist_out - air.moist_room) * GRAVITY * leakage.leak_height
        - house.pressure
    )
    flow = leak_flow(across, leakage.share * leakage.flow_50, leakage.exponent)
    return node_readings(flow * np.where(across > 0.0, air.dry_out, air.dry_room))


def _balanced(leakage: Leakage, air: _Air, shares: Array, outside: Array) -> HouseAir:
    """Solve all hours; ``shares`` is (n_leaks,), ``outside`` (n_leaks, 8760) in Pa."""
    from scipy.optimize import elementwise

    fans = FAN_AIR_DENSITY * (leakage.supply - leakage.exhaust)
    by_share = shares[:, np.newaxis]

    def through(pressure: Array, hours: NDArray[np.int64]) -> Array:
        """Dry air through each leak at a pressure of the house, inwards."""
        across = outside[:, hours] - pressure
        source = np.where(across > 0.0, air.dry_out[hours], air.dry_room[hours])
        return by_share * source * leak_flow(across, leakage.flow_50, leakage.exponent)

    def left_over(pressure: Array, hours: Array) -> Array:
        """Dry air that stays in the house."""
        total: Array = through(pressure, hours.astype(np.int64)).sum(axis=0) + fans
        return total

    hours = np.arange(HOURS)
    # all leaks at this pressure let through what the fans move; thin air needs a little more
    thinnest = np.minimum(air.dry_out, air.dry_room)
    by_fans = _pressure_for(abs(fans) / (thinnest * leakage.flow_50), leakage.exponent) + 1e-6
    solved = elementwise.find_root(
        left_over,
        (outside.min(axis=0) - by_fans, outside.max(axis=0) + by_fans),
        args=(hours,),
        tolerances={"xatol": 1e-18, "xrtol": 1e-15, "fatol": 0.0, "frtol": 0.0},  # to round-off
        maxiter=200,
    )
    flows = through(solved.x, hours)
    entering = np.maximum(flows, 0.0).sum(axis=0)
    leaving = np.maximum(-flows, 0.0).sum(axis=0)
    moved = entering + leaving + abs(fans)
    imbalance = np.divide(
        np.abs(entering - leaving + fans), moved, out=np.zeros(HOURS), where=moved > 0.0
    )
    worst = int(np.argmax(imbalance))
    if not imbalance[worst] <= MOST_IMBALANCE:
        raise BalanceError(
            f"hour {worst}: the air of the house does not balance, {imbalance[worst]:.3g} "
            "of what moves is left over"
        )
    return HouseAir(solved.x, entering, leaving, imbalance)


def _pressure_for(flow_over_flow_50: ArrayLike, exponent: float) -> Array:
    """Pressure at which leaks let through so many times their flow at 50 Pa, in Pa."""
    ratio = np.asarray(flow_over_flow_50, dtype=np.float64)
    pressure: Array = TEST_PRESSURE * ratio ** (1.0 / exponent)
    return pressure


def _air(climate: Climate, room_temperature: float | Array, room_rh: float | Array) -> _Air:
    """Densities on both sides; raise if the room cannot be right."""
    temperature = np.broadcast_to(np.asarray(room_temperature, dtype=np.float64), (HOURS,))
    rh = np.broadcast_to(np.asarray(room_rh, dtype=np.float64), (HOURS,))
    if not np.all((rh >= 0.0) & (rh <= 1.0)):
        raise InputError(Fault("", "room_rh", "", "must lie from 0 to 1"))
    vapor = rh * saturation_pressure(temperature)
    return _Air(
        moist_out=outdoor_density(climate),
        moist_room=density(temperature, vapor, climate.pressure),
        dry_out=outdoor_dry_density(climate),
        dry_room=(climate.pressure - vapor) / (GAS_CONSTANT_DRY_AIR * (temperature + KELVIN)),
    )


def _check(leakage: Leakage, azimuth: float, tilt: float) -> None:
    """Raise with every number of the leakage and of the plane that cannot be right."""
    faults = []
    for name, value, unit in (
        ("flow_50", leakage.flow_50, " m3/(s m2)"),
        ("height", leakage.height, " m"),
    ):
        if not 0.0 < value < np.inf:
            faults.append(Fault("", name, f"{value:g}{unit}", "must be above 0 and finite"))
    for name, value in (("exhaust", leakage.exhaust), ("supply", leakage.supply)):
        if not 0.0 <= value < np.inf:
            given = f"{value:g} m3/(s m2)"
            faults.append(Fault("", name, given, "must be finite and not negative"))
    if fault := _exponent_fault(leakage.exponent):
        faults.append(fault)
    if not abs(leakage.leak_height) <= 0.5 * leakage.height:
        problem = "must lie within the height of the building, from its middle"
        faults.append(Fault("", "leak_height", f"{leakage.leak_height:g} m", problem))
    for name, value, most in (
        ("shelter", leakage.shelter, 1.5),
        ("contact", leakage.contact, 1.0),
        ("share", leakage.share, np.inf),
    ):
        if not 0.0 <= value <= most or value == np.inf:
            limit = f"lie from 0 to {most:g}" if most < np.inf else "be finite and not negative"
            faults.append(Fault("", name, f"{value:g}", f"must {limit}"))
    if not 0.0 <= tilt <= 180.0:
        faults.append(Fault("", "tilt", f"{tilt:g} deg", "must lie from 0 to 180 deg"))
    if not np.isfinite(azimuth):
        faults.append(Fault("", "azimuth", f"{azimuth:g} deg", "must be a finite number"))
    if faults:
        raise InputError(faults)
    if fault := fault_of_fans(leakage):
        raise InputError(fault)


def fault_of_fans(leakage: Leakage) -> Fault | None:
    """Find fans that would put a house under more pressure than fans make.

    Parameters
    ----------
    leakage : Leakage
        Leaks and fans, each number in its range.

    Returns
    -------
    Fault or None
    """
    surplus = abs(leakage.supply - leakage.exhaust)
    by_fans = float(_pressure_for(surplus / leakage.flow_50, leakage.exponent))
    if by_fans <= MOST_FAN_PRESSURE:
        return None
    problem = f"would put the house under {by_fans:.4g} Pa, where fans move less"
    remedy = "state what they move then, or the opening that feeds them"
    given = f"{leakage.exhaust:g} and {leakage.supply:g} m3/(s m2)"
    return Fault("", "exhaust and supply", given, problem, remedy)


def _exponent_fault(exponent: float) -> Fault | None:
    """Give the fault of an exponent that no leak has."""
    if 0.5 <= exponent <= 1.0:
        return None
    return Fault("", "exponent", f"{exponent:g}", "must lie from 0.5 (holes) to 1 (fine cracks)")


def _refuse_unless_positive(values: dict[str, float]) -> None:
    """Raise with every number that is not above 0."""
    faults = [
        Fault("", name, f"{value:g}", "must be above 0 and finite")
        for name, value in values.items()
        if not 0.0 < value < np.inf
    ]
    if faults:
        raise InputError(faults)
