"""The climate table: one year as comma-separated text whose column names carry the units.

::

    # place: Heron Point (invented)
    # source: own logger
    # latitude_deg: 30.25
    # longitude_deg: -88.1
    # time_zone_h: -6
    # elevation_m: 3
    month,day,hour,temperature_degC,dew_point_degC,pressure_hPa,wind_speed_m_s, ...
    1,1,1,14.2,12.9,1018,2.1, ...

Hours are named by their end, 1 to 24, in local standard time: sun and rain are what came in the 60
minutes before it, the other values are read at it. Rows may stand in any order, since each carries
its hour. An empty cell is a missing value (`moistwall.climate.check` fills short gaps); a missing
row is a mistake. Rows of February 29 are left out, with a note. Rain is an optional column.

Humidity is one column, a dew point or a relative humidity; below freezing both are read as those
of air over ice.
"""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.check import Site, checked_climate, dew_point_from_humidity
from moistwall.climate.columns import COLUMNS, SITE_KEYS, STAMP, TEXT_KEYS, Column
from moistwall.climate.hours import hour_name, hour_stamp
from moistwall.climate.limits import HOURLY, Gathered
from moistwall.climate.record import Climate
from moistwall.climate.rows import HourRows, finite_number, whole_number
from moistwall.errors import ClimateError
from moistwall.whole_files import write_whole_files

Array = NDArray[np.float64]


_COLUMN = {column.name: column for column in COLUMNS}
_SITE_KEY = {column.name: column for column in SITE_KEYS}
_COMMENT = re.compile(r"#\s*(?P<key>\w+)\s*:(?P<value>.*)")


def climate_from_table(text: str, file: str) -> Climate:
    """Year in the text of a climate table.

    Parameters
    ----------
    text : str
        The text, with line feeds.
    file : str
        Name of the file, for messages.

    Returns
    -------
    Climate
        The year.

    Raises
    ------
    ClimateError
        With every mistake found.
    """
    found = Gathered(file)
    lines = text.split("\n")
    top = next((i for i, line in enumerate(lines) if line.strip() and line[0] != "#"), len(lines))
    site, notes = _site(found, lines[:top], Path(file).stem)
    rows = csv.reader(lines[top:])
    header = _next_row(found, rows, top)
    if header is None:
        found.add("header", "", "no line with the names of the columns", f"begin with {STAMP}")
        raise ClimateError(found.faults)
    columns = _columns(found, [cell.strip() for cell in header])
    if columns is None:
        raise ClimateError(found.faults)
    hours = HourRows(
        found,
        [c.field for c in columns if isinstance(c, Column)],
        stamp="month, day, hour",
        remedy="months 1 to 12, hours 1 to 24 named by their end",
    )
    count = 0
    while (row := _next_row(found, rows, top)) is not None:
        count += 1
        line = top + rows.line_num
        if len(row) != len(columns):
            found.add(
                "row",
                f"{len(row)} cells",
                f"must have {len(columns)} cells, as the header has",
                "separate with commas, write decimals with a point",
                place=f"line {line}",
            )
            continue
        stamp = {c: cell.strip() for c, cell in zip(columns, row, strict=True) if c in STAMP}
        month, day, hour = (whole_number(stamp[part]) for part in STAMP)
        shown = ", ".join(stamp[part] for part in STAMP)
        k = hours.place(month, day, hour, line=line, shown=shown)
        if k is not None:
            _read_row(found, row, columns, k, hours.values)
    hours.check_count(count)
    labels = {c.field: c.name for c in (*SITE_KEYS[:4], *columns) if isinstance(c, Column)}
    _take_dew_point(found, hours.values, labels)
    return checked_climate(
        found,
        site,
        hours.values,
        absent=hours.absent,
        notes=(*notes, *hours.notes),
        labels=labels,
    )


def table_text(climate: Climate) -> str:
    """Climate table of a year; reading it gives the same numbers to ten digits.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    str
        The text, with line feeds.
    """
    head = [
        f"# name: {climate.name}",
        f"# place: {climate.place}",
        f"# source: {climate.source}",
        *(f"# note: {note}" for note in climate.notes),
        *(f"# {c.name}: {getattr(climate, c.field):.10g}" for c in SITE_KEYS[:4]),
    ]
    columns = [
        next(c for c in COLUMNS if c.field == field)
        for field in HOURLY
        if getattr(climate, field) is not None
    ]
    cells = [[f"{c.to_table(v):.10g}" for v in getattr(climate, c.field)] for c in columns]
    rows = (
        ",".join((*map(str, hour_stamp(k)), *row)) for k, row in enumerate(zip(*cells, strict=True))
    )
    header = ",".join((*STAMP, *(c.name for c in columns)))
    return "\n".join((*head, header, *rows)) + "\n"


def write_table(climate: Climate, path: Path) -> None:
    """Write a climate table; the file appears whole or not at all.

    Parameters
    ----------
    climate : Climate
        The year.
    path : Path
        The file; one that is there is replaced.
    """
    write_whole_files({path: table_text(climate).encode("utf-8")})


def _site(found: Gathered, lines: list[str], stem: str) -> tuple[Site | None, tuple[str, ...]]:
    """Read the comment lines at the top: the site, None if it is not complete, and the notes."""
    texts: dict[str, str] = {"name": stem}
    numbers: dict[str, float] = {}
    notes: list[str] = []
    given: set[str] = set()
    bare = {column.field for column in SITE_KEYS}
    complete = True
    for number, line in enumerate(lines, start=1):
        match = _COMMENT.fullmatch(line)
        if match is None:
            continue
        key, value, place = match["key"], match["value"].strip(), f"line {number}"
        field = _SITE_KEY[key].field if key in _SITE_KEY else key
        if key == "note":
            notes.append(value)
        elif key in bare:
            names = " or ".join(c.name for c in SITE_KEYS if c.field == key)
            found.add(key, value, "has no unit", f"name it {names}", place=place)
        elif key in TEXT_KEYS or key in _SITE_KEY:
            if field in given:
                found.add(key, value, "given twice", "give it once", place=place)
            given.add(field)
            if key in TEXT_KEYS:
                texts[key] = value
                if not value.isprintable():
                    problem, remedy = "holds control codes", "write it in printable characters"
                    found.add(key, ascii(value), problem, remedy, place=place)
                    complete = False
            elif (written := finite_number(value)) is not None:
                numbers[field] = float(_SITE_KEY[key].from_table(written))
            else:
                complete = False
                found.add(key, value, "is not a number", "write it like -88.1", place=place)
    required = {"place": "place", "source": "source"} | {c.field: c.name for c in SITE_KEYS[:4]}
    for field, name in required.items():
        if field not in given or texts.get(field) == "":
            complete = False
            found.add(name, "", "not given", f"write '# {name}: ...' above the header")
    if not complete:
        return None, tuple(notes)
    return Site(texts["name"] or stem, texts["place"], texts["source"], **numbers), tuple(notes)


def _next_row(found: Gathered, rows: Iterator[list[str]], top: int) -> list[str] | None:
    """Next row that is not blank; None at the end, or where the text is not a table any more."""
    try:
        return next((row for row in rows if any(cell.strip() for cell in row)), None)
    except csv.Error as error:
        found.add(
            "row",
            str(error),
            "is not comma-separated text",
            "close every quote",
            place=f"after line {top}",
        )
        return None


def _columns(found: Gathered, header: list[str]) -> list[Column | str] | None:
    """Columns in their order, stamps as their name; None if the header is not right."""
    if len(header) == 1:
        found.add("header", header[0], "holds one name only", "separate the columns with commas")
        return None
    before = found.count
    columns: list[Column | str] = []
    given: dict[str, str] = {}
    for name in header:
        column = _COLUMN.get(name, name)
        field = column if isinstance(column, str) else column.field
        if isinstance(column, str) and name not in (*STAMP, "year"):
            found.add("header", name or "(empty)", *_unknown(name))
        elif field in given:
            found.add("header", name, f"gives the same as {given[field]}", "keep one of the two")
        given[field] = name
        columns.append(column)
    for field in (*STAMP, *(f for f in HOURLY if f not in ("rain", "dew_point"))):
        if field not in given:
            names = " or ".join(c.name for c in COLUMNS if c.field == field) or field
            found.add("header", "", f"no column {names}", "every table needs it")
    humidity = [given[f] for f in ("dew_point", "relative_humidity") if f in given]
    if len(humidity) != 1:
        found.add(
            "header",
            " and ".join(humidity),
            "must have exactly one column of humidity",
            "dew_point_degC, dew_point_degF or relative_humidity_percent",
        )
    return columns if found.count == before else None


def _unknown(name: str) -> tuple[str, str]:
    """Problem and remedy for a column that is not known."""
    same = [c.name for c in COLUMNS if name and (c.field == name or c.name.startswith(f"{name}_"))]
    if same:
        return "column without a unit", f"name it {' or '.join(same)}"
    near = difflib.get_close_matches(name, _COLUMN, n=3)
    return "unknown column", "accepted: " + ", ".join(near or (*STAMP, *_COLUMN))


def _read_row(
    found: Gathered,
    row: list[str],
    columns: list[Column | str],
    k: int,
    values: dict[str, Array],
) -> None:
    """Read the numbers of one row; an empty cell stays missing."""
    for column, cell in zip(columns, row, strict=True):
        if isinstance(column, str) or not (number := cell.strip()):
            continue
        if (value := finite_number(number)) is not None:
            values[column.field][k] = column.from_table(value)
        else:
            found.add(
                column.name,
                number,
                "is not a finite number",
                "write it like 24.3, or leave the cell empty where there is no value",
                place=hour_name(k),
            )


def _take_dew_point(found: Gathered, values: dict[str, Array], labels: dict[str, str]) -> None:
    """Turn relative humidity into dew point where a table gives that."""
    if "relative_humidity" not in values:
        return
    humidity = values.pop("relative_humidity")
    label = labels["dew_point"] = labels.pop("relative_humidity")
    for k in np.flatnonzero((humidity <= 0.0) | (humidity > 1.0)):
        found.add(
            label,
            f"{100.0 * humidity[k]:g} %",
            "must lie above 0 and not above 100 %",
            "correct the value",
            place=hour_name(int(k)),
        )
    temperature, limit = values["temperature"], HOURLY["temperature"]
    dew_point = values["dew_point"] = dew_point_from_humidity(temperature, humidity)
    too_dry = np.isnan(dew_point) & (humidity > 0.0) & (humidity <= 1.0)
    too_dry &= (temperature >= limit.lowest) & (temperature <= limit.highest)
    for k in np.flatnonzero(too_dry):
        found.add(
            label,
            f"{100.0 * humidity[k]:g} % at {temperature[k]:g} degC",
            f"a dew point below {HOURLY['dew_point'].lowest:g} degC",
            "correct the value",
            place=hour_name(int(k)),
        )
