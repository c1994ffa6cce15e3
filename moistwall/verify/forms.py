"""Materials of a problem: property tables or named formulas, in SI, as the file gives them.

Every form states how it is read between and beyond its points, so that another solver that reads the
same file solves the same problem. `docs/bench.md` says the same for people.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Annotated, Any, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator
from scipy.interpolate import PchipInterpolator

from moistwall.errors import Fault, InputError
from moistwall.material import (
    Material,
    Storage,
    diffusivity_from_absorption,
    diffusivity_from_table,
    ln_rh_from_suction,
    storage_of_pore_air,
    storage_of_wood,
    storage_over_humidity,
    suction_from_ln_rh,
)
from moistwall.schema import StrictModel, Text
from moistwall.verify.heat import Heat

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

SATURATED_SHARE = 1e-4
"""Share of free saturation below its end over which a diffusivity that comes from a conductivity is
replaced by its mean there: the slope of suction over content has a pole at saturation. [-]"""

LEAST_SUCTION, LARGEST_SUCTION = 0.1, 1.3e9
"""Suctions between which a conductivity is followed: those of a water column of 10 micrometers, and of
a relative humidity of 7e-5. [Pa]"""

LEAST_PERMEABILITY = 1e-25
"""Stands for 'no vapor passes': a meter of it lets through a microgram in a million years at 1000 Pa.
[kg/(m s Pa)]"""

Rh = Annotated[float, Field(ge=0.0, le=1.0)]
Content = Annotated[float, Field(ge=0.0, le=1500.0)]
Free = Annotated[float, Field(ge=1e-6, le=1500.0)]
Suction = Annotated[float, Field(gt=0.0, le=1e10)]
Permeability = Annotated[float, Field(ge=LEAST_PERMEABILITY, le=1e-8)]
Diffusivity = Annotated[float, Field(ge=1e-25, le=1e-2)]
LiquidConductivity = Annotated[float, Field(ge=1e-40, le=1e-2)]
Conductivity = Annotated[float, Field(ge=1e-4, le=1e5)]
PerKelvin = Annotated[float, Field(ge=-0.01, le=0.01)]
Positive = Annotated[float, Field(gt=0.0, le=1e6)]


NUMBER, LIST = "~number", "~list"
"""Tags of what may be one number or a list of them; they stand in no message."""


def number_or_list(given: Any) -> str:
    """Say which was meant, so that a mistake is told for that form alone."""
    return LIST if isinstance(given, list) else NUMBER


def fail(field: str, value: object, problem: str, remedy: str = "") -> InputError:
    """Give the error of one field of a form."""
    return InputError(Fault("", field, str(value), problem, remedy))


def _same_length(first: str, a: list[float], second: str, b: list[float]) -> None:
    if len(a) != len(b):
        raise fail(second, f"{len(b)} values", f"needs one value for each of the {len(a)} {first}")
    if len(a) < 2:
        raise fail(first, f"{len(a)} values", "needs at least two points")


def _rising(field: str, values: list[float], word: str = "rise") -> None:
    for n, (before, after) in enumerate(pairwise(values)):
        if not (after > before if word == "rise" else after < before):
            raise fail(f"{field}[{n + 2}]", f"{after:g}", f"must {word} from point to point")


# storage -----------------------------------------------------------------------------------------


class HumidityTable(StrictModel):
    """Content over relative humidity, from (0, 0) through the points to saturation at 1."""

    form: Literal["table over humidity"]
    relative_humidity: list[Rh]
    water_content_kg_m3: list[Content]
    between: Literal["linear", "monotone cubic"] = "linear"
    follows: Literal["humidity", "suction"] = "humidity"
    holds_kg_m3: Free | None = None

    @model_validator(mode="after")
    def _points(self) -> HumidityTable:
        rh, content = self.relative_humidity, self.water_content_kg_m3
        _same_length("relative_humidity", rh, "water_content_kg_m3", content)
        _rising("relative_humidity", rh)
        _rising("water_content_kg_m3", content)
        if rh[-1] != 1.0:
            raise fail("relative_humidity", f"{rh[-1]:g}", "must end at 1, saturation")
        if rh[0] == 0.0 and content[0] != 0.0:
            raise fail("water_content_kg_m3", f"{content[0]:g}", "must be 0 at humidity 0")
        if rh[0] > 0.0 and content[0] == 0.0:
            raise fail("water_content_kg_m3", 0, "must be above 0 where humidity is above 0")
        return self

    def build(self) -> Storage:
        """Give the storage."""
        rh, content = np.array(self.relative_humidity), np.array(self.water_content_kg_m3)
        if rh[0] > 0.0:
            rh, content = np.insert(rh, 0, 0.0), np.insert(content, 0, 0.0)
        curve = PchipInterpolator(rh, content) if self.between == "monotone cubic" else None

        def over(ln_rh: Array) -> Array:
            humidity = np.exp(np.minimum(ln_rh, 0.0))
            found = np.interp(humidity, rh, content) if curve is None else curve(humidity)
            return np.asarray(found, float)

        free = float(content[-1])
        return Storage(over, free, self.holds_kg_m3 or free, self.follows == "suction")


class SuctionTable(StrictModel):
    """Content over suction at 20 degC: linear in its logarithm between the points."""

    form: Literal["table over suction"]
    suction_Pa: list[Suction]  # noqa: N815
    water_content_kg_m3: list[Content]
    free_kg_m3: Free
    holds_kg_m3: Free | None = None

    @model_validator(mode="after")
    def _points(self) -> SuctionTable:
        suction, content = self.suction_Pa, self.water_content_kg_m3
        _same_length("suction_Pa", suction, "water_content_kg_m3", content)
        _rising("suction_Pa", suction)
        _rising("water_content_kg_m3", content, "fall")
        if not self.free_kg_m3 > content[0]:
            raise fail("free_kg_m3", f"{self.free_kg_m3:g}", "must lie above the first content")
        if not content[-1] > 0.0:
            raise fail("water_content_kg_m3", f"{content[-1]:g}", "must stay above 0")
        return self

    def build(self) -> Storage:
        """Give the storage: straight to `free` below the least suction, to 0 at humidity 0 above."""
        suction, content = np.array(self.suction_Pa), np.array(self.water_content_kg_m3)
        logarithm = np.log(suction)
        driest = float(np.exp(ln_rh_from_suction(suction[-1:]))[0])
        free = self.free_kg_m3

        def over(ln_rh: Array) -> Array:
            given = np.asarray(suction_from_ln_rh(np.minimum(ln_rh, 0.0)), float)
            inside = np.interp(np.log(np.maximum(given, 1e-300)), logarithm, content)
            wet = free + (content[0] - free) * np.minimum(given / suction[0], 1.0)
            dry = content[-1] * np.exp(ln_rh) / driest
            found = np.where(given < suction[0], wet, inside)
            return np.asarray(np.where(given > suction[-1], dry, found), float)

        return Storage(over, free, self.holds_kg_m3 or free, over_suction=True)


class RetentionTerm(StrictModel):
    """One term of a retention curve."""

    share: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0
    inverse_scale_1_Pa: Annotated[float, Field(gt=0.0, le=1.0)]  # noqa: N815
    exponent: Annotated[float, Field(gt=0.0, le=100.0)]
    power: Annotated[float, Field(gt=0.0, le=100.0)]


class RetentionCurve(StrictModel):
    """w = free x sum of share / (1 + (a P)^n)^m over suction P at 20 degC (EN 15026, HAMSTAD)."""

    form: Literal["retention curve"]
    free_kg_m3: Free
    term: list[RetentionTerm] = Field(min_length=1, max_length=10)
    holds_kg_m3: Free | None = None

    @model_validator(mode="after")
    def _shares(self) -> RetentionCurve:
        total = sum(term.share for term in self.term)
        if abs(total - 1.0) > 1e-9:
            raise fail("term", f"{total:g}", "the shares must add up to 1")
        return self

    def build(self) -> Storage:
        """Give the storage."""
        free, terms = self.free_kg_m3, tuple(self.term)

        def over(ln_rh: Array) -> Array:
            suction = suction_from_ln_rh(np.minimum(ln_rh, 0.0))
            shares: Array = np.sum(
                [
                    t.share / (1.0 + (t.inverse_scale_1_Pa * suction) ** t.exponent) ** t.power
                    for t in terms
                ],
                axis=0,
            )
            return free * shares

        return Storage(over, free, self.holds_kg_m3 or free, over_suction=True)


class HumidityPower(StrictModel):
    """w = free / (1 - ln(rh) / scale)^power (Hansen 1986; HAMSTAD benchmarks 2 and 3)."""

    form: Literal["power of humidity"]
    free_kg_m3: Free
    scale: Positive
    power: Positive
    holds_kg_m3: Free | None = None

    def build(self) -> Storage:
        """Give the storage."""
        free = self.free_kg_m3
        return storage_over_humidity(free, self.holds_kg_m3 or free, self.scale, self.power)


class PoreAir(StrictModel):
    """Storage of a material that sorbs nothing: the vapor of its pores at 20 degC."""

    form: Literal["pore air"]
    porosity: Annotated[float, Field(gt=0.0, le=1.0)]
    holds_kg_m3: Free

    def build(self) -> Storage:
        """Give the storage."""
        storage = storage_of_pore_air(self.porosity, self.holds_kg_m3)
        if self.holds_kg_m3 < storage.free:
            raise fail(
                "holds_kg_m3", f"{self.holds_kg_m3:g}", f"must be {storage.free:.3g} or more"
            )
        return storage


class Wood(StrictModel):
    """Sorption of solid wood by the equation of the USDA Wood Handbook."""

    form: Literal["wood"]
    at_degC: Annotated[float, Field(ge=-1.0, le=70.0)]  # noqa: N815
    free_kg_m3: Free
    holds_kg_m3: Free | None = None
    density_kg_m3: Annotated[float, Field(ge=50.0, le=1500.0)]

    def build(self) -> Storage:
        """Give the storage."""
        free = self.free_kg_m3
        return storage_of_wood(self.density_kg_m3, self.at_degC, free, self.holds_kg_m3 or free)


StorageForm = Annotated[
    HumidityTable | SuctionTable | RetentionCurve | HumidityPower | PoreAir | Wood,
    Field(discriminator="form"),
]

# vapor -------------------------------------------------------------------------------------------


class VaporConstant(StrictModel):
    """One permeability."""

    form: Literal["constant"]
    permeability_kg_msPa: Permeability  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them."""
        return np.array([0.5]), np.array([self.permeability_kg_msPa])


class VaporFactor(StrictModel):
    """A resistance factor: permeability = that of air / factor."""

    form: Literal["resistance factor"]
    resistance_factor: Annotated[float, Field(ge=1.0, le=1e9)]
    air_permeability_kg_msPa: Permeability = 2.0e-10  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them."""
        return np.array([0.5]), np.array([self.air_permeability_kg_msPa / self.resistance_factor])


class VaporHumidityTable(StrictModel):
    """Permeability over relative humidity: linear between the points, constant beyond."""

    form: Literal["table over humidity"]
    relative_humidity: list[Rh]
    permeability_kg_msPa: list[Permeability]  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    @model_validator(mode="after")
    def _points(self) -> VaporHumidityTable:
        rh, values = self.relative_humidity, self.permeability_kg_msPa
        _same_length("relative_humidity", rh, "permeability_kg_msPa", values)
        _rising("relative_humidity", rh)
        return self

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them."""
        return np.array(self.relative_humidity), np.array(self.permeability_kg_msPa)


def _dense_humidity() -> Array:
    """Relative humidities, ever closer towards 1, where content still rises with falling suction."""
    wet = -np.expm1(np.log(10.0) * np.linspace(-2.0, -9.0, 700))
    return np.concatenate((np.linspace(1e-4, 0.99, 1000), wet[1:], [1.0]))


class VaporContentTable(StrictModel):
    """Permeability over water content: linear between the points, constant beyond."""

    form: Literal["table over content"]
    water_content_kg_m3: list[Content]
    permeability_kg_msPa: list[Permeability]  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    @model_validator(mode="after")
    def _points(self) -> VaporContentTable:
        content, values = self.water_content_kg_m3, self.permeability_kg_msPa
        _same_length("water_content_kg_m3", content, "permeability_kg_msPa", values)
        _rising("water_content_kg_m3", content)
        return self

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them, by the storage at 20 degC."""
        rh = _dense_humidity()
        content = storage.content(np.log(rh))
        return rh, np.interp(content, self.water_content_kg_m3, self.permeability_kg_msPa)


class VaporFilledPores(StrictModel):
    """Pores that water fills: d / factor x (1 - s) / ((1 - p)(1 - s)^2 + p), s = w / full, at 20 degC.

    d = 26.1e-6 m2/s / (R_v T), R_v = 8.314 / 0.018 J/(kg K) (EN 15026 annex A, HAMSTAD).
    """

    form: Literal["filled pores"]
    resistance_factor: Annotated[float, Field(ge=1.0, le=1e9)]
    p: Annotated[float, Field(gt=0.0, le=1.0)]
    full_kg_m3: Free
    per_kelvin: PerKelvin = 0.0

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them, by the storage at 20 degC."""
        rh = _dense_humidity()
        empty = np.clip(1.0 - storage.content(np.log(rh)) / self.full_kg_m3, 0.0, 1.0)
        air = 0.018 * 26.1e-6 / (8.314 * 293.15)
        shape = empty / ((1.0 - self.p) * empty**2 + self.p)
        return rh, np.maximum(air / self.resistance_factor * shape, LEAST_PERMEABILITY)


VaporForm = Annotated[
    VaporConstant | VaporFactor | VaporHumidityTable | VaporContentTable | VaporFilledPores,
    Field(discriminator="form"),
]

# liquid ------------------------------------------------------------------------------------------


class LiquidConstant(StrictModel):
    """One diffusivity."""

    form: Literal["constant diffusivity"]
    diffusivity_m2_s: Diffusivity

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        value = self.diffusivity_m2_s
        return lambda content: np.full_like(content, value)


class LiquidExponential(StrictModel):
    """D = D0 exp(rate x w), constant above free saturation."""

    form: Literal["exponential diffusivity"]
    diffusivity_m2_s: Diffusivity
    rate_m3_kg: Annotated[float, Field(ge=-10.0, le=10.0)]

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        scale, rate, free = self.diffusivity_m2_s, self.rate_m3_kg, storage.free
        return lambda content: scale * np.exp(rate * np.minimum(content, free))


class LiquidAbsorption(StrictModel):
    """D = 3.8 (A / free)^2 1000^(w / free - 1), constant above free saturation (Kuenzel 1995)."""

    form: Literal["absorption"]
    absorption_kg_m2s05: Annotated[float, Field(gt=0.0, le=10.0)]

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        return diffusivity_from_absorption(self.absorption_kg_m2s05, storage.free)


class LiquidDiffusivityTable(StrictModel):
    """Diffusivity over content: its logarithm linear between the points, constant beyond."""

    form: Literal["diffusivity table"]
    water_content_kg_m3: list[Content]
    diffusivity_m2_s: list[Diffusivity]

    @model_validator(mode="after")
    def _points(self) -> LiquidDiffusivityTable:
        content, values = self.water_content_kg_m3, self.diffusivity_m2_s
        _same_length("water_content_kg_m3", content, "diffusivity_m2_s", values)
        _rising("water_content_kg_m3", content)
        return self

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        return diffusivity_from_table(
            np.array(self.water_content_kg_m3), np.array(self.diffusivity_m2_s)
        )


class LiquidConductivityTable(StrictModel):
    """Conductivity over suction, g = K dP/dx: straight in logarithms; the last slope goes on drier."""

    form: Literal["conductivity table"]
    suction_Pa: list[Suction]  # noqa: N815
    conductivity_s: list[LiquidConductivity]

    @model_validator(mode="after")
    def _points(self) -> LiquidConductivityTable:
        _same_length("suction_Pa", self.suction_Pa, "conductivity_s", self.conductivity_s)
        _rising("suction_Pa", self.suction_Pa)
        return self

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        x, y = np.log(self.suction_Pa), np.log(self.conductivity_s)
        last = (y[-1] - y[-2]) / (x[-1] - x[-2])

        def over_suction(suction: Array) -> Array:
            at = np.log(suction)
            drier = np.maximum(at - x[-1], 0.0)
            return np.asarray(np.exp(np.interp(at, x, y) + last * drier))

        return diffusivity_from_conductivity(storage, over_suction)


class LiquidConductivityPolynomial(StrictModel):
    """ln(K [s]) = sum of c_i (w - center)^i over water content w, g = K dP/dx (EN 15026, HAMSTAD)."""

    form: Literal["conductivity polynomial"]
    center_kg_m3: Content = 0.0
    coefficients: list[Annotated[float, Field(ge=-1e6, le=1e6)]] = Field(
        min_length=1, max_length=12
    )

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""

        def over_suction(suction: Array) -> Array:
            above = storage.content(ln_rh_from_suction(suction)) - self.center_kg_m3
            return np.exp(np.polynomial.polynomial.polyval(above, self.coefficients))

        return diffusivity_from_conductivity(storage, over_suction)


def diffusivity_from_conductivity(storage: Storage, conductivity: Curve) -> Curve:
    """Diffusivity D = -K dP/dw that belongs to a conductivity K over suction P.

    Parameters
    ----------
    storage : Storage
        Gives content over suction at 20 degC.
    conductivity : callable
        Liquid conductivity over suction. [kg/(m s Pa) over Pa]

    Returns
    -------
    callable
        Diffusivity over content. [m2/s over kg/m3]

    Notes
    -----
    dP/dw has a pole at saturation while the integral of K dP is finite; over the last
    `SATURATED_SHARE` of content the mean (integral of K dP) / (change of w) stands for D.
    """
    suction = np.geomspace(LEAST_SUCTION, LARGEST_SUCTION, 60001)
    content = storage.content(ln_rh_from_suction(suction))
    value = conductivity(suction)
    slope = -np.gradient(content, np.log(suction))
    usable = (content < (1.0 - SATURATED_SHARE) * storage.free) & (slope > 0.0)
    first = int(np.argmax(usable))
    wet = np.concatenate(([0.0], suction[: first + 1]))
    level = np.concatenate((value[:1], value[: first + 1]))
    potential = np.sum(0.5 * (level[1:] + level[:-1]) * np.diff(wet))
    mean = potential / (storage.free - content[first])
    below, inside = content[usable][::-1], (value * suction)[usable][::-1]
    logarithm = np.log(inside / slope[usable][::-1])
    edge = float(below[-1])

    def over_content(wanted: Array) -> Array:
        found = np.exp(np.interp(wanted, below, logarithm))
        return np.asarray(np.where(wanted > edge, mean, found), float)

    return over_content


LiquidForm = Annotated[
    LiquidConstant
    | LiquidExponential
    | LiquidAbsorption
    | LiquidDiffusivityTable
    | LiquidConductivityTable
    | LiquidConductivityPolynomial,
    Field(discriminator="form"),
]

# heat --------------------------------------------------------------------------------------------


class MaterialForm(StrictModel):
    """One material of a problem; what the problem's mode does not need may be left out."""

    note: Text | None = None
    heat: Heat | None = None
    storage: StorageForm | None = None
    vapor: VaporForm | None = None
    liquid: LiquidForm | None = None
    emittance: Annotated[float, Field(ge=0.0, le=1.0)] = 0.9

    @model_validator(mode="after")
    def _holds(self) -> MaterialForm:
        if self.storage is not None:
            storage = self.storage.build()
            if storage.holds < storage.free:
                raise fail(
                    "storage.holds_kg_m3",
                    f"{storage.holds:g}",
                    f"must not be below free saturation, {storage.free:g}",
                )
        return self

    def build(self, name: str, *, isothermal: bool = False, dry: bool = False) -> Material:
        """Give the material.

        Parameters
        ----------
        name : str
            Its name in the problem.
        isothermal : bool
            Let heat through so easily that temperature is the same everywhere.
        dry : bool
            Leave moisture out: nothing is let through and next to nothing stored.

        Returns
        -------
        Material
        """
        heat = self.heat or WELL_CONDUCTING
        storage, vapor, liquid = self.storage, self.vapor, self.liquid
        if dry or storage is None or vapor is None:
            storage, vapor, liquid = NOTHING_STORED, NOTHING_PASSES, None
        held = storage.build()
        content, conductivity = (WELL_CONDUCTING if isothermal else heat).over_content()
        vapor_rh, permeability = vapor.over_humidity(held)
        return Material(
            name,
            "problem",
            heat.density_kg_m3,
            heat.heat_capacity_J_kgK,
            content,
            conductivity,
            vapor_rh,
            permeability,
            held,
            None if liquid is None else liquid.diffusivity(held),
            conductivity_slope=0.0 if isothermal else heat.conductivity_per_kelvin,
            conductivity_temperature=heat.conductivity_at_degC,
            permeability_slope=vapor.per_kelvin,
            emittance=self.emittance,
        )


WELL_CONDUCTING = Heat(density_kg_m3=1000.0, heat_capacity_J_kgK=1000.0, conductivity_W_mK=1e4)
"""Heat of an isothermal problem: 1 g/(m2 s) of condensing vapor moves a meter of it by 0.25 K."""

NOTHING_STORED = PoreAir(form="pore air", porosity=1e-6, holds_kg_m3=1.0)
NOTHING_PASSES = VaporConstant(form="constant", permeability_kg_msPa=1e-15)
