"""The report of a run as one page: verdict first, then where and when it is wet, and all that it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from moistwall.air import saturation_pressure
from moistwall.assess.attic_air import attic_air
from moistwall.assess.budget import air_carried, budget
from moistwall.assess.drying import GapDrying, gap_drying
from moistwall.assess.validity import beyond_ranges
from moistwall.assess.verdict import Finding, Verdict, worst_findings
from moistwall.assess.weather import WallWeather
from moistwall.loads.driving_rain import NO_RAIN_KNOWN
from moistwall.result import Result
from moistwall.section import Section
from moistwall.show.beyond import beyond_lines
from moistwall.show.climate_drawing import drive_strip, facing_of, facing_strip
from moistwall.show.climate_pictures import sun_ramp
from moistwall.show.climate_words import (
    against_room,
    rain_decimals,
    shown_rain,
    shown_sun,
    sun_unit,
    water_depth,
)
from moistwall.show.criteria_drawing import ruler
from moistwall.show.drawing import verdict_mark
from moistwall.show.growth import attic_lines
from moistwall.show.inputs import input_heads, input_rows
from moistwall.show.names import MONTHS, water_control_name
from moistwall.show.page import render_page
from moistwall.show.palette import HUMIDITY_MAP
from moistwall.show.places_drawing import DOWN_SAMPLED, strips
from moistwall.show.report_tables import closing_rows, hours_table, mold_table, wood_table
from moistwall.show.section_drawing import numbered_parts, section_drawing
from moistwall.show.text import LEGEND, without_hours
from moistwall.show.verdict import (
    confidence_words,
    driver_words,
    number_words,
    place_words,
    remedy_words,
)
from moistwall.show.water import (
    air_lines,
    heat_lines,
    stage_lines,
    start_lines,
    water_number,
    water_unit,
)
from moistwall.show.water_drawing import cause_bars, gap_bars
from moistwall.show.wrapping import bullets
from moistwall.show.year_drawing import (
    dew_points_drawing,
    humidity_map_drawing,
    humidity_scale_drawing,
)
from moistwall.show.zone import ridge_lines, zone_lines
from moistwall.study.judged import JudgedRun
from moistwall.study.whole_run import WholeRun
from moistwall.units import System, convert, format_quantity, unit_label

if TYPE_CHECKING:
    from markupsafe import Markup


@dataclass(frozen=True)
class Ruled:
    """A criterion as the page shows it.

    Parameters
    ----------
    name, word, found, limit, bracket, outdoors, where, source : str
        In words; empty what there is nothing to say of.
    counts : bool
        Whether the verdict takes it in.
    mark, picture : Markup
        Mark of the word, and the ruler.
    """

    name: str
    word: str
    found: str
    limit: str
    bracket: str
    outdoors: str
    where: str
    source: str
    counts: bool
    mark: Markup
    picture: Markup


def report_page(
    run: WholeRun,
    judged: JudgedRun,
    system: System,
    section: Section | None = None,
    walls: WallWeather | None = None,
    *,
    brief: bool = False,
) -> str:
    """The report of a run as a page.

    Parameters
    ----------
    run : WholeRun
        What was run.
    judged : JudgedRun
        What criteria make of it.
    system : {'ip', 'si'}
        Units to show.
    section : Section or None
        What was run, for the table of inputs; without it the page has the names of the materials only.
    walls : WallWeather or None
        What the year brings to walls, for the strip of weather.
    brief : bool
        Only the first sheets: the answer, the section, where and when it is wet; and the cautions.

    Returns
    -------
    str
        HTML in one file.
    """
    result = run.clear
    found = [] if brief else strips(result, system)
    data = {
        "strips": [strip.values for strip in found],
        "degrees": unit_label("temperature", system),
    }
    return render_page(
        "report.html",
        data=None if brief else data,
        brief=brief,
        result=result,
        mark=verdict_mark(judged.overall),
        marks={word: verdict_mark(word) for word in ("dries", "marginal", "stays wet")},
        overall=judged.overall,
        control=water_control_name(result),
        block=_block(result, system),
        **_answer(run, judged, system),
        parts=numbered_parts(result, system),
        section_picture=section_drawing(result, system),
        section_note=_lies(result),
        year_picture=humidity_map_drawing(result, system),
        year_scale=humidity_scale_drawing(),
        dew_picture=dew_points_drawing(result, system),
        legend=LEGEND.format(
            margin="1.8 degF" if system == "ip" else "1 K", unit=unit_label("temperature", system)
        ),
        hours=hours_table(result, system),
        stud_hours=None if run.stud is None else hours_table(run.stud, system),
        ridge_hours=None if run.ridge is None else hours_table(run.ridge, system),
        roof_word=judged.clear.overall,
        ridge_word=None if judged.ridge is None else judged.ridge.overall,
        zone_words="\n".join(_zone(run, system)).rstrip(),
        strips=found,
        months=MONTHS,
        down_sampled=DOWN_SAMPLED,
        mold=mold_table(judged.answers),
        wood=wood_table(result),
        stud_wood=((), []) if run.stud is None else wood_table(run.stud),
        ridge_wood=((), []) if run.ridge is None else wood_table(run.ridge),
        attic=_joined(attic_lines(result, system)) if attic_air(result) else "",
        **_water(run, system),
        water_unit=water_unit(system)[0],
        weather=None if walls is None else _weather(result, walls, system),
        input_heads=input_heads(system),
        inputs=[] if section is None else input_rows(section, system),
        check_words=""
        if run.check is None
        else "\n".join(without_hours(run.check, result, system)).rstrip(),
        beyond=[]
        if run.check is None
        else bullets(beyond_lines(beyond_ranges(run.check.section, result))),
        closing=closing_rows(result, system),
        drained=format_quantity(float(result.drained_cell.sum()), "area_water", system),
    )


def _zone(run: WholeRun, system: System) -> list[str]:
    """The air of the zone, and that below its ridge; nothing without one."""
    lines = zone_lines(run.clear, system)
    return lines if run.ridge is None else [*lines, *ridge_lines(run.ridge, system)]


def _joined(lines: list[str]) -> str:
    return " ".join(line.strip() for line in lines).strip()


def _lies(result: Result) -> str:
    """How a section that is no wall lies in truth."""
    if result.tilt == 90.0:
        return ""
    up = "outside on top" if result.tilt < 90.0 else "outside below"
    level = result.tilt if result.tilt < 90.0 else 180.0 - result.tilt
    return f"Drawn upright; in truth it lies {level:.3g} degrees from level, {up}."


def _block(result: Result, system: System) -> list[tuple[str, str]]:
    """The fields of the title block."""
    facing = facing_of(result.tilt, result.azimuth)
    plane = f"wall, facing {facing}" if facing else f"{result.tilt:.3g} degrees from level"
    vapor = float(result.room_vapor.mean())
    temperature = float(result.room_temperature.mean())
    rh = vapor / saturation_pressure(temperature)
    room = f"{format_quantity(temperature, 'temperature', system)}, {100.0 * rh:.0f} % RH"
    return [
        ("climate", f"{result.climate_place} ({result.climate_name})"),
        ("plane", plane),
        ("room, mean of the year", room),
        ("made by", f"moistwall {result.version}"),
    ]


def _answer(run: WholeRun, judged: JudgedRun, system: System) -> dict[str, Any]:
    """What the first sheet says."""
    rules = [
        _ruled(run, one.worst, system, at_studs=False) for one in judged.clear.judged if one.worst
    ]
    idle = [one.criterion.name for one in judged.clear.judged if one.worst is None]
    studs: list[Ruled] = []
    if judged.stud is not None:
        studs = [
            _ruled(run, one.worst, system, at_studs=True) for one in judged.stud.judged if one.worst
        ]
    confidence = ""
    if judged.confidence is not None and judged.decisive is not None:
        confidence = confidence_words(judged.decisive[0], judged.confidence, system)
    return {
        "criteria": judged.criteria,
        "nearest": [
            _ruled(run, finding, system, at_studs=at_studs) for finding, at_studs in judged.worst
        ],
        "rules": rules,
        "stud_rules": studs,
        "idle": idle,
        "paths": None if judged.stud is None else (judged.clear.overall, judged.stud.overall),
        "cause": driver_words(judged.driver, system) if judged.driver else "",
        "remedy": remedy_words(judged.remedy) if judged.overall != "dries" else "",
        "confidence": confidence,
        "leans": [] if judged.confidence is None else list(judged.confidence.from_memory),
        "rooms": [(name, verdict.overall, _worst(verdict, system)) for name, verdict in judged.rooms],
    }  # fmt: skip


def _worst(verdict: Verdict, system: System) -> str:
    told = []
    for finding in worst_findings(verdict, 1):
        found = number_words(finding.criterion, finding.at.value, system)
        limit = number_words(finding.criterion, finding.criterion.limit, system)
        told.append(f"{finding.criterion.name} {found}, limit {limit}")
    return "; ".join(told)


def _ruled(run: WholeRun, finding: Finding, system: System, *, at_studs: bool) -> Ruled:
    criterion, at = finding.criterion, finding.at
    found, limit = (number_words(criterion, value, system) for value in (at.value, criterion.limit))
    low, high = (number_words(criterion, value, system) for value in (at.low, at.high))
    outdoors = "" if at.outdoor is None else number_words(criterion, at.outdoor, system)
    source = f"{criterion.source.text} ({criterion.source.quality})"
    return Ruled(
        criterion.name,
        finding.word,
        found + (", still rising" if at.rising else ""),
        limit,
        "" if low == high else f"{low} to {high}",
        outdoors,
        place_words(run, finding, at_studs=at_studs),
        source,
        criterion.counts,
        verdict_mark(finding.word),
        ruler(finding, found, limit),
    )


def _water(run: WholeRun, system: System) -> dict[str, Any]:
    """The sheet of water: by cause, by gap, by air, by test, from a wet start."""
    result = run.clear
    unit, _ = water_unit(system)
    factor = float(convert(1.0, "area_water", "ip")) if system == "ip" else 1.0
    account = budget(result)
    rows = [(cause.name, factor * cause.came, factor * cause.went) for cause in account.causes]
    shown = 1 if system == "ip" else 3
    places = 0 if system == "ip" else 2
    gaps = [
        (gap, gap_bars(gap, factor, unit, places), _gap_rows(gap, factor, places))
        for gap in gap_drying(result)
    ]
    return {
        "cause_picture": cause_bars(rows, unit, shown),
        "stored": water_number(account.stored, system),
        "missing": f"{factor * account.missing:.1e}",
        "gaps": gaps,
        "air_words": "" if air_carried(result) is None else _joined(air_lines(result, system)),
        "start_words": "\n".join(start_lines(result, system)),
        "stage_words": "\n".join(stage_lines(run.stages, system)),
        "heat_words": _joined(heat_lines(run, system)),
    }


def _gap_rows(gap: GapDrying, factor: float, decimals: int) -> list[tuple[str, ...]]:
    columns = (gap.potential_month, gap.removed_month, gap.removed_from_inner_month)
    rows = [*zip(*columns, strict=True), tuple(one.sum() for one in columns)]
    return [
        (name, *(f"{round(factor * float(value), decimals) + 0.0:.{decimals}f}" for value in row))
        for name, row in zip((*MONTHS, "year"), rows, strict=True)
    ]


def _weather(result: Result, walls: WallWeather, system: System) -> dict[str, Any]:
    from matplotlib import colormaps

    mine = facing_of(result.tilt, result.azimuth)
    rain = None
    if walls.rain_month is not None:
        rain = facing_strip(
            f"Driving rain in the open, {water_depth(system)}",
            np.asarray(shown_rain(walls.rain_month, system)),
            rain_decimals(system),
            colormaps[HUMIDITY_MAP],
            mine,
        )
    return {
        "mine": mine,
        "sun": facing_strip(
            f"Sun, {sun_unit(system)}",
            np.asarray(shown_sun(walls.sun_month, system)),
            0,
            sun_ramp(),
            mine,
        ),
        "sun_title": f"Sun, {sun_unit(system)}",
        "rain": rain,
        "rain_title": f"Driving rain in the open, {water_depth(system)}",
        "no_rain": NO_RAIN_KNOWN,
        "drive": drive_strip(walls),
        "room": against_room(system),
    }
