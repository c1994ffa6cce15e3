"""One page on a year of weather: where it comes from, three pictures, their numbers, the cautions."""

from __future__ import annotations

import base64
import json

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.weather import FACINGS, Fingerprint, WallWeather
from moistwall.climate.record import Climate
from moistwall.loads.driving_rain import INDEX_LIMIT, NO_RAIN_KNOWN
from moistwall.show.cautions import TYPICAL_YEAR
from moistwall.show.climate_pictures import dew_point_figure, drive_figure, walls_figure
from moistwall.show.climate_summary import climate_summary
from moistwall.show.climate_words import (
    BUILT,
    CLIMATE_CAUTIONS,
    against_room,
    fingerprint_lines,
    kind_of_year,
    rain_decimals,
    shown_rain,
    water_depth,
)
from moistwall.show.names import MONTHS
from moistwall.show.page import render_page
from moistwall.show.pictures import picture_files
from moistwall.units import System

FILES = (
    "index.html",
    "summary.json",
    "walls.png",
    "walls.svg",
    "dew-point.png",
    "dew-point.svg",
    "drive.png",
    "drive.svg",
)
"""Names of what `page_files` gives."""


def page_files(
    climate: Climate, found: Fingerprint, walls: WallWeather, system: System
) -> dict[str, bytes]:
    """The page, its pictures and its numbers.

    Parameters
    ----------
    climate : Climate
        The year.
    found : Fingerprint
        Its fingerprint.
    walls : WallWeather
        What it brings to walls.
    system : {'ip', 'si'}
        Units to show; the numbers in ``summary.json`` are SI.

    Returns
    -------
    dict of str to bytes
        By the names in `FILES`. The page holds its pictures, and needs no other file and no network.
    """
    pictures = {
        **picture_files("walls", walls_figure(climate, walls, system)),
        **picture_files("dew-point", dew_point_figure(climate, walls, system)),
        **picture_files("drive", drive_figure(climate, walls, system)),
    }
    inside = {
        name.replace("-", "_"): base64.b64encode(pictures[f"{name}.png"]).decode("ascii")
        for name in ("walls", "dew-point", "drive")
    }
    page = _page(climate, found, walls, system, inside)
    data = json.dumps(
        climate_summary(climate, found, walls), indent=2, allow_nan=False, ensure_ascii=False
    )
    return {
        "index.html": page.encode("utf-8"),
        "summary.json": (data + "\n").encode("utf-8"),
        **pictures,
    }


def _page(
    climate: Climate,
    found: Fingerprint,
    walls: WallWeather,
    system: System,
    pictures: dict[str, str],
) -> str:
    kind = kind_of_year(climate)
    place = f"{climate.place} ({climate.name})"
    alt = {
        "walls": f"Sun and driving rain on eight walls by month, {place}; the numbers are in the cells",
        "dew_point": f"Dew point of outdoor air by day beside the temperature of a room, {place}",
        "drive": f"Hours of inward and outward vapor drive by month {against_room(system)}, {place}",
    }
    return render_page(
        "climate.html",
        year=climate,
        kind=kind,
        built=kind == BUILT,
        typical_year=TYPICAL_YEAR,
        no_rain_known=NO_RAIN_KNOWN,
        index_limit=INDEX_LIMIT,
        cautions=CLIMATE_CAUTIONS,
        fingerprint=fingerprint_lines(found, system),
        facings=FACINGS,
        months=MONTHS,
        rain_unit=water_depth(system),
        rain_year=_rain(None if walls.rain_month is None else walls.rain_month.sum(axis=0), system),
        index=_rain(walls.airfield_index_facing, system),
        inward=walls.inward_hours_month.tolist(),
        outward=walls.outward_hours_month.tolist(),
        picture=pictures,
        alt=alt,
    )


def _rain(values: NDArray[np.float64] | None, system: System) -> list[str]:
    """Amounts as texts; none where no rain is known."""
    if values is None:
        return []
    return [f"{value:.{rain_decimals(system)}f}" for value in shown_rain(values, system)]
