"""The rows of a weather file, each put at its hour of the year: the part that all formats share."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import HOURS, hour_index, hour_name
from moistwall.climate.limits import Gathered

Array = NDArray[np.float64]

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_NEGATIVE_CODE = re.compile(r"-99+0*(?:\.[09]*)?", re.ASCII)
_WHOLE = re.compile(r"\d{1,4}", re.ASCII)


def finite_number(text: str) -> float | None:
    """Value of a plain decimal number; None for anything else that Python would take for one."""
    if not _NUMBER.fullmatch(text):
        return None
    value = float(text)
    return value if math.isfinite(value) else None


def whole_number(text: str) -> int | None:
    """Value of up to four digits without a sign; None for anything else."""
    return int(text) if _WHOLE.fullmatch(text) else None


def is_negative_code(text: str) -> bool:
    """Return True for -9900, -9999, -99.9 and the like, which stand for a missing value."""
    return text[:1] == "-" and _NEGATIVE_CODE.fullmatch(text) is not None


class HourRows:
    """Hourly values as the rows of a file come in, in any order; each hour may stand once.

    Parameters
    ----------
    found : Gathered
        Takes the mistakes.
    fields : iterable of str
        Names of the values.
    stamp : str
        What a message calls the date and hour of a row.
    remedy : str
        What a stamp looks like, for messages.
    leap_day : bool
        True if rows of February 29 may stand in the file; they are counted and left out.

    Attributes
    ----------
    values : dict of str to (8760,) ndarray
        The values, NaN until a row gives them.
    """

    def __init__(
        self,
        found: Gathered,
        fields: Iterable[str],
        *,
        stamp: str,
        remedy: str,
        leap_day: bool = True,
    ) -> None:
        self.values: dict[str, Array] = {name: np.full(HOURS, np.nan) for name in fields}
        self._found = found
        self._stamp = stamp
        self._remedy = remedy
        self._leap_day = leap_day
        self._leap_rows = 0
        self._line = np.zeros(HOURS, dtype=np.int64)
        self._years: dict[int, str] = {}

    def place(
        self, month: int | None, day: int | None, hour: int | None, *, line: int, shown: str
    ) -> int | None:
        """Index of the hour of a row.

        Parameters
        ----------
        month, day, hour : int or None
            Its stamp, the hour from 1 to 24 named by its end; None for what is no number.
        line : int
            Number of its line in the file.
        shown : str
            The stamp as it stands there.

        Returns
        -------
        int or None
            The index; None if the row is to be passed over: it has no such hour, or one that
            another row has, which are mistakes, or it is one of February 29.
        """
        if month is None or day is None or hour is None:
            k = None
        elif self._leap_day and (month, day) == (2, 29) and 1 <= hour <= 24:
            self._leap_rows += 1
            return None
        else:
            k = hour_index(month, day, hour)
        if k is None:
            self._found.add(self._stamp, shown, "no such hour", self._remedy, place=f"line {line}")
            return None
        if self._line[k]:
            self._found.add(
                self._stamp,
                f"lines {self._line[k]} and {line}",
                "the same hour twice",
                "each hour must stand once",
                place=hour_name(k),
            )
            return None
        self._line[k] = line
        return k

    def took_year(self, month: int, year: str) -> None:
        """Keep the calendar year of a month, as its first row gives it."""
        self._years.setdefault(month, year)

    def check_count(self, rows: int) -> None:
        """Gather a fault if the file has another number of rows than a year has hours.

        Parameters
        ----------
        rows : int
            Rows in the file, those of February 29 among them.
        """
        if rows - self._leap_rows != HOURS:
            leap = f", or {HOURS + 24} with February 29" if self._leap_day else ""
            self._found.add("rows", str(rows), f"must be {HOURS}{leap}", "one an hour")

    @property
    def absent(self) -> NDArray[np.bool_]:
        """True for each hour that no row has, as a (8760,) ndarray."""
        return np.equal(self._line, 0)

    @property
    def notes(self) -> tuple[str, ...]:
        """What there is to say about the years and the leap day."""
        years = [self._years[month] for month in sorted(self._years)]
        said = []
        if len(set(years)) == 1:
            said.append(f"hours of the year {years[0]}")
        elif years:
            said.append("months from the years " + ", ".join(years))
        if self._leap_rows:
            said.append(f"February 29 left out ({self._leap_rows} rows)")
        return tuple(said)
