"""The least or the most of one field that keeps to a criterion: a coarse look, then bisection.

Bisection is right only where the answer turns once. So evenly spaced values are run first: if they turn more
than once, that is the answer; if the number hardly moves, the field does not decide, and what else might is
tried.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from moistwall.study.measures import Criterion

LOOKS = 5
"""Evenly spaced values that are run first, both ends included."""

FLAT_SHARE = 0.02
"""A number that moves by less than this share of its limit, or of itself if that is more, is flat. [-]"""

FLAT_HOURS = 88.0
"""The same for counts of hours, if that is more: 1 % of the year. [h]"""

Kind = Literal[
    "found", "all meet it", "none meets it", "turns more than once", "other way round", "failed"
]
Wanted = Literal["least", "most"]
Run = Callable[[Sequence[float]], Sequence[dict[str, float] | None]]


@dataclass(frozen=True)
class Look:
    """One value that was run.

    Parameters
    ----------
    value : float
        In the unit of the ends.
    measures : dict of str to float or None
        Its numbers; None if it failed.
    met : bool
        Whether it keeps to the criterion.
    """

    value: float
    measures: dict[str, float] | None
    met: bool


@dataclass(frozen=True)
class Found:
    """What a search came to.

    Parameters
    ----------
    kind : str
        'found': the answer turns once, between ``bracket``; else why there is no such value.
    flat : bool
        True if the number hardly moves from end to end.
    answer : float or None
        The value nearest to the turn that was run and keeps to the criterion.
    bracket : tuple of float or None
        Neighbors that were run, on both sides of the turn.
    margin : float or None
        How far the answer keeps from the limit, in the unit of the measure.
    looks : tuple of Look
        All that was run, rising.
    """

    kind: Kind
    flat: bool
    answer: float | None
    bracket: tuple[float, float] | None
    margin: float | None
    looks: tuple[Look, ...]


def search(
    low: float,
    high: float,
    criterion: Criterion,
    run: Run,
    *,
    wanted: Wanted,
    tolerance: float,
    looks: int = LOOKS,
) -> Found:
    """Find the least or the most value between two that keeps to a criterion.

    Parameters
    ----------
    low, high : float
        The ends, in any unit.
    criterion : Criterion
        What is to hold.
    run : callable
        Gives the numbers of several values at once; None for one that failed.
    wanted : {'least', 'most'}
        Which end of the values that keep to it.
    tolerance : float
        Width of the bracket at which the search ends, in the same unit.
    looks : int
        Values of the coarse look, 3 or more.

    Returns
    -------
    Found
    """
    first = [low + (high - low) * k / (looks - 1) for k in range(looks)]
    seen = {
        value: Look(value, *_judged(m, criterion))
        for value, m in zip(first, run(first), strict=True)
    }
    if any(look.measures is None for look in seen.values()):
        return _end("failed", seen, criterion)
    turns = _turns(seen)
    if not turns:
        every = next(iter(seen.values())).met
        kind: Kind = "all meet it" if every else "none meets it"
        return _end(kind, seen, criterion, _extreme(seen, wanted) if every else None)
    if len(turns) > 1:
        return _end("turns more than once", seen, criterion)
    below, above = turns[0]
    if seen[above].met != (wanted == "least"):
        return _end("other way round", seen, criterion, _extreme(seen, wanted), (below, above))
    while above - below > tolerance:
        middle = 0.5 * (below + above)
        look = Look(middle, *_judged(run([middle])[0], criterion))
        seen[middle] = look
        if look.measures is None:
            return _end("failed", seen, criterion)
        if look.met == seen[above].met:
            above = middle
        else:
            below = middle
    answer = above if wanted == "least" else below
    return _end("found", seen, criterion, answer, (below, above))


def _judged(
    measures: dict[str, float] | None, criterion: Criterion
) -> tuple[dict[str, float] | None, bool]:
    if measures is None or criterion.measure not in measures:
        return None, False
    return measures, criterion.met(measures)


def _turns(seen: dict[float, Look]) -> list[tuple[float, float]]:
    """Neighbors of which one keeps to the criterion and the other does not."""
    values = sorted(seen)
    return [(a, b) for a, b in pairwise(values) if seen[a].met != seen[b].met]


def _extreme(seen: dict[float, Look], wanted: Wanted) -> float:
    met = [value for value, look in seen.items() if look.met]
    return min(met) if wanted == "least" else max(met)


def moved(looks: Sequence[Look], measure: str) -> float:
    """How much a number moves over all that was run.

    Parameters
    ----------
    looks : sequence of Look
        What was run.
    measure : str
        Which number.
    """
    numbers = [look.measures[measure] for look in looks if look.measures is not None]
    return max(numbers) - min(numbers) if numbers else 0.0


def is_flat(looks: Sequence[Look], criterion: Criterion) -> bool:
    """Whether the number that is judged, and hours of damp beside it, hardly move.

    Parameters
    ----------
    looks : sequence of Look
        What was run.
    criterion : Criterion
        What is judged.
    """
    kept = [look.measures for look in looks if look.measures is not None]
    if not kept:
        return False
    for name in {criterion.measure, "nearness", "hours_rh_80"}:
        numbers = [one[name] for one in kept if name in one]
        size = max([abs(number) for number in numbers] or [0.0])
        if name == criterion.measure:
            size = max(size, criterion.limit)
        if name == "nearness":
            size = max(size, 1.0)
        least = FLAT_SHARE * size
        if name.endswith("hours") or name.startswith("hours"):
            least = max(least, FLAT_HOURS)
        if numbers and max(numbers) - min(numbers) > least:
            return False
    return True


def _end(
    kind: Kind,
    seen: dict[float, Look],
    criterion: Criterion,
    answer: float | None = None,
    bracket: tuple[float, float] | None = None,
) -> Found:
    looks = tuple(seen[value] for value in sorted(seen))
    margin = None
    if answer is not None:
        measures = seen[answer].measures
        margin = None if measures is None else criterion.margin(measures)
    return Found(kind, is_flat(looks, criterion), answer, bracket, margin, looks)
