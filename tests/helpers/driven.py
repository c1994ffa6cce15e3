"""Sections marched under loads that a test writes by hand, instead of a year of weather."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.material import Material, Storage
from moistwall.section import Face, Film, Gap, Layer, Section
from moistwall.solver.boundary import loads_of
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.kernel.layout import (
    HEAT_A,
    HEAT_B,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    Record,
)
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import Accuracy, March

Array = NDArray[np.float64]

PERM = 57.45e-12
"""US perm at 23 degC, ASTM E96. [kg/(m2 s Pa)]"""

BARE = Face(emittance=0.0, absorptance=0.0)
"""A face that neither radiates nor takes up sunshine."""

HARD_HEAT, HARD_VAPOR = 1e6, 1e-3
"""Films so large that the surface has the state of the air. [W/(m2 K)], [kg/(m2 s Pa)]"""


@dataclass(frozen=True)
class Air:
    """What stands at an end: one value for all instants, or one for each hour mark.

    Parameters
    ----------
    temperature : float or (n,) ndarray
        [degC]
    vapor : float or (n,) ndarray
        Vapor pressure. [Pa]
    heat_film, vapor_film : float
        Transfer coefficients. [W/(m2 K)], [kg/(m2 s Pa)]
    longwave : float
        Long-wave radiation that arrives. [W/m2]
    rain : float or (n,) ndarray
        Rain taken by the face; a value holds for the hour before its mark. [kg/(m2 s)]
    """

    temperature: float | Array
    vapor: float | Array
    heat_film: float = HARD_HEAT
    vapor_film: float = HARD_VAPOR
    longwave: float = 0.0
    rain: float | Array = 0.0

    def columns(self, n_rows: int) -> Array:
        """The seven columns of the loads that belong to this end."""
        columns = np.empty((n_rows, N_END_COLUMNS))
        series = (self.temperature, self.vapor, self.heat_film, self.vapor_film)
        for k, value in enumerate((*series, 0.0, self.longwave, self.rain)):
            columns[:, k] = value
        return columns


def humid(temperature: float, rh: float, **films: float) -> Air:
    """Air of a temperature [degC] and a relative humidity [-]."""
    return Air(temperature, rh * float(saturation_pressure(temperature)), **films)


def sealed(temperature: float, heat_film: float = 0.0) -> Air:
    """Air behind an end through which no vapor passes, and by default no heat."""
    return Air(temperature, 0.0, heat_film=heat_film, vapor_film=0.0)


def plain_material(
    name: str,
    storage: Storage,
    *,
    conductivity: float = 0.1,
    permeability: float = 2e-11,
    density: float = 500.0,
    heat_capacity: float = 1000.0,
    **others: Any,
) -> Material:
    """A material whose conductivity and permeability do not change."""
    return Material(
        name=name,
        kind="made for a test",
        density=density,
        heat_capacity=heat_capacity,
        conductivity_content=np.array([0.0]),
        conductivity=np.array([conductivity]),
        vapor_rh=np.array([0.5]),
        vapor_permeability=np.array([permeability]),
        storage=storage,
        **others,
    )


def coat(name: str, permeance: float, **others: Any) -> Film:
    """A film of one permeance. [kg/(m2 s Pa)]"""
    return Film(name, np.array([0.5]), np.array([permeance]), **others)


def bare_section(name: str, parts: Sequence[Layer | Film | Gap], **others: Any) -> Section:
    """A section whose faces neither radiate nor take up sunshine."""
    return Section(name, tuple(parts), outer=BARE, inner=BARE, **others)


@dataclass
class Driven:
    """A section under hand-written loads, and what has been recorded.

    Parameters
    ----------
    section : Section
        The section.
    outer, inner : Air
        What stands at its ends.
    hours : int
        Hours of loads to prepare.
    air_changes : sequence of float
        Air changes of each gap [1/h]; of one with openings, the pressure of the wind [Pa].
    arrivals : sequence of float or (n,) ndarray
        Water that leaks to each place of the section's exposure, a value for the hour before its mark,
        then the air of its short cut. [kg/(m2 s)]
    refine, widths, accuracy, start_temperature, start_rh
        As for `build_grid` and `March`; ``start_rh`` is (n_cells,).
    """

    section: Section
    outer: Air
    inner: Air
    hours: int
    air_changes: Sequence[float] = ()
    arrivals: Sequence[float | Array] = ()
    refine: int = 1
    widths: Mapping[str, Array] | None = None
    accuracy: Accuracy | None = None
    start_temperature: float = 20.0
    start_rh: Array | None = None
    grid: Grid = field(init=False)
    march: March = field(init=False)
    rows: Array = field(init=False)

    def __post_init__(self) -> None:
        n_rows = self.hours + 1
        gaps = np.broadcast_to(np.array(self.air_changes, float), (n_rows, len(self.section.gaps)))
        arrivals = np.empty((n_rows, len(self.arrivals)))
        for k, value in enumerate(self.arrivals):
            arrivals[:, k] = value
        ends = (self.outer.columns(n_rows), self.inner.columns(n_rows))
        self.rows = np.hstack((*ends, gaps, arrivals))
        self.grid = build_grid(self.section, self.refine, self.widths)
        self.march = March(
            join_lanes([self.grid]),
            loads_of([self.rows], [0], len(self.section.gaps), len(self.section.exposure.waters)),
            self.accuracy,
            self.start_temperature,
            None if self.start_rh is None else self.start_rh[:, None],
        )

    def run(self, first: int = 0, count: int | None = None, **others: Any) -> Record:
        """March through ``count`` hours of the loads, by default through all of them."""
        return self.march.hours(first, self.hours if count is None else count, **others)

    @property
    def layer_cells(self) -> NDArray[np.bool_]:
        """Which cells are not skins."""
        return ~self.grid.is_skin

    def water(self, record: Record, part: str | None = None) -> Array:
        """Water in one layer, or in all of the section, at each hour's end. [kg/m2]"""
        width = self.grid.cells.width[:, 0]
        if part is not None:
            names = [each.name for each in self.section.parts]
            inside = (self.grid.part_cell == names.index(part)) & self.layer_cells
            width = width * inside
        return np.asarray(record.content[:, :, 0] @ width)


def net_flow(record: Record, grid: Grid, what: str) -> Array:
    """What entered at the ends and from the gaps in each hour, less what ran off.

    Parameters
    ----------
    record : Record
        One lane.
    grid : Grid
        Its grid.
    what : {'moisture', 'heat'}
        [kg/m2] or [J/m2].

    Returns
    -------
    (n_hours,) ndarray
    """
    into, out, drained = (
        (MOISTURE_B, MOISTURE_A, record.drained)
        if what == "moisture"
        else (HEAT_B, HEAT_A, record.drained_heat)
    )
    flow = record.flow[..., 0]
    net = flow[:, 0, into] - flow[:, -1, out] - drained[:, :, 0].sum(axis=1)
    for s in grid.open_special:
        net = net + flow[:, s, into] - flow[:, s, out]
    return np.asarray(net)
