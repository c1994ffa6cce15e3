"""The table ``[room]`` of an assembly file: the air inside, as it is set or as a rule sets it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from moistwall.assembly.fields import AirChanges, Date, Humidity, Temperature
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
]

Bedrooms = Annotated[int, Field(ge=1, le=20, description="Bedrooms of the home")]


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
    bedrooms: Bedrooms | None = None
    air_changes: AirChanges | None = None


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
}
"""Keys that each form needs, and those that it may have besides."""

__all__ = ["FORM_KEYS", "Room", "RoomForm"]
