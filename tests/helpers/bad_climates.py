"""Years of weather in every format that is read, each with a mistake in it; and what the message names."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from epw_files import HEADER, epw_text

from moistwall.climate.text import read_text
from moistwall.library import data_folder

_SPEC = find_spec("pvlib")
assert _SPEC is not None
assert _SPEC.origin is not None
_DATA = Path(_SPEC.origin).parent / "data"

TABLE = read_text(data_folder("climates") / "miami.csv")
_ROWS = TABLE.split("\n")
_TOP = next(k for k, line in enumerate(_ROWS) if line.startswith("month,"))
_NAMES = _ROWS[_TOP].split(",")

TMY2 = read_text(_DATA / "12839.tm2").split("\n")
TMY3 = read_text(_DATA / "723170TYA.CSV").split("\n")


def cell(column: str, text: str, row: int = 5) -> str:
    """The climate table with one cell changed."""
    rows = list(_ROWS)
    cells = rows[_TOP + row].split(",")
    cells[_NAMES.index(column)] = text
    rows[_TOP + row] = ",".join(cells)
    return "\n".join(rows)


def tmy3(column: str, text: str) -> str:
    """The TMY3 file with one cell changed."""
    rows = list(TMY3)
    cells = rows[50].split(",")
    cells[TMY3[1].split(",").index(column)] = text
    rows[50] = ",".join(cells)
    return "\n".join(rows)


def head(old: str, new: str) -> str:
    """The climate table with something of its head replaced."""
    assert old in TABLE
    return TABLE.replace(old, new, 1)


def hour(field: int, text: str) -> str:
    """An EPW file in which one field of one hour is changed."""
    return epw_text(lambda m, d, h: {field: text} if (m, d, h) == (3, 4, 5) else {})


_DRY = "Dry-bulb (C)"

CLIMATES: dict[str, tuple[str, str | bytes, str]] = {
    "csv: NaN": (".csv", cell("temperature_degC", "nan"), "temperature_degC"),
    "csv: infinite": (".csv", cell("temperature_degC", "inf"), "temperature_degC"),
    "csv: 1e308": (".csv", cell("temperature_degC", "1e308"), "temperature_degC"),
    "csv: word": (".csv", cell("temperature_degC", "warm"), "temperature_degC"),
    "csv: formula": (".csv", cell("temperature_degC", "=1+1"), "temperature_degC"),
    "csv: decimal comma": (".csv", cell("temperature_degC", '"1,5"'), "temperature_degC"),
    "csv: degF": (".csv", cell("temperature_degC", "75"), "temperature_degC"),
    "csv: negative wind": (".csv", cell("wind_speed_m_s", "-1"), "wind_speed_m_s"),
    "csv: dew point above": (".csv", cell("dew_point_degC", "59"), "dew_point_degC"),
    "csv: hour 25": (".csv", cell("hour", "25"), "hour"),
    "csv: month 13": (".csv", cell("month", "13"), "month"),
    "csv: half an hour": (".csv", cell("hour", "1.5"), "hour"),
    "csv: hour missing": (".csv", "\n".join(_ROWS[: _TOP + 9] + _ROWS[_TOP + 10 :]), "hour"),
    "csv: hour twice": (
        ".csv",
        "\n".join([*_ROWS[: _TOP + 9], _ROWS[_TOP + 8], *_ROWS[_TOP + 10 :]]),
        "same hour twice",
    ),
    "csv: cut in a row": (".csv", TABLE[:-20], "row"),
    "csv: cut in half": (".csv", TABLE[: len(TABLE) // 2], "rows"),
    "csv: no heading": (".csv", "\n".join(_ROWS[:_TOP] + _ROWS[_TOP + 1 :]), "header"),
    "csv: column twice": (".csv", head("rain_mm", "temperature_degC"), "header"),
    "csv: unknown column": (".csv", head("rain_mm", "rain_inch"), "header"),
    "csv: semicolons": (".csv", TABLE.replace(",", ";"), "header"),
    "csv: no latitude": (".csv", head("# latitude_deg: 25.8\n", ""), "latitude_deg"),
    "csv: latitude 95": (".csv", head("latitude_deg: 25.8", "latitude_deg: 95"), "latitude"),
    "csv: latitude NaN": (".csv", head("latitude_deg: 25.8", "latitude_deg: nan"), "latitude"),
    "csv: east": (".csv", head("-80.26666667", "80.26666667"), "longitude"),
    "csv: time zone": (".csv", head("time_zone_h: -5", "time_zone_h: est"), "time_zone"),
    "csv: escape in the name": (".csv", head("name: miami", "name: mi\x1b[31mami"), "name"),
    "csv: name twice": (".csv", head("# name: miami", "# name: miami\n# name: x"), "name"),
    "csv: open quote": (".csv", head("\n1,1,1,", '\n1,1,"1,'), "row"),
    "csv: latin-1": (".csv", head("Florida", "Fl\xf3rida").encode("latin-1"), "UTF-8"),
    "csv: UTF-16": (".csv", TABLE[:3000].encode("utf-16"), "UTF-8"),
    "csv: NUL": (".csv", head("Miami", "Mi\0ami"), "NUL"),
    "csv: empty": (".csv", "", "empty"),
    "csv: binary": (".csv", bytes(range(256)) * 50, "UTF-8"),
    "csv: huge": (".csv", b"#" * 20_000_001, "20 MB"),
    "another ending": (".xls", "x", "not known"),
    "tmy2: cut": (".tm2", "\n".join(TMY2)[:700_000], "line"),
    "tmy2: short line": (".tm2", "\n".join([*TMY2[:50], TMY2[50][:60], *TMY2[51:]]), "line"),
    "tmy2: letters": (
        ".tm2",
        "\n".join([*TMY2[:50], TMY2[50][:67] + "abcd" + TMY2[50][71:], *TMY2[51:]]),
        "temperature",
    ),
    "tmy2: head": (".tm2", "\n".join([TMY2[0][:20], *TMY2[1:]]), "header"),
    "tmy2: hour missing": (".tm2", "\n".join(TMY2[:50] + TMY2[51:]), "hour"),
    "tmy3: word": (".tmy3", tmy3(_DRY, "hot"), _DRY),
    "tmy3: NaN": (".tmy3", tmy3(_DRY, "nan"), _DRY),
    "tmy3: 1e308": (".tmy3", tmy3(_DRY, "1e308"), _DRY),
    "tmy3: no column": (".tmy3", "\n".join(TMY3).replace(_DRY, "Wet (C)", 1), "header"),
    "tmy3: hour twice": (".tmy3", "\n".join([*TMY3[:50], TMY3[50], *TMY3[50:]]), "twice"),
    "tmy3: head": (".tmy3", "\n".join(["x", *TMY3[1:]]), "header"),
    "tmy3: cut": (".tmy3", "\n".join(TMY3)[:600_000], "rows"),
    "epw: NaN": (".epw", hour(7, "nan"), "field 7"),
    "epw: word": (".epw", hour(7, "x"), "field 7"),
    "epw: 1e308": (".epw", hour(22, "1e308"), "field 22"),
    "epw: few fields": (".epw", epw_text(fields=20), "row"),
    "epw: head": (".epw", epw_text(header=HEADER[1:]), "header"),
    "epw: latitude": (
        ".epw",
        epw_text(header=(HEADER[0].replace("30.25", "95"), *HEADER[1:])),
        "latitude",
    ),
    "epw: half hours": (
        ".epw",
        epw_text(header=(*HEADER[:7], HEADER[7].replace("PERIODS,1,1", "PERIODS,1,2"))),
        "DATA PERIODS",
    ),
    "epw: cut": (".epw", epw_text()[:500_000], "rows"),
}
