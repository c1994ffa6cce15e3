"""Material files: one TOML file for each material, film or faced board of the library.

Every group of numbers says where it comes from (``source``) and how far it can be trusted
(``quality``: published, handbook, memory, estimate). Every quantity is text with a unit. A file is
checked whole, and all its mistakes are reported together. `materials/README.md` shows the format.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar

import numpy as np
from pydantic import BaseModel, Field, PlainValidator, Strict, ValidationError, model_validator

from moistwall.errors import Fault, InputError, MaterialError
from moistwall.material import (
    DRY_CUP_RH,
    WET_CUP_RH,
    Array,
    FilmMaterial,
    Material,
    Quality,
    Source,
    Storage,
    diffusivity_from_absorption,
    diffusivity_from_table,
    ln_rh_from_suction,
    storage_from_table,
    storage_of_pore_air,
    storage_of_wood,
    storage_over_humidity,
    storage_over_suction,
)
from moistwall.schema import StrictModel, Text, TextOf, faults_from_validation, read_toml
from moistwall.units import quantity_of

Built = TypeVar("Built")

WOOD_SUBSTANCE = 1540.0
"""Density of the substance of cell walls, which bounds what wood can hold (USDA Wood Handbook
ch. 4, eq. 4-1, from memory). [kg/m3]"""


@dataclass(frozen=True)
class Content:
    """A water content as given: in a volume [kg/m3] or in a dry mass [kg/kg]."""

    value: float
    in_dry_mass: bool

    def in_volume(self, density: float) -> float:
        """Give it in kg/m3 for a material of this dry density."""
        return self.value * density if self.in_dry_mass else self.value


def _content(text: object) -> Content:
    value, kind = quantity_of(text, ("water_content", "moisture_content"))
    return Content(value, kind == "moisture_content")


@dataclass(frozen=True)
class Passage:
    """What lets vapor through, as given: a permeance of a sample, or a permeability."""

    value: float
    of_sample: bool


def _passage(text: object) -> Passage:
    value, kind = quantity_of(text, ("permeance", "permeability"))
    if not value > 0.0:
        raise InputError(Fault("", "", str(text), "must be above 0"))
    return Passage(value, kind == "permeance")


@dataclass(frozen=True)
class Humidity:
    """A humidity as given: relative [-], or as suction [Pa]."""

    value: float
    is_suction: bool

    def rh(self) -> float:
        """Give it as relative humidity at 20 degC."""
        if self.is_suction:
            return float(np.exp(ln_rh_from_suction(np.array(self.value))))
        return self.value


def _humidity(text: object) -> Humidity:
    value, kind = quantity_of(text, ("share", "pressure"))
    humidity = Humidity(value, kind == "pressure")
    if not 0.0 < humidity.rh() < 1.0:
        raise InputError(
            Fault("", "", str(text), "must lie between 0 and 100 %, both ends left out")
        )
    return humidity


ContentText = Annotated[Content, PlainValidator(_content, json_schema_input_type=str)]
PassageText = Annotated[Passage, PlainValidator(_passage, json_schema_input_type=str)]
HumidityText = Annotated[Humidity, PlainValidator(_humidity, json_schema_input_type=str)]
Share = Annotated[float, TextOf("share")]
Positive = Annotated[float, Field(gt=0.0, lt=1e3)]


def _fail(field: str, value: str, problem: str, remedy: str = "") -> InputError:
    return InputError(Fault("", field, value, problem, remedy))


def _rising(values: list[float], what: str) -> None:
    for n, (before, after) in enumerate(pairwise(values)):
        if not after > before:
            raise _fail(f"points[{n + 2}]", f"{after:.6g}", f"{what} must rise from point to point")


class Sourced(StrictModel):
    """A group of numbers with their source."""

    source: Text
    quality: Quality

    def origin(self) -> Source:
        """Give the source as materials carry it."""
        return Source(self.source, self.quality)


class Density(Sourced):
    """Dry bulk density."""

    value: Annotated[float, TextOf("density")]


class HeatCapacity(Sourced):
    """Specific heat of the dry material."""

    value: Annotated[float, TextOf("heat_capacity")]


class Conductivity(Sourced):
    """Thermal conductivity: one value, a layer's resistance, or points over water content."""

    value: Annotated[float, TextOf("conductivity")] | None = None
    resistance: Annotated[float, TextOf("thermal_resistance")] | None = None
    thickness: Annotated[float, TextOf("length")] | None = None
    points: (
        list[Annotated[tuple[ContentText, Annotated[float, TextOf("conductivity")]], Strict(False)]]
        | None
    ) = None
    at: Annotated[float, TextOf("temperature")] = 24.0
    per_kelvin: Annotated[float, TextOf("per_kelvin")] = 0.0

    @model_validator(mode="after")
    def _one_form(self) -> Conductivity:
        given = [
            name for name in ("value", "resistance", "points") if getattr(self, name) is not None
        ]
        if len(given) != 1:
            raise _fail("", ", ".join(given), "needs exactly one of value, resistance and points")
        if (self.resistance is None) != (self.thickness is None):
            raise _fail("thickness", "", "resistance and thickness belong together")
        if self.resistance is not None and not (self.resistance > 0.0):
            raise _fail("resistance", f"{self.resistance:g}", "must be above 0")
        if self.points is not None and (not self.points or self.points[0][0].value != 0.0):
            raise _fail("points", "", "must start at the dry material", 'begin with "0 kg/m3"')
        return self

    def over_content(self, density: float) -> tuple[Array, Array]:
        """Give water contents [kg/m3] and conductivities [W/(m K)] at them."""
        if self.points is not None:
            content = [point[0].in_volume(density) for point in self.points]
            return np.array(content), np.array([point[1] for point in self.points])
        if self.resistance is not None and self.thickness is not None:
            return np.array([0.0]), np.array([self.thickness / self.resistance])
        return np.array([0.0]), np.array([self.value])


class Vapor(Sourced):
    """What lets vapor through: dry and wet cup, one value, or points over mean humidity."""

    dry_cup: PassageText | None = None
    wet_cup: PassageText | None = None
    value: PassageText | None = None
    points: list[Annotated[tuple[Share, PassageText], Strict(False)]] | None = None
    thickness: Annotated[float, TextOf("length")] | None = None
    per_kelvin: Annotated[float, TextOf("per_kelvin")] = 0.0

    @model_validator(mode="after")
    def _one_form(self) -> Vapor:
        cups = [cup for cup in (self.dry_cup, self.wet_cup) if cup is not None]
        given = (bool(cups), self.value is not None, self.points is not None)
        if sum(given) != 1 or len(cups) == 1 or self.points == []:
            raise _fail("", "", "needs dry_cup and wet_cup, or value, or points")
        _rising([point[0] for point in self.points or ()], "humidity")
        if self.thickness is not None and not self.thickness > 0.0:
            raise _fail("thickness", f"{self.thickness:g}", "must be above 0")
        return self

    def _pairs(self) -> list[tuple[float, Passage]]:
        if self.dry_cup is not None and self.wet_cup is not None:
            return [(DRY_CUP_RH, self.dry_cup), (WET_CUP_RH, self.wet_cup)]
        if self.value is not None:
            return [(0.5 * (DRY_CUP_RH + WET_CUP_RH), self.value)]
        return list(self.points or ())

    def permeability(self) -> tuple[Array, Array]:
        """Give humidities and permeabilities [kg/(m s Pa)] at them."""
        values = []
        for _, passage in self._pairs():
            if passage.of_sample and self.thickness is None:
                raise _fail(
                    "thickness",
                    "",
                    "a permeance needs the thickness of its sample",
                    'add thickness = "1/2 in", or give a permeability such as "1.2 perm in"',
                )
            values.append(passage.value * ((self.thickness or 0.0) if passage.of_sample else 1.0))
        return np.array([rh for rh, _ in self._pairs()]), np.array(values)

    def permeance(self) -> tuple[Array, Array]:
        """Give humidities and permeances [kg/(m2 s Pa)] at them."""
        values = []
        for _, passage in self._pairs():
            if not passage.of_sample and self.thickness is None:
                raise _fail(
                    "thickness",
                    "",
                    "a film given by permeability needs its thickness",
                    'add thickness = "6 mil", or give a permeance such as "5 perm"',
                )
            values.append(passage.value / (1.0 if passage.of_sample else (self.thickness or 1.0)))
        return np.array([rh for rh, _ in self._pairs()]), np.array(values)


class Held(Sourced):
    """What every form of storage says about its upper end."""

    free: ContentText
    holds: ContentText


class PointStorage(Held):
    """Storage through points over humidity or suction."""

    form: Literal["points"]
    points: list[Annotated[tuple[HumidityText, ContentText], Strict(False)]]

    @model_validator(mode="after")
    def _in_order(self) -> PointStorage:
        if len(self.points) < 2:
            raise _fail("points", str(len(self.points)), "needs at least two points")
        if len({point[0].is_suction for point in self.points}) > 1:
            raise _fail("points", "", "gives some points over humidity, others over suction")
        _rising([point[0].rh() for point in self.points], "humidity")
        return self

    def build(self, density: float) -> Storage:
        """Give the storage of a material with this dry density."""
        content = [point[1].in_volume(density) for point in self.points]
        _rising(content, "water content")
        free = self.free.in_volume(density)
        if not free > content[-1]:
            raise _fail("free", f"{free:g} kg/m3", "must lie above the last point")
        return storage_from_table(
            np.array([point[0].rh() for point in self.points]),
            np.array(content),
            free,
            self.holds.in_volume(density),
            over_suction=self.points[0][0].is_suction,
        )


class WoodStorage(Held):
    """Storage of solid wood by the equation of the Wood Handbook."""

    form: Literal["wood"]
    at: Annotated[float, TextOf("temperature")]

    def build(self, density: float) -> Storage:
        """Give the storage of wood with this dry density."""
        return storage_of_wood(
            density, self.at, self.free.in_volume(density), self.holds.in_volume(density)
        )


class SuctionStorage(Held):
    """Storage as w = free / (1 + (a P)^n)^m over suction P."""

    form: Literal["over suction"]
    scale: Annotated[float, TextOf("pressure")]
    n: Positive
    m: Positive

    @model_validator(mode="after")
    def _positive(self) -> SuctionStorage:
        if not self.scale > 0.0:
            raise _fail("scale", f"{self.scale:g} Pa", "must be above 0")
        return self

    def build(self, density: float) -> Storage:
        """Give the storage of a material with this dry density."""
        free, holds = self.free.in_volume(density), self.holds.in_volume(density)
        return storage_over_suction(free, holds, 1.0 / self.scale, self.n, self.m)


class HumidityStorage(Held):
    """Storage as w = free / (1 - ln(rh) / A)^n."""

    form: Literal["over humidity"]
    a: Positive
    n: Positive

    def build(self, density: float) -> Storage:
        """Give the storage of a material with this dry density."""
        free, holds = self.free.in_volume(density), self.holds.in_volume(density)
        return storage_over_humidity(free, holds, self.a, self.n)


class PoreAirStorage(Sourced):
    """Storage of a material that sorbs nothing."""

    form: Literal["pore air"]
    porosity: Share
    holds: ContentText

    @model_validator(mode="after")
    def _positive(self) -> PoreAirStorage:
        if not self.porosity > 0.0:
            raise _fail("porosity", f"{self.porosity:g}", "must be above 0")
        return self

    def build(self, density: float) -> Storage:
        """Give the storage of a material with this dry density."""
        return storage_of_pore_air(self.porosity, self.holds.in_volume(density))


AnyStorage = Annotated[
    PointStorage | WoodStorage | SuctionStorage | HumidityStorage | PoreAirStorage,
    Field(discriminator="form"),
]


class Liquid(Sourced):
    """Liquid moved by suction: none, an absorption coefficient, one diffusivity, or points."""

    transport: Literal["none"] | None = None
    absorption: Annotated[float, TextOf("absorption")] | None = None
    diffusivity: Annotated[float, TextOf("diffusivity")] | None = None
    points: (
        list[Annotated[tuple[ContentText, Annotated[float, TextOf("diffusivity")]], Strict(False)]]
        | None
    ) = None

    @model_validator(mode="after")
    def _one_form(self) -> Liquid:
        names = ("transport", "absorption", "diffusivity", "points")
        given = [name for name in names if getattr(self, name) is not None]
        if len(given) != 1:
            raise _fail(
                "",
                ", ".join(given),
                'needs exactly one of transport = "none", absorption, diffusivity and points',
            )
        for name in ("absorption", "diffusivity"):
            value = getattr(self, name)
            if value is not None and not value > 0.0:
                raise _fail(name, f"{value:g}", "must be above 0", 'or write transport = "none"')
        for n, point in enumerate(self.points or ()):
            if not point[1] > 0.0:
                raise _fail(f"points[{n + 1}][2]", f"{point[1]:g}", "must be above 0")
        return self

    def build(self, density: float, free: float) -> Callable[[Array], Array] | None:
        """Give the diffusivity over water content, or None."""
        if self.absorption is not None:
            return diffusivity_from_absorption(self.absorption, free)
        if self.diffusivity is not None:
            return diffusivity_from_table(np.array([0.0]), np.array([self.diffusivity]))
        if self.points is not None:
            content = [point[0].in_volume(density) for point in self.points]
            _rising(content, "water content")
            return diffusivity_from_table(
                np.array(content), np.array([point[1] for point in self.points])
            )
        return None


class Surface(Sourced):
    """Long-wave emittance and solar absorptance where it faces air or sky."""

    emittance: Share
    absorptance: Share


class Mold(Sourced):
    """How readily mold grows on it (classes of ASHRAE 160)."""

    sensitivity: Literal["very sensitive", "sensitive", "medium resistant", "resistant"]


class Entry(StrictModel):
    """What every file begins with."""

    name: Text
    aliases: list[Text] = Field(default_factory=list)
    note: Text | None = None


class MaterialFile(Entry):
    """A material with a thickness of its own in each assembly."""

    type: Literal["material"]
    wood: bool = False
    density: Density
    heat_capacity: HeatCapacity
    conductivity: Conductivity
    vapor: Vapor
    storage: AnyStorage
    liquid: Liquid
    surface: Surface | None = None
    mold: Mold | None = None


class FilmFile(Entry):
    """A sheet or coat."""

    type: Literal["film"]
    vapor: Vapor
    surface: Surface | None = None
    mold: Mold | None = None


class BoardFile(Entry):
    """A core between facers or under a coat, each named as in its own file."""

    type: Literal["board"]
    core: Text
    outside: Text | None = None
    inside: Text | None = None

    @model_validator(mode="after")
    def _has_a_face(self) -> BoardFile:
        if self.outside is None and self.inside is None:
            raise _fail("", "", "needs a film outside, inside or on both faces")
        return self


AnyFile = MaterialFile | FilmFile | BoardFile
FILE_TYPES: dict[str, type[MaterialFile] | type[FilmFile] | type[BoardFile]] = {
    "material": MaterialFile,
    "film": FilmFile,
    "board": BoardFile,
}


def read_material_file(path: Path) -> Material | FilmMaterial | BoardFile:
    """Read one file of the library.

    Parameters
    ----------
    path : Path
        TOML file; its folder names the kind.

    Returns
    -------
    Material, FilmMaterial or BoardFile
        What it describes. A board still has to be put together from what it names.

    Raises
    ------
    MaterialError
        With every mistake of the file.
    """
    file = str(path)
    content = read_toml(path, MaterialError)
    entry = _validated(content, file)
    if isinstance(entry, BoardFile):
        return entry
    kind = path.parent.name
    if isinstance(entry, FilmFile):
        return _film(entry, kind, file)
    return _material(entry, kind, file)


def _validated(content: dict[str, Any], file: str) -> AnyFile:
    given = content.get("type")
    if given not in FILE_TYPES:
        problem = "is missing" if given is None else "is not a type of file"
        remedy = "write " + " or ".join(f'type = "{one}"' for one in FILE_TYPES)
        raise MaterialError(Fault(file, "type", str(given or ""), problem, remedy))
    model: type[BaseModel] = FILE_TYPES[given]
    try:
        return model.model_validate(content)  # type: ignore[return-value]
    except ValidationError as error:
        raise MaterialError(faults_from_validation(error, file, model)) from None


def _sources(entry: MaterialFile | FilmFile) -> dict[str, Source]:
    groups = ((name, getattr(entry, name)) for name in type(entry).model_fields)
    return {name: group.origin() for name, group in groups if isinstance(group, Sourced)}


class _Faults(list[Fault]):
    """Faults of one file; builds its parts and keeps what is wrong with each."""

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file

    def building(self, group: str, build: Callable[[], Built]) -> Built | None:
        """Build a part, or keep its faults with their place and return None."""
        try:
            return build()
        except InputError as error:
            for fault in error.faults:
                place = ".".join(part for part in (group, fault.field) if part)
                self.append(Fault(self.file, place, fault.value, fault.problem, fault.remedy))
            return None


def _material(entry: MaterialFile, kind: str, file: str) -> Material:
    faults = _Faults(file)
    density = entry.density.value
    vapor = faults.building("vapor", entry.vapor.permeability)
    storage = faults.building("storage", lambda: entry.storage.build(density))
    pores = 1000.0 * (1.0 - density / WOOD_SUBSTANCE)
    if entry.wood and storage and storage.holds > pores:
        faults.append(
            Fault(
                file,
                "storage.holds",
                f"{storage.holds:.4g} kg/m3",
                f"wood of {density:g} kg/m3 has pores for {pores:.4g} kg/m3 of water at most",
            )
        )
    free = storage.free if storage else 1.0
    diffusivity = faults.building("liquid", lambda: entry.liquid.build(density, free))
    conductivity = entry.conductivity.over_content(density)
    material = (
        vapor
        and storage
        and faults.building(
            "",
            lambda: Material(
                name=entry.name,
                kind=kind,
                density=density,
                heat_capacity=entry.heat_capacity.value,
                conductivity_content=conductivity[0],
                conductivity=conductivity[1],
                vapor_rh=vapor[0],
                vapor_permeability=vapor[1],
                storage=storage,
                diffusivity=diffusivity,
                conductivity_slope=entry.conductivity.per_kelvin,
                conductivity_temperature=entry.conductivity.at,
                permeability_slope=entry.vapor.per_kelvin,
                mold_class=entry.mold.sensitivity if entry.mold else "",
                wood=entry.wood,
                sources=_sources(entry),
                **_surface(entry),
            ),
        )
    )
    if faults or not material:
        raise MaterialError(faults)
    return material


def _film(entry: FilmFile, kind: str, file: str) -> FilmMaterial:
    faults = _Faults(file)
    vapor = faults.building("vapor", entry.vapor.permeance)
    film = vapor and faults.building(
        "",
        lambda: FilmMaterial(
            name=entry.name,
            kind=kind,
            rh=vapor[0],
            permeance=vapor[1],
            mold_class=entry.mold.sensitivity if entry.mold else "",
            sources=_sources(entry),
            **_surface(entry),
        ),
    )
    if faults or not film:
        raise MaterialError(faults)
    return film


def _surface(entry: MaterialFile | FilmFile) -> dict[str, float]:
    if entry.surface is None:
        return {}
    return {"emittance": entry.surface.emittance, "absorptance": entry.surface.absorptance}
