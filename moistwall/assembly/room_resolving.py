"""From the table ``[room]`` to what sets the room's air, every default stated."""

from __future__ import annotations

from typing import TypedDict

from moistwall.assembly.fields import read_day
from moistwall.assembly.notes import Notes
from moistwall.assembly.reading import Assembly
from moistwall.assembly.room_checking import form_of
from moistwall.assembly.room_schema import RoomForm as FormName
from moistwall.room import Ashrae160, ByOutdoorMean, RoomForm, Seasonal
from moistwall.section import Array
from moistwall.units import quantity

ROOM_TEMPERATURE, ROOM_HUMIDITY = "75 degF", "50 %"
"""Air inside where only the other of the two is given: common practice for an air-conditioned
classroom, no source."""

WARMEST = "Jul 15"
"""Day of the summer state of a room that swings with the seasons: common practice, no source."""

GENERATION = {1: 8.0, 2: 12.0, 3: 14.0, 4: 15.0}
"""Moisture set free in a home by its bedrooms, one more for each further one (ASHRAE 160, from memory).
[kg/day]"""

INTERMEDIATE_AIR = 0.2
"""Outdoor air of the intermediate form where none is given (ASHRAE 160, from memory). [1/h]"""

FORMS: dict[FormName, str] = {
    "seasonal": "one cosine between its winter and summer state",
    "en 15026 normal": "EN 15026 Annex C, normal moisture load, by the outdoor mean of 24 h",
    "en 15026 high": "EN 15026 Annex C, high moisture load, by the outdoor mean of 24 h",
    "ashrae 160 air-conditioned": "ASHRAE 160, cooled without control of humidity, by the outdoor mean of "
    "24 h: W = 0.004 + 0.4 W outdoors",
    "ashrae 160 simplified": "ASHRAE 160, simplified, by the outdoor mean of 24 h",
    "ashrae 160 intermediate": "ASHRAE 160, intermediate, heated only",
}
"""Forms in words; those of standards are from memory."""


class RoomAir(TypedDict):
    """Fields of a section that say what its room is like."""

    room_temperature: float | Array
    room_rh: float | Array
    room: RoomForm | None


def resolve_room(assembly: Assembly, notes: Notes) -> RoomAir:
    """Resolve the room.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.
    notes : Notes
        Takes what is assumed.

    Returns
    -------
    RoomAir
        A room that follows the weather has the temperature and humidity of the default beside its form,
        for where a first guess is needed.
    """
    given = assembly.given.room
    form = form_of(given)
    found: RoomAir = {
        "room_temperature": quantity(ROOM_TEMPERATURE, "temperature"),
        "room_rh": quantity(ROOM_HUMIDITY, "share"),
        "room": None,
    }
    if form == "hourly file":
        assert assembly.room_hours is not None, "a room without its file was not refused"
        found["room_temperature"], found["room_rh"] = assembly.room_hours
        return found
    if form == "balanced":
        # the first guess, and what its leaks are worked out with
        found["room"] = Ashrae160("air-conditioned")
        if given.cooling is not None:
            found["room_temperature"] = given.cooling.setpoint
            found["room"] = Ashrae160("air-conditioned", given.cooling.setpoint)
        return found
    if form == "constant":
        if given.temperature is None:
            notes.defaults.append(f"room: {ROOM_TEMPERATURE} all year (common practice, no source)")
        else:
            found["room_temperature"] = given.temperature
        if given.humidity is None:
            notes.defaults.append(
                f"room: {ROOM_HUMIDITY} relative humidity all year (common practice, no source)"
            )
        else:
            found["room_rh"] = given.humidity
        return found
    found["room"] = _form(assembly, form, notes)
    line = f"room: {FORMS[form]}"
    if form != "seasonal":
        line += " (from memory)"
    if given.form is None or form != "seasonal":
        notes.defaults.append(line)
    return found


def _form(assembly: Assembly, form: FormName, notes: Notes) -> RoomForm:
    """Return the form as the loads know it."""
    given = assembly.given.room
    if form == "seasonal":
        winter = given.winter_temperature, given.winter_humidity
        summer = given.summer_temperature, given.summer_humidity
        warmest = given.warmest
        if warmest is None:
            warmest = read_day(WARMEST)
            notes.defaults.append(f"room: summer state on {WARMEST} (common practice, no source)")
        told = "a season without its state was not refused"
        assert winter[0] is not None, told
        assert winter[1] is not None, told
        assert summer[0] is not None, told
        assert summer[1] is not None, told
        return Seasonal(winter[0], summer[0], winter[1], summer[1], warmest + 0.5)
    if form in ("en 15026 normal", "en 15026 high"):
        return ByOutdoorMean("normal" if form == "en 15026 normal" else "high")
    if form == "ashrae 160 air-conditioned":
        return Ashrae160("air-conditioned", given.temperature)
    if form == "ashrae 160 simplified":
        return Ashrae160("simplified", given.temperature)
    volume, bedrooms = assembly.given.building.volume, given.bedrooms
    assert volume is not None, "an intermediate room without a volume was not refused"
    assert bedrooms is not None, "an intermediate room without bedrooms was not refused"
    rate = given.air_changes
    if rate is None:
        rate = INTERMEDIATE_AIR
        notes.defaults.append(f"room: {rate:g} air changes per hour (ASHRAE 160, from memory)")
    daily = GENERATION[min(bedrooms, 4)] + max(bedrooms - 4, 0)
    notes.defaults.append(
        f"room: {daily:g} kg of moisture a day from {bedrooms} bedrooms (ASHRAE 160, from memory)"
    )
    return Ashrae160("intermediate", given.temperature, daily / 86400.0, rate * volume / 3600.0)


__all__ = ["ROOM_HUMIDITY", "ROOM_TEMPERATURE", "RoomAir", "resolve_room"]
