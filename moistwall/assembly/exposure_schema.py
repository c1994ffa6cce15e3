"""The tables of an assembly file that put loads on it: building, rain, leakage, start, events, studs.

A place that water or air reaches is written as the two neighbors between which it lies, outer one
first: ``between = ["inner foam", "sheathing"]``. Their names are found in `moistwall.assembly.places`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from moistwall.assembly.fields import Between, Date, Exponent, Name, Wet
from moistwall.loads.driving_rain import Deposition
from moistwall.loads.driving_rain import Exposure as Openness
from moistwall.schema import MOST_ENTRIES, StrictModel

Preset = Literal["damp lumber", "rained on during framing", "flooded"]

Height = Annotated[float, Between("length", "2 m", "100 m", "14 ft", "Height of the building")]
Volume = Annotated[
    float, Between("volume", "10 m3", "1000000 m3", "10800 ft3", "Volume of air in the building")
]
Area = Annotated[
    float,
    Between(
        "area", "10 m2", "100000 m2", "3600 ft2", "Area of walls, roof and floor around the volume"
    ),
]
RainShare = Annotated[
    float, Between("share", "0 %", "100 %", "1 %", "Share of the driving rain on the face")
]
Contact = Annotated[
    float,
    Between("share", "1 %", "100 %", "50 %", "Share of the air that takes on the surface's state"),
]
AirChanges50 = Annotated[
    float, Between("air_changes", "0.01 1/h", "100 1/h", "7 1/h", "Air changes at 50 Pa")
]
Flow50 = Annotated[float, Between("flow", "1 cfm", "100000 cfm", "1200 cfm", "Air flow at 50 Pa")]
FanFlow = Annotated[
    float, Between("flow", "0 cfm", "100000 cfm", "80 cfm", "Air flow of fans that always run")
]
LeakHeight = Annotated[
    float, Between("length", "0 m", "100 m", "4 ft", "Height of the leaks above the lowest floor")
]
Poured = Annotated[
    float, Between("area_water", "1 g/m2", "100 kg/m2", "2 kg/m2", "Water on the area of the wall")
]
Duration = Annotated[float, Between("time", "1 h", "26 weeks", "10 days", "How long it lasts")]
StudWidth = Annotated[
    float, Between("length", "10 mm", "1 m", "1 1/2 in", "Width of a stud, along the wall")
]
Spacing = Annotated[
    float, Between("length", "50 mm", "3 m", "16 in", "From the middle of a stud to the next")
]
FramingShare = Annotated[
    float, Between("share", "1 %", "90 %", "25 %", "Share of the area that is framing")
]
Neighbors = Annotated[
    list[Name],
    Field(
        min_length=2,
        max_length=2,
        description="The two neighbors between which the place lies, outer one first: ids or names "
        "of layers, films and gaps; 'outside' and 'room' stand for the air at the ends",
        examples=[["inner foam", "sheathing"]],
    ),
]


class Building(StrictModel):
    """The building that the section belongs to."""

    height: Height | None = None
    volume: Volume | None = None
    envelope_area: Area | None = None
    exposure: Openness | None = Field(
        default=None,
        description="To rain and wind. sheltered: behind trees or buildings; medium; severe: open "
        "to the wind, as on a shore. medium if not given",
    )


class RainBehind(StrictModel):
    """A share of the driving rain that gets to a place behind the cladding."""

    share: RainShare
    between: Neighbors
    name: Name | None = Field(None, description="What the report calls it")


class Rain(StrictModel):
    """Driving rain; the table alone switches it on."""

    position: Deposition | None = Field(
        None, description="What is above the face; 'below steep roof' for a wall if not given"
    )
    leak_share: RainShare | None = None
    behind: list[RainBehind] = Field(
        [], max_length=MOST_ENTRIES, description="Further shares, each with its place"
    )


class BlowerDoor(StrictModel):
    """One of a series of blower-door tests."""

    label: Name = Field(description="What the report calls it, such as 'before sealing'")
    ach50: AirChanges50 | None = None
    cfm50: Flow50 | None = None


class LeakageTable(StrictModel):
    """Air through the enclosure; one test or a series of them switches it on."""

    ach50: AirChanges50 | None = None
    cfm50: Flow50 | None = None
    test: list[BlowerDoor] = Field(
        [], max_length=MOST_ENTRIES, description="Tests in the order of time"
    )
    exponent: Exponent | None = None
    exhaust: FanFlow | None = None
    supply: FanFlow | None = None
    leaks_at: LeakHeight | None = None
    meets: Neighbors | None = None
    contact: Contact | None = None


class Start(StrictModel):
    """Water in the layers when the first year begins."""

    preset: Preset = Field(description="For layers that give no start of their own")


class StormLeak(StrictModel):
    """Water that gets in once."""

    kind: Literal["storm leak"]
    date: Date
    amount: Poured
    between: Neighbors
    lasts: Duration | None = None
    name: Name | None = Field(None, description="What the report calls it")


class NoCooling(StrictModel):
    """Days on which the room is not cooled."""

    kind: Literal["cooling off", "shut"]
    date: Date
    lasts: Duration
    name: Name | None = Field(None, description="What the report calls it")


AnyEvent = Annotated[StormLeak | NoCooling, Field(discriminator="kind")]


class Studs(StrictModel):
    """Framing that interrupts a layer, and is computed as a second path."""

    material: Name | None = Field(None, description="Lumber of the library; spruce if not given")
    layer: Name | None = Field(
        None, description="The layer that studs interrupt; the only wool if not given"
    )
    width: StudWidth | None = None
    spacing: Spacing | None = None
    share: FramingShare | None = None
    start: Wet | None = None


class Loads(StrictModel):
    """The tables that an assembly file may have beside its layers, room and faces."""

    building: Building = Building()
    rain: Rain | None = None
    leakage: LeakageTable | None = None
    start: Start | None = None
    event: list[AnyEvent] = Field(
        [], max_length=MOST_ENTRIES, description="What happens once in the year"
    )
    studs: Studs | None = None


def readable_loads(data: Mapping[str, Any]) -> tuple[Loads, frozenset[str]]:
    """Read those of the tables that hold no mistake, so that the others' mistakes hide none of theirs.

    Parameters
    ----------
    data : mapping
        The file.

    Returns
    -------
    loads : Loads
        Without the tables that are wrong.
    wrong : frozenset of str
        Names of the tables that are.
    """
    kept: dict[str, Any] = {}
    wrong: set[str] = set()
    for key in Loads.model_fields:
        if key in data:
            try:
                Loads.model_validate({key: data[key]})
                kept[key] = data[key]
            except ValidationError:
                wrong.add(key)
    return Loads.model_validate(kept), frozenset(wrong)
