"""Outdoor air through a gap or an attic: its openings, and the wind that drives the air.

What drives it, stack and wind, is spent in the openings and along the gap:

    pressure = loss rho v |v| / 2 + friction v        v is the speed in the gap

The openings are plain numbers that hold all year; stack depends on how warm the gap is, which only
the solver knows, and so the speed is found in `moistwall.solver.kernel.draft`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import node_readings
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError
from moistwall.exposure import Openings
from moistwall.loads.air_pressure import dynamic_pressure
from moistwall.loads.wind import SURFACE_WIND

Array = NDArray[np.float64]

AIR_VISCOSITY = 1.82e-5
"""Dynamic viscosity of air near 20 degC; 5 % more at 40 degC (ASHRAE Fundamentals ch. 33, from
memory). [Pa s]"""

TURN_LOSS = 1.1
"""Loss of a turn of the whole gap by 90 degrees, mitered (from memory). [-]"""

WIND_COEFFICIENT = 0.1 * SURFACE_WIND**2
"""Difference of the wind pressure coefficients between the lower and the upper opening of a gap
that both open on the same face of a low building: 0.05 to 0.2 for the wind that arrives there (from
memory), here for that at 10 m in the open. [-]"""

ATTIC_WIND_COEFFICIENT = 0.6 * SURFACE_WIND**2
"""The same between eaves on all sides and the ridge of a vented attic (estimate). [-]"""

ONE_OPENING_SHARE = 0.2
"""Speed in a gap with one opening over that with a second one at its other end: 0.07 over 0.18 m/s
on average, and 15 to 25 over 100 to 120 air changes an hour as constants for design, measured
behind sidings (British Columbia field hut, 2021); the latter pair is taken. [-]"""

ATTIC_UPPER_SHARE = 0.5
"""Share of an attic's vent area that is in its upper part (IRC R806.2 asks for 40 to 50 % where
the area is 1/300 of the floor; from memory). [-]"""


def entry_loss(share: float) -> float:
    """Loss coefficient of a sharp opening through which outdoor air enters a gap.

    Parameters
    ----------
    share : float
        Area of the opening over that of the gap, above 0 to 1. [-]

    Returns
    -------
    float
        Loss over the dynamic pressure in the opening: 0.5 if it is as wide as the gap, 2.9 if it is
        small beside it. [-]

    References
    ----------
    Idelchik, Handbook of Hydraulic Resistance, entrance to a straight tube through an orifice:
    (1.707 - f)^2 (from memory). A sharp slot has 2.7 to 2.8 by its discharge coefficient of 0.6.
    """
    return float((1.0 + np.sqrt(0.5) - _known_share(share, "share")) ** 2)


def exit_loss(share: float) -> float:
    """Loss coefficient of a sharp opening through which air leaves a gap.

    Parameters
    ----------
    share : float
        Area of the opening over that of the gap, above 0 to 1. [-]

    Returns
    -------
    float
        Loss over the dynamic pressure in the opening: 1.0 if it is as wide as the gap, 2.9 if it is
        small beside it. [-]

    References
    ----------
    Idelchik, Handbook of Hydraulic Resistance, discharge from a straight tube through an orifice:
    (1 + 0.707 sqrt(1 - f))^2 (from memory).
    """
    return float((1.0 + np.sqrt(0.5 * (1.0 - _known_share(share, "share")))) ** 2)


def screen_loss(free_share: float) -> float:
    """Loss coefficient of an insect screen.

    Parameters
    ----------
    free_share : float
        Free area of the screen over its whole area, above 0 to 1; 1 is no screen. [-]

    Returns
    -------
    float
        Loss over the dynamic pressure of the air that arrives at it: 1.65 at one half. [-]

    Notes
    -----
    1.3 (1 - f) + (1/f - 1)^2, for a clean screen of round wire; from 1 to 3 is common at one half.
    Slow air through fine wire loses more, and a screen full of dust or paint lets next to none
    through: then the free share is what is left of it.

    References
    ----------
    Idelchik, Handbook of Hydraulic Resistance, screens (from memory).
    """
    free = _known_share(free_share, "free_share")
    return 1.3 * (1.0 - free) + (1.0 / free - 1.0) ** 2


def openings(
    depth: float,
    length: float,
    rise: float,
    inlet_area: float,
    outlet_area: float,
    free_share: float = 1.0,
    *,
    outlet_free_share: float | None = None,
    inlet_loss: float | None = None,
    outlet_loss: float | None = None,
    turns: int = 0,
    wind_coefficient: float = WIND_COEFFICIENT,
) -> Openings:
    """Describe the way of outdoor air through a gap.

    Parameters
    ----------
    depth : float
        Depth of the gap, which is its area per width. [m]
    length : float
        Length of the path from one opening to the other. [m]
    rise : float
        Height of the upper opening above the lower one: ``length`` for upright furring, 0 for level
        furring. [m]
    inlet_area, outlet_area : float
        Areas of the lower and the upper opening per width of wall, screens not taken off: the
        height of a slot. One of them may be 0: that end is closed. [m2/m]
    free_share : float
        Free area of the screens over their whole area, as in `screen_loss`. [-]
    outlet_free_share : float or None
        The same of the upper opening, if it differs. [-]
    inlet_loss, outlet_loss : float or None
        Loss coefficients of the two openings, screens left out, over the dynamic pressure in the
        opening, if known; else `entry_loss` and `exit_loss`. [-]
    turns : int
        Turns by 90 degrees that the whole gap takes, `TURN_LOSS` each.
    wind_coefficient : float
        Difference of the wind pressure coefficients of the openings, lower less upper, for the wind
        at 10 m: coefficients of the wind at the building times the square of its share of that. [-]

    Returns
    -------
    Openings

    Raises
    ------
    InputError
        If a number cannot be right, an opening is larger than the gap, or none is open.

    Notes
    -----
    Losses count for air that rises; air that sinks meets the same ones. Friction is that between
    smooth parallel plates in laminar flow, 12 mu length / depth^2, which holds below a Reynolds
    number 2 v d / nu of about 2300 and leaves out lumpy walls, battens and mortar.

    With one opening closed nothing flows through by the book; yet air comes and goes by gusts and by
    cracks. The gap is given `ONE_OPENING_SHARE` of the speed that it would have with the same
    opening at its closed end: friction over the share, loss over its square.
    """
    outlet_free = free_share if outlet_free_share is None else outlet_free_share
    faults = [
        *_lengths({"depth": depth, "length": length}),
        *_within({"rise": (rise, length)}, " m", "the length of the path"),
        *_within(
            {"inlet_area": (inlet_area, depth), "outlet_area": (outlet_area, depth)},
            " m2/m",
            "the depth of the gap",
        ),
        *_shares({"free_share": free_share}),
        *([] if outlet_free_share is None else _shares({"outlet_free_share": outlet_free})),
    ]
    for name, value in (("inlet_loss", inlet_loss), ("outlet_loss", outlet_loss)):
        if value is not None and not 0.0 < value < np.inf:
            faults.append(Fault("", name, f"{value:g}", "must be above 0 and finite"))
    if turns < 0:
        faults.append(Fault("", "turns", f"{turns}", "must be 0 or more"))
    if not np.isfinite(wind_coefficient):
        faults.append(Fault("", "wind_coefficient", f"{wind_coefficient:g}", "must be finite"))
    if inlet_area == 0.0 and outlet_area == 0.0:
        problem, remedy = "are both closed", "open one, or make it a sealed gap"
        faults.append(Fault("", "inlet_area and outlet_area", "0 m2/m", problem, remedy))
    if faults:
        raise InputError(faults)
    share = 1.0
    if inlet_area == 0.0 or outlet_area == 0.0:
        share = ONE_OPENING_SHARE
        if inlet_area == 0.0:
            inlet_area, free_share = outlet_area, outlet_free
        else:
            outlet_area, outlet_free = inlet_area, free_share
    low, high = inlet_area / depth, outlet_area / depth
    entry = entry_loss(low) if inlet_loss is None else inlet_loss
    leaving = exit_loss(high) if outlet_loss is None else outlet_loss
    loss = (
        (entry + screen_loss(free_share)) / low**2
        + (leaving + screen_loss(outlet_free)) / high**2
        + TURN_LOSS * turns
    )
    friction = 12.0 * AIR_VISCOSITY * length / depth**2  # plane Poiseuille flow
    return Openings(
        rise=rise,
        length=length,
        loss=float(loss) / share**2,
        friction=friction / share,
        wind_coefficient=wind_coefficient,
    )


def attic_openings(
    area_ratio: float,
    height: float,
    *,
    depth: float,
    length: float,
    upper_share: float = ATTIC_UPPER_SHARE,
    wind_coefficient: float = ATTIC_WIND_COEFFICIENT,
) -> Openings:
    """Describe the way of outdoor air through a vented attic, from the eaves to the ridge.

    Parameters
    ----------
    area_ratio : float
        Net free area of all vents over the area of the attic's floor, such as 1/150 or 1/300. [-]
    height : float
        Height of the upper vents above the lower ones. [m]
    depth : float
        Mean height of the attic, its volume over its floor; that of the gap it is. [m]
    length : float
        Run of the floor from the eaves to below the ridge. [m]
    upper_share : float
        Share of the vent area that is in the upper part, above 0 to below 1. [-]
    wind_coefficient : float
        Difference of the wind pressure coefficients, for the wind at 10 m. [-]

    Returns
    -------
    Openings

    Raises
    ------
    InputError
        If a number cannot be right.

    Notes
    -----
    Net free area is what the maker of a vent states, screens taken off. The air changes do not
    depend on ``length``. Wind across a soffit from one side to the other is not in it.
    """
    faults = _lengths({"depth": depth, "length": length, "height": height})
    if not 0.0 < area_ratio <= 0.1:
        remedy = "give the net free area over that of the floor, such as 1/150"
        faults.append(Fault("", "area_ratio", f"{area_ratio:g}", "must lie above 0 to 0.1", remedy))
    if not 0.0 < upper_share < 1.0:
        faults.append(Fault("", "upper_share", f"{upper_share:g}", "must lie between 0 and 1"))
    if faults:
        raise InputError(faults)
    area = area_ratio * length
    lower, upper = (1.0 - upper_share) * area, upper_share * area
    level = openings(depth, length, 0.0, lower, upper, wind_coefficient=wind_coefficient)
    return replace(level, rise=height)


def wind_pressure(climate: Climate, coefficient: float) -> Array:
    """Pressure between two openings by wind, at the hour marks.

    Parameters
    ----------
    climate : Climate
        The year, with wind at 10 m.
    coefficient : float
        Difference of the wind pressure coefficients, as in `Openings`. [-]

    Returns
    -------
    (8761,) ndarray
        coefficient rho U^2 / 2 at the marks 0, 1, ... 8760; between them it is a straight line.
        [Pa]

    Notes
    -----
    The coefficient is the same for every direction of the wind: both openings are on one face, and
    what they feel of it differs little and in no direction that one could state.
    """
    return node_readings(coefficient * dynamic_pressure(climate))


def _known_share(share: float, name: str) -> float:
    """Give a share back, or raise if it does not lie above 0 to 1."""
    if faults := _shares({name: share}):
        raise InputError(faults)
    return share


def _shares(values: dict[str, float]) -> list[Fault]:
    """Faults of shares that do not lie above 0 to 1."""
    return [
        Fault("", name, f"{value:g}", "must lie above 0 to 1")
        for name, value in values.items()
        if not 0.0 < value <= 1.0
    ]


def _lengths(values: dict[str, float]) -> list[Fault]:
    """Faults of lengths that are not above 0."""
    return [
        Fault("", name, f"{value:g} m", "must be above 0 m and finite")
        for name, value in values.items()
        if not 0.0 < value < np.inf
    ]


def _within(values: dict[str, tuple[float, float]], unit: str, what: str) -> list[Fault]:
    """Faults of values that are negative or larger than what they lie in."""
    return [
        Fault("", name, f"{value:g}{unit}", f"must lie from 0 to {what}, {most:g} m")
        for name, (value, most) in values.items()
        if not 0.0 <= value <= most
    ]
