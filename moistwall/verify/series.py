"""Series of a problem: constants, lists or columns of a CSV file, as arrays over the hour marks."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.text import read_text
from moistwall.errors import Fault, InputError
from moistwall.names import did_you_mean
from moistwall.verify.schema import ColumnSeries, ListSeries, Series

Array = NDArray[np.float64]

LIMITS: dict[str, tuple[float, float]] = {
    "temperature_degC": (-50.0, 100.0),
    "humidity_temperature_degC": (-50.0, 100.0),
    "relative_humidity": (0.0, 1.0),
    "vapor_pressure_Pa": (0.0, 1e5),
    "heat_film_W_m2K": (1e-3, 1e7),
    "vapor_film_kg_m2sPa": (1e-15, 1.0),
    "rain_kg_m2s": (0.0, 0.1),
    "sun_W_m2": (0.0, 2000.0),
    "longwave_W_m2": (0.0, 2000.0),
    "air_changes_1_h": (0.0, 5000.0),
    "air_flow_kg_m2s": (-1.0, 1.0),
}
"""Least and largest value of every series."""


@dataclass(frozen=True)
class Held:
    """A series over the hour marks.

    Parameters
    ----------
    values : (n_hours + 1,) ndarray
        Value at each hour mark; of a step series, row k holds from hour k - 1 to hour k.
    step : bool or None
        True if each value holds for an hour, False if straight lines join them; None if constant.
    """

    values: Array
    step: bool | None


@dataclass
class SeriesReader:
    """Turns the series of one problem into arrays and gathers what is wrong with them.

    Parameters
    ----------
    hours : int
        Length of the problem. [h]
    file : str
        The problem file, for messages.
    columns : dict of str to list of str
        Cells of the CSV file by its headings, below the heading line.
    series_file : str
        Its name, for messages.
    faults : list of Fault
        Filled with every mistake.
    scale : dict of str to float
        Factors on the limits of single series.
    """

    hours: int
    file: str
    columns: dict[str, list[str]] = field(default_factory=dict)
    series_file: str = ""
    faults: list[Fault] = field(default_factory=list)
    scale: dict[str, float] = field(default_factory=dict)

    def read(self, place: str, given: Series) -> Held:
        """Give a series; ``place`` is its field, whose last part names its limits."""
        if isinstance(given, ColumnSeries):
            return self._column(place, given)
        if isinstance(given, ListSeries):
            rows = self.hours + (given.hold == "linear")
            if len(given.values) != rows:
                self._fault(
                    f"{place}.values",
                    f"{len(given.values)} values",
                    f"must be {rows} for {self.hours} hours held '{given.hold}'",
                    "linear needs a value at every hour mark, step one for every hour",
                )
                return self._empty(given.hold == "step")
            values = np.array(given.values, float)
            self._limits(place, values)
            return self._held(values, given.hold == "step")
        values = np.array([float(given)])
        self._limits(place, values)
        return Held(np.full(self.hours + 1, values[0]), None)

    def _column(self, place: str, given: ColumnSeries) -> Held:
        step = given.hold == "step"
        if not self.columns:
            if not self.series_file:
                self._fault(
                    place, given.column, "names a column, but the problem has no series_file"
                )
            return self._empty(step)
        if given.column not in self.columns:
            remedy = did_you_mean(given.column, self.columns)
            self._fault(
                f"{place}.column", given.column, f"is no column of {self.series_file}", remedy
            )
            return self._empty(step)
        cells = self.columns[given.column][: self.hours + 1]
        if step and cells[0] != "":
            self.faults.append(
                Fault(
                    self.series_file,
                    f"{given.column}, hour 0",
                    cells[0],
                    "must be empty in a step column",
                    "a step value stands in the row of the hour that ends there",
                )
            )
            return self._empty(step)
        try:
            values = np.array([float(cell) for cell in cells[1 if step else 0 :]])
        except ValueError:
            for hour, cell in enumerate(cells):
                if not (step and hour == 0) and not _is_number(cell):
                    self.faults.append(
                        Fault(
                            self.series_file, f"{given.column}, hour {hour}", cell, "is no number"
                        )
                    )
                    break
            return self._empty(step)
        self._limits(f"{place} ({self.series_file}: {given.column})", values, place)
        return self._held(values, step)

    def _limits(self, shown: str, values: Array, place: str = "") -> None:
        name = (place or shown).rsplit(".", 1)[-1]
        low, high = (limit * self.scale.get(name, 1.0) for limit in LIMITS[name])
        wrong = np.flatnonzero(~((values >= low) & (values <= high)))
        if wrong.size:
            at = f", value {wrong[0] + 1} of {values.size}" if values.size > 1 else ""
            self._fault(
                shown + at,
                f"{values[wrong[0]]:g}",
                f"must lie from {low:g} to {high:g}",
                "correct the value or its unit",
            )

    def _fault(self, place: str, value: str, problem: str, remedy: str = "") -> None:
        self.faults.append(Fault(self.file, place, value, problem, remedy))

    def _held(self, values: Array, step: bool) -> Held:
        return Held(np.concatenate((values[:1], values)) if step else values, step)

    def _empty(self, step: bool) -> Held:
        return Held(np.full(self.hours + 1, np.nan), step)


def read_columns(path: Path, hours: int) -> dict[str, list[str]]:
    """Read the CSV file of a problem: a heading line, a column ``hour`` 0, 1, 2 ... and series.

    Parameters
    ----------
    path : Path
        The file.
    hours : int
        Hours that it must reach.

    Returns
    -------
    dict of str to list of str
        Cells by heading.

    Raises
    ------
    InputError
        If it is no such table.
    """
    if not path.is_file():
        raise InputError(Fault(str(path), "", "", "there is no such file", "see series_file"))
    rows = [row for row in csv.reader(read_text(path).splitlines()) if row]
    file = str(path)
    rows = [row for row in rows if not row[0].startswith("#")]
    heading = [name.strip() for name in rows[0]] if rows else []
    if not heading or heading[0] != "hour":
        raise InputError(
            Fault(file, "heading", ", ".join(heading)[:60], "must begin with the column 'hour'")
        )
    twice = sorted({name for name in heading if heading.count(name) > 1})
    if twice:
        raise InputError(Fault(file, "heading", twice[0], "stands there twice"))
    if len(rows) - 1 < hours + 1:
        raise InputError(
            Fault(
                file,
                "",
                f"{len(rows) - 1} rows",
                f"must reach hour {hours}",
                f"give {hours + 1} rows, hour 0 to hour {hours}",
            )
        )
    for number, row in enumerate(rows[1:]):
        if len(row) != len(heading):
            raise InputError(
                Fault(
                    file,
                    f"row of hour {number}",
                    f"{len(row)} cells",
                    f"needs one cell for each of the {len(heading)} columns",
                )
            )
        if not _is_number(row[0]) or float(row[0]) != number:
            raise InputError(
                Fault(file, f"row {number + 1}", row[0], f"must be hour {number}, hour by hour")
            )
    return {name: [row[column].strip() for row in rows[1:]] for column, name in enumerate(heading)}


def _is_number(text: str) -> bool:
    try:
        return bool(np.isfinite(float(text)))
    except ValueError:
        return False
