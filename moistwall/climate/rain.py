"""Rain of a weather file: depths from kinds of rain, totals of several hours, scaling to normals.

Files of typical years know rain badly. Some hold kinds of rain and no depths; in others a total of
several hours stands in one, a missing depth is written as 0, or a code of rain stays on for days.
`rain_of_year` makes the best hourly depths of it and says in words what was done; where nothing can
be made of it, no rain is known, which is not the same as a dry year.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.check import MOST_MISSING
from moistwall.climate.depths import HOURLY_CAP, fitted_to_total, spread_over_spells
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.climate.kinds import DEPTHS_SAID
from moistwall.climate.normals import MONTHS, MonthlyNormals

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

FULLEST_MEAN = 20.0
"""Mean depth of its hours with rain up to which a month is scaled to its normal; with more, rain is
missing in it and not only too little (common practice, no source). [mm]"""

STUCK_HOURS = 24
"""Hours over which one code of rain without a change is a code that stuck. In five years of TMY3
the longest run is 9 h in months where the codes agree with the depths, 58 to 384 h where they do
not. [h]"""

CODES_PER_DEPTH = 3
"""Hours with a code of rain for each hour with a depth from which the two contradict each other."""

FEWEST_CODES, LEAST_PER_CODE = 10, 0.2
"""A month's depths are doubtful from so many hours with a code of rain [h], if there is less rain
than so much for each of them, the depth of light drizzle [mm]."""

WETTEST_YEAR = 4000.0
"""Rain of a year above which tenths of mm may have been written for mm; noted. [mm]"""


@dataclass(frozen=True)
class RainRule:
    """What to do with the rain of a file.

    Parameters
    ----------
    as_read : bool
        True to leave the depths as the file gives them, and to make up none.
    normals_at : callable, optional
        Gives the monthly values of a place near a latitude and longitude, or None if there is
        none; without it no month is scaled.
    """

    as_read: bool = False
    normals_at: Callable[[float, float], MonthlyNormals | None] | None = None


@dataclass(frozen=True)
class RainRead:
    """What a file says of rain, hour by hour.

    Parameters
    ----------
    depth : (8760,) ndarray or None
        Depth of the hour, NaN where the file has none; None if it has no such column. [mm]
    kind : (8760,) ndarray or None
        Typical depth of the kind of rain that was observed, 0 for no rain, NaN where nobody
        observed; None if the file has no such column. [mm]
    notes : tuple of str
        What the reader did to the depths.
    """

    depth: Array | None
    kind: Array | None
    notes: tuple[str, ...] = ()


def rain_of_year(
    read: RainRead, rule: RainRule, latitude: float, longitude: float
) -> tuple[Array | None, tuple[str, ...]]:
    """Hourly rain from what a file says.

    Parameters
    ----------
    read : RainRead
        What the file says.
    rule : RainRule
        What to do with it.
    latitude, longitude : float
        Where it was measured. [deg]

    Returns
    -------
    rain : (8760,) ndarray or None
        Depth of each hour; None where no rain is known. [mm]
    notes : tuple of str
        What was done, in words.
    """
    normals = None
    if not rule.as_read and rule.normals_at is not None:
        normals = rule.normals_at(latitude, longitude)
    depth, problem, notes = _usable_depths(read)
    if depth is not None and not depth.any():
        return depth, (*notes, "rain: none in any hour, and none was observed")
    if depth is not None:
        doubts = _doubts(depth, read.kind)
        if rule.as_read:
            return depth, (*notes, "rain: depths as the file gives them", *doubts)
        if normals is None:
            spread = _totals_spread(depth, read.kind)
            said: tuple[str, ...] = (
                f"rain: {spread.sum():.0f} mm in {np.count_nonzero(spread)} h, not scaled, as no "
                "normals are known near; totals of several hours are spread over the hours around",
            )
        else:
            spread, said = _scaled_depths(depth, read.kind, normals)
        return spread, (*notes, *_totals_said(depth), *said, *doubts)
    kind = read.kind
    if rule.as_read or kind is None or np.isnan(kind).sum() > MOST_MISSING:
        return None, (*notes, f"no rain known: {problem}")
    kind = np.nan_to_num(kind, nan=0.0)
    if normals is not None and kind.any():
        kind, said = _scaled_kinds(kind, normals)
        return kind, (*notes, f"rain: {problem}; {DEPTHS_SAID}", *said)
    if any(_stuck(kind, kind > 0.0, month) for month in range(1, 13)):
        return None, (*notes, f"no rain known: {problem}, and codes of rain that stay on for days")
    said = (
        f"rain: {problem}; {DEPTHS_SAID}, not scaled, as no normals are known near: "
        f"{kind.sum():.0f} mm in {np.count_nonzero(kind)} h",
    )
    return kind, (*notes, *said)


def _usable_depths(read: RainRead) -> tuple[Array | None, str, tuple[str, ...]]:
    """Depths without gaps, or None and the problem with them; notes."""
    if read.depth is None:
        return None, "the file has no depths of rain", read.notes
    missing = np.isnan(read.depth)
    n = int(np.count_nonzero(missing))
    if n > MOST_MISSING:
        return None, f"the depth is missing in {n} h", ()
    depth = np.nan_to_num(read.depth, nan=0.0)
    observed = read.kind is not None and np.isnan(read.kind).sum() <= MOST_MISSING
    if not depth.any():
        wet = 0 if read.kind is None else int(np.count_nonzero(read.kind > 0.0))
        if wet:
            return None, f"the depth is 0 in every hour although rain was observed in {wet} h", ()
        if not observed or n:
            return None, "the depth is 0 in every hour, as if it were missing", ()
    notes = read.notes
    if n:
        notes = (*notes, f"rain: {n} h without a depth are taken as dry")
    if depth.sum() > WETTEST_YEAR:
        notes = (
            *notes,
            f"rain: {depth.sum():.0f} mm in the year is doubtful: tenths of mm in place of mm?",
        )
    return depth, "", notes


def _stuck(depth: Array, code: Flags, month: int) -> bool:
    """True if the codes of rain of a month stay on, so that they do not tell when it rained."""
    here = month == MONTH_OF_HOUR
    run, longest, last = 0, 0, 0.0
    for wet, value in zip(code[here], depth[here], strict=True):
        run = run + 1 if wet and value == last else int(wet)
        last = float(value) if wet else 0.0
        longest = max(longest, run)
    return longest >= STUCK_HOURS


def _month(depth: Array, kind: Array | None, month: int) -> tuple[float, int, int, bool]:
    """Rain of a month [mm], its hours with a depth and with a code, and whether the codes stick."""
    here = month == MONTH_OF_HOUR
    rain, hours = float(depth[here].sum()), int(np.count_nonzero(depth[here]))
    if kind is None:
        return rain, hours, 0, False
    codes = int(np.count_nonzero(kind[here] > 0.0))
    contradict = hours > 0 and codes >= CODES_PER_DEPTH * hours
    return rain, hours, codes, contradict or _stuck(kind, kind > 0.0, month)


def _doubtful(rain: float, codes: int) -> bool:
    return codes >= FEWEST_CODES and rain < LEAST_PER_CODE * codes


def _doubts(depth: Array, kind: Array | None) -> tuple[str, ...]:
    """Note each month with many codes of rain and next to no depth."""
    notes = []
    for month, name in enumerate(MONTHS, start=1):
        rain, hours, codes, stick = _month(depth, kind, month)
        if _doubtful(rain, codes):
            why = "codes that stay on, or rain" if stick else "rain"
            notes.append(
                f"rain of {name} is doubtful: the file has {rain:.1f} mm in {hours} h but codes of "
                f"rain in {codes} h: {why} missing and written as 0?"
            )
    return tuple(notes)


def _totals_spread(depth: Array, kind: Array | None) -> Array:
    """Depths without totals of several hours; each month keeps its rain."""
    spread = depth.copy()
    for month in range(1, 13):
        here = month == MONTH_OF_HOUR
        wet = np.zeros(np.count_nonzero(here), dtype=np.bool_)
        if kind is not None and not _month(depth, kind, month)[3]:
            wet = kind[here] > 0.0
        spread[here] = spread_over_spells(depth[here], wet)
    return spread


def _totals_said(depth: Array) -> tuple[str, ...]:
    """Note the totals of several hours and what they hold above the cap."""
    over = depth > HOURLY_CAP
    if not over.any():
        return ()
    return (
        f"rain: {np.count_nonzero(over)} h hold more than {HOURLY_CAP:g} mm, totals of several "
        f"hours, {float((depth[over] - HOURLY_CAP).sum()):.1f} mm above it in all",
    )


def _scaled_depths(
    depth: Array, kind: Array | None, normals: MonthlyNormals
) -> tuple[Array, tuple[str, ...]]:
    """Depths with each month scaled to its normal where its hours can hold that."""
    shape = np.minimum(depth, HOURLY_CAP)
    notes = []
    for month, name in enumerate(MONTHS, start=1):
        here = month == MONTH_OF_HOUR
        rain, _, codes, stick = _month(depth, kind, month)
        if kind is not None and _doubtful(rain, codes) and not stick:
            shape[here] = np.maximum(shape[here], np.nan_to_num(kind[here], nan=0.0))
            notes.append(f"rain of {name}: hours with a code of rain taken as hours of rain")
    return _scaled(shape, _totals_spread(depth, kind), normals, notes)


def _scaled_kinds(kind: Array, normals: MonthlyNormals) -> tuple[Array, tuple[str, ...]]:
    """Depths from kinds with each month scaled to its normal where its hours can hold that."""
    notes = [
        f"rain of {name} is doubtful: a code of rain stays on for a day and more"
        for month, name in enumerate(MONTHS, start=1)
        if _stuck(kind, kind > 0.0, month)
    ]
    return _scaled(kind, kind, normals, notes)


def _scaled(
    shape: Array, otherwise: Array, normals: MonthlyNormals, notes: list[str]
) -> tuple[Array, tuple[str, ...]]:
    """Shape scaled month by month; a month that cannot hold its normal stands as `otherwise`."""
    out = otherwise.copy()
    factors, kept = [], []
    for month, name in enumerate(MONTHS, start=1):
        here = month == MONTH_OF_HOUR
        normal, hours = float(normals.rain[month - 1]), int(np.count_nonzero(shape[here]))
        if normal > FULLEST_MEAN * hours:
            kept.append(
                f"rain of {name} not scaled, its {hours} h of rain are too few for a normal of "
                f"{normal:.0f} mm: it stays {float(otherwise[here].sum()):.1f} mm"
            )
            continue
        if hours:
            factors.append(normal / float(shape[here].sum()))
        out[here] = fitted_to_total(shape[here], normal)
    if factors:
        scaled = "each month" if not kept else f"{12 - len(kept)} months"
        notes.append(
            f"rain: {scaled} scaled to the normals of {normals.place}, by {min(factors):.2f} to "
            f"{max(factors):.2f}: {out.sum():.0f} mm in {np.count_nonzero(out)} h"
        )
    return out, (*notes, *kept)
