"""Convert the Miami year of NREL's TMY2 set, as pvlib carries it, to climates/miami.csv.

    python scripts/build_miami.py [file to write]

The TMY2 data set (station 12839) is a work of the US government: Marion and Urban 1995, User's
Manual for TMY2s, NREL/SP-463-7668. It holds kinds of rain and no depths; their months are scaled to
the monthly rain in climates/miami-built.toml. The output depends on nothing else, so that it can be
checked byte for byte.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

from moistwall.climate.monthly import read_monthly
from moistwall.climate.rain import RainRule
from moistwall.climate.read import read_climate
from moistwall.climate.table import write_table

CLIMATES = Path(__file__).resolve().parent.parent / "climates"


def station_file() -> Path:
    """Path of the TMY2 file inside pvlib, without importing it."""
    spec = find_spec("pvlib")
    if spec is None or spec.origin is None:
        raise SystemExit("pvlib, which carries the TMY2 file, is not installed")
    return Path(spec.origin).parent / "data" / "12839.tm2"


def main(target: Path) -> None:
    """Write the table."""
    normals = read_monthly(CLIMATES / "miami-built.toml")
    year = read_climate(station_file(), RainRule(normals_at=lambda *_: normals))
    write_table(
        replace(
            year,
            name="miami",
            place="Miami, Florida",
            source=f"{year.source}, typical meteorological year; US government data",
            notes=(*year.notes, f"source of the monthly rain: {normals.sources['rain']}"),
        ),
        target,
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else CLIMATES / "miami.csv")
