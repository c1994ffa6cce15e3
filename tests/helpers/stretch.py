"""Some days of the Miami year on a section, where a whole year would say no more."""

from __future__ import annotations

import numpy as np
from heron_point import miami
from numpy.typing import NDArray

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    KELVIN,
    STANDARD_PRESSURE,
    saturation_pressure,
)
from moistwall.library import find_film
from moistwall.section import Film, Section
from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import Side, build_grid
from moistwall.solver.kernel.layout import AIR_TEMPERATURE, AIR_VAPOR, VAPOR_B
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import March

Array = NDArray[np.float64]


def film_of(name: str) -> Film:
    """A film of the library as a part of a section."""
    film = find_film(name)
    return Film(name, film.rh, film.permeance, film.emittance)


class Stretch:
    """A section through whole days of the Miami year.

    Parameters
    ----------
    section : Section
        The section; it starts at the room's temperature and its layers' own humidities.
    day : int
        Day of the year from which it starts, counted from 0.
    days : int
        How many.
    """

    def __init__(self, section: Section, day: int, days: int) -> None:
        self.section, self.days = section, days
        self.grid = build_grid(section)
        rows = boundary_rows(section, miami())
        loads = loads_of([rows], [0], len(section.gaps))
        march = March(join_lanes([self.grid]), loads, start_temperature=section.room_temperature)
        self.record = march.hours(24 * day, 24 * days)
        outdoors = rows[24 * day + 1 : 24 * (day + days) + 1]
        self.outdoor_temperature = self.by_day(outdoors[:, AIR_TEMPERATURE])
        self.outdoor_vapor = self.by_day(outdoors[:, AIR_VAPOR])

    def by_day(self, hourly: Array) -> Array:
        """Hourly values as (days, 24)."""
        return np.asarray(hourly).reshape(self.days, 24)

    def _side(self, part: str, side: str) -> Side:
        return next(one for one in self.grid.sides if (one.part, one.side) == (part, side))

    def rh(self, part: str, side: str) -> Array:
        """Relative humidity at side 'a' or 'b' of the joint that this side of a layer touches, (days, 24)."""
        at = self._side(part, side)
        return self.by_day(self.record.side_humidity[:, at.special, int(side == "b"), 0])

    def vapor_into(self, part: str) -> Array:
        """Vapor that enters a layer at its outer side, (days, 24). [kg/(m2 h)]"""
        return self.by_day(self.record.flow[:, self._side(part, "b").special, VAPOR_B, 0])

    def water(self, part: str) -> Array:
        """Water in a layer, (days, 24). [kg/m2]"""
        names = [one.name for one in self.section.parts]
        inside = (self.grid.part_cell == names.index(part)) & ~self.grid.is_skin
        return self.by_day(self.record.content[:, inside, 0] @ self.grid.cells.width[inside, 0])

    def surface_temperature(self) -> Array:
        """Temperature of the outer face, (days, 24). [degC]"""
        return self.by_day(self.record.temperature[:, 0, 0])

    def gap_air(self) -> tuple[Array, Array]:
        """Mean temperature [degC] and vapor pressure [Pa] of the air in the one gap, (days, 24) each.

        Air that enters as outdoor air and relaxes towards both faces (docs/theory.md, section 5).
        """
        (gap,), (special,) = self.section.gaps, self.grid.gap_special
        j = int(self.grid.topology.special_face[special])
        faces = self.record.temperature[:, j - 1 : j + 1, 0]
        vapor = self.record.humidity[:, j - 1 : j + 1, 0] * saturation_pressure(faces)
        kelvin = self.outdoor_temperature + KELVIN
        volume = gap.depth * float(np.mean(gap.air_changes)) / 3600.0
        stream = STANDARD_PRESSURE / (GAS_CONSTANT_DRY_AIR * kelvin) * AIR_HEAT_CAPACITY * volume
        film = float(self.grid.faces.gap_vapor_film[special, 0])
        found = []
        for units, faces_mean, inlet in (
            (2.0 * gap.convection / stream, faces.mean(axis=1), self.outdoor_temperature),
            (
                2.0 * film * GAS_CONSTANT_VAPOR * kelvin / volume,
                vapor.mean(axis=1),
                self.outdoor_vapor,
            ),
        ):
            share = -np.expm1(-units) / units
            found.append((1.0 - share) * self.by_day(faces_mean) + share * inlet)
        return found[0], found[1]
