"""A year of weather from a file, by the reader that its first lines ask for."""

from __future__ import annotations

from pathlib import Path

from moistwall.climate.built import built_year
from moistwall.climate.epw import climate_from_epw, is_epw_header
from moistwall.climate.monthly import monthly_from_text
from moistwall.climate.rain import RainRule
from moistwall.climate.record import Climate
from moistwall.climate.table import climate_from_table
from moistwall.climate.text import read_text
from moistwall.climate.tmy2 import climate_from_tmy2, is_tmy2_header
from moistwall.climate.tmy3 import climate_from_tmy3, is_tmy3_header
from moistwall.errors import ClimateError, Fault

READ = (
    "TMY2 (.tm2, .tmy2), TMY3 (.tmy3, .csv), EPW (.epw), climate tables (.csv) "
    "and monthly values (.toml)"
)
"""The kinds of file that are read, for messages."""


def read_climate(path: Path | str, rain: RainRule | None = None) -> Climate:
    """Read a year of weather.

    Parameters
    ----------
    path : Path or str
        The file. What it begins with decides on the reader where that is plain, otherwise its
        extension does.
    rain : RainRule, optional
        What to do with the rain of a typical year; the depths of a climate table stand as they
        are. `moistwall.library.read_year` scales it to the normals that come with moistwall.

    Returns
    -------
    Climate
        The year.

    Raises
    ------
    ClimateError
        If the file is of a kind that is not read, or with every mistake found in it.
    """
    path = Path(path)
    text = read_text(path)
    kind = _kind(text, path.suffix.lower())
    if kind == "tmy2":
        return climate_from_tmy2(text, str(path), rain)
    if kind == "tmy3":
        return climate_from_tmy3(text, str(path), rain)
    if kind == "epw":
        return climate_from_epw(text, str(path), rain)
    if kind == "table":
        return climate_from_table(text, str(path))
    if kind == "monthly":
        return built_year(monthly_from_text(text, str(path)))
    raise ClimateError(
        Fault(
            str(path),
            "",
            path.suffix or "no extension",
            "this is not known as a weather file",
            f"read are {READ}",
        )
    )


def _kind(text: str, suffix: str) -> str | None:
    """Kind of file by what it begins with, otherwise by its extension; None if neither tells."""
    first, _, rest = text.partition("\n")
    if is_tmy2_header(first):
        return "tmy2"
    if is_epw_header(first):
        return "epw"
    if is_tmy3_header(rest.split("\n", 1)[0]):
        return "tmy3"
    by_suffix = {
        ".tm2": "tmy2",
        ".tmy2": "tmy2",
        ".tmy3": "tmy3",
        ".epw": "epw",
        ".csv": "table",
        ".toml": "monthly",
    }
    return by_suffix.get(suffix)
