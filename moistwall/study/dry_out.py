"""How long a wet layer takes to dry, through one stage or several: flooded, opened up, dehumidified, closed.

A stage is a section that stays as it is for some days, or until a layer is dry enough. Layers that the
next stage still has keep their state, cell by cell; layers that are taken out take their water along,
and layers that are put in start as the section says.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.closing import closed_balance, refuse_temperatures
from moistwall.errors import Fault, InputError
from moistwall.section import Film, Gap, Layer, Section
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.march import March
from moistwall.solver.zones import march_of

Array = NDArray[np.float64]

MOST_DAYS = 730
"""Days of a stage at most that waits for a layer to dry."""


@dataclass(frozen=True)
class Target:
    """When a layer is dry enough.

    Parameters
    ----------
    layer : str
        Name of the layer.
    content : float
        Mean water content at which it is. [kg/m3]
    """

    layer: str
    content: float


@dataclass(frozen=True)
class DryStage:
    """One stage.

    Parameters
    ----------
    name : str
        What the report calls it.
    section : Section
        What stands there.
    days : int or None
        How long it lasts; None until the target is reached.
    target : Target or None
        What it waits for; None if it lasts a number of days.
    """

    name: str
    section: Section
    days: int | None = None
    target: Target | None = None


@dataclass(frozen=True)
class StageOutcome:
    """What one stage did.

    Parameters
    ----------
    name : str
        Its name.
    first_day : int
        Days since the start of the first stage when it began.
    days : int
        How long it lasted.
    reached : bool
        False if it waited for a layer that was not dry within `MOST_DAYS`.
    layers : tuple of str
        Layers that stood there.
    content_day : (days + 1, n_layers) ndarray
        Mean water content of each at its start and at the end of each day. [kg/m3]
    drained : float
        Water that ran off in it. [kg/m2]
    moisture_relative, heat_relative : float
        How well it closes. [-]
    """

    name: str
    first_day: int
    days: int
    reached: bool
    layers: tuple[str, ...]
    content_day: Array
    drained: float
    moisture_relative: float
    heat_relative: float


def without(section: Section, names: Sequence[str]) -> Section:
    """Take parts out of a section.

    Parameters
    ----------
    section : Section
        What stood there.
    names : sequence of str
        Layers, films and gaps to take out.

    Returns
    -------
    Section
        What is left; gaps that have lost a neighbor are no gaps any more, and go as well.

    Raises
    ------
    InputError
        If a name is none of the section's, or nothing would be left.
    AssemblyError
        If what is left cannot stand, such as a water-control layer that was taken out.
    """
    known = [part.name for part in section.parts]
    faults = [
        Fault("", "remove", name, "is no part of the section", f"its parts: {', '.join(known)}")
        for name in names
        if name not in known
    ]
    if faults:
        raise InputError(faults)
    parts = [part for part in section.parts if part.name not in names]
    while parts and _ends_open(parts):
        solid = [part for part in parts if not isinstance(part, Film)]
        loose = solid[0] if isinstance(solid[0], Gap) else solid[-1]
        parts.remove(loose)
    if not any(isinstance(part, Layer) for part in parts):
        raise InputError(Fault("", "remove", ", ".join(names), "would leave no layer"))
    exposure = section.exposure
    stands = {part.name for part in parts}
    leakage = exposure.leakage
    if leakage is not None and leakage.spot is not None and leakage.spot.part not in stands:
        leakage = replace(leakage, spot=None)
    exposure = replace(
        exposure,
        rain_leaks=tuple(one for one in exposure.rain_leaks if one.spot.part in stands),
        pours=tuple(one for one in exposure.pours if one.spot.part in stands),
        leakage=leakage,
    )
    control = section.water_control if section.water_control in stands else ""
    return replace(
        section,
        parts=tuple(parts),
        exposure=exposure,
        water_control=control,
        seams=section.seams if control else None,
    )


def _ends_open(parts: Sequence[Layer | Film | Gap]) -> bool:
    solid = [part for part in parts if not isinstance(part, Film)]
    return bool(solid) and (isinstance(solid[0], Gap) or isinstance(solid[-1], Gap))


def dry_out(
    stages: Sequence[DryStage],
    climate: Climate,
    first_day: int = 0,
    *,
    tell: Callable[[str, int], None] | None = None,
) -> list[StageOutcome]:
    """March through the stages of a drying, each from where the one before has left off.

    Parameters
    ----------
    stages : sequence of DryStage
        In the order of time.
    climate : Climate
        The year, repeated as long as needed.
    first_day : int
        Day of the year on which the first stage starts, from 0.
    tell : callable or None
        Called with the name of the stage and its day.

    Returns
    -------
    list of StageOutcome
        Ends early after a stage that never reached its target.

    Raises
    ------
    ConvergenceError
        If a step could not be solved at the shortest length.
    BalanceError
        If a balance is over its limit.
    InputError
        If a target names no layer of its section, or a stage neither lasts nor waits.
    """
    _check(stages)
    found: list[StageOutcome] = []
    before: tuple[Grid, March] | None = None
    day = first_day
    for stage in stages:
        grid = build_grid(stage.section)
        march, _ = march_of(grid, climate)
        if before is not None:
            hand_over(*before, grid, march)
        outcome = _run_stage(stage, grid, march, climate, day, day - first_day, tell)
        found.append(outcome)
        day += outcome.days
        before = (grid, march)
        if not outcome.reached:
            break
    return found


def _check(stages: Sequence[DryStage]) -> None:
    faults = []
    for stage in stages:
        if stage.days is None and stage.target is None:
            faults.append(
                Fault("", stage.name, "", "neither lasts nor waits", "give days or a target")
            )
        names = [layer.name for layer in stage.section.layers]
        if stage.target is not None and stage.target.layer not in names:
            faults.append(
                Fault(
                    "",
                    stage.name,
                    stage.target.layer,
                    "is no layer of this stage",
                    f"its layers: {', '.join(names)}",
                )
            )
    if faults:
        raise InputError(faults)


def hand_over(old_grid: Grid, old: March, new_grid: Grid, new: March) -> None:
    """Give the layers of a new section the state that they had in the old one, cell by cell.

    Parameters
    ----------
    old_grid, new_grid : Grid
        Grids of the two sections; a layer that both have must have the same cells.
    old, new : March
        The march that has ended, and the one to begin.
    """
    names_old = [part.name for part in old_grid.section.parts]
    for k, part in enumerate(new_grid.section.parts):
        if not isinstance(part, Layer) or part.name not in names_old:
            continue
        here = np.flatnonzero((new_grid.part_cell == k) & ~new_grid.is_skin)
        there = np.flatnonzero(
            (old_grid.part_cell == names_old.index(part.name)) & ~old_grid.is_skin
        )
        if here.size != there.size:
            raise InputError(
                Fault("", part.name, "", "changes its thickness or material between two stages")
            )
        for name in ("temperature", "coordinate", "content", "enthalpy"):
            getattr(new.state, name)[here] = getattr(old.state, name)[there]
    # the sides of the joints follow their cells
    for s, j in enumerate(new_grid.topology.special_face):
        for side, cell in enumerate((j - 1, j)):
            if 0 <= cell < new_grid.n_cells:
                new.state.side[s, side] = _unknown_beside(new_grid, new, int(cell))


def _unknown_beside(grid: Grid, march: March, cell: int) -> Array:
    material = int(grid.cells.material[cell, 0])
    coordinate: Array = march.state.coordinate[cell]
    if grid.tables.capillary[material] == 1:
        return coordinate
    humidity: Array = coordinate - march.state.content[cell] / grid.cells.full[cell]
    return np.minimum(humidity, 1.0)


def _run_stage(
    stage: DryStage,
    grid: Grid,
    march: March,
    climate: Climate,
    day: int,
    since: int,
    tell: Callable[[str, int], None] | None,
) -> StageOutcome:
    """March day by day until the stage ends."""
    layers = [layer for layer in stage.section.layers]
    names = [part.name for part in stage.section.parts]
    means = np.zeros((len(layers), grid.n_cells))
    for k, layer in enumerate(layers):
        own = (grid.part_cell == names.index(layer.name)) & ~grid.is_skin
        means[k, own] = grid.cells.width[own, 0] / layer.thickness
    content = [means @ march.state.content[:, 0]]
    watched = None if stage.target is None else [x.name for x in layers].index(stage.target.layer)
    drained, moisture, heat = 0.0, 0.0, 0.0
    most = MOST_DAYS if stage.days is None else stage.days
    reached = stage.target is None
    days = 0
    while days < most:
        if stage.target is not None and content[-1][watched] <= stage.target.content:
            reached = True
            break
        stored = [one[:, 0].copy() for one in march.stored()]
        record = march.hours(((day + days) * 24) % HOURS, 24)
        refuse_temperatures(grid, record.temperature[..., 0], f"{stage.name}, {climate.name}")
        balance = closed_balance(grid, record, stored[0], stored[1], ())
        moisture = max(moisture, balance.moisture_relative)
        heat = max(heat, balance.heat_relative)
        drained += float(record.drained.sum())
        content.append(means @ march.state.content[:, 0])
        days += 1
        if tell is not None:
            tell(stage.name, days)
    if stage.target is not None and content[-1][watched] <= stage.target.content:
        reached = True
    return StageOutcome(
        stage.name,
        since,
        days,
        reached,
        tuple(layer.name for layer in layers),
        np.array(content),
        drained,
        moisture,
        heat,
    )
