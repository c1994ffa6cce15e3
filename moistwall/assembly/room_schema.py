"""The table ``[room]`` of an assembly file: the air inside, as it is set or as a rule sets it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from moistwall.assembly.fields import AirChanges, Count, Date, Humidity, Temperature
from moistwall.assembly.zone_schema import (
    ColdThing,
    Cooling,
    Coupled,
    Drier,
    Equipment,
    Faces,
    Fresh,
    Heating,
    Pane,
    People,
    Released,
    Room3,
)
from moistwall.schema import StrictModel

RoomForm = Literal[
    "constant",
    "seasonal",
    "en 15026 normal",
    "en 15026 high",
    "ashrae 160 air-conditioned",
    "ashrae 160 simplified",
    "ashrae 160 intermediate",
    "hourly file",
    "balanced",
]


class Room(StrictModel):
    """The air inside."""

    form: RoomForm | None = Field(
        default=None,
        description="What sets it; constant if temperature or humidity is given, else "
        "ashrae 160 air-conditioned",
    )
    temperature: Temperature | None = None
    humidity: Humidity | None = None
    winter_temperature: Temperature | None = None
    summer_temperature: Temperature | None = None
    winter_humidity: Humidity | None = None
    summer_humidity: Humidity | None = None
    warmest: Date | None = None
    file: str | None = Field(
        default=None,
        description="CSV file with columns room_temperature_degC and room_rh_percent of one value for "
        "each hour",
    )
    bedrooms: Count | None = None
    air_changes: AirChanges | None = None
    section_area: Faces | None = None
    volume: Room3 | None = None
    moisture: Released | None = None
    other_conductance: Coupled | None = None
    cooling: Cooling | None = None
    heating: Heating | None = None
    dehumidifier: Drier | None = None
    ventilation: Fresh | None = None
    people: People | None = None
    equipment: Equipment | None = None
    window: list[Pane] = Field(default=[], description="Windows, a table for each side")
    cold_object: list[ColdThing] = Field(default=[], description="What dew may form on")


FORM_KEYS: dict[RoomForm, tuple[frozenset[str], frozenset[str]]] = {
    "constant": (frozenset(), frozenset({"temperature", "humidity"})),
    "seasonal": (
        frozenset(
            {"winter_temperature", "summer_temperature", "winter_humidity", "summer_humidity"}
        ),
        frozenset({"warmest"}),
    ),
    "en 15026 normal": (frozenset(), frozenset()),
    "en 15026 high": (frozenset(), frozenset()),
    "ashrae 160 air-conditioned": (frozenset(), frozenset({"temperature"})),
    "ashrae 160 simplified": (frozenset(), frozenset({"temperature"})),
    "ashrae 160 intermediate": (frozenset({"bedrooms"}), frozenset({"temperature", "air_changes"})),
    "hourly file": (frozenset({"file"}), frozenset()),
    "balanced": (
        frozenset({"section_area"}),
        frozenset(
            {
                "volume",
                "air_changes",
                "moisture",
                "other_conductance",
                "cooling",
                "heating",
                "dehumidifier",
                "ventilation",
                "people",
                "equipment",
                "window",
                "cold_object",
            }
        ),
    ),
}
"""Keys that each form needs, and those that it may have besides."""

__all__ = ["FORM_KEYS", "Room", "RoomForm"]
