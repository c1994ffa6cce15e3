"""Run a section under a year of weather: spin up, report a year, check that it closes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall import __version__
from moistwall.air import HIGHEST_TEMPERATURE, LOWEST_TEMPERATURE
from moistwall.climate.record import Climate
from moistwall.errors import BalanceError, Fault, InputError
from moistwall.loads.driving_rain import NO_RAIN_KNOWN
from moistwall.result import Balance, GapAir, Part, Place, Result, SolverReport
from moistwall.section import Gap, Layer, Section
from moistwall.solver.boundary import boundary_rows, loads_of
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
from moistwall.solver.march import HOURS_OF_YEAR, Accuracy, March, join_lanes
from moistwall.solver.tables import SKIN_SORBED, SKIN_WIDTH

Array = NDArray[np.float64]

SETTLED = 0.01
"""Yearly change of stored water at which the year repeats itself. [kg/m2]"""

MOST_YEARS = 12
"""Years run at most, the reported one included."""

LEAST_MOVED = 1e-3
"""Share of what is stored that counts as moved at least when a balance is made relative: a section at
rest has nothing but the round-off of what it holds. [-]"""

MOISTURE_LIMIT, HEAT_LIMIT = 1e-9, 1e-6
"""Largest relative errors of the balances that are accepted. [-]"""

DRIFT_LIMIT, DRIFT_LIMIT_TEMPERATURE = 1e-3, 0.02
"""Largest storage drifts that are accepted. [w_f], [K]"""

LIQUID_RH = 0.999
"""Humidity above which water in a capillary material counts as liquid: a suction of 1.4 bar. [-]"""


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
    rows = boundary_rows(section, climate)
    march = March(
        join_lanes([grid]),
        loads_of([rows], [0], len(section.gaps)),
        accuracy,
        start_temperature=float(np.mean(section.room_temperature)),
    )
    changes: list[float] = []
    while True:
        year = len(changes) + 1
        done = 0

        def told(hours: int, year: int = year) -> None:
            nonlocal done
            done += hours
            if tell is not None:
                tell(Progress(year, done))

        water_start, heat_start = (stored[:, 0].copy() for stored in march.stored())
        record = march.hours(0, HOURS_OF_YEAR, told)
        refuse_temperatures(
            grid, record.temperature[..., 0], f"{section.name}, climate {climate.name}"
        )
        water_end, _ = (stored[:, 0].copy() for stored in march.stored())
        change = np.abs(
            np.bincount(grid.part_cell, water_end - water_start, len(section.parts))
        ).sum()
        changes.append(float(change))
        if change < SETTLED or year >= most_years:
            break
    balance = closed_balance(grid, record, rows, water_start, heat_start, tuple(changes))
    return _result(section, climate, grid, record, rows, balance, water_start, march.seconds)


def refuse_temperatures(grid: Grid, temperature: Array, file: str, begin: int = 0) -> None:
    """Refuse temperatures at which the pressure of saturated air is not known.

    Parameters
    ----------
    grid : Grid
        The cells.
    temperature : (n_hours, n_cells) ndarray
        What was solved. [degC]
    file : str
        What drove it, for the message.
    begin : int
        Hours before the first.

    Raises
    ------
    InputError
        With the first hour and layer that is out of range.
    """
    wrong = ~((temperature >= LOWEST_TEMPERATURE) & (temperature <= HIGHEST_TEMPERATURE))
    if np.any(wrong):
        hour, cell = np.argwhere(wrong)[0]
        raise InputError(
            Fault(
                file,
                f"hour {begin + hour + 1}, {grid.section.parts[grid.part_cell[cell]].name}",
                f"{temperature[hour, cell]:.4g} degC",
                f"the loads drive a temperature out of {LOWEST_TEMPERATURE:g} to "
                f"{HIGHEST_TEMPERATURE:g} degC, where the pressure of saturated air is known",
                "check sun, long-wave and films",
            )
        )


def check_limits(balance: Balance) -> None:
    """Refuse a balance or a storage drift that is over its limit.

    Parameters
    ----------
    balance : Balance
        What was found.

    Raises
    ------
    BalanceError
        With the value and the limit.
    """
    for what, value, limit in (
        ("the moisture balance", balance.moisture_relative, MOISTURE_LIMIT),
        ("the heat balance", balance.heat_relative, HEAT_LIMIT),
        ("the storage drift of moisture", balance.storage_drift, DRIFT_LIMIT),
        (
            "the storage drift of heat [K]",
            balance.storage_drift_temperature,
            DRIFT_LIMIT_TEMPERATURE,
        ),
    ):
        if not value <= limit:
            raise BalanceError(f"{what} is {value:.3g}, over its limit of {limit:g}")


def closed_balance(
    grid: Grid,
    record: Record,
    rows: Array,
    water_start: Array,
    heat_start: Array,
    changes: tuple[float, ...],
) -> Balance:
    """Balances of one lane, from recorded states and boundary flows alone.

    Parameters
    ----------
    grid : Grid
        Cells and faces.
    record : Record
        What the march left behind, one lane.
    rows : (n_rows, n_columns) ndarray
        The loads.
    water_start, heat_start : (n_cells,) ndarray
        Stored at the start. [kg/m2], [J/m2]
    changes : tuple of float
        Yearly changes of stored water. [kg/m2]

    Returns
    -------
    Balance
        Relative to all flows, all changes and `LEAST_MOVED` of what is stored.

    Raises
    ------
    BalanceError
        If it does not close within its limits.
    """
    width = grid.cells.width[:, 0]
    gaps = list(grid.gap_special)
    relative = []
    for stored, start, into, out, drained in (
        (record.content, water_start, MOISTURE_B, MOISTURE_A, record.drained),
        (record.enthalpy, heat_start, HEAT_B, HEAT_A, record.drained_heat),
    ):
        total = np.concatenate(([start.sum()], (stored[:, :, 0] * width).sum(axis=1)))
        storage = np.diff(total)
        flow = record.flow[..., 0]
        parts = [flow[:, 0, into], -flow[:, -1, out], -drained[:, :, 0].sum(axis=1)]
        parts += [flow[:, s, into] - flow[:, s, out] for s in gaps]
        size = sum(np.abs(part).sum() for part in parts) + np.abs(storage).sum()
        size += LEAST_MOVED * np.abs(start).sum()
        missing = np.abs(storage - np.sum(parts, axis=0)).sum()
        relative.append(float(missing / size) if size > 0 else 0.0)
    balance = Balance(
        relative[0], relative[1], float(record.drift[0, 0]), float(record.drift[1, 0]), changes
    )
    check_limits(balance)
    return balance


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
        before = np.concatenate(([liquid[0, k]], liquid[:-1, k]))
        gained = liquid[:, k] - before + record.drained[:, cell, 0] - np.maximum(arrived, 0.0)
        condensed[:, k] = np.maximum(gained, 0.0)
    return temperature, rh, liquid, condensed


def _result(
    section: Section,
    climate: Climate,
    grid: Grid,
    record: Record,
    rows: Array,
    balance: Balance,
    water_start: Array,
    seconds: float,
) -> Result:
    temperature, rh, liquid, condensed = _liquid(grid, record, rows)
    ends = rows[1:, : 2 * N_END_COLUMNS]
    counts = record.counts[:, 0]
    width = grid.cells.width[:, 0]
    parts = tuple(
        Part(part.name, "layer", part.material.kind, part.thickness)
        if isinstance(part, Layer)
        else Part(part.name, "gap", part.kind, part.depth)
        if isinstance(part, Gap)
        else Part(part.name, "facer" if part.facer else "film", "", 0.0)
        for part in section.parts
    )
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
    air = rows[:, 2 * N_END_COLUMNS :]
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
        parts=parts,
        places=_places(section, grid),
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
        outdoor_temperature=ends[:, AIR_TEMPERATURE].copy(),
        outdoor_vapor=ends[:, AIR_VAPOR].copy(),
        room_temperature=ends[:, N_END_COLUMNS + AIR_TEMPERATURE].copy(),
        room_vapor=ends[:, N_END_COLUMNS + AIR_VAPOR].copy(),
        temperature_cell=record.temperature[..., 0].copy(),
        rh_cell=record.humidity[..., 0].copy(),
        content_cell=record.content[..., 0].copy(),
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
        drained_cell=record.drained[..., 0].copy(),
        water_cell=np.stack((water_start, record.content[-1, :, 0] * width)),
        air_changes_gap=0.5 * (air[1:] + air[:-1]),
    )
