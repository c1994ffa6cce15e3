"""Years of weather in the terminal: the list, and one year by month and facing, 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.weather import FACINGS, Fingerprint, WallWeather
from moistwall.climate.record import Climate
from moistwall.loads.driving_rain import INDEX_LIMIT, NO_RAIN_KNOWN
from moistwall.show.climate_words import (
    CLIMATE_CAUTIONS,
    against_room,
    fingerprint_lines,
    kind_of_year,
    rain_decimals,
    rain_unit,
    short_source,
    shown_rain,
    shown_sun,
    sun_decimals,
    sun_unit,
    water_depth,
)
from moistwall.show.names import MONTHS
from moistwall.show.wrapping import wrapped
from moistwall.units import System, convert, unit_label

Array = NDArray[np.float64]

NAME = 20


def list_text(years: list[tuple[Climate, Fingerprint]], system: System) -> str:
    """The list of years with their fingerprints and where they come from.

    Parameters
    ----------
    years : list of (Climate, Fingerprint)
        The years.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        Lines of at most 80 columns, but for long names.
    """
    degrees = unit_label("temperature", system)
    heads = (
        ("", "mean", "dew", "hours", "sun", "rain", "hours", "wettest"),
        ("", "", "point", ">75degF", "a day", "", "with it", "wall"),
        ("", degrees, degrees, "", sun_unit(system), rain_unit(system), "", ""),
    )
    lines = [_listed(*head) for head in heads]
    for climate, found in years:
        rain = hours = wettest = "-"
        if found.rain_depth is not None:
            rain = f"{shown_rain(found.rain_depth, system):.{rain_decimals(system)}f}"
            hours, wettest = str(found.rain_hours), found.wettest_facing or "none"
        lines.append(
            _listed(
                climate.name,
                f"{convert(found.temperature_mean, 'temperature', system):.1f}",
                f"{convert(found.dew_point_mean, 'temperature', system):.1f}",
                str(found.hours_dew_point_over_75_degF),
                f"{shown_sun(found.sun_per_day, system):.2f}",
                rain,
                hours,
                wettest,
            )
        )
    if any(found.rain_depth is None for _, found in years):
        lines += wrapped(f"- {NO_RAIN_KNOWN}, which does not mean that none fell", "  ")
    lines.append("")
    for climate, _ in years:
        text = f"{climate.name}: {climate.place}; {kind_of_year(climate)}; {short_source(climate)}"
        lines += wrapped(text)
    lines += ["", *_cautions()]
    return "\n".join(lines) + "\n"


def _listed(name: str, *cells: str) -> str:
    widths = (7, 7, 9, 10, 7, 9, 9)
    return (
        f"{name:{NAME}}"
        + "".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True)).rstrip()
    )


def climate_text(climate: Climate, found: Fingerprint, walls: WallWeather, system: System) -> str:
    """One year: where it comes from, its fingerprint, sun, rain and drive by month.

    Parameters
    ----------
    climate : Climate
        The year.
    found : Fingerprint
        Its fingerprint.
    walls : WallWeather
        What it brings to walls.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    lines = wrapped(f"{climate.name}: {climate.place}; {kind_of_year(climate)}")
    lines += wrapped(climate.source, "  source: ")
    for note in climate.notes:
        lines += wrapped(note, "  ")
    lines.append("")
    lines += [f"{what:36}{much}" for what, much in fingerprint_lines(found, system)]
    lines += ["", f"Sun on walls by month and by the direction they look to, {sun_unit(system)}"]
    lines += _table(shown_sun(walls.sun_month, system), sun_decimals(system))
    lines += ["", f"Driving rain on walls in the open, {water_depth(system)}"]
    if walls.rain_month is None or walls.airfield_index_facing is None:
        lines.append(f"  {NO_RAIN_KNOWN}")
    else:
        decimals = rain_decimals(system)
        lines += _table(shown_rain(walls.rain_month, system), decimals)
        index = shown_rain(walls.airfield_index_facing, system)
        lines.append(_row("index", index, decimals))
        lines += wrapped(f"index: annual airfield index. {INDEX_LIMIT}", "  ", "  ")
    lines += ["", *wrapped(f"Hours with vapor drive {against_room(system)}", "", "  ")]
    lines.append(f"  {'':4}{'inward':>9}{'outward':>9}")
    for month, inward, outward in zip(
        (*MONTHS, "year"),
        _with_sum(walls.inward_hours_month),
        _with_sum(walls.outward_hours_month),
        strict=True,
    ):
        lines.append(f"  {month:4}{int(inward):9}{int(outward):9}")
    lines += ["", *_cautions()]
    return "\n".join(lines) + "\n"


def _table(values: Array, decimals: int) -> list[str]:
    lines = [f"  {'':6}" + "".join(f"{facing:>8}" for facing in FACINGS)]
    lines += [_row(month, row, decimals) for month, row in zip(MONTHS, values, strict=True)]
    return [*lines, _row("year", values.sum(axis=0), decimals)]


def _row(label: str, values: Iterable[float], decimals: int) -> str:
    return f"  {label:6}" + "".join(f"{value:8.{decimals}f}" for value in values)


def _with_sum(hours: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.append(hours, hours.sum())


def _cautions() -> list[str]:
    lines = ["Cautions:"]
    for caution in CLIMATE_CAUTIONS:
        lines += wrapped(caution, "- ", "  ")
    return lines
