"""What the compiled functions of a zone read and write: columns, accounts, modes, named tuples."""

from __future__ import annotations

from typing import NamedTuple

from moistwall.solver.kernel.layout import Floats

# columns of the zone's hourly series, means of the hour ------------------------------------------
(
    OUT_T,
    OUT_W,
    AIR_IN,
    AIR_OUT,
    FRESH_AIR,
    HEAT_FREE,
    WATER_FREE,
    ROOM_T,
    ROOM_W,
    ROOM_AIR,
    SUPPLY_AIR,
    SUPPLY_T,
    SUPPLY_W,
    DUCTS,
    DUCT_T,
    GROUND_T,
    GROUND_P,
    COOL_TO,
    HEAT_TO,
) = range(19)
N_SERIES = 19

# accounts of water [kg/s] and of enthalpy [W], positive into the zone's air -----------------------
(
    W_SECTION,
    W_LEAKS,
    W_FRESH,
    W_FREE,
    W_ROOM,
    W_GROUND,
    W_VENT,
    W_COOLING,
    W_DRIER,
    W_FOG,
    H_SECTION,
    H_LEAKS,
    H_FRESH,
    H_FREE,
    H_ROOM,
    H_GROUND,
    H_VENT,
    H_COOLING,
    H_DRIER,
    H_FOG,
    H_ENCLOSURE,
    H_HEATING,
    H_FAN,
) = range(23)
N_WATER, N_ACCOUNTS = 10, 23

# what is recorded of each hour before the accounts ------------------------------------------------
(
    ZONE_T,
    ZONE_W,
    CARRIED_WATER,
    CARRIED_HEAT,
    DRIFT_T,
    DRIFT_RH,
    DEMAND,
    DRYING,
    APPARATUS,
    MARCHES,
) = range(10)
N_STATES = 10

# what a zone is asked for, and what it does: temperature, then humidity ---------------------------
FLOATS, COOLS, COOLS_FULL, HEATS, HEATS_FULL = range(5)
MOIST, DRIES, DRIES_FULL, FOGS = range(4)


class ZoneNumbers(NamedTuple):
    """Constants of a zone; see `moistwall.zone.Zone`."""

    outer: int
    """1 if it lies at the outer end of the section."""
    area: float
    """[m2]"""
    air: float
    """Dry air in it. [kg]"""
    contents: float
    """[J/K]"""
    moisture_contents: float
    """[kg]"""
    sensible: float
    """Effectiveness of the ventilation's exchange of heat. [-]"""
    latent: float
    """The same of vapor. [-]"""
    to_outdoors: float
    """[W/K]"""
    to_room: float
    """[W/K]"""
    to_ground: float
    """[W/K]"""
    vapor_to_ground: float
    """[kg/(s Pa)]"""
    vapor_to_outdoors: float
    """[kg/(s Pa)]"""
    heating_capacity: float
    """[W]"""


class ZoneState(NamedTuple):
    """What one hour hands to the next."""

    values: Floats
    """(4,) carried water [kg] and enthalpy [J]; temperature [degC] and vapor pressure [Pa] last seen by the
    section."""
    flow: Floats
    """(2,) heat [W] and water [kg/s] that the section gave to the zone in the last march."""
    slope: Floats
    """(2, 2) change of these with temperature [1/K] and vapor pressure [1/Pa] of the zone."""
    first_slope: Floats
    """(2, 2) what the slope starts from."""
    modes: Floats
    """(2,) what the zone did last."""
    turned: Floats
    """(4,) demand, drying share, heat, fog last found."""
