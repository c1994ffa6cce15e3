"""From the tables of loads to the exposure of a section, every default stated."""

from __future__ import annotations

from dataclasses import replace

from moistwall.assembly.exposure_checking import (
    BUILDING_HEIGHT,
    LUMBER,
    STANDARD_LEAK,
    STORM_HOURS,
    event_hours,
    event_name,
    leak_name,
)
from moistwall.assembly.exposure_schema import BlowerDoor, LeakageTable, NoCooling, Studs
from moistwall.assembly.laying import Laid
from moistwall.assembly.notes import Notes, percent
from moistwall.assembly.places import spot_between
from moistwall.assembly.reading import Assembly
from moistwall.assembly.room_checking import form_of
from moistwall.assembly.schema import AssemblyKind
from moistwall.errors import AssemblyError
from moistwall.exposure import CoolingOff, Exposure, Leakage, Pour, RainLeak, RainLoad
from moistwall.loads.driving_rain import DEPOSITION_FACTORS, Deposition, exposure_factor
from moistwall.loads.driving_rain import Exposure as Openness
from moistwall.loads.leakage import (
    EXPONENT,
    fault_of_fans,
    flow_50_from_air_changes,
    flow_50_from_flow,
)
from moistwall.units import quantity

OPENNESS: Openness = "medium"
"""How open the site is to rain and wind where nothing is said."""

SHELTER: dict[Openness, float] = {"sheltered": 0.3, "medium": 0.5, "severe": 0.8}
"""Wind at a low building over that at 10 m in the open: common practice, no source. [-]"""

POSITION: dict[AssemblyKind, Deposition] = {
    "wall": "below steep roof",
    "roof": "subject to runoff",
    "floor": "below steep roof",
}
"""What is above the face where nothing is said: common practice, no source."""

STANDARD_LEAK_NAME = "rain at the water-control layer"
"""What the report calls the standard share of the driving rain."""

ROOM_UNCOOLED: dict[str, tuple[int, float, str]] = {
    "cooling off": (24, 0.0, "windows open"),
    "shut": (72, 3.0, "closed, warmed by the sun on windows and roof"),
}
"""Room air without cooling: mean of so many hours of outdoor air [h], and warmer [K]: estimates."""

FRAMING_SHARE = 0.25
"""Share of the area that is framing where nothing is said: studs 16 in apart with plates and headers
(ASHRAE Fundamentals, from memory). [-]"""


def resolve_exposure(
    assembly: Assembly, laid: Laid, kind: AssemblyKind, stage: int, notes: Notes, *, air: bool
) -> Exposure:
    """Resolve rain, leaks and events.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.
    laid : Laid
        Parts of the section.
    kind : {'wall', 'roof', 'floor'}
        What the section is.
    stage : int
        Which of the blower-door tests.
    notes : Notes
        Takes what is assumed.
    air : bool
        Whether air leaks through this path.

    Returns
    -------
    Exposure
    """
    given = assembly.given
    height = given.building.height
    openness = given.building.exposure
    if given.rain is not None or given.leakage is not None:
        if height is None:
            notes.defaults.append(
                f"building: {BUILDING_HEIGHT} high (one story; common practice, no source)"
            )
        if openness is None:
            notes.defaults.append(
                f"building: {OPENNESS} exposure to rain and wind (common practice, no source)"
            )
    height = quantity(BUILDING_HEIGHT, "length") if height is None else height
    openness = OPENNESS if openness is None else openness
    rain, rain_leaks = _rain(assembly, laid, kind, height, openness, notes)
    leakage = None
    if given.leakage is not None and air:
        leakage = _leakage(assembly, given.leakage, laid, kind, height, openness, stage, notes)
    pours, cooling_off = _events(assembly, laid, notes)
    return Exposure(rain, rain_leaks, pours, leakage, cooling_off)


def _rain(
    assembly: Assembly,
    laid: Laid,
    kind: AssemblyKind,
    height: float,
    openness: Openness,
    notes: Notes,
) -> tuple[RainLoad | None, tuple[RainLeak, ...]]:
    """Return driving rain on the face, and its shares that get in."""
    rain = assembly.given.rain
    if rain is None:
        return None, ()
    position = rain.position
    if position is None:
        position = POSITION[kind]
        notes.defaults.append(
            f"rain: the {kind} is '{position}' (common practice, no source), which lets "
            f"{percent(DEPOSITION_FACTORS[position])} of the rain that wind carries reach it "
            "(ASHRAE 160, from memory)"
        )
    load = RainLoad(exposure_factor(height, openness), DEPOSITION_FACTORS[position])
    leaks = []
    share = rain.leak_share
    control = assembly.water_control
    if control == 0:
        notes.defaults.append(
            "rain: none gets behind the outermost layer, which is the water-control layer itself"
        )
    elif share is None and kind != "wall":
        notes.defaults.append(
            f"rain: none gets through the {kind} (the 1 % of ASHRAE 160 is for walls)"
        )
    elif control is not None and share != 0.0:
        spot, words = spot_between(laid.parts, laid.starts[control])
        if share is None:
            share = STANDARD_LEAK
            notes.defaults.append(
                f"rain: {percent(share)} of what reaches the {kind} gets to the outer face of the "
                "water-control layer (ASHRAE 160, from memory)"
            )
        notes.defaults.append(f"{STANDARD_LEAK_NAME}: lands on {words}")
        leaks.append(RainLeak(STANDARD_LEAK_NAME, spot, share))
    for number, behind in enumerate(rain.behind, start=1):
        spot, words = laid.spot(assembly, f"rain.behind[{number}].between")
        name = behind.name or leak_name(behind.between)
        notes.defaults.append(f"{name}: lands on {words}")
        leaks.append(RainLeak(name, spot, behind.share))
    return load, tuple(leaks)


def _leakage(
    assembly: Assembly,
    leakage: LeakageTable,
    laid: Laid,
    kind: AssemblyKind,
    height: float,
    openness: Openness,
    stage: int,
    notes: Notes,
) -> Leakage:
    """Return the air through the enclosure at one of its tests."""
    building = assembly.given.building
    area = building.envelope_area
    assert area is not None, "leakage without the area of the enclosure was not refused"
    test: BlowerDoor | LeakageTable = leakage.test[stage] if leakage.test else leakage
    exponent = leakage.exponent
    if exponent is None:
        exponent = EXPONENT
        notes.defaults.append(
            f"leakage: flow rises with pressure to the power {exponent:g} (common practice; 0.6 to "
            "0.7 in tests of houses, from memory)"
        )
    if test.cfm50 is not None:
        flow_50 = flow_50_from_flow(test.cfm50, area, exponent=exponent)
    else:
        assert test.ach50 is not None, "leakage without a test was not refused"
        assert building.volume is not None, "air changes without a volume were not refused"
        flow_50 = flow_50_from_air_changes(test.ach50, building.volume, area)
    shelter = SHELTER[openness]
    notes.defaults.append(
        f"leakage: wind at the building {percent(shelter)} of that at 10 m ({openness} exposure; "
        "common practice, no source)"
    )
    balanced = form_of(assembly.given.room) == "balanced"
    if balanced:
        # what stands for walls on all sides has no windward side
        notes.defaults.append(
            "leakage: straight from outdoors into the room, as much as the enclosure lets in; none passes this "
            "section, which stands for all that is built like it"
        )
    else:
        notes.defaults.append("leakage: this section leaks as the enclosure does on average")
    if leakage.exhaust is None and leakage.supply is None:
        notes.defaults.append("leakage: no fans move air in or out")
    spot, contact = None, 1.0
    if leakage.meets is not None:
        spot, words = laid.spot(assembly, "leakage.meets")
        notes.defaults.append(f"leakage: the short cut meets {words}")
        if leakage.contact is None:
            notes.defaults.append(
                "leakage: all air of the short cut takes on the state of that face (upper bound)"
            )
        else:
            contact = leakage.contact
    elif not balanced:
        notes.defaults.append("leakage: air spreads evenly through the section")
    found = Leakage(
        flow_50=flow_50,
        exponent=exponent,
        height=height,
        leak_height=_leak_height(leakage, kind, height, notes),
        shelter=shelter,
        exhaust=(leakage.exhaust or 0.0) / area,
        supply=(leakage.supply or 0.0) / area,
        share=0.0 if balanced else 1.0,
        spot=spot,
        contact=contact,
        stage=test.label if isinstance(test, BlowerDoor) else "",
    )
    if fault := fault_of_fans(found):
        given = assembly.data["leakage"]
        fans = {key: str(given[key]) for key in ("exhaust", "supply") if key in given}
        larger = "exhaust" if found.exhaust > found.supply else "supply"
        where = replace(fault, file=assembly.file, field=f"leakage.{larger}", value=fans[larger])
        raise AssemblyError(where)
    return found


def _leak_height(leakage: LeakageTable, kind: AssemblyKind, height: float, notes: Notes) -> float:
    """Return the height of the leaks above the middle of the building. [m]"""
    if leakage.leaks_at is not None:
        return leakage.leaks_at - 0.5 * height
    where, share = {"wall": ("at middle height", 0.0), "roof": ("at the top", 0.5)}.get(
        kind, ("at the bottom", -0.5)
    )
    notes.defaults.append(f"leakage: leaks of the {kind} {where} of the building")
    return share * height


def _events(
    assembly: Assembly, laid: Laid, notes: Notes
) -> tuple[tuple[Pour, ...], tuple[CoolingOff, ...]]:
    """Return what happens once in the year."""
    pours, uncooled = [], []
    for number, event in enumerate(assembly.given.event, start=1):
        first, hours = event_hours(event)
        name = event_name(event)
        if isinstance(event, NoCooling):
            mean_hours, warmer, how = ROOM_UNCOOLED[event.kind]
            above = f", {warmer:g} K warmer" if warmer else ""
            notes.defaults.append(
                f"{name}: room air is the mean outdoor air of the last {mean_hours} hours{above} "
                f"({how}; estimate)"
            )
            uncooled.append(CoolingOff(name, event.kind, first, hours, mean_hours, warmer))
            continue
        spot, words = laid.spot(assembly, f"event[{number}].between")
        notes.defaults.append(f"{name}: lands on {words}")
        if event.lasts is None:
            notes.defaults.append(
                f"{name}: arrives evenly over {STORM_HOURS} hours (common practice, no source)"
            )
        pours.append(Pour(name, spot, first, hours, event.amount))
    return tuple(pours), tuple(uncooled)


def framing_share(studs: Studs, notes: Notes) -> float:
    """Share of the area that is framing.

    Parameters
    ----------
    studs : Studs
        As given.
    notes : Notes
        Takes what is assumed.

    Returns
    -------
    float
        Share. [-]
    """
    if studs.material is None:
        notes.defaults.append(f"studs: {LUMBER} (common practice, no source)")
    if studs.share is not None:
        return studs.share
    if studs.width is not None and studs.spacing is not None:
        share = studs.width / studs.spacing
        notes.defaults.append(
            f"studs: {percent(share)} of the area, studs alone; with plates and headers it is 20 to "
            "25 % in most walls (common practice, no source)"
        )
        return share
    notes.defaults.append(
        f"studs: {percent(FRAMING_SHARE)} of the area (16 in apart, with plates and headers; ASHRAE "
        "Fundamentals, from memory)"
    )
    return FRAMING_SHARE
