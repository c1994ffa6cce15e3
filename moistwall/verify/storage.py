"""How a material of a problem stores moisture: tables and named formulas.

Every form states how it is read between and beyond its points, so that another solver that reads the
same file solves the same problem. `docs/bench.md` says the same for people.
"""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field, model_validator
from scipy.interpolate import PchipInterpolator

from moistwall.material import Storage
from moistwall.material_curves import (
    ln_rh_from_suction,
    storage_of_pore_air,
    storage_of_wood,
    storage_over_humidity,
    suction_from_ln_rh,
)
from moistwall.schema import StrictModel
from moistwall.verify.bounds import (
    Array,
    Content,
    Free,
    Positive,
    Rh,
    Suction,
    fail,
    rising,
    same_length,
)


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
        same_length("relative_humidity", rh, "water_content_kg_m3", content)
        rising("relative_humidity", rh)
        rising("water_content_kg_m3", content)
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
        same_length("suction_Pa", suction, "water_content_kg_m3", content)
        rising("suction_Pa", suction)
        rising("water_content_kg_m3", content, "fall")
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
