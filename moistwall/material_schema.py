"""What stands in material files: their tables and keys, and what each becomes in SI.

Every group of numbers says where it comes from (``source``), how far it can be trusted (``quality``:
published, handbook, memory, estimate), where it holds (``valid``) and how far sources lie apart
(``spread``). Every quantity is text with a unit. `materials/README.md` shows the format.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal

import numpy as np
from pydantic import Field, Strict, model_validator

from moistwall.material import DRY_CUP_RH, WET_CUP_RH, Array, Quality, Range, Source, Storage
from moistwall.material_curves import (
    diffusivity_from_absorption,
    diffusivity_from_table,
    storage_from_table,
    storage_of_pore_air,
    storage_of_wood,
    storage_over_humidity,
    storage_over_suction,
)
from moistwall.material_fit import Formula, SorptionFit, fit_sorption
from moistwall.material_texts import (
    ContentText,
    HumidityText,
    Passage,
    PassageText,
    fail,
    range_of,
    require_rising,
)
from moistwall.schema import MOST_ENTRIES, StrictModel, Text, TextOf

Share = Annotated[float, TextOf("share")]
Positive = Annotated[float, Field(gt=0.0, lt=1e3)]
Valid = Annotated[Range, range_of("temperature", "share", "moisture_content", "length", "density")]
OfPassage = Annotated[Range, range_of("permeance", "permeability")]
OfShare = Annotated[Range, range_of("share")]


class Sourced(StrictModel):
    """A group of numbers with their source, and the range in which they hold."""

    source: Text
    quality: Quality
    valid: list[Valid] = Field(default_factory=list)

    def origin(self) -> Source:
        """Give the source as materials carry it."""
        return Source(self.source, self.quality, tuple(self.valid))

    def given_spreads(self) -> dict[str, Range]:
        """Give how far sources lie apart, by the key of the number."""
        fields = type(self).model_fields
        keys = [key for key in fields if key == "spread" or key.endswith("_spread")]
        return {
            key.removesuffix("spread").removesuffix("_"): getattr(self, key)
            for key in keys
            if getattr(self, key) is not None
        }


class Density(Sourced):
    """Dry bulk density."""

    value: Annotated[float, TextOf("density")]
    spread: Annotated[Range, range_of("density")] | None = None


class HeatCapacity(Sourced):
    """Specific heat of the dry material."""

    value: Annotated[float, TextOf("heat_capacity")]
    spread: Annotated[Range, range_of("heat_capacity")] | None = None


class Conductivity(Sourced):
    """Thermal conductivity: one value, a layer's resistance, or points over water content."""

    value: Annotated[float, TextOf("conductivity")] | None = None
    resistance: Annotated[float, TextOf("thermal_resistance")] | None = None
    thickness: Annotated[float, TextOf("length")] | None = None
    points: (
        list[Annotated[tuple[ContentText, Annotated[float, TextOf("conductivity")]], Strict(False)]]
        | None
    ) = Field(None, max_length=MOST_ENTRIES)
    at: Annotated[float, TextOf("temperature")] = 24.0
    per_kelvin: Annotated[float, TextOf("per_kelvin")] = 0.0
    spread: Annotated[Range, range_of("conductivity")] | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Conductivity:
        given = [
            name for name in ("value", "resistance", "points") if getattr(self, name) is not None
        ]
        if len(given) != 1:
            raise fail(
                "",
                ", ".join(given),
                "needs exactly one of value, resistance and points",
                "keep one",
            )
        if (self.resistance is None) != (self.thickness is None):
            raise fail(
                "thickness",
                "",
                "resistance and thickness belong together",
                'add thickness = "1 in"',
            )
        if self.resistance is not None and not (self.resistance > 0.0):
            raise fail("resistance", f"{self.resistance:g}", "must be above 0", "give a larger one")
        if self.points is not None and (not self.points or self.points[0][0].value != 0.0):
            raise fail("points", "", "must start at the dry material", 'begin with "0 kg/m3"')
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
    points: list[Annotated[tuple[Share, PassageText], Strict(False)]] | None = Field(
        None, max_length=MOST_ENTRIES
    )
    thickness: Annotated[float, TextOf("length")] | None = None
    per_kelvin: Annotated[float, TextOf("per_kelvin")] = 0.0
    falls: Text | None = None
    dry_cup_spread: OfPassage | None = None
    wet_cup_spread: OfPassage | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Vapor:
        cups = [cup for cup in (self.dry_cup, self.wet_cup) if cup is not None]
        given = (bool(cups), self.value is not None, self.points is not None)
        if sum(given) != 1 or len(cups) == 1 or self.points == []:
            raise fail(
                "", "", "needs dry_cup and wet_cup, or value, or points", 'add dry_cup = "1 perm"'
            )
        require_rising([point[0] for point in self.points or ()], "humidity")
        if self.thickness is not None and not self.thickness > 0.0:
            raise fail("thickness", f"{self.thickness:g}", "must be above 0", "give a larger one")
        return self

    def _pairs(self) -> list[tuple[float, Passage]]:
        if self.dry_cup is not None and self.wet_cup is not None:
            return [(DRY_CUP_RH, self.dry_cup), (WET_CUP_RH, self.wet_cup)]
        if self.value is not None:
            return [(0.5 * (DRY_CUP_RH + WET_CUP_RH), self.value)]
        return list(self.points or ())

    def permeability(self) -> tuple[Array, Array]:
        """Give humidities and permeabilities [kg/(m s Pa)] at them."""
        values = [
            self.of_thickness(passage.value, passage.of_sample) for _, passage in self._pairs()
        ]
        return np.array([rh for rh, _ in self._pairs()]), np.array(values)

    def permeance(self) -> tuple[Array, Array]:
        """Give humidities and permeances [kg/(m2 s Pa)] at them."""
        values = [self.of_sheet(passage.value, passage.of_sample) for _, passage in self._pairs()]
        return np.array([rh for rh, _ in self._pairs()]), np.array(values)

    def of_thickness(self, value: float, of_sample: bool) -> float:
        """Give a permeance of the sample, or a permeability, as permeability [kg/(m s Pa)]."""
        if not of_sample:
            return value
        if self.thickness is None:
            raise fail(
                "thickness",
                "",
                "a permeance needs the thickness of its sample",
                'add thickness = "1/2 in", or give a permeability such as "1.2 perm in"',
            )
        return value * self.thickness

    def of_sheet(self, value: float, of_sample: bool) -> float:
        """Give a permeance of the sheet, or a permeability, as permeance [kg/(m2 s Pa)]."""
        if of_sample:
            return value
        if self.thickness is None:
            raise fail(
                "thickness",
                "",
                "a film given by permeability needs its thickness",
                'add thickness = "6 mil", or give a permeance such as "5 perm"',
            )
        return value / self.thickness


class Held(Sourced):
    """What every form of storage says about its upper end."""

    free: ContentText
    holds: ContentText
    porosity: Share | None = None
    at_80_spread: Annotated[Range, range_of("moisture_content", "water_content")] | None = None


class PointStorage(Held):
    """Storage through points over humidity or suction: a monotone cubic, or a fitted formula."""

    form: Literal["points"]
    fit: Formula | None = None
    points: list[Annotated[tuple[HumidityText, ContentText], Strict(False)]] = Field(
        max_length=MOST_ENTRIES
    )

    @model_validator(mode="after")
    def _in_order(self) -> PointStorage:
        least = {"van Genuchten": 2, None: 2}.get(self.fit, 3)
        if len(self.points) < least:
            words = {2: "two", 3: "three"}[least]
            raise fail("points", str(len(self.points)), f"needs at least {words} points")
        if len({point[0].is_suction for point in self.points}) > 1:
            raise fail("points", "", "gives some points over humidity, others over suction")
        require_rising([point[0].rh() for point in self.points], "humidity")
        return self

    def fitted(self, density: float) -> SorptionFit | None:
        """Give the formula through the points of a material with this dry density, or None."""
        if self.fit is None:
            return None
        rh, content = self._arrays(density)
        free, holds = self.free.in_volume(density), self.holds.in_volume(density)
        return fit_sorption(rh, content, self.fit, free, holds)

    def build(self, density: float) -> Storage:
        """Give the storage of a material with this dry density."""
        rh, content = self._arrays(density)
        fitted = self.fitted(density)
        if fitted is not None:
            return fitted.storage
        free, holds = self.free.in_volume(density), self.holds.in_volume(density)
        over_suction = self.points[0][0].is_suction
        return storage_from_table(rh, content, free, holds, over_suction=over_suction)

    def _arrays(self, density: float) -> tuple[Array, Array]:
        content = [point[1].in_volume(density) for point in self.points]
        require_rising(content, "water content")
        free = self.free.in_volume(density)
        if not free > content[-1]:
            raise fail(
                "free", f"{free:g} kg/m3", "must lie above the last point", "give free saturation"
            )
        return np.array([point[0].rh() for point in self.points]), np.array(content)


class WoodStorage(Held):
    """Storage of solid wood by the equation of the Wood Handbook."""

    form: Literal["wood", "Hailwood-Horrobin"]
    at: Annotated[float, TextOf("temperature")]

    def build(self, density: float) -> Storage:
        """Give the storage of wood with this dry density."""
        return storage_of_wood(
            density, self.at, self.free.in_volume(density), self.holds.in_volume(density)
        )


class SuctionStorage(Held):
    """Storage as w = free / (1 + (a P)^n)^m over suction P."""

    form: Literal["over suction", "van Genuchten"]
    scale: Annotated[float, TextOf("pressure")]
    n: Positive
    m: Positive

    @model_validator(mode="after")
    def _positive(self) -> SuctionStorage:
        if not self.scale > 0.0:
            raise fail("scale", f"{self.scale:g} Pa", "must be above 0", "give a larger one")
        return self

    def build(self, density: float) -> Storage:
        """Give the storage of a material with this dry density."""
        free, holds = self.free.in_volume(density), self.holds.in_volume(density)
        return storage_over_suction(free, holds, 1.0 / self.scale, self.n, self.m)


class HumidityStorage(Held):
    """Storage as w = free / (1 - ln(rh) / A)^n."""

    form: Literal["over humidity", "Hansen"]
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
            raise fail("porosity", f"{self.porosity:g}", "must be above 0", "give a larger one")
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
    ) = Field(None, max_length=MOST_ENTRIES)

    absorption_spread: Annotated[Range, range_of("absorption")] | None = None

    @model_validator(mode="after")
    def _one_form(self) -> Liquid:
        names = ("transport", "absorption", "diffusivity", "points")
        given = [name for name in names if getattr(self, name) is not None]
        both = len(given) == 2 and given[0] == "absorption"
        if len(given) != 1 and not both:
            raise fail(
                "",
                ", ".join(given),
                'needs exactly one of transport = "none", absorption, diffusivity and points; '
                "absorption may stand beside one of the last two",
            )
        for name in ("absorption", "diffusivity"):
            value = getattr(self, name)
            if value is not None and not value > 0.0:
                raise fail(name, f"{value:g}", "must be above 0", 'or write transport = "none"')
        for n, point in enumerate(self.points or ()):
            if not point[1] > 0.0:
                raise fail(
                    f"points[{n + 1}][2]", f"{point[1]:g}", "must be above 0", "give a larger one"
                )
        return self

    def build(self, density: float, free: float) -> Callable[[Array], Array] | None:
        """Give the diffusivity over water content, or None."""
        if self.diffusivity is not None:
            return diffusivity_from_table(np.array([0.0]), np.array([self.diffusivity]))
        if self.points is not None:
            content = [point[0].in_volume(density) for point in self.points]
            require_rising(content, "water content")
            return diffusivity_from_table(
                np.array(content), np.array([point[1] for point in self.points])
            )
        if self.absorption is not None:
            return diffusivity_from_absorption(self.absorption, free)
        return None


class Surface(Sourced):
    """Long-wave emittance and solar absorptance where it faces air or sky."""

    emittance: Share
    absorptance: Share
    emittance_spread: OfShare | None = None
    absorptance_spread: OfShare | None = None


class Mold(Sourced):
    """How readily mold grows on it (classes of ASHRAE 160)."""

    sensitivity: Literal["very sensitive", "sensitive", "medium resistant", "resistant"]


class Entry(StrictModel):
    """What every file begins with."""

    name: Text
    aliases: list[Text] = Field(default_factory=list, max_length=MOST_ENTRIES)
    note: Text | None = None
    caution: Text | None = None


class MaterialFile(Entry):
    """A material with a thickness of its own in each assembly."""

    type: Literal["material"]
    wood: bool = False
    panel: bool = False
    usual_thickness: Annotated[float, TextOf("length")] | None = None
    density: Density
    heat_capacity: HeatCapacity
    conductivity: Conductivity
    vapor: Vapor
    storage: AnyStorage
    liquid: Liquid
    surface: Surface | None = None
    mold: Mold | None = None

    @model_validator(mode="after")
    def _panels_are_wood(self) -> MaterialFile:
        if self.panel and not self.wood:
            raise fail("panel", "true", "belongs to wood", "write wood = true as well")
        if self.usual_thickness is not None and not self.usual_thickness > 0.0:
            raise fail(
                "usual_thickness",
                f"{self.usual_thickness:g}",
                "must be above 0",
                "give a larger one",
            )
        return self


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
    usual_thickness: Annotated[float, TextOf("length")] | None = None

    @model_validator(mode="after")
    def _has_a_face(self) -> BoardFile:
        if self.outside is None and self.inside is None:
            raise fail("", "", "needs a film outside, inside or on both faces")
        if self.usual_thickness is not None and not self.usual_thickness > 0.0:
            raise fail(
                "usual_thickness",
                f"{self.usual_thickness:g}",
                "must be above 0",
                "give a larger one",
            )
        return self


AnyFile = MaterialFile | FilmFile | BoardFile
FILE_TYPES: dict[str, type[MaterialFile] | type[FilmFile] | type[BoardFile]] = {
    "material": MaterialFile,
    "film": FilmFile,
    "board": BoardFile,
}
