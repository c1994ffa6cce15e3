"""What the tables of loads say together: places that exist, sums, what needs what, dates of events."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from moistwall.assembly.exposure_schema import (
    LeakageTable,
    Loads,
    NoCooling,
    Rain,
    StormLeak,
    Studs,
    readable_loads,
)
from moistwall.assembly.fields import date_text
from moistwall.assembly.places import Interface, find_entry_place, find_interface
from moistwall.assembly.schema import LayerEntry, entry_kind, entry_label, labeled
from moistwall.assembly.starting import fault_of_start, preset_content
from moistwall.climate.record import HOURS
from moistwall.errors import Fault, InputError
from moistwall.library import Entry, find_material
from moistwall.material import FacedBoard, Material
from moistwall.names import plain_name
from moistwall.units import quantity

STANDARD_LEAK = 0.01
"""Share of the driving rain that gets past the cladding onto the water-control layer where none is
given (ASHRAE 160, from memory). [-]"""

BUILDING_HEIGHT = "12 ft"
"""Height of the building where none is given: one story, common practice, no source."""

LUMBER = "spruce"
"""What studs are made of where nothing is said."""

STORM_HOURS = 6
"""Hours over which a storm leak arrives where nothing is said: common practice, no source."""


@dataclass
class Found:
    """What the tables of loads refer to.

    Parameters
    ----------
    interfaces : dict of str to Interface
        Places, by the field that names them.
    stud_layer : int or None
        Place in the file of the layer that studs interrupt.
    lumber : Material or None
        What the studs are made of.
    """

    interfaces: dict[str, Interface] = field(default_factory=dict)
    stud_layer: int | None = None
    lumber: Material | None = None


@dataclass(frozen=True)
class _File:
    """The file as it was written, and what its entries are made of."""

    data: Mapping[str, Any]
    entries: Sequence[object]
    found: Sequence[Entry | None]
    water_control: int | None
    folders: Sequence[Any]
    faults: list[Fault]

    def fault(self, where: str, value: object, problem: str, remedy: str = "") -> None:
        """Note a mistake."""
        self.faults.append(Fault("", where, "" if value is None else str(value), problem, remedy))

    def raw(self, *keys: str | int) -> object:
        """Return what stands in the file at a place; None if nothing does."""
        here: Any = self.data
        for key in keys:
            try:
                here = here[key]
            except (KeyError, IndexError, TypeError):
                return None
        return here


def check_loads(
    data: Mapping[str, Any],
    entries: Sequence[object],
    found: Sequence[Entry | None],
    water_control: int | None,
    folders: Sequence[Any],
    faults: list[Fault],
) -> Found:
    """Check the tables of loads against each other and against the layers.

    Parameters
    ----------
    data : mapping
        The file.
    entries : sequence
        Its entries of ``[[layer]]``.
    found : sequence of Material, FilmMaterial, FacedBoard or None
        What each is made of.
    water_control : int or None
        Place of what keeps rain out.
    folders : sequence of Path
        Where materials are looked for beside the library.
    faults : list of Fault
        Takes every mistake.

    Returns
    -------
    Found
        What they refer to.
    """
    loads, wrong = readable_loads(data)
    file = _File(data, entries, found, water_control, folders, faults)
    result = Found()
    if loads.rain is not None:
        _check_rain(loads.rain, file, result)
    if loads.leakage is not None:
        _check_leakage(loads, loads.leakage, "building" in wrong, file, result)
    _check_events(loads, file, result)
    if loads.studs is not None:
        _check_studs(loads.studs, file, result)
    _check_start(loads, file, result)
    return result


def _check_rain(rain: Rain, file: _File, result: Found) -> None:
    standard = rain.leak_share
    if standard is None:
        standard = STANDARD_LEAK if file.raw("kind") in (None, "wall") else 0.0
    outermost = file.water_control == 0
    if file.water_control is None and standard != 0.0:
        problem = "there is no water-control layer on which the rain that gets in could land"
        remedy = 'name it in [water_control], or write leak_share = "0 %"'
        if file.raw("water_control") is None:
            file.fault("rain.leak_share", file.raw("rain", "leak_share"), problem, remedy)
    elif outermost and rain.leak_share:
        problem = "the water-control layer is the outermost one: no cladding lets rain through"
        file.fault("rain.leak_share", file.raw("rain", "leak_share"), problem, "leave it out")
    names: dict[str, str] = {}
    total = 0.0 if outermost else standard
    for number, leak in enumerate(rain.behind, start=1):
        where = f"rain.behind[{number}]"
        total += leak.share
        _place(leak.between, f"{where}.between", file, result)
        _own_name(leak.name, leak_name(leak.between), where, names, file)
    if total > 1.0 + 1e-12:
        problem = f"the shares of the driving rain add up to {100.0 * total:.4g} %, over 100 %"
        remedy = "give shares that are at most all of the rain together"
        file.fault("rain.behind" if rain.behind else "rain.leak_share", None, problem, remedy)


def _place(pair: Sequence[str], where: str, file: _File, result: Found) -> None:
    """Find a place and keep it under the field that names it."""
    found = find_interface(pair, file.entries, file.found, where, file.faults)
    if found is not None:
        result.interfaces[where] = found


def leak_name(between: Sequence[str]) -> str:
    """Name a leak that was not given one, by its place."""
    return f"rain between {between[0]} and {between[1]}"


def _own_name(given: str | None, made: str, where: str, names: dict[str, str], file: _File) -> None:
    name = plain_name(given or made)
    if names.setdefault(name, where) != where:
        problem, remedy = f"has the name of {names[name]} as well", "give each a name of its own"
        file.fault(f"{where}.name", given or made, problem, remedy)


def _check_leakage(
    loads: Loads, leakage: LeakageTable, no_building: bool, file: _File, result: Found
) -> None:
    given = [key for key in ("ach50", "cfm50", "test") if file.raw("leakage", key)]
    if len(given) != 1:
        problem = "needs a blower-door test" if not given else f"has {' and '.join(given)}"
        remedy = 'give one of ach50 = "7 1/h", cfm50 = "1200 cfm" and tables [[leakage.test]]'
        file.fault("leakage", None, problem, remedy)
    labels: dict[str, int] = {}
    fields: list[tuple[str, tuple[str | int, ...]]] = [
        (f"leakage.{key}", ("leakage", key)) for key in given if key != "test"
    ]
    for number, test in enumerate(leakage.test, start=1):
        where = f"leakage.test[{number}]"
        results = [key for key in ("ach50", "cfm50") if getattr(test, key) is not None]
        if len(results) != 1:
            file.fault(where, test.label, "needs one of ach50 and cfm50", 'write ach50 = "7 1/h"')
        fields += [(f"{where}.{key}", ("leakage", "test", number - 1, key)) for key in results]
        if labels.setdefault(plain_name(test.label), number) != number:
            problem = f"is the label of leakage.test[{labels[plain_name(test.label)]}] as well"
            file.fault(f"{where}.label", test.label, problem, "give each its own")
    if fields and not no_building:
        where, keys = fields[0]
        if loads.building.volume is None and any(keys[-1] == "ach50" for _, keys in fields):
            where, keys = next(one for one in fields if one[1][-1] == "ach50")
            problem = "air changes at 50 Pa say nothing without the volume of the building"
            remedy = 'write volume = "10800 ft3" in [building], or give cfm50'
            file.fault(where, file.raw(*keys), problem, remedy)
        if loads.building.envelope_area is None:
            problem = "needs the area of the enclosure that leaks"
            remedy = 'write envelope_area = "3600 ft2" in [building]: walls, roof and floor'
            file.fault(where, file.raw(*keys), problem, remedy)
    height = loads.building.height
    if height is None:
        height = quantity(BUILDING_HEIGHT, "length")
    if leakage.leaks_at is not None and leakage.leaks_at > height and not no_building:
        high = file.raw("building", "height") or f"{BUILDING_HEIGHT}, as none is given,"
        problem = f"is above the building, which is {high} high"
        remedy = "give the height of this section's leaks above the lowest floor"
        file.fault("leakage.leaks_at", file.raw("leakage", "leaks_at"), problem, remedy)
    if leakage.meets is not None:
        _place(leakage.meets, "leakage.meets", file, result)
    elif leakage.contact is not None:
        problem = "has no meaning where the air spreads evenly"
        remedy = 'name the place that a short cut meets: meets = ["sheathing", "wool"]'
        file.fault("leakage.contact", file.raw("leakage", "contact"), problem, remedy)


def _check_events(loads: Loads, file: _File, result: Found) -> None:
    names: dict[str, str] = {
        plain_name(leak.name or leak_name(leak.between)): f"rain.behind[{number}]"
        for number, leak in enumerate(loads.rain.behind if loads.rain else [], start=1)
    }
    spans: list[tuple[bool, int, int, str]] = []
    for number, event in enumerate(loads.event, start=1):
        where = f"event[{number}]"
        first, hours = event_hours(event)
        if event.lasts is not None and abs(event.lasts / 3600.0 - hours) > 1e-6:
            remedy = 'write whole hours, days or weeks, such as "6 h"'
            file.fault(
                f"{where}.lasts",
                file.raw("event", number - 1, "lasts"),
                "is no number of hours",
                remedy,
            )
        if first + hours > HOURS:
            problem = f"runs beyond the end of the year, {date_text(first // 24)} and after"
            remedy = (
                "let it end by Dec 31; the year is repeated, so that a part may stand in January"
            )
            file.fault(f"{where}.lasts", file.raw("event", number - 1, "lasts"), problem, remedy)
        if isinstance(event, StormLeak):
            _place(event.between, f"{where}.between", file, result)
        _own_name(event.name, event_name(event), where, names, file)
        room = isinstance(event, NoCooling)
        for other_room, begin, end, other in spans:
            same_place = room or _same_place(where, other, result)
            if room == other_room and same_place and first < end and begin < first + hours:
                problem = f"overlaps {other}, which is not over by then"
                remedy = "join the two, or move one"
                file.fault(f"{where}.date", file.raw("event", number - 1, "date"), problem, remedy)
                break
        spans.append((room, first, first + hours, where))


def _same_place(one: str, other: str, result: Found) -> bool:
    """Tell whether two storm leaks land at one place."""
    places = [result.interfaces.get(f"{where}.between") for where in (one, other)]
    return None not in places and places[0].inner == places[1].inner  # type: ignore[union-attr]


def event_hours(event: StormLeak | NoCooling) -> tuple[int, int]:
    """First hour of an event in the year, from 0, and how many hours it lasts."""
    hours = STORM_HOURS if event.lasts is None else round(event.lasts / 3600.0)
    return 24 * event.date, hours


def event_name(event: StormLeak | NoCooling) -> str:
    """Name of an event: its own, or what it is and when."""
    return event.name or f"{event.kind} of {date_text(event.date)}"


def _check_studs(studs: Studs, file: _File, result: Found) -> None:
    if studs.layer is not None:
        field_name, problem = "studs.layer", "studs interrupt a layer, not a gap"
        place = find_entry_place(
            studs.layer, file.entries, file.found, field_name, file.faults, gap=problem
        )
        if place is not None and entry_kind(file.entries[place]) == "film":
            remedy = "name the insulation between the studs"
            file.fault(field_name, studs.layer, "is a film, which studs do not interrupt", remedy)
            place = None
        result.stud_layer = place
    else:
        wools = [k for k, one in enumerate(file.found) if one is not None and one.kind == "wool"]
        if len(wools) == 1:
            result.stud_layer = wools[0]
        elif wools or not any(
            one is None and entry_kind(entry) == "material"
            for one, entry in zip(file.found, file.entries, strict=True)
        ):  # a material that was not found may be the wool, and is told by itself
            labels = [entry_label(file.entries[k]) for k in wools]
            problem = (
                "is missing: there is no wool" if not wools else f"could be {', '.join(labels)}"
            )
            remedy = "name the layer that the studs interrupt"
            file.fault("studs.layer", None, problem, remedy)
    try:
        result.lumber = find_material(
            studs.material or LUMBER, tuple(file.folders), field="studs.material"
        )
    except InputError as error:
        file.faults.extend(error.faults)
    sizes = [key for key in ("width", "spacing") if getattr(studs, key) is not None]
    if studs.share is not None and sizes:
        problem = "is given beside the share of the area that is framing"
        file.fault(f"studs.{sizes[0]}", file.raw("studs", sizes[0]), problem, "give one of them")
    elif len(sizes) == 1:
        missing = "spacing" if sizes == ["width"] else "width"
        example = {"spacing": "16 in", "width": "1 1/2 in"}[missing]
        problem = f"is missing beside {sizes[0]}"
        file.fault(f"studs.{missing}", None, problem, f'write for instance {missing} = "{example}"')
    elif (studs.width or 0.0) > 0.9 * (studs.spacing or math.inf):
        problem = f"leaves no room between studs that are {file.raw('studs', 'spacing')} apart"
        file.fault("studs.width", file.raw("studs", "width"), problem, "give a wider spacing")
    if studs.start is not None and result.lumber is not None:
        wet = fault_of_start(studs.start, result.lumber, "studs.start")
        file.faults.extend([wet] if wet is not None else [])


def _check_start(loads: Loads, file: _File, result: Found) -> None:
    changed = False
    for place, (raw, one) in enumerate(zip(file.entries, file.found, strict=True)):
        if not isinstance(raw, dict) or not isinstance(one, Material | FacedBoard):
            continue
        material = one.core if isinstance(one, FacedBoard) else one
        try:
            entry = LayerEntry.model_validate(raw)
        except ValueError:
            continue
        where = f"layer[{place + 1}].start"
        if entry.start is not None and entry.start_humidity is not None:
            fault = Fault("", where, entry.start.text, "is given beside start_humidity", "keep one")
            file.faults.append(labeled(fault, raw))
        elif entry.start is not None:
            wet = fault_of_start(entry.start, material, where)
            file.faults.extend([labeled(wet, raw)] if wet is not None else [])
        elif entry.start_humidity is None and loads.start is not None:
            inward = place >= (file.water_control or 0)
            content = preset_content(loads.start.preset, material, inward=inward)
            changed = changed or content is not None
    studs = loads.studs
    if loads.start is not None and studs is not None and studs.start is None and result.lumber:
        changed = (
            changed or preset_content(loads.start.preset, result.lumber, inward=True) is not None
        )
    if loads.start is not None and not changed:
        remedy = "leave it out, or give the layers a start of their own"
        file.fault("start.preset", loads.start.preset, "changes none of the layers", remedy)
