"""Tables of a file about balanced air: machines, people, a sealed attic, a crawl space."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from moistwall.assembly.fields import (
    AirChanges,
    Between,
    Count,
    Facing,
    Humidity,
    Name,
    Ratio,
    Temperature,
    number,
    refuse,
)
from moistwall.schema import StrictModel
from moistwall.units import quantity

DAY, WEEK = 24, 168
"""Hours that a schedule may have."""


def _schedule(value: object) -> tuple[float, ...]:
    """Return the shares of a schedule such as "0 0 50 ... 0 %"."""
    remedy = (
        f"write {DAY} numbers for a day or {WEEK} for a week, from midnight or Monday on, then %"
    )
    if not isinstance(value, str) or not value.rstrip().endswith("%"):
        raise refuse(value, "is no schedule", remedy)
    texts = value.rstrip().removesuffix("%").split()
    shares = tuple(quantity(f"{text} %", "share") for text in texts)
    if len(shares) not in (DAY, WEEK):
        raise refuse(value, f"has {len(shares)} hours", remedy)
    return shares


Schedule = Annotated[
    tuple[float, ...],
    BeforeValidator(_schedule),
    WithJsonSchema(
        {
            "type": "string",
            "description": "Shares of each hour of a day (24) or of a week (168, from Monday on), then %",
            "examples": ["0 0 0 0 0 0 0 50 100 100 100 100 50 100 100 50 0 0 0 0 0 0 0 0 %"],
        }
    ),
]
Capacity = Annotated[
    float, Between("power", "200 W", "500 kW", "2 ton", "Heat taken from the air at rating")
]
Drawn = Annotated[float, Between("power", "0 W", "1000 kW", "500 W", "Power")]
Through = Annotated[float, Between("flow", "0 cfm", "100000 cfm", "80 cfm", "Air flow")]
Moved = Annotated[float, Between("flow", "10 cfm", "100000 cfm", "800 cfm", "Air over the coil")]
BY_RULE = -1.0
"""Stands for supply air as the code has it."""


def _let_in(value: object) -> float:
    """Return a flow, or `BY_RULE`."""
    if isinstance(value, str) and " ".join(value.split()).lower() == "by rule":
        return BY_RULE
    return number(value, "flow", "0 cfm", "100000 cfm")


LetIn = Annotated[
    float,
    BeforeValidator(_let_in),
    WithJsonSchema(
        {
            "type": "string",
            "description": "Supply air while the room's machine runs, with its unit; or by rule",
            "examples": ["40 cfm", "by rule"],
        }
    ),
]
Coupled = Annotated[
    float, Between("conductance", "0 W/K", "100000 W/K", "60 W/K", "Heat per kelvin")
]
Faces = Annotated[
    float,
    Between("area", "1 m2", "100000 m2", "2700 ft2", "Area of enclosure built like this section"),
]
Floor = Annotated[
    float, Between("area", "1 m2", "100000 m2", "900 ft2", "Area of ceiling or floor")
]
Room3 = Annotated[float, Between("volume", "1 m3", "1000000 m3", "7200 ft3", "Volume of its air")]
Glass = Annotated[float, Between("area", "0.1 m2", "10000 m2", "30 ft2", "Area of the glass")]
Part = Annotated[float, Between("share", "0 %", "100 %", "50 %", "Share of the whole")]
Strip = Annotated[
    float, Between("share", "1 %", "50 %", "8 %", "Share of the roof that lies along the ridge")
]
Recovered = Annotated[
    float,
    Between("share", "0 %", "100 %", "65 %", "Effectiveness of the exchange between both streams"),
]
Released = Annotated[
    float, Between("moisture_rate", "0 kg/day", "10000 kg/day", "5 pints/day", "Water set free")
]
Dried = Annotated[
    float, Between("moisture_rate", "0.1 kg/day", "10000 kg/day", "70 pints/day", "Water at rating")
]
Moment = Annotated[float, Between("time", "1 s", "6 h", "17 min", "A time")]
Resists = Annotated[
    float,
    Between(
        "thermal_resistance", "0.01 m2 K/W", "20 m2 K/W", "R-2", "Between the air on both sides"
    ),
]
High = Annotated[float, Between("length", "0.1 m", "20 m", "3 ft", "A height or depth")]
Passes = Annotated[
    float, Between("permeance", "0.01 perm", "500 perm", "20 perm", "Dry or wet permeance")
]
Cold = Annotated[float, Between("temperature", "-20 degC", "40 degC", "55 degF", "Of the surface")]


class Cooling(StrictModel):
    """An air conditioner."""

    setpoint: Temperature
    capacity: Capacity
    oversized: Part | None = Field(
        default=None, description="Capacity and air flow are larger by this share"
    )
    sensible_share: Part | None = None
    air_flow: Moved | None = None
    fan: Literal["auto", "on"] | None = None
    fan_power: Drawn | None = None
    lowest_speed: Part | None = None
    wet_time: Moment | None = None
    drying_time: Moment | None = None


class Heating(StrictModel):
    """What warms the air."""

    setpoint: Temperature
    capacity: Drawn | None = None


class Drier(StrictModel):
    """A dehumidifier."""

    setpoint: Humidity
    capacity: Dried
    power: Drawn | None = None


class Fresh(StrictModel):
    """Outdoor air brought in by a fan, as much as it takes out."""

    flow: Through
    schedule: Schedule | None = None
    sensible_recovery: Recovered | None = None
    latent_recovery: Recovered | None = None


class People(StrictModel):
    """Who is in."""

    count: Count
    schedule: Schedule | None = None
    heat: Drawn | None = None
    moisture: Released | None = None


class Equipment(StrictModel):
    """Lamps, machines, people's things: heat without water."""

    power: Drawn
    schedule: Schedule | None = None


class Pane(StrictModel):
    """Windows to one side."""

    area: Glass
    facing: Facing
    sun_share: Part | None = None


class ColdThing(StrictModel):
    """Something that dew may form on."""

    name: Name
    temperature: Cold | None = Field(
        default=None, description="Of its surface; that of water from the ground if not given"
    )


class BelowRidge(StrictModel):
    """The air below the ridge, told apart from the rest of an attic's."""

    roof_share: Strip | None = None
    exchange: Through | None = None
    rising: Part | None = Field(
        default=None, description="Share of what the roof gives off that rises to the ridge"
    )


class Attic(StrictModel):
    """A sealed attic between a ceiling and the roof that this file is about."""

    ceiling_area: Floor
    volume: Room3
    roof_area: Faces | None = None
    ceiling_resistance: Resists | None = None
    ceiling_leakage: Through | None = None
    outdoor_leakage: AirChanges | None = None
    supply: LetIn | None = None
    supply_temperature: Cold | None = None
    supply_humidity: Humidity | None = None
    duct_conductance: Coupled | None = None
    duct_leakage: Through | None = None
    diffusion_vent: Ratio | None = None
    diffusion_vent_permeance: Passes | None = None
    ridge: BelowRidge | None = None
    dehumidifier: Drier | None = None
    cold_object: list[ColdThing] = Field(default=[], description="What dew may form on")


class CrawlSpace(StrictModel):
    """A crawl space below the floor that this file is about."""

    floor_area: Floor
    height: High
    air_changes: AirChanges
    wall_conductance: Coupled | None = None
    ground_cover: Passes | None = None
    ground_depth: High | None = None
    ground_resistance: Resists | None = None
    floor_leakage: Through | None = None
    supply: LetIn | None = None
    supply_temperature: Cold | None = None
    supply_humidity: Humidity | None = None
    duct_conductance: Coupled | None = None
    dehumidifier: Drier | None = None
    cold_object: list[ColdThing] = Field(default=[], description="What dew may form on")
