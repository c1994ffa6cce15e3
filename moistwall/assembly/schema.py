"""What an assembly file may say: its tables, its keys, and the range of each value.

The models hold SI numbers where the file holds text with units. What takes more than one entry to
judge (names, neighbors, the library) is checked in `moistwall.assembly.reading`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    GetCoreSchemaHandler,
    PlainValidator,
    ValidationError,
    WithJsonSchema,
)
from pydantic_core import CoreSchema, core_schema

from moistwall.errors import AssemblyError, Fault, UnitError
from moistwall.schema import StrictModel, faults_from_validation
from moistwall.section import GapKind, Seams
from moistwall.units import quantity

AssemblyKind = Literal["wall", "roof", "floor"]
Color = Literal["white", "light", "medium", "dark", "black"]

SLOPES: dict[AssemblyKind, tuple[float, float]] = {
    "wall": (30.0, 150.0),
    "roof": (0.0, 90.0),
    "floor": (90.0, 180.0),
}
"""Angles between outer face and ground that each kind may have; 180 looks down. [deg]"""

_POINTS = (
    "north north-northeast northeast east-northeast east east-southeast southeast south-southeast "
    "south south-southwest southwest west-southwest west west-northwest northwest north-northwest"
)
COMPASS = {name: 22.5 * place for place, name in enumerate(_POINTS.split())}
"""Points of the compass, clockwise from north. [deg]"""

_PITCH = re.compile(r"(.+)[/:]\s*12")


def _refuse(value: object, problem: str, remedy: str = "") -> UnitError:
    """Return the error for one value; the reader of the file adds where it stands."""
    return UnitError(Fault("", "", str(value), problem, remedy))


def _number(value: object, kind: str, low: str, high: str) -> float:
    """Return a text with a unit in SI, if it lies between two others of the same kind."""
    number = quantity(value, kind)
    if not quantity(low, kind) <= number <= quantity(high, kind):
        raise _refuse(value, "is out of range", f"give a value from {low} to {high}")
    return number


@dataclass(frozen=True)
class Between:
    """Marks a number that stands in the file as text with its unit, within a range.

    Parameters
    ----------
    kind : str
        Name in `moistwall.units.KINDS`; the field holds the value in its SI unit.
    low, high : str
        The range, as texts of the same kind; both ends are allowed.
    example, meaning : str
        A text that is right, and what the number is.
    """

    kind: str
    low: str
    high: str
    example: str
    meaning: str

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            lambda value: _number(value, self.kind, self.low, self.high),
            json_schema_input_schema=core_schema.str_schema(),
            metadata={
                "pydantic_js_extra": {
                    "description": f"{self.meaning}, with its unit: {self.low} to {self.high}",
                    "examples": [self.example],
                }
            },
        )


def _direction(value: object) -> float:
    """Return the azimuth of a compass point or of an angle clockwise from north. [deg]"""
    if isinstance(value, str):
        word = "-".join(value.lower().replace("-", " ").split())
        if word in COMPASS:
            return COMPASS[word]
        if word.replace("-", "").isalpha():
            remedy = 'name a point of the compass, such as "south-southwest", or write "200 deg"'
            raise _refuse(value, "is no point of the compass", remedy)
    return _number(value, "angle", "0 deg", "360 deg") % 360.0


def _inclination(value: object) -> float:
    """Return the angle between outer face and ground of a pitch ("4/12") or an angle. [deg]"""
    pitch = _PITCH.fullmatch(value.strip()) if isinstance(value, str) else None
    if pitch is None:
        return _number(value, "angle", "0 deg", "180 deg")
    try:
        rise = _number(f"{pitch[1].strip()} in", "length", "0 in", "120 in")
    except UnitError:
        remedy = 'write the rise in inches over a run of 12, such as "4/12", or an angle'
        raise _refuse(value, "is no pitch from 0/12 to 120/12", remedy) from None
    return math.degrees(math.atan2(rise, quantity("12 in", "length")))


def _plain(text: str) -> str:
    """Return a name that can stand in a table, a picture and a file, or refuse it."""
    text = text.strip()
    if not text or len(text) > 80 or not text.isprintable():
        raise _refuse(ascii(text[:60]), "is no name", "use 1 to 80 printable characters")
    return text


Name = Annotated[str, AfterValidator(_plain)]
Thickness = Annotated[
    float, Between("length", "0.05 mm", "5 m", "1 1/2 in", "Thickness of the layer")
]
Depth = Annotated[float, Between("length", "1 mm", "1 m", "3/4 in", "Depth of the gap")]
AirChanges = Annotated[
    float,
    Between("air_changes", "0 1/h", "5000 1/h", "100 1/h", "Outdoor air through it, gap volumes"),
]
Temperature = Annotated[float, Between("temperature", "0 degC", "50 degC", "75 degF", "Of the air")]
Humidity = Annotated[float, Between("share", "1 %", "99 %", "50 %", "Relative humidity")]
Share = Annotated[float, Between("share", "1 %", "100 %", "60 %", "Share of what a black face has")]
Hold = Annotated[
    float, Between("area_water", "1 g/m2", "1 kg/m2", "100 g/m2", "Water that stays on a face")
]
Facing = Annotated[
    float,
    BeforeValidator(_direction),
    WithJsonSchema(
        {
            "type": "string",
            "description": "Direction that the outer face looks to: a point of the compass, or an "
            "angle clockwise from north",
            "examples": ["south", "south-southwest", "200 deg"],
        }
    ),
]
Slope = Annotated[
    float,
    BeforeValidator(_inclination),
    WithJsonSchema(
        {
            "type": "string",
            "description": "Angle between the outer face and the ground: a pitch, or an angle",
            "examples": ["4/12", "18 deg"],
        }
    ),
]


class LayerEntry(StrictModel):
    """A material with a thickness."""

    material: Name = Field(description="Name of a material or board of the library")
    thickness: Thickness
    id: Name | None = Field(None, description="Own name of the layer; unique in the file")
    start_humidity: Humidity | None = None


class FilmEntry(StrictModel):
    """A sheet or coat: no thickness, next to no storage."""

    film: Name = Field(description="Name of a film of the library")
    id: Name | None = Field(None, description="Own name of the film; unique in the file")


class GapEntry(StrictModel):
    """An air space between two layers."""

    gap: GapKind = Field(
        description="sealed: no outdoor air; drained: weep holes only; vented: one opening; "
        "ventilated: open low and high"
    )
    depth: Depth
    id: Name | None = Field(None, description="Own name of the gap; unique in the file")
    air_changes: AirChanges | None = None
    air_changes_file: str | None = Field(
        None, description="CSV file with a column air_changes_1_h of one value for each hour"
    )


AnyEntry = LayerEntry | FilmEntry | GapEntry

ENTRIES: dict[str, tuple[type[AnyEntry], str]] = {
    "material": (LayerEntry, "a layer"),
    "film": (FilmEntry, "a film"),
    "gap": (GapEntry, "a gap"),
}
"""Schema of an entry of ``[[layer]]``, and what to call it, by the one key that tells its kind."""


def entry_kind(entry: object) -> str | None:
    """Name the key of `ENTRIES` that an entry has; None unless it has exactly one."""
    present = [key for key in ENTRIES if isinstance(entry, dict) and key in entry]
    return present[0] if len(present) == 1 else None


def entry_label(entry: object) -> str:
    """Give what a person would call an entry: its id, or what it is; may be empty."""
    if not isinstance(entry, dict):
        return ""
    told = {key: entry[key] for key in ("id", *ENTRIES) if isinstance(entry.get(key), str)}
    label = next(iter(told.values()), "")
    return f"{label} gap" if next(iter(told), "") == "gap" else label


def _checked_entry(entry: object) -> AnyEntry:
    """Return an entry by its own schema, so that a fault tells of no other kind of entry."""
    kind = entry_kind(entry)
    if not isinstance(entry, dict) or kind is None:
        keys = ", ".join(entry) if isinstance(entry, dict) else repr(entry)
        problem = "needs exactly one of the keys material, film and gap"
        remedy = "make a table [[layer]] for each layer, film and gap, from outside to inside"
        raise AssemblyError(Fault("", "", keys[:60], problem, remedy))
    model, noun = ENTRIES[kind]
    faults: list[Fault] = []
    read: AnyEntry | None = None
    try:
        read = model.model_validate(entry)
    except ValidationError as error:
        faults = [
            _in_words(fault, model, noun) for fault in faults_from_validation(error, "", model)
        ]
    rates = [key for key in ("air_changes", "air_changes_file") if kind == "gap" and key in entry]
    if rates and entry["gap"] == "sealed":
        problem, remedy = "a sealed gap has no outdoor air", "leave it out, or name another gap"
        faults += [Fault("", key, str(entry[key]), problem, remedy) for key in rates]
    if len(rates) == 2:
        problem = "is given beside air_changes_file"
        faults.append(Fault("", rates[0], str(entry[rates[0]]), problem, "give one of them"))
    if read is None or faults:
        raise AssemblyError([labeled(fault, entry) for fault in faults])
    return read


def labeled(fault: Fault, entry: object) -> Fault:
    """Say beside the place of a fault what the entry is called, unless that is its value."""
    label = entry_label(entry)
    if not label or label == fault.value:
        return fault
    return replace(fault, problem=f"'{label}': {fault.problem}")


def _in_words(fault: Fault, model: type[AnyEntry], noun: str) -> Fault:
    """Say of a missing key what to write, and of another entry's key that it has no place here."""
    if fault.problem == "is missing":
        schema = model.model_json_schema()["properties"][fault.field]
        example = schema.get("examples", ["..."])[0]
        return replace(
            fault,
            problem=f"is missing: {noun} needs a {fault.field}",
            remedy=f'write for instance {fault.field} = "{example}"',
        )
    elsewhere = any(fault.field in other.model_fields for other, _ in ENTRIES.values())
    if fault.problem == "is not a known key" and elsewhere:
        return replace(fault, problem=f"{noun} has no {fault.field}", remedy="leave it out")
    return fault


Entry = Annotated[AnyEntry, PlainValidator(_checked_entry, json_schema_input_type=AnyEntry)]


class WaterControl(StrictModel):
    """The layer or film that keeps rain out."""

    layer: Name = Field(description="The id, or the name, of a layer or film of this file")
    seams: Seams = Field(description="How its sheets meet: taped, lapped or open")


class Outside(StrictModel):
    """The outer face, where it is not as the library has it."""

    color: Color | None = None
    absorptance: Share | None = None
    emittance: Share | None = None


class Room(StrictModel):
    """The air inside."""

    temperature: Temperature | None = None
    humidity: Humidity | None = None


class AssemblyFile(StrictModel):
    """A wall, roof or floor, from outside to inside."""

    name: Name | None = Field(None, description="Shown to people; the file's name if not given")
    kind: AssemblyKind | None = Field(None, description="wall if not given")
    facing: Facing | None = None
    slope: Slope | None = None
    materials: list[str] = Field(
        [], description="Files and folders with materials of one's own, beside this file"
    )
    surfaces_hold: Hold | None = None
    water_control: WaterControl | None = None
    outside: Outside = Outside()
    room: Room = Room()
    layer: list[Entry] = Field(
        min_length=1, description="Layers, films and gaps, from outside to inside"
    )


def assembly_json_schema() -> dict[str, Any]:
    """Return the JSON schema of an assembly file, for editors that complete and check TOML.

    Returns
    -------
    dict
        JSON schema, draft 2020-12.
    """
    schema = AssemblyFile.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
