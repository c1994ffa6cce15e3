"""All that one assembly file asks for: the clear path, the one through the studs, each blower-door test."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.check import Check, check_paths
from moistwall.assess.drying import month_sums
from moistwall.climate.record import Climate
from moistwall.result import Result
from moistwall.section import Section
from moistwall.simulate import Progress, simulate
from moistwall.study.beside import beside_zone, ridge_strip

Array = NDArray[np.float64]


@dataclass(frozen=True)
class WholeRun:
    """What has been run for one assembly.

    Parameters
    ----------
    clear : Result
        The path between the studs, after the last test.
    stud : Result or None
        The path through the studs; None without any.
    stud_share : float
        Share of the area that is framing. [-]
    stages : tuple of (str, Result)
        Label and clear path of each blower-door test; empty unless there are several.
    rooms : tuple of (str, Result)
        Other rooms in words, and the clear path beside them; empty unless they were asked for.
    check : Check or None
        What can be told of the same paths and year without simulating.
    ridge : Result or None
        The strip along the ridge of an attic; None unless its air is told apart.
    """

    clear: Result
    stud: Result | None = None
    stud_share: float = 0.0
    stages: tuple[tuple[str, Result], ...] = ()
    rooms: tuple[tuple[str, Result], ...] = ()
    check: Check | None = None
    ridge: Result | None = None


def run_whole(
    paths: Sequence[Section],
    stages: Sequence[tuple[str, Section]],
    climate: Climate,
    tell: Callable[[Progress], None] | None = None,
    rooms: Sequence[tuple[str, Section]] = (),
) -> WholeRun:
    """Run every path and every test.

    Parameters
    ----------
    paths : sequence of Section
        The clear path after the last test; then the one through the studs, if there are any.
    stages : sequence of (str, Section)
        Label and clear path of each test, the last one being that of ``paths``.
    climate : Climate
        The year.
    tell : callable or None
        Called as each run goes on.
    rooms : sequence of (str, Section)
        Other rooms in words, and the clear path beside them.

    Returns
    -------
    WholeRun

    Raises
    ------
    ConvergenceError, BalanceError, InputError
        As `moistwall.simulate.simulate`.
    """
    clear = simulate(paths[0], climate, tell=tell)
    stud, share = None, 0.0
    if len(paths) > 1:
        framing = paths[1].framing
        assert framing is not None
        stud = simulate(beside_zone(paths[1], clear), climate, tell=tell)
        share = framing.share
    found: list[tuple[str, Result]] = []
    if len(stages) > 1:
        found = [(label, simulate(one, climate, tell=tell)) for label, one in stages[:-1]]
        found.append((stages[-1][0], clear))
    beside = tuple((name, simulate(one, climate, tell=tell)) for name, one in rooms)
    below = ridge_strip(paths[0], clear)
    ridge = None if below is None else simulate(below, climate, tell=tell)
    return WholeRun(clear, stud, share, tuple(found), beside, check_paths(paths, climate), ridge)


def heat_to_room(result: Result) -> Array:
    """Heat through the room's face by month, with what moisture carries.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    (12,) ndarray
        Into the room. [J/m2]
    """
    return month_sums(result.heat_a[:, -1])


def heat_of_both(run: WholeRun) -> Array:
    """Heat to the room by month, the paths weighted by their areas.

    Parameters
    ----------
    run : WholeRun
        What was run.

    Returns
    -------
    (12,) ndarray
        Into the room. [J/m2]
    """
    clear = heat_to_room(run.clear)
    if run.stud is None:
        return clear
    return (1.0 - run.stud_share) * clear + run.stud_share * heat_to_room(run.stud)
