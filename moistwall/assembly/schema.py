"""What an assembly file may say: its tables, its keys, and the range of each value.

The models hold SI numbers where the file holds text with units. What takes more than one entry to
judge (names, neighbors, the library) is checked in `moistwall.assembly.reading`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, PlainValidator, ValidationError

from moistwall.assembly.exposure_schema import Loads
from moistwall.assembly.fields import (
    AirChanges,
    Between,
    Depth,
    Facing,
    Hold,
    Humidity,
    Name,
    Ratio,
    Share,
    Slope,
    Slot,
    Thickness,
    Wet,
)
from moistwall.assembly.room_schema import Room
from moistwall.assembly.zone_schema import Attic, CrawlSpace
from moistwall.errors import AssemblyError, Fault, InputError, cut
from moistwall.schema import MOST_ENTRIES, StrictModel, faults_from_validation
from moistwall.section import GapKind, Seams

AssemblyKind = Literal["wall", "roof", "floor"]
Color = Literal["white", "light", "medium", "dark", "black"]

SLOPES: dict[AssemblyKind, tuple[float, float]] = {
    "wall": (30.0, 150.0),
    "roof": (0.0, 90.0),
    "floor": (90.0, 180.0),
}
"""Angles between outer face and ground that each kind may have; 180 looks down. [deg]"""


FreeArea = Annotated[
    float,
    Between("share", "5 %", "100 %", "50 %", "Free area of the insect screens over their whole"),
]
PathLength = Annotated[
    float, Between("length", "0.1 m", "50 m", "8 ft", "From opening to opening, along the gap")
]
PathRise = Annotated[
    float, Between("length", "0 m", "50 m", "8 ft", "Height of the upper opening above the lower")
]
Furring = Literal["vertical", "horizontal"]


class LayerEntry(StrictModel):
    """A material with a thickness."""

    material: Name = Field(description="Name of a material or board of the library")
    thickness: Thickness
    id: Name | None = Field(None, description="Own name of the layer; unique in the file")
    start: Wet | None = None
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
    inlet: Slot | None = None
    outlet: Slot | None = None
    screen_free_area: FreeArea | None = None
    net_free_area: Ratio | None = None
    length: PathLength | None = None
    rise: PathRise | None = None
    furring: Furring | None = Field(
        None, description="Which way the air runs; vertical if not given"
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
    label = cut(label, 60)
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


def _spread(text: str) -> str:
    """Refuse what has no two or three values between double dots; units are checked where it is drawn from."""
    ends = [end.strip() for end in text.split("..")]
    if len(ends) not in (2, 3) or not all(ends) or not text.isprintable() or len(text) > 200:
        remedy = 'write "LOW .. HIGH" or "LOW .. PEAK .. HIGH", each with its unit'
        raise InputError(Fault("", "", text, "is no distribution", remedy))
    return text


Spread = Annotated[str, AfterValidator(_spread)]
"""Ends of a flat distribution, or of a triangle with its peak between."""


class AssemblyFile(Loads):
    """A wall, roof or floor, from outside to inside, and the loads on it."""

    name: Name | None = Field(None, description="Shown to people; the file's name if not given")
    kind: AssemblyKind | None = Field(None, description="wall if not given")
    facing: Facing | None = None
    slope: Slope | None = None
    materials: list[str] = Field(
        [],
        max_length=MOST_ENTRIES,
        description="Files and folders with materials of one's own, beside this file",
    )
    surfaces_hold: Hold | None = None
    water_control: WaterControl | None = None
    outside: Outside = Outside()
    room: Room = Room()
    uncertain: dict[str, Spread] = Field(
        {},
        description="How fields are spread, by their paths, for ensembles: "
        '"LOW .. HIGH", or "LOW .. PEAK .. HIGH"',
    )
    attic: Attic | None = None
    crawl_space: CrawlSpace | None = None
    layer: list[Entry] = Field(
        min_length=1,
        max_length=MOST_ENTRIES,
        description="Layers, films and gaps, from outside to inside",
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
