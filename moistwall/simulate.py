"""Run a section under a year of weather: spin up, report a year, check that it closes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from moistwall import __version__
from moistwall.climate.record import Climate
from moistwall.closing import closed_balance, refuse_temperatures
from moistwall.exposure import RainLeak
from moistwall.loads.driving_rain import NO_RAIN_KNOWN
from moistwall.material import MOLD_CLASSES
from moistwall.result import Arrival, Balance, GapAir, Place, Result, SolverReport, parts_of
from moistwall.section import Film, Gap, Layer, Section
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.kernel.layout import (
    ABOVE_ONE,
    AIR_TEMPERATURE,
    AIR_VAPOR,
    FORCED,
    HEAT_A,
    HEAT_B,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    PASSES,
    RAIN,
    REJECTED,
    STEPS,
    VAPOR_A,
    VAPOR_B,
    Record,
)
from moistwall.solver.kernel.zone_layout import N_STATES
from moistwall.solver.march import HOURS_OF_YEAR, Accuracy
from moistwall.solver.places import Side
from moistwall.solver.tables import SKIN_SORBED, SKIN_WIDTH
from moistwall.solver.zone_series import object_temperatures
from moistwall.solver.zones import ZoneMarch, march_of
from moistwall.spin_up import SpinUp
from moistwall.zone_closing import closed_zone

Array = NDArray[np.float64]

SETTLED = 0.01
"""Yearly change of stored water at which the year repeats itself. [kg/m2]"""

MOST_YEARS = 12
"""Years run at most, the reported one included."""

LIQUID_RH = 0.999
"""Humidity above which water in a capillary material counts as liquid: a suction of 1.4 bar. [-]"""

SORPTION_RH = np.concatenate(
    (np.linspace(1e-4, 0.9, 181), np.linspace(0.9, 0.99, 91)[1:], np.linspace(0.99, 1.0, 51)[1:])
)
"""Humidities at which a result keeps what its layers hold. [-]"""


@dataclass(frozen=True)
class Progress:
    """How far a run is.

    Parameters
    ----------
    year : int
        Year being run, from 1; the last one needed is not known beforehand.
    hours : int
        Hours of it that are done.
    """

    year: int
    hours: int


def simulate(
    section: Section,
    climate: Climate,
    *,
    refine: int = 1,
    accuracy: Accuracy | None = None,
    tell: Callable[[Progress], None] | None = None,
    most_years: int = MOST_YEARS,
) -> Result:
    """Repeat the year until stored water returns to where it was, and report the last one.

    After two years of drying or wetting the state is moved on to where they lead (`spin_up`).

    Parameters
    ----------
    section : Section
        The section.
    climate : Climate
        The year.
    refine : int
        Each cell of the default grid is split into this many.
    accuracy : Accuracy or None
        How closely to solve in time.
    tell : callable or None
        Called as the run goes on.
    most_years : int
        Years to run at most.

    Returns
    -------
    Result

    Raises
    ------
    ConvergenceError
        If a step could not be solved at the shortest length.
    BalanceError
        If a balance or the storage drift is over its limit.
    InputError
        If the loads drive a temperature out of the range of the saturation pressure.
    """
    grid = build_grid(section, refine)
    march, rows = march_of(grid, climate, accuracy)
    spin_up = SpinUp(grid)
    while True:
        year = len(spin_up.changes) + 1
        done = 0

        def told(hours: int, year: int = year) -> None:
            nonlocal done
            done += hours
            if tell is not None:
                tell(Progress(year, done))

        water_start, heat_start = (stored[:, 0].copy() for stored in march.stored())
        if isinstance(march, ZoneMarch):
            march.zone_record()  # what the year before left
            zone_start = march.zone_contents()
        record = march.hours(0, HOURS_OF_YEAR, told)
        if year == 1:
            first_year = _water_by_day(grid, record, water_start)
        refuse_temperatures(
            grid, record.temperature[..., 0], f"{section.name}, climate {climate.name}"
        )
        change = spin_up.year_ended(water_start, march.stored()[0][:, 0])
        if change < SETTLED or year >= most_years:
            break
        del record  # before the next one is made
        if year < most_years - 1:
            spin_up.move_on(march)
    balance = closed_balance(grid, record, water_start, heat_start, tuple(spin_up.changes))
    nothing = np.empty(0)  # what only the balance needs makes room for the result
    record = record._replace(enthalpy=nothing, drained_heat=nothing)
    result = _result(
        section, climate, grid, record, rows, balance, water_start, first_year, march.seconds
    )
    if section.zone is None or not isinstance(march, ZoneMarch):
        return result
    zone_record = march.zone_record()
    return replace(
        result,
        zone=closed_zone(march, record, zone_record, zone_start),
        zone_state=zone_record[:, :N_STATES].copy(),
        zone_flow=zone_record[:, N_STATES:].copy(),
        zone_object=object_temperatures(section.zone, climate),
    )


def _water_by_day(grid: Grid, record: Record, water_start: Array) -> Array:
    """Water of each part at the start and at the end of each day, (n_days + 1, n_parts). [kg/m2]"""
    width = grid.cells.width[:, 0]
    states = np.vstack((water_start, record.content[23::24, :, 0] * width))
    n_parts = len(grid.section.parts)
    by_part = np.zeros((states.shape[0], n_parts))
    np.add.at(by_part.T, grid.part_cell, states.T)
    return by_part


def _mold_class(part: Layer | Film | Gap) -> str:
    if isinstance(part, Layer):
        return part.material.mold_class
    return part.mold_class if isinstance(part, Film) else ""


def _likeliest_to_mold(section: Section, side: Side) -> tuple[str, str]:
    """Of what meets at a side, the part that mold likes best, and its class."""
    across = side.name.split(" | ")
    touching = across[:2] if side.side == "a" else across[-2:]
    if side.skin >= 0:
        # air meets the outermost film, and the layer itself only where there is none
        touching = across[1:2] if side.side == "a" else across[-2:-1]
        if len(across) == 2:
            touching = [side.part]
    classes = {part.name: _mold_class(part) for part in section.parts if part.name in touching}
    for mold_class in MOLD_CLASSES:
        for name in touching:
            if classes.get(name) == mold_class:
                return name, mold_class
    return "", ""


def _sorption(section: Section) -> Array:
    """What each layer holds at the humidities of `SORPTION_RH`. [kg/m3]"""
    columns = [
        part.material.storage.content(np.log(SORPTION_RH))
        if isinstance(part, Layer)
        else np.full(SORPTION_RH.size, np.nan)
        for part in section.parts
    ]
    return np.array(columns).T.copy()


def _places(section: Section, grid: Grid) -> tuple[Place, ...]:
    names = [part.name for part in section.parts]
    control = names.index(section.water_control) if section.water_control else -1
    places = []
    for side in grid.sides:
        # the outer side of the joint at the control part's outer face is still outboard of it
        across = side.name.split(" | ")
        inner = across[1:] if side.side == "a" else across[-1:]
        outboard = any(name in names and names.index(name) <= control for name in inner) or (
            side.side == "b" and side.part in names and names.index(side.part) < control
        )
        places.append(
            Place(
                side.name,
                side.side,
                side.part,
                side.skin >= 0,
                outboard,
                side.position,
                side.special,
                *_likeliest_to_mold(section, side),
            )
        )
    return tuple(places)


def _liquid(grid: Grid, record: Record, rows: Array) -> tuple[Array, Array, Array, Array]:
    """Temperature, humidity, liquid and what vapor added to it, at every side."""
    n_hours = record.temperature.shape[0]
    shape = (n_hours, len(grid.sides))
    temperature, rh, liquid, condensed = (np.empty(shape) for _ in range(4))
    for k, side in enumerate(grid.sides):
        cell = side.skin if side.skin >= 0 else side.cell
        at = 0 if side.side == "a" else 1
        if side.skin >= 0:
            temperature[:, k] = record.temperature[:, cell, 0]
            rh[:, k] = np.minimum(record.humidity[:, cell, 0], 1.0)
            dry, width = SKIN_SORBED / SKIN_WIDTH, SKIN_WIDTH
        else:
            temperature[:, k] = record.side_temperature[:, side.special, 0]
            rh[:, k] = record.side_humidity[:, side.special, at, 0]
            layer = grid.section.parts[grid.part_cell[cell]]
            assert isinstance(layer, Layer)
            storage = layer.material.storage
            dry = storage.free
            if layer.material.capillary:
                dry = float(storage.content(np.log(np.array([LIQUID_RH])))[0])
            width = float(grid.cells.width[cell, 0])
        liquid[:, k] = np.maximum(record.content[:, cell, 0] - dry, 0.0) * width
        flow = record.flow[:, side.special, :, 0]
        arrived = (
            flow[:, VAPOR_A] - flow[:, MOISTURE_A]
            if at == 0
            else flow[:, MOISTURE_B] - flow[:, VAPOR_B]
        )
        if side.skin >= 0:
            # water that the layer behind gives to the skin as liquid, and rain on an end
            joint = (MOISTURE_B, VAPOR_B) if side.skin < side.cell else (MOISTURE_A, VAPOR_A)
            sign = -1.0 if side.skin < side.cell else 1.0
            arrived = sign * (flow[:, joint[0]] - flow[:, joint[1]])
            if side.skin == 0:
                arrived = arrived + 3600.0 * rows[1 : n_hours + 1, RAIN]
            for column in _water_columns(grid, side.skin):
                arrived = arrived + 3600.0 * rows[1 : n_hours + 1, column]
        before = np.concatenate(([liquid[0, k]], liquid[:-1, k]))
        gained = liquid[:, k] - before + record.drained[:, cell, 0] - np.maximum(arrived, 0.0)
        condensed[:, k] = np.maximum(gained, 0.0)
    return temperature, rh, liquid, condensed


def _cell_of(grid: Grid, special: int, inner: int) -> int:
    return int(grid.topology.special_face[special]) - (1 - int(inner))


def _water_columns(grid: Grid, cell: int) -> list[int]:
    """Columns of the loads with the water that leaks to a cell."""
    topology = grid.topology
    places = zip(topology.water_special, topology.water_inner, topology.water_column, strict=True)
    return [int(column) for s, inner, column in places if _cell_of(grid, s, inner) == cell]


def _arrivals(section: Section, grid: Grid) -> tuple[Arrival, ...]:
    topology, exposure = grid.topology, section.exposure
    found = [
        Arrival(
            water.name,
            "rain leak" if isinstance(water, RainLeak) else "pour",
            water.spot.part,
            water.spot.face,
            int(topology.water_special[k]),
            _cell_of(grid, topology.water_special[k], topology.water_inner[k]),
        )
        for k, water in enumerate(exposure.waters)
    ]
    for k, cut in enumerate(exposure.short_cuts):
        assert cut.spot is not None
        s = int(topology.cut_special[k])
        cell = _cell_of(grid, s, topology.cut_inner[k])
        found.append(Arrival(cut.stage, "air", cut.spot.part, cut.spot.face, s, cell))
    return tuple(found)


def _air_changes(section: Section, grid: Grid, record: Record, rows: Array) -> Array:
    """Air changes of the gaps, mean of each hour: the two ends of the hour stand for all of it."""
    columns = []
    for gap, s in zip(section.gaps, grid.gap_special, strict=True):
        column = int(grid.topology.gap_column[s])
        if gap.openings is None:
            columns.append(0.5 * (rows[1:, column] + rows[:-1, column]))
        else:
            ends = record.gap_air[:, s, 0]
            columns.append(0.5 * (ends + np.roll(ends, 1)))
    return np.array(columns).reshape(len(columns), rows.shape[0] - 1).T.copy()


def _air_flow(section: Section, rows: Array) -> Array:
    """Air through the section in each hour, from outside to inside. [kg/m2]"""
    if section.exposure.leakage is None:
        return np.zeros(rows.shape[0] - 1)
    mean: Array = 1800.0 * (rows[1:, -1] + rows[:-1, -1])
    return mean


def _result(
    section: Section,
    climate: Climate,
    grid: Grid,
    record: Record,
    rows: Array,
    balance: Balance,
    water_start: Array,
    first_year: Array,
    seconds: float,
) -> Result:
    temperature, rh, liquid, condensed = _liquid(grid, record, rows)
    ends = rows[1:, : 2 * N_END_COLUMNS]
    counts = record.counts[:, 0]
    width = grid.cells.width[:, 0]
    gaps = tuple(
        GapAir(
            gap.name,
            gap.kind,
            gap.depth,
            float(grid.faces.gap_vapor_film[s, 0]),
            gap.convection,
            s,
            int(grid.topology.special_face[s]),
        )
        for gap, s in zip(section.gaps, grid.gap_special, strict=True)
    )
    flow = record.flow[..., 0]
    return Result(
        section_name=section.name,
        climate_name=climate.name,
        climate_place=climate.place,
        climate_source=climate.source,
        version=__version__,
        notes=(
            climate.notes
            if climate.rain is not None
            else (*climate.notes, f"{NO_RAIN_KNOWN}: the year is run without any")
        ),
        defaults=section.defaults,
        from_memory=section.from_memory,
        water_control=section.water_control,
        seams=section.seams or "",
        tilt=section.tilt,
        azimuth=section.azimuth,
        parts=parts_of(section),
        places=_places(section, grid),
        arrivals=_arrivals(section, grid),
        gaps=gaps,
        balance=balance,
        solver=SolverReport(
            seconds=seconds,
            wall_years=len(balance.yearly_change),
            steps=int(counts[STEPS]),
            rejected=int(counts[REJECTED]),
            passes=int(counts[PASSES]),
            forced=int(counts[FORCED]),
            above_one=int(counts[ABOVE_ONE]),
            cells=grid.n_cells,
        ),
        x_cell=grid.x_cell,
        width_cell=np.where(grid.is_skin, 0.0, width),
        part_cell=grid.part_cell,
        skin_cell=grid.topology.is_skin,
        sorption_rh=SORPTION_RH.copy(),
        sorption_part=_sorption(section),
        outdoor_temperature=ends[:, AIR_TEMPERATURE].copy(),
        outdoor_vapor=ends[:, AIR_VAPOR].copy(),
        room_temperature=ends[:, N_END_COLUMNS + AIR_TEMPERATURE].copy(),
        room_vapor=ends[:, N_END_COLUMNS + AIR_VAPOR].copy(),
        temperature_cell=np.ascontiguousarray(record.temperature[..., 0]),
        rh_cell=np.ascontiguousarray(record.humidity[..., 0]),
        content_cell=np.ascontiguousarray(record.content[..., 0]),
        temperature_place=temperature,
        rh_place=rh,
        liquid_place=liquid,
        condensed_place=condensed,
        vapor_a=flow[:, :, VAPOR_A].copy(),
        vapor_b=flow[:, :, VAPOR_B].copy(),
        moisture_a=flow[:, :, MOISTURE_A].copy(),
        moisture_b=flow[:, :, MOISTURE_B].copy(),
        heat_a=flow[:, :, HEAT_A].copy(),
        heat_b=flow[:, :, HEAT_B].copy(),
        drained_cell=np.ascontiguousarray(record.drained[..., 0]),
        water_cell=np.stack((water_start, record.content[-1, :, 0] * width)),
        air_changes_gap=_air_changes(section, grid, record, rows),
        rain_outer=3600.0 * rows[1:, RAIN],
        water_arrival=3600.0 * rows[1:, grid.topology.water_column],
        air_flow=_air_flow(section, rows),
        first_year_part=first_year,
    )
