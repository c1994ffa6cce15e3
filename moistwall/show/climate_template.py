"""The beginning of a climate table, for people to fill with their own year."""

from __future__ import annotations

from moistwall.climate.columns import COLUMNS, STAMP
from moistwall.units import System

HEAD = """\
# A year of weather for moistwall: 8760 rows, one an hour (8784 with a February 29).
# Everything here is invented: replace it. Lines like this one may stand above the header only.
#
# name: my place
# place: Heron Point (invented)
# source: own logger, 2024
# note: invented numbers
# latitude_deg: 30.25
# longitude_deg: -88.1
# time_zone_h: -6
# elevation_{elevation}
#
# Notes say what was filled, scaled or assumed; there may be several, or none.
# North and east are positive; time_zone_h is local standard time, without daylight saving.
# Hours are named by their end, 1 to 24: sun and rain are what came in the 60 minutes before it, all
# else is read at it. Wind is at 10 m, its direction where it comes from, clockwise from north.
# Leave a cell empty where a value is missing. Gaps of up to 6 hours are filled and noted; of sun, up
# to 2. Leave the column of rain out where none is known: 0 means that none fell.
# A column may be in another unit, which its name says:
{others}
"""

ROWS: dict[System, tuple[tuple[str, str], ...]] = {
    "si": (
        ("temperature_degC", "14.2 14.0 13.9"),
        ("dew_point_degC", "12.9 12.9 12.8"),
        ("pressure_hPa", "1018.0 1018.0 1017.8"),
        ("wind_speed_m_s", "2.1 1.5 0"),
        ("wind_direction_deg", "20 35 0"),
        ("sun_global_W_m2", "0 0 0"),
        ("sun_direct_W_m2", "0 0 0"),
        ("sun_diffuse_W_m2", "0 0 0"),
        ("opaque_sky_cover_tenths", "4 7 10"),
        ("rain_mm", "0 0.3 0"),
    ),
    "ip": (
        ("temperature_degF", "57.6 57.2 57.0"),
        ("dew_point_degF", "55.2 55.2 55.0"),
        ("pressure_inHg", "30.06 30.06 30.05"),
        ("wind_speed_mph", "4.7 3.4 0"),
        ("wind_direction_deg", "20 35 0"),
        ("sun_global_Btu_h_ft2", "0 0 0"),
        ("sun_direct_Btu_h_ft2", "0 0 0"),
        ("sun_diffuse_Btu_h_ft2", "0 0 0"),
        ("opaque_sky_cover_percent", "40 70 100"),
        ("rain_in", "0 0.01 0"),
    ),
}
"""Columns of the template and what stands in their first three hours (invented)."""

ELEVATION: dict[System, str] = {"si": "m: 3", "ip": "ft: 10"}


def climate_template(system: System) -> str:
    """Text that begins a climate table: its comments, its header and three rows.

    Parameters
    ----------
    system : {'ip', 'si'}
        Units of the columns.

    Returns
    -------
    str
        The text, with line feeds; with 8757 rows more it is a climate table.
    """
    names = [name for name, _ in ROWS[system]]
    columns = {column.name: column.field for column in COLUMNS}
    others = []
    for name in names:
        fields = {columns[name]}
        if "dew_point" in fields:
            fields.add("relative_humidity")
        like = [other for other, field in columns.items() if field in fields and other != name]
        if like:
            others.append(f"#   {name}, or {', '.join(like)}")
    head = HEAD.format(elevation=ELEVATION[system], others="\n".join(others))
    cells = zip(*(values.split() for _, values in ROWS[system]), strict=True)
    rows = [",".join(("1", "1", str(hour), *row)) for hour, row in enumerate(cells, start=1)]
    return head + "\n".join((",".join((*STAMP, *names)), *rows)) + "\n"
