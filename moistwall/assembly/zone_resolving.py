"""From the tables of a balanced room, an attic or a crawl space to the zone of a section."""

from __future__ import annotations

import math

import numpy as np

from moistwall.air import AIR_HEAT_CAPACITY
from moistwall.assembly.notes import Notes, percent
from moistwall.assembly.reading import Assembly
from moistwall.assembly.room_checking import form_of
from moistwall.assembly.zone_machines import (
    air_conditioner,
    cold_objects,
    dehumidifier,
    hourly,
    ventilation,
)
from moistwall.assembly.zone_schema import BY_RULE, Attic, CrawlSpace
from moistwall.climate.record import HOURS
from moistwall.loads.leakage import FAN_AIR_DENSITY
from moistwall.units import format_quantity, quantity
from moistwall.zone import Array, Ground, Ridge, Supply, Window, Zone

CONTENTS: dict[str, float] = {"room": 10.0, "attic": 3.0, "crawl space": 2.0}
"""Heat capacity of what stands in a zone (furniture and partitions; rafters and ducts; joists) over that of
its air: common practice, no source. [-]"""

PERSON_HEAT, PERSON_MOISTURE = 75.0, 55.0 / 2.43e6
"""Sensible heat and moisture of a person at light work, sitting: 75 W and 55 W of latent heat (ASHRAE
Fundamentals, from memory). [W], [kg/s]"""

SUN_SHARE = 0.4
"""Share of the sun on a window that ends as heat inside, with blinds: common practice, no source. [-]"""

OUTDOOR_LEAKAGE = {"room": 0.2, "attic": 0.3}
"""Outdoor air that leaks in where nothing is said: estimates. [1/h]"""

CEILING_RESISTANCE = 2.0 / 5.678
"""R-2: board and two films, without insulation: common practice. [m2 K/W]"""

CEILING_LEAKAGE = 0.5e-3
"""Air exchanged through a ceiling with holes, per area: 10 cfm for 100 ft2 is 0.5 L/(s m2): estimate.
[m3/(s m2)]"""

RULES: dict[str, tuple[float, str]] = {
    "attic": (50.0 / 1000.0, "50 cfm for 1000 ft2 of ceiling (2018 and 2021 IRC, from memory)"),
    "crawl space": (1.0 / 50.0, "1 cfm for 50 ft2 of floor (IRC R408.3, from memory)"),
}
"""Supply air by the rules of the code. [cfm/ft2]"""

CFM_PER_FT2 = 0.3048**3 / 60.0 / 0.3048**2
"""[m3/(s m2)]"""

SUPPLY_TEMPERATURE, SUPPLY_HUMIDITY = "55 degF", "90 %"
"""Air as it leaves a cold coil: common practice, no source."""

RIDGE_SHARE = 1.0 / 12.0
"""Share of the roof that borders on the air below the ridge, about a foot on either side: judgement. [-]"""

RIDGE_EXCHANGE = 0.05e-3
"""Air that the air below a ridge exchanges with the attic below it when nothing rises, per area of ceiling: a
tenth of what passes the ceiling; judgement. [m3/(s m2)]"""

RIDGE_EXCESS = 7e-3
"""Most by which air that rises to the ridge is damper than the attic's: as attic air was above outdoor air
in Florida, dew points of 29 and 24 degC (Rudd and Lstiburek 1998), 25.7 less 18.9 g/kg; that it holds below a
ridge is judgement. [-]"""

CALM_AIR = 1.0 / 0.34
"""From air to calm air below it, two films of 0.17 m2 K/W (ISO 6946, heat flow down, from memory).
[W/(m2 K)]"""

DIFFUSION_PERMEANCE = "20 perm"
"""Least permeance of a vapor diffusion port (2018 and 2021 IRC, from memory)."""

GROUND_DEPTH, GROUND_RESISTANCE = "20 in", "R-3"
"""Depth at which the soil below a crawl space is undisturbed, and resistance from the air to there: about
half a meter of moist soil (1.5 W/(m K)) and a film: estimates."""

BARE_SOIL = 2.0e-8
"""Vapor transfer from bare soil: 7e-9 times 3 W/(m2 K) by the Lewis relation. [kg/(m2 s Pa)]"""

FLOOR_FILM = 1.0 / 0.10
"""Film below a floor where heat flows up (ISO 6946, from memory). [W/(m2 K)]"""


def resolve_zone(assembly: Assembly, tilt: float, notes: Notes, *, air: bool) -> Zone | None:
    """Resolve the zone of a file that has one.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.
    tilt : float
        Of the outer face. [deg]
    notes : Notes
        Takes what is assumed.
    air : bool
        Whether air leaks through this path.

    Returns
    -------
    Zone or None
    """
    given = assembly.given
    if given.attic is not None:
        return _attic(given.attic, tilt, notes)
    if given.crawl_space is not None:
        return _crawl_space(given.crawl_space, notes)
    if form_of(given.room) == "balanced":
        return _room(assembly, notes, air=air)
    return None


def _contents(kind: str, volume: float, notes: Notes) -> float:
    """Return the heat capacity of what stands in a zone. [J/K]"""
    times = CONTENTS[kind]
    notes.defaults.append(
        f"{kind}: contents that store {times:g} times the heat of its air, and no moisture "
        "(common practice, no source)"
    )
    return times * FAN_AIR_DENSITY * AIR_HEAT_CAPACITY * volume


def _room(assembly: Assembly, notes: Notes, *, air: bool) -> Zone:
    given, building = assembly.given.room, assembly.given.building
    volume = given.volume if given.volume is not None else building.volume
    area = given.section_area
    assert volume is not None, "a balanced room without a volume was not refused"
    assert area is not None, "a balanced room without its area was not refused"
    heat, moisture = np.zeros(HOURS), np.full(HOURS, given.moisture or 0.0)
    if given.people is not None:
        people = given.people
        present = people.count * hourly(people.schedule)
        each = people.heat, people.moisture
        if each[0] is None or each[1] is None:
            notes.defaults.append(
                "people: 75 W and 55 W of latent heat each, sitting at light work (ASHRAE Fundamentals, "
                "from memory)"
            )
        heat += present * (PERSON_HEAT if each[0] is None else each[0])
        moisture += present * (PERSON_MOISTURE if each[1] is None else each[1])
    if given.equipment is not None:
        heat += given.equipment.power * hourly(given.equipment.schedule)
    windows = []
    for pane in given.window:
        share = SUN_SHARE if pane.sun_share is None else pane.sun_share
        windows.append(Window(pane.area, pane.facing, share))
    if any(pane.sun_share is None for pane in given.window):
        notes.defaults.append(
            f"windows: {percent(SUN_SHARE)} of the sun on them warms the room (common practice, no source)"
        )
    leaks, enclosure = 0.0, 0.0
    if assembly.given.leakage is not None and air:
        enclosure = building.envelope_area or 0.0
    else:
        rate = given.air_changes
        if rate is None:
            rate = OUTDOOR_LEAKAGE["room"]
            notes.defaults.append(f"room: {rate:g} air changes an hour leak in (estimate)")
        leaks = rate * volume / 3600.0
    if given.other_conductance is None:
        notes.defaults.append("room: no heat through anything but what is built like this section")
    heating = given.heating
    return Zone(
        "room",
        area,
        volume,
        _contents("room", volume, notes),
        heat,
        moisture,
        outdoor_air=leaks,
        enclosure_area=enclosure,
        ventilation=ventilation(given.ventilation, notes),
        windows=tuple(windows),
        conductance_outdoors=given.other_conductance or 0.0,
        cooling=None if given.cooling is None else air_conditioner(given.cooling, notes),
        heating_setpoint=None if heating is None else heating.setpoint,
        heating_capacity=math.inf
        if heating is None or heating.capacity is None
        else heating.capacity,
        dehumidifier=dehumidifier(given.dehumidifier, notes),
        cold_objects=cold_objects(given.cold_object, notes),
    )


def _supply(given: Attic | CrawlSpace, kind: str, area: float, notes: Notes) -> Supply | None:
    """Return cooled air that is let into the zone."""
    flow = given.supply
    if flow == BY_RULE:
        per_area, source = RULES[kind]
        flow = per_area * CFM_PER_FT2 * area
        text = format_quantity(flow, "flow", "ip")
        notes.defaults.append(f"{kind}: {text} of supply air while the machine runs, {source}")
    leak = given.duct_leakage if isinstance(given, Attic) else None
    if flow is None and leak is None:
        return None
    if given.supply_temperature is None or given.supply_humidity is None:
        notes.defaults.append(
            f"{kind}: supply air at {SUPPLY_TEMPERATURE} and {SUPPLY_HUMIDITY} (common practice, no source)"
        )
    temperature, humidity = given.supply_temperature, given.supply_humidity
    return Supply(
        (flow or 0.0) + (leak or 0.0),
        quantity(SUPPLY_TEMPERATURE, "temperature") if temperature is None else temperature,
        quantity(SUPPLY_HUMIDITY, "share") if humidity is None else humidity,
    )


def _running(kind: str, notes: Notes) -> None:
    notes.defaults.append(
        f"{kind}: the room's air conditioner runs 80 % of the time at 95 degF outdoors and not at all at "
        "65 degF, for supply air and ducts (common practice, no source)"
    )


def _attic(given: Attic, tilt: float, notes: Notes) -> Zone:
    roof = given.roof_area
    if roof is None:
        roof = given.ceiling_area / math.cos(math.radians(min(tilt, 75.0)))
        text = format_quantity(roof, "area", "ip")
        notes.defaults.append(f"attic: {text} of roof, the ceiling along the slope")
    resistance, leakage = given.ceiling_resistance, given.ceiling_leakage
    if resistance is None:
        resistance = CEILING_RESISTANCE
        notes.defaults.append("attic: ceiling of R-2, board and films (common practice, no source)")
    if leakage is None:
        leakage = CEILING_LEAKAGE * given.ceiling_area
        notes.defaults.append(
            f"attic: {format_quantity(leakage, 'flow', 'ip')} of air exchanged with the room "
            "through the ceiling (0.5 L/(s m2), estimate)"
        )
    rate = given.outdoor_leakage
    if rate is None:
        rate = OUTDOOR_LEAKAGE["attic"]
        notes.defaults.append(f"attic: {rate:g} air changes an hour leak in (estimate)")
    vent = 0.0
    if given.diffusion_vent is not None:
        permeance = given.diffusion_vent_permeance
        if permeance is None:
            permeance = quantity(DIFFUSION_PERMEANCE, "permeance")
            notes.defaults.append(
                f"attic: diffusion vent of {DIFFUSION_PERMEANCE} (2018 and 2021 IRC, from memory)"
            )
        vent = permeance * given.diffusion_vent * given.ceiling_area
    ridge = None if given.ridge is None else _ridge(given, roof, vent, notes)
    supply = _supply(given, "attic", given.ceiling_area, notes)
    if supply is not None or given.duct_conductance:
        _running("attic", notes)
    return Zone(
        "attic",
        roof,
        given.volume,
        _contents("attic", given.volume, notes),
        *_nothing(),
        outdoor_air=rate * given.volume / 3600.0,
        conductance_room=given.ceiling_area / resistance,
        room_air=leakage,
        supply=supply,
        ducts=given.duct_conductance or 0.0,
        diffusion_vent=vent if ridge is None else 0.0,
        ridge=ridge,
        dehumidifier=dehumidifier(given.dehumidifier, notes),
        cold_objects=cold_objects(given.cold_object, notes),
    )


def _ridge(given: Attic, roof: float, vent: float, notes: Notes) -> Ridge:
    """Return the air below the ridge: a prism as the attic's, smaller; the vent is in it."""
    asked = given.ridge
    assert asked is not None, "an attic without a ridge was asked for its air"
    share, exchange, rising = asked.roof_share, asked.exchange, asked.rising
    if share is None:
        share = RIDGE_SHARE
        notes.defaults.append("ridge: a twelfth of the roof lies along it (judgement)")
    if exchange is None:
        exchange = RIDGE_EXCHANGE * given.ceiling_area
        notes.defaults.append(
            f"ridge: {format_quantity(exchange, 'flow', 'ip')} of air exchanged with the attic below it "
            "when nothing rises (0.05 L/(s m2) of ceiling, judgement)"
        )
    if rising is None:
        rising = 1.0
        notes.defaults.append(
            "ridge: all that the roof of the attic gives off rises to it, and mixes from there (judgement)"
        )
    notes.defaults.append(
        "ridge: air that rises is at most 7 g/kg damper than the attic's (dew points of attics and outdoor air in "
        "Florida, Rudd and Lstiburek 1998; judgement)"
    )
    volume = share * share * given.volume
    return Ridge(
        area=share * roof,
        volume=volume,
        contents=CONTENTS["attic"] * FAN_AIR_DENSITY * AIR_HEAT_CAPACITY * volume,
        exchange=exchange,
        excess=RIDGE_EXCESS,
        conductance=CALM_AIR * share * given.ceiling_area,
        rising=rising,
        diffusion_vent=vent,
    )


def _crawl_space(given: CrawlSpace, notes: Notes) -> Zone:
    area, volume = given.floor_area, given.floor_area * given.height
    depth, resistance = given.ground_depth, given.ground_resistance
    if depth is None or resistance is None:
        notes.defaults.append(
            f"crawl space: soil as undisturbed {GROUND_DEPTH} down, {GROUND_RESISTANCE} from the air to "
            "there (estimate)"
        )
    depth = quantity(GROUND_DEPTH, "length") if depth is None else depth
    if resistance is None:
        resistance = quantity(GROUND_RESISTANCE, "thermal_resistance")
    notes.defaults.append("crawl space: soil saturated at that depth")
    vapor = BARE_SOIL
    if given.ground_cover is None:
        notes.defaults.append("crawl space: bare soil, vapor transfer 2e-08 kg/(m2 s Pa)")
    else:
        vapor = 1.0 / (1.0 / BARE_SOIL + 1.0 / given.ground_cover)
    supply = _supply(given, "crawl space", area, notes)
    if supply is not None or given.duct_conductance:
        _running("crawl space", notes)
    notes.defaults.append(
        "crawl space: film below the floor 0.10 m2 K/W (ISO 6946, heat flow up, from memory), radiation "
        "to soil as cold as the air"
    )
    return Zone(
        "crawl space",
        area,
        volume,
        _contents("crawl space", volume, notes),
        *_nothing(),
        outdoor_air=given.air_changes * volume / 3600.0,
        conductance_outdoors=given.wall_conductance or 0.0,
        room_air=given.floor_leakage or 0.0,
        supply=supply,
        ducts=given.duct_conductance or 0.0,
        ground=Ground(depth, area / resistance, area * vapor),
        dehumidifier=dehumidifier(given.dehumidifier, notes),
        cold_objects=cold_objects(given.cold_object, notes),
        film=FLOOR_FILM,
        vapor_film=BARE_SOIL,
    )


def _nothing() -> tuple[Array, Array]:
    """Return heat and moisture of nobody."""
    return np.zeros(HOURS), np.zeros(HOURS)
