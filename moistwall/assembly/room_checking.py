"""What the keys of ``[room]`` say together: those that its form needs, and none that it has no use for."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from moistwall.assembly.hourly_file import Array, read_hourly
from moistwall.assembly.paths import find_file
from moistwall.assembly.room_schema import FORM_KEYS, Room, RoomForm
from moistwall.errors import Fault, InputError

TEMPERATURE_COLUMN, HUMIDITY_COLUMN = "room_temperature_degC", "room_rh_percent"
"""Headings of a file with the room's air."""

HOURLY_COLUMNS = {TEMPERATURE_COLUMN: (0.0, 50.0), HUMIDITY_COLUMN: (1.0, 99.0)}
"""Least and largest value of each."""

LEAST_AIR = 0.01
"""Outdoor air of a home, at least: what is breathed out in it has to go somewhere. [1/h]"""

EXAMPLES = {
    "winter_temperature": '"68 degF"',
    "summer_temperature": '"76 degF"',
    "winter_humidity": '"40 %"',
    "summer_humidity": '"55 %"',
    "bedrooms": '"2"',
    "section_area": '"2500 ft2"',
    "file": '"room.csv"',
}
"""What a missing key might say."""


def form_of(room: Room) -> RoomForm:
    """Form of a room: as given, else by the keys that it has.

    Parameters
    ----------
    room : Room
        The table.

    Returns
    -------
    RoomForm
    """
    if room.form is not None:
        return room.form
    set_by_hand = room.temperature is not None or room.humidity is not None
    return "constant" if set_by_hand else "ashrae 160 air-conditioned"


def check_room(
    data: Mapping[str, Any], folder: Path, faults: list[Fault]
) -> tuple[Array, Array] | None:
    """Check the keys of the room against its form, and read its file if it has one.

    Parameters
    ----------
    data : mapping
        The assembly file.
    folder : Path
        Folder that paths in it start from.
    faults : list of Fault
        Takes every mistake.

    Returns
    -------
    (temperature, rh) : tuple of (8760,) ndarray, or None
        [degC], [-]. None without a file.
    """
    raw = data.get("room", {})
    try:
        room = Room.model_validate(raw)
    except ValidationError:
        return None  # reported with the schema's faults
    form = form_of(room)
    needed, allowed = FORM_KEYS[form]
    given = room.model_fields_set - {"form"}
    for key in sorted(needed - given):
        problem, remedy = f"is missing: a room '{form}' needs it", f"write {key} = {EXAMPLES[key]}"
        faults.append(Fault("", f"room.{key}", "", problem, remedy))
    for key in sorted(given - needed - allowed):
        problem = f"has no meaning for a room '{form}'"
        users = [name for name, keys in FORM_KEYS.items() if key in keys[0] | keys[1]]
        remedy = f'leave it out, or write form = "{users[0]}"'
        faults.append(Fault("", f"room.{key}", str(raw[key]), problem, remedy))
    if room.bedrooms == 0:
        problem, remedy = "is a home in which nobody sleeps", 'write for instance bedrooms = "2"'
        faults.append(Fault("", "room.bedrooms", str(raw["bedrooms"]), problem, remedy))
    stale = room.air_changes is not None and room.air_changes < LEAST_AIR
    if form == "ashrae 160 intermediate" and stale:
        problem, remedy = "leaves next to no outdoor air", f"give {LEAST_AIR:g} 1/h or more"
        faults.append(Fault("", "room.air_changes", str(raw["air_changes"]), problem, remedy))
    building = data.get("building", {})
    has_volume = isinstance(building, dict) and "volume" in building
    if form == "ashrae 160 intermediate" and not has_volume:
        problem = "needs the volume that its outdoor air is counted in"
        remedy = 'write volume = "10800 ft3" in [building]'
        faults.append(Fault("", "room.form", form, problem, remedy))
    if form != "hourly file" or room.file is None:
        return None
    path = find_file(room.file, folder, "room.file", faults)
    if path is None:
        return None
    try:
        values = read_hourly(path, HOURLY_COLUMNS, "room air", "value of room air")
    except InputError as error:
        faults.extend(error.faults)
        return None
    return values[TEMPERATURE_COLUMN], values[HUMIDITY_COLUMN] / 100.0


__all__ = ["check_room", "form_of"]
