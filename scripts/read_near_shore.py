"""Turn the near-shore typical year of Miami that pvdeg carries into a climate table.

    pip download pvdeg==0.7.4 --no-deps
    python scripts/read_near_shore.py pvdeg-0.7.4-py3-none-any.whl near-shore.csv

The year is of the National Solar Radiation Data Base for a cell of the shore, from satellites and a
reanalysis: its air is more humid than that of any station on land. Neither the file nor its package
states the licence of the data, so it does not come with moistwall.

Values stand at half past each hour. Sun of an hour is taken as its mean; temperature, dew point,
pressure and wind at its end as the mean of the two values around it. Wind is of 2 m above ground
and raised to 10 m with the exponent of open terrain. Sky cover is not in the file
and estimated from the clearness of the day. Rain is not in the file.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import sys
import zipfile
from pathlib import Path

import numpy as np

from moistwall.climate.built.seasons import DAYS, smooth_days
from moistwall.climate.built.sunshine import opaque_cover
from moistwall.climate.hours import hour_stamp
from moistwall.climate.record import HOURS, Climate
from moistwall.climate.sun_path import sun_path
from moistwall.climate.table import write_table

SHA256 = "b86da2298d889eff15d790ec232d53c4b96694244020c096aeac3b7655ecccbb"
"""Of psm4_miami.csv in pvdeg 0.7.4."""

TO_10_M = (10.0 / 2.0) ** 0.14
"""Wind at 10 m over that at 2 m, in open terrain (exponent: ASHRAE Fundamentals ch. 24, table 1)."""


def main(wheel: Path, target: Path) -> None:
    """Write the table."""
    with zipfile.ZipFile(wheel) as archive:
        raw = archive.read("pvdeg/data/psm4_miami.csv")
        site = json.loads(archive.read("pvdeg/data/meta_miami.json"))
    if hashlib.sha256(raw).hexdigest() != SHA256:
        raise SystemExit(f"{wheel}: psm4_miami.csv is not that of pvdeg 0.7.4")
    rows = list(csv.DictReader(io.StringIO(raw.decode("utf-8"))))
    stamps = [(int(r["Month"]), int(r["Day"]), int(r["Hour"]) + 1) for r in rows]
    if stamps != [hour_stamp(k) for k in range(HOURS)]:
        raise SystemExit(f"{wheel}: psm4_miami.csv does not hold one year, hour by hour")
    column = {
        name: np.array([float(row[name]) for row in rows]) for name in rows[0] if row_is(name)
    }

    def at_end(name: str) -> np.ndarray:
        return 0.5 * (column[name] + np.roll(column[name], -1))

    angle = np.radians(column["wind_direction"])
    to = np.exp(1j * angle) * np.maximum(column["wind_speed"], 0.01)
    latitude, longitude = float(site["latitude"]), float(site["longitude"])
    zone, elevation = float(site["tz"]), float(site["altitude"])
    path = sun_path(latitude, longitude, zone, elevation)
    outside = path.extraterrestrial * np.maximum(np.cos(np.radians(path.zenith)), 0.0)
    of_day = column["ghi"].reshape(DAYS, 24).sum(axis=1) / outside.reshape(DAYS, 24).sum(axis=1)
    write_table(
        Climate(
            name="near-shore",
            place="shore near Miami, Florida",
            source=f"NREL National Solar Radiation Data Base, typical year of cell "
            f"{site['Location ID']}, as carried by pvdeg 0.7.4",
            latitude=latitude,
            longitude=longitude,
            time_zone=zone,
            elevation=elevation,
            temperature=at_end("temp_air"),
            dew_point=at_end("dew_point"),
            pressure=100.0 * at_end("pressure"),
            wind_speed=TO_10_M * at_end("wind_speed"),
            wind_direction=np.degrees(np.angle(to + np.roll(to, -1))) % 360.0,
            sun_global=column["ghi"],
            sun_direct=column["dni"],
            sun_diffuse=column["dhi"],
            cloud=np.clip(opaque_cover(smooth_days(of_day), elevation), 0.0, 1.0),
            notes=(
                "readings at half past each hour, carried to its end as means of two",
                f"wind: of 2 m above ground in the file, times {TO_10_M:.3f} for 10 m",
                "sky cover: none in the file, estimated from the clearness of the day",
                "rain: none in the file, so none is known",
            ),
        ),
        target,
    )


def row_is(name: str) -> bool:
    """Return True for a column of numbers."""
    return name not in ("", "Year", "Month", "Day", "Hour", "Minute")


if __name__ == "__main__":
    if len(sys.argv) != 3:
        raise SystemExit("usage: python scripts/read_near_shore.py WHEEL TABLE")
    main(Path(sys.argv[1]), Path(sys.argv[2]))
