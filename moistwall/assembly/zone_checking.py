"""What the tables of a balanced room, an attic and a crawl space say together and what excludes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from moistwall.assembly.room_checking import form_of
from moistwall.assembly.room_schema import Room
from moistwall.assembly.schema import SLOPES
from moistwall.assembly.zone_machines import air_conditioner
from moistwall.assembly.zone_schema import Attic, CrawlSpace
from moistwall.errors import Fault, InputError
from moistwall.loads.coil import rated_coil

PLACES: dict[str, tuple[str, type[Attic] | type[CrawlSpace]]] = {
    "attic": ("roof", Attic),
    "crawl_space": ("floor", CrawlSpace),
}
"""Tables of zones beside the room, the kind of section that they belong to, and their schema."""


def check_zones(data: Mapping[str, Any], faults: list[Fault]) -> None:
    """Check the tables of zones.

    Parameters
    ----------
    data : mapping
        The assembly file.
    faults : list of Fault
        Takes every mistake; those of the schema are found by it.
    """
    try:
        room: Room | None = Room.model_validate(data.get("room", {}))
    except ValidationError:
        room = None
    balanced = room is not None and form_of(room) == "balanced"
    if room is not None and balanced:
        _check_room(room, data, faults)
    for table, (kind, model) in PLACES.items():
        if table not in data:
            continue
        given = data.get("kind", "wall")
        if (
            given != kind and isinstance(given, str) and given in SLOPES
        ):  # another kind is reported with the schema's faults
            problem = f"belongs to a {kind}, not to a {given}"
            remedy = f'write kind = "{kind}", or leave it out'
            faults.append(Fault("", table, str(data.get("kind", "")), problem, remedy))
        if balanced:
            problem = "cannot stand beside a balanced room: one zone a file"
            remedy = 'give the room another form, such as "ashrae 160 air-conditioned"'
            faults.append(Fault("", table, "", problem, remedy))
        if table == "attic" and "leakage" in data:
            problem = (
                "is air through the enclosure of the room, which a sealed attic lies outside of"
            )
            remedy = "write outdoor_leakage and ceiling_leakage in [attic]"
            faults.append(Fault("", "leakage", "", problem, remedy))
        try:
            zone = model.model_validate(data[table])
        except ValidationError:
            continue
        if isinstance(zone, Attic):
            if zone.diffusion_vent_permeance is not None and zone.diffusion_vent is None:
                problem, remedy = (
                    "has no meaning without its area",
                    'write diffusion_vent = "1/600"',
                )
                faults.append(Fault("", f"{table}.diffusion_vent_permeance", "", problem, remedy))
            layer = data.get("layer")
            entries = layer if isinstance(layer, list) else []
            gap = [one for one in entries if isinstance(one, dict) and "gap" in one]
            if any(one["gap"] != "sealed" and _is_attic(one) for one in gap):
                problem = "is given beside a gap that is the attic as well"
                remedy = "leave out the gap and what lies below it: the zone takes their place"
                faults.append(Fault("", table, "", problem, remedy))


def _is_attic(gap: Mapping[str, Any]) -> bool:
    """Tell whether a gap stands for an attic: it has a net free area."""
    return "net_free_area" in gap


def _check_room(room: Room, data: Mapping[str, Any], faults: list[Fault]) -> None:
    building = data.get("building")
    named = isinstance(building, dict) and "volume" in building
    if room.volume is None and not named:
        problem = "is missing: a balanced room needs its volume"
        remedy = 'write volume = "7200 ft3" in [room], or in [building]'
        faults.append(Fault("", "room.volume", "", problem, remedy))
    if room.cooling is not None:
        raw = data["room"]["cooling"]
        try:
            rated_coil(air_conditioner(room.cooling, None))
        except InputError as error:
            faults.extend(
                replace(one, field="room.cooling", value=f"{raw.get('capacity')}: {one.value}")
                for one in error.faults
            )
        heat = room.heating
        if heat is not None and heat.setpoint >= room.cooling.setpoint:
            problem = "is not below that of cooling: both would run at once"
            given = str(data["room"]["heating"]["setpoint"])
            remedy = 'leave some degrees between them, such as "70 degF" and "75 degF"'
            faults.append(Fault("", "room.heating.setpoint", given, problem, remedy))
    leakage = data.get("leakage")
    if isinstance(leakage, dict) and "meets" in leakage:
        problem = "has no meaning beside a balanced room: its leaks come straight from outdoors"
        remedy = "leave it out, or give the room a state to see what leaks carry into this section"
        faults.append(Fault("", "leakage.meets", str(leakage["meets"]), problem, remedy))
    if room.air_changes is not None and "leakage" in data:
        problem = "is given beside [leakage], from which it follows"
        given = str(data["room"]["air_changes"])
        faults.append(Fault("", "room.air_changes", given, problem, "give one of them"))
