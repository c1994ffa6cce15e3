"""Run a section under a year of weather: spin up, report a year, check that it closes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.record import Climate
from moistwall.closing import closed_balance, refuse_temperatures
from moistwall.errors import InputError
from moistwall.reported_year import reported_year
from moistwall.result import Result
from moistwall.section import Section
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.kernel.layout import Record
from moistwall.solver.kernel.zone_layout import N_STATES
from moistwall.solver.march import HOURS_OF_YEAR, Accuracy
from moistwall.solver.zone_series import object_temperatures
from moistwall.solver.zones import ZoneMarch, march_of
from moistwall.spin_up import SpinUp
from moistwall.zone_closing import closed_zone

Array = NDArray[np.float64]

SETTLED = 0.01
"""Yearly change of stored water at which the year repeats itself. [kg/m2]"""

MOST_YEARS = 12
"""Years run at most, the reported one included."""


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
    try:
        march, rows = march_of(grid, climate, accuracy)
    except InputError as error:  # loads know of no file
        where = f"section '{section.name}'"
        faults = [replace(one, file=one.file or where) for one in error.faults]
        raise type(error)(faults) from None
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
    result = reported_year(
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
