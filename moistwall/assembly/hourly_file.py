"""Files of hourly values: CSV with a heading and one line for each hour of the year."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.record import HOURS
from moistwall.climate.text import read_text
from moistwall.errors import Fault, InputError

Array = NDArray[np.float64]

MOST_FAULTS = 10
"""Wrong lines that are named."""

_NUMBER = re.compile(r"-?([0-9]*\.?[0-9]+([eE][+-]?[0-9]+)?|[0-9]+\.)")


def read_hourly(
    path: Path, columns: Mapping[str, tuple[float, float]], noun: str, each: str
) -> dict[str, Array]:
    """Read columns of hourly values.

    Parameters
    ----------
    path : Path
        CSV file with a heading line and one line for each hour of the year.
    columns : mapping of str to (float, float)
        Headings, and the least and the largest value of each.
    noun, each : str
        What the values are, and what one of them is, for messages.

    Returns
    -------
    dict of str to (8760,) ndarray

    Raises
    ------
    InputError
        If the file is no table of one value for each hour; names the first ten wrong lines.
    """
    file = str(path)
    rows = list(csv.reader(read_text(path).splitlines()))
    heading = [name.strip() for name in rows[0]] if rows else []
    missing = [name for name in columns if name not in heading]
    if missing:
        found, remedy = ", ".join(heading)[:60], f"name the column of {each}s {missing[0]}"
        if len(columns) > 1:
            remedy = f"name the columns {' and '.join(columns)}"
        problem = f"has no column of {noun}"
        raise InputError(Fault(file, "line 1", found, problem, remedy))
    if len(rows) - 1 != HOURS:
        remedy = f"give {HOURS} lines below the heading, one for each hour of the year"
        raise InputError(Fault(file, "", f"{len(rows) - 1} lines", "is not one year", remedy))
    values = {name: np.zeros(HOURS) for name in columns}
    faults = []
    for hour, row in enumerate(rows[1:]):
        for name, (low, high) in columns.items():
            column = heading.index(name)
            given = row[column].strip() if column < len(row) else ""
            value = float(given) if _NUMBER.fullmatch(given) else np.nan
            values[name][hour] = value
            if not low <= value <= high:
                problem = f"is no {each}"
                remedy = f"give a number from {low:g} to {high:g}"
                faults.append(Fault(file, f"line {hour + 2}: {name}", given, problem, remedy))
    if faults:
        raise InputError(faults[:MOST_FAULTS])
    return values
