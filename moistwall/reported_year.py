"""The record of a year as a result: what every side, layer and gap went through."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall import __version__
from moistwall.climate.record import Climate
from moistwall.exposure import RainLeak
from moistwall.loads.driving_rain import NO_RAIN_KNOWN
from moistwall.material import MOLD_CLASSES
from moistwall.result import Arrival, Balance, GapAir, Place, Result, SolverReport, parts_of
from moistwall.section import Film, Gap, Layer, Section
from moistwall.solver.grid import Grid
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
from moistwall.solver.places import Side
from moistwall.solver.tables import SKIN_SORBED, SKIN_WIDTH

Array = NDArray[np.float64]

LIQUID_RH = 0.999
"""Humidity above which water in a capillary material counts as liquid: a suction of 1.4 bar. [-]"""

SORPTION_RH = np.concatenate(
    (np.linspace(1e-4, 0.9, 181), np.linspace(0.9, 0.99, 91)[1:], np.linspace(0.99, 1.0, 51)[1:])
)
"""Humidities at which a result keeps what its layers hold. [-]"""


def reported_year(
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
    """What is known of a year that has been run.

    Parameters
    ----------
    section : Section
        What was run.
    climate : Climate
        Under which year.
    grid : Grid
        Its cells and faces.
    record : Record
        Of every hour.
    rows : (8761, n_columns) ndarray
        Prescribed series, as `moistwall.solver.boundary.boundary_rows`.
    balance : Balance
        How well it closes.
    water_start : (n_cells,) ndarray
        Water when the year began. [kg/m2]
    first_year : (n_days + 1, n_parts) ndarray
        Water of each part through the first year that was run. [kg/m2]
    seconds : float
        Time that the solver took. [s]

    Returns
    -------
    Result
    """
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
