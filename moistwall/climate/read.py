"""A year of weather from a file, by the reader that its first lines ask for."""

from __future__ import annotations

from pathlib import Path

from moistwall.climate.record import Climate
from moistwall.climate.table import climate_from_table
from moistwall.climate.text import read_text
from moistwall.climate.tmy2 import climate_from_tmy2, is_tmy2_header
from moistwall.errors import ClimateError, Fault

READ = "TMY2 (.tm2, .tmy2) and climate tables (.csv)"
"""The kinds of file that are read, for messages."""

_TMY2, _TABLE = (".tm2", ".tmy2"), (".csv",)


def read_climate(path: Path | str) -> Climate:
    """Read a year of weather.

    Parameters
    ----------
    path : Path or str
        The file. What it begins with decides on the reader where that is plain, otherwise its
        extension does.

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
    suffix = path.suffix.lower()
    kind = _other_kind(text)
    if kind:
        raise ClimateError(
            Fault(str(path), "", kind, "this kind of weather file is not read", f"read are {READ}")
        )
    if suffix in _TMY2 or is_tmy2_header(text.split("\n", 1)[0]):
        return climate_from_tmy2(text, str(path))
    if suffix in _TABLE:
        return climate_from_table(text, str(path))
    raise ClimateError(
        Fault(
            str(path),
            "",
            suffix or "no extension",
            "this is not known as a weather file",
            f"read are {READ}",
        )
    )


def _other_kind(text: str) -> str:
    """Name of a well-known kind of weather file that is not read; empty if it is none of them."""
    first, _, rest = text.partition("\n")
    if first.upper().startswith("LOCATION,"):
        return "EPW"
    second = rest.split("\n", 1)[0].upper()
    if second.startswith("DATE (MM/DD/YYYY),TIME (HH:MM)"):
        return "TMY3"
    return ""
