"""What acts on a zone hour by hour, and the constants of a zone, as the kernel wants them.

Everything is the mean of an hour: a reading that is joined by straight lines counts with the mean of the
hour's ends, as it does for the section beside the zone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import (
    GAS_CONSTANT_DRY_AIR,
    KELVIN,
    LATENT_HEAT_0,
    STANDARD_PRESSURE,
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
)
from moistwall.climate.hours import HOURS, node_readings
from moistwall.climate.record import Climate
from moistwall.loads.coil import RATED_TEMPERATURE, rated_coil
from moistwall.loads.leakage import FAN_AIR_DENSITY, house_air
from moistwall.loads.soil import hourly_soil_temperature
from moistwall.loads.sun import plane_irradiance
from moistwall.section import Section
from moistwall.solver.boundary import room_air
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_FILM,
    LONGWAVE,
    RAIN,
    SUN,
    VAPOR_FILM,
)
from moistwall.solver.kernel.machines import RATED_WET_BULB, Coil, Drier
from moistwall.solver.kernel.zone_layout import (
    AIR_IN,
    AIR_OUT,
    COOL_TO,
    DUCT_T,
    DUCTS,
    FRESH_AIR,
    GROUND_P,
    GROUND_T,
    HEAT_FREE,
    HEAT_TO,
    N_SERIES,
    OUT_T,
    OUT_W,
    ROOM_AIR,
    ROOM_T,
    ROOM_W,
    SUPPLY_AIR,
    SUPPLY_T,
    SUPPLY_W,
    WATER_FREE,
    ZoneNumbers,
)
from moistwall.zone import Zone

Array = NDArray[np.float64]

NEVER = 1e3
"""Setpoint of a machine that is off. [degC]"""

MAINS_DEPTH = 1.0
"""Depth at which water pipes lie: common practice, no source. [m]"""


def zone_of(section: Section) -> Zone:
    """The zone of a section that has one."""
    assert section.zone is not None, "a section without a zone was taken for one"
    return section.zone


def zone_numbers(zone: Zone) -> ZoneNumbers:
    """Constants of a zone.

    Parameters
    ----------
    zone : Zone

    Returns
    -------
    ZoneNumbers
    """
    fresh, ground = zone.ventilation, zone.ground
    return ZoneNumbers(
        outer=int(zone.kind == "crawl space"),
        area=zone.area,
        air=FAN_AIR_DENSITY * zone.volume,
        contents=zone.contents,
        moisture_contents=zone.moisture_contents,
        sensible=0.0 if fresh is None else fresh.sensible,
        latent=0.0 if fresh is None else fresh.latent,
        to_outdoors=zone.conductance_outdoors,
        to_room=zone.conductance_room,
        to_ground=0.0 if ground is None else ground.conductance,
        vapor_to_ground=0.0 if ground is None else ground.vapor_conductance,
        vapor_to_outdoors=zone.diffusion_vent,
        heating_capacity=min(zone.heating_capacity, 1e9),
    )


def machines_of(zone: Zone) -> tuple[Coil, Drier]:
    """Numbers of a zone's machines.

    Parameters
    ----------
    zone : Zone

    Returns
    -------
    coil : Coil
        Its evaporation is that which dries a coil that drips at rating in the drying time, in a straight
        line: gamma = 2 wet time / drying time.
    drier : Drier

    Raises
    ------
    InputError
        As `moistwall.loads.coil.rated_coil`.
    """
    machine, drier = zone.cooling, zone.dehumidifier
    coil = Coil(0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0.0, 1.0, 1.0, 1.0, 0.0)
    if machine is not None:
        rated = rated_coil(machine)
        gamma = 2.0 * machine.wet_time / machine.drying_time
        coil = Coil(
            present=1,
            capacity=machine.capacity,
            air_flow=machine.air_flow,
            units=rated.units,
            holds=machine.wet_time * rated.removal,
            drying=gamma * rated.removal / (RATED_TEMPERATURE - RATED_WET_BULB),
            fan_on=int(machine.fan == "on"),
            fan_power=machine.fan_power,
            lowest_speed=machine.lowest_speed,
            start_time=machine.start_time,
            cycles=machine.cycles,
            fan_delay=machine.fan_delay,
        )
    if drier is None:
        return coil, Drier(0, 1.0, 0.0, 0.0)
    return coil, Drier(1, drier.setpoint, drier.capacity, drier.power)


def _means(marks: Array) -> Array:
    """Means of the hours between values at hour marks."""
    mean: Array = 0.5 * (marks[1:] + marks[:-1])
    return mean


def running_share(zone: Zone, climate: Climate) -> Array:
    """Share of each hour in which the room's machine runs, for supply air and ducts.

    Parameters
    ----------
    zone : Zone
    climate : Climate

    Returns
    -------
    (8760,) ndarray
        [-]
    """
    outdoors = _means(node_readings(climate.temperature))
    share: Array = np.interp(
        outdoors, (zone.running_none, zone.running_full), (0.0, zone.most_running)
    )
    return share


def zone_series(section: Section, climate: Climate, rows: Array) -> Array:
    """What acts on the zone of a section.

    Parameters
    ----------
    section : Section
        With a zone.
    climate : Climate
        The year.
    rows : (8761, n_columns) ndarray
        Prescribed series of the section, of `moistwall.solver.boundary.boundary_rows`.

    Returns
    -------
    (8760, 19) ndarray
        Columns as in the kernel.
    """
    zone = zone_of(section)
    series = np.zeros((HOURS, N_SERIES))
    temperature = node_readings(climate.temperature)
    vapor = node_readings(climate.vapor_pressure)
    series[:, OUT_T] = _means(temperature)
    series[:, OUT_W] = _ratio(_means(vapor))
    dry = (STANDARD_PRESSURE - _means(vapor)) / (GAS_CONSTANT_DRY_AIR * (series[:, OUT_T] + KELVIN))
    room_t, room_rh = room_air(section, climate)
    through = np.zeros(HOURS)
    leakage = section.exposure.leakage
    if leakage is not None:
        through = zone.area * _means(rows[:, -1])
    total = zone.outdoor_air * dry
    if leakage is not None and zone.enclosure_area > 0.0:
        house = house_air(leakage, climate, section.azimuth, section.tilt, room_t, room_rh)
        entering = house.infiltration + FAN_AIR_DENSITY * leakage.supply
        total = total + zone.enclosure_area * _means(node_readings(entering))
    if zone.kind == "crawl space":
        # what rises through the floor is made up from outdoors
        series[:, AIR_IN] = total + np.maximum(through, 0.0)
        series[:, AIR_OUT] = total + np.maximum(-through, 0.0)
    else:
        total = np.maximum(total, np.abs(through))
        series[:, AIR_IN] = total - np.maximum(through, 0.0)
        series[:, AIR_OUT] = total - np.maximum(-through, 0.0)
    if zone.ventilation is not None:
        series[:, FRESH_AIR] = FAN_AIR_DENSITY * zone.ventilation.flow
    series[:, HEAT_FREE] = zone.heat
    for window in zone.windows:
        sun = plane_irradiance(climate, 90.0, window.azimuth)
        series[:, HEAT_FREE] += window.area * window.sun_share * sun
    series[:, WATER_FREE] = zone.moisture
    series[:, ROOM_T] = _means(node_readings(room_t))
    series[:, ROOM_W] = _ratio(_means(node_readings(room_rh * saturation_pressure(room_t))))
    series[:, ROOM_AIR] = FAN_AIR_DENSITY * zone.room_air
    running = running_share(zone, climate)
    if zone.supply is not None:
        series[:, SUPPLY_AIR] = FAN_AIR_DENSITY * zone.supply.flow * running
        series[:, SUPPLY_T] = zone.supply.temperature
        series[:, SUPPLY_W] = _ratio(
            zone.supply.rh * saturation_pressure(np.full(HOURS, zone.supply.temperature))
        )
    series[:, DUCTS] = zone.ducts * running
    series[:, DUCT_T] = zone.supply_temperature
    if zone.ground is not None:
        soil = hourly_soil_temperature(climate, zone.ground.depth)
        series[:, GROUND_T] = soil
        series[:, GROUND_P] = zone.ground.rh * saturation_pressure(soil)
    series[:, COOL_TO] = NEVER if zone.cooling is None else zone.cooling.setpoint
    series[:, HEAT_TO] = -NEVER if zone.heating_setpoint is None else zone.heating_setpoint
    if zone.kind == "room":
        for off in section.exposure.cooling_off:
            series[off.first_hour : off.first_hour + off.hours, COOL_TO] = NEVER
    return series


def _ratio(vapor: Array) -> Array:
    return np.asarray(humidity_ratio_from_vapor_pressure(vapor), dtype=np.float64)


def zone_end(zone: Zone, rows: Array, temperature: float, vapor: float) -> None:
    """Make the end of the prescribed series where the zone lies ready for the kernel to write.

    Parameters
    ----------
    zone : Zone
    rows : (8761, n_columns) ndarray
        Changed in place: at an outer end there is neither sun, sky, wind nor rain.
    temperature, vapor : float
        Air of the zone at the start. [degC], [Pa]
    """
    if zone.kind != "crawl space":
        return
    rows[:, AIR_TEMPERATURE], rows[:, AIR_VAPOR] = temperature, vapor
    rows[:, HEAT_FILM], rows[:, VAPOR_FILM] = zone.film, zone.vapor_film
    rows[:, SUN] = rows[:, LONGWAVE] = rows[:, RAIN] = 0.0


def object_temperatures(zone: Zone, climate: Climate) -> Array:
    """Temperature of the surfaces of the zone's cold objects.

    Parameters
    ----------
    zone : Zone
    climate : Climate
        Tells that of water from the ground.

    Returns
    -------
    (8760, n_objects) ndarray
        [degC]
    """
    columns = [
        hourly_soil_temperature(climate, MAINS_DEPTH)
        if one.temperature is None
        else np.full(HOURS, one.temperature)
        for one in zone.cold_objects
    ]
    return np.array(columns).reshape(len(columns), HOURS).T.copy()


def first_slope(zone: Zone, film: float, vapor_film: float) -> Array:
    """How the section's flows into the zone fall with the zone's temperature and vapor pressure, at first.

    Parameters
    ----------
    zone : Zone
    film, vapor_film : float
        Of the section's face in the zone. [W/(m2 K)], [kg/(m2 s Pa)]

    Returns
    -------
    (2, 2) ndarray
        Six tenths of what the films alone let through.
    """
    heat, water = 0.6 * zone.area * film, 0.6 * zone.area * vapor_film
    return np.array([[-heat, -LATENT_HEAT_0 * water], [0.0, -water]])


__all__ = [
    "first_slope",
    "machines_of",
    "object_temperatures",
    "running_share",
    "zone_end",
    "zone_numbers",
    "zone_of",
    "zone_series",
]
