"""Machines of a zone from their tables, every default stated."""

from __future__ import annotations

import numpy as np

from moistwall.assembly.notes import Notes, percent
from moistwall.assembly.zone_schema import ColdThing, Cooling, Drier, Fresh
from moistwall.climate.record import HOURS
from moistwall.loads.leakage import FAN_AIR_DENSITY
from moistwall.units import format_quantity
from moistwall.zone import AirConditioner, Array, ColdObject, Dehumidifier, Ventilation

TON = 3516.85
"""[W]"""

SENSIBLE_SHARE = 0.75
"""Of an air conditioner at rating: common practice, from memory. [-]"""

FLOW_PER_TON = 400.0 * 0.0254**3 * 1728.0 / 60.0
"""400 cfm a ton: common practice, from memory. [m3/s]"""

FAN_POWER_PER_FLOW = 365.0 / (1000.0 * 0.0254**3 * 1728.0 / 60.0)
"""365 W for 1000 cfm (AHRI 210/240, default where no fan was tested, from memory). [W s/m3]"""

WATER_PER_ENERGY = 1.8 / 3.6e6
"""1.8 L/kWh of a dehumidifier at rating: efficient ones, from memory. [kg/J]"""

COLD_OBJECTS: tuple[ColdObject, ...] = (
    ColdObject("duct boot", (55.0 - 32.0) / 1.8),
    ColdObject("cold-water pipe", None),
    ColdObject("supply grille", (60.0 - 32.0) / 1.8),
)
"""Cold objects where none are given: boot at 55 degF, grille at 60 degF, water as cold as the soil 1 m down:
common practice, no source."""


def hourly(schedule: tuple[float, ...] | None) -> Array:
    """Shares of each hour of the year from those of a day or a week; the year begins on a Monday.

    Parameters
    ----------
    schedule : tuple of float or None
        24 or 168 shares; None is 1 all the time.

    Returns
    -------
    (8760,) ndarray
    """
    if schedule is None:
        return np.ones(HOURS)
    return np.resize(np.array(schedule), HOURS)


def air_conditioner(given: Cooling, notes: Notes | None) -> AirConditioner:
    """Return an air conditioner as the zone has it.

    Parameters
    ----------
    given : Cooling
        Its table.
    notes : Notes or None
        Takes what is assumed.

    Returns
    -------
    AirConditioner
    """
    said: list[str] = []
    larger = 1.0 + (given.oversized or 0.0)
    capacity = given.capacity * larger
    share, flow, power = given.sensible_share, given.air_flow, given.fan_power
    if share is None:
        share = SENSIBLE_SHARE
        said.append(f"{percent(share)} sensible at rating (common practice, from memory)")
    flow = FLOW_PER_TON * capacity / TON if flow is None else flow * larger
    if given.air_flow is None:
        text = format_quantity(flow, "flow", "ip")
        said.append(f"{text} of air (400 cfm a ton, common practice, from memory)")
    if power is None:
        power = FAN_POWER_PER_FLOW * flow
        said.append(f"fan of {power:.0f} W (365 W for 1000 cfm, AHRI 210/240, from memory)")
    if given.fan is None:
        said.append("fan on auto")
    usual = AirConditioner(24.0, 1.0, 0.7, 1.0, "auto", 0.0)
    wet, dry = given.wet_time, given.drying_time
    if wet is None or dry is None:
        said.append(
            f"a coil that drips after {usual.wet_time / 60.0:.0f} min from dry, and dries in "
            f"{usual.drying_time / 60.0:.0f} min (Henderson and Rengarajan 1996, one coil, from memory)"
        )
    said.append(
        f"{usual.cycles:g} starts an hour at half load, time constant of a start {usual.start_time:g} s "
        "(same source, from memory)"
    )
    if notes is not None:
        notes.defaults.extend(f"air conditioner: {text}" for text in said)
    return AirConditioner(
        setpoint=given.setpoint,
        capacity=capacity,
        sensible_share=share,
        air_flow=FAN_AIR_DENSITY * flow,
        fan=given.fan or "auto",
        fan_power=power,
        lowest_speed=1.0 if given.lowest_speed is None else max(given.lowest_speed, 0.05),
        wet_time=usual.wet_time if wet is None else wet,
        drying_time=usual.drying_time if dry is None else dry,
    )


def dehumidifier(given: Drier | None, notes: Notes) -> Dehumidifier | None:
    """Return a dehumidifier as the zone has it."""
    if given is None:
        return None
    power = given.power
    if power is None:
        power = given.capacity / WATER_PER_ENERGY
        notes.defaults.append(
            f"dehumidifier: draws {power:.0f} W at rating (1.8 L/kWh, from memory)"
        )
    notes.defaults.append(
        "dehumidifier: capacity over temperature and humidity as of six measured machines (Winkler, "
        "Christensen, Tomerlin 2011, from memory)"
    )
    return Dehumidifier(given.setpoint, given.capacity, power)


def ventilation(given: Fresh | None, notes: Notes) -> Ventilation | None:
    """Return the fan's outdoor air as the zone has it."""
    if given is None:
        return None
    if given.sensible_recovery is None and given.latent_recovery is None:
        notes.defaults.append("ventilation: nothing recovers heat or vapor")
    return Ventilation(
        given.flow * hourly(given.schedule),
        given.sensible_recovery or 0.0,
        given.latent_recovery or 0.0,
    )


def cold_objects(given: list[ColdThing], notes: Notes) -> tuple[ColdObject, ...]:
    """Return what dew may form on in the zone."""
    if given:
        return tuple(ColdObject(one.name, one.temperature) for one in given)
    notes.defaults.append(
        "cold objects: duct boot 55 degF, supply grille 60 degF, water pipe as cold as the soil at 1 m "
        "(common practice, no source)"
    )
    return COLD_OBJECTS
