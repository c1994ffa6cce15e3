"""The three papers of a lesson: the page for the class, the handout to print, the key for the teacher."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from moistwall.lesson.columns import Step
from moistwall.lesson.numbers import (
    LIMIT,
    count,
    damp_limit,
    degrees,
    fahrenheit,
    grams,
    percent,
    stamp,
)
from moistwall.lesson.picture import (
    MOST_DRAWN,
    Scales,
    draw_moment,
    draw_section,
    draw_stairs,
    drops,
    edges,
    scales,
)
from moistwall.lesson.questions import TOLERANCE, questions
from moistwall.lesson.story import Lesson, Told, Weather
from moistwall.lesson.words import (
    CAN,
    CAN_KEY,
    MINUTES,
    SPONGE_KEY,
    WORDS,
    new_words,
    ticket,
)
from moistwall.show.drawing import Drawing
from moistwall.show.page import render_page
from moistwall.show.section import thickness_text
from moistwall.units import convert

if TYPE_CHECKING:
    from markupsafe import Markup

STYLES, SCRIPTS = ("lesson.css",), ("lesson.js",)
HIGH = 0.9
"""The other humidity that hours are counted at. [-]"""

DECIMALS = 4
"""Of the numbers in the page's data."""


def lesson_page(lesson: Lesson, *, trade: bool = False) -> str:
    """The page for the class.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    trade : bool
        Whether vapor pressure, perms and the saturation line are shown.

    Returns
    -------
    str
        HTML, one file that needs no network.
    """
    scale = scales(lesson)
    return render_page(
        "lesson.html",
        styles=STYLES,
        scripts=SCRIPTS,
        data=lesson_data(lesson, scale),
        stills=[
            [_still(lesson, design, moment, scale, trade) for design in (0, 1)]
            for moment in range(len(lesson.moments))
        ],
        **_common(lesson, scale, trade),
    )


def lesson_handout(lesson: Lesson, *, trade: bool = False) -> str:
    """The handout: pictures without water, empty staircases, questions and ticket, no answers.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    trade : bool
        As for `lesson_page`.
    """
    scale = scales(lesson)
    return render_page(
        "lesson_handout.html", styles=STYLES, data=None, **_common(lesson, scale, trade)
    )


def lesson_key(lesson: Lesson, *, trade: bool = False) -> str:
    """The teacher's key: every answer with what the run says to it.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    trade : bool
        As for `lesson_page`.
    """
    scale = scales(lesson)
    hands_on = CAN_KEY if WORDS[lesson.plan.name].hands_on == CAN else SPONGE_KEY
    return render_page(
        "lesson_key.html",
        styles=STYLES,
        data=None,
        hands_on_key=hands_on,
        **_common(lesson, scale, trade),
    )


def marked(text: str) -> Markup:
    """A text whose words between asterisks are being defined.

    Parameters
    ----------
    text : str
        Escaped, but for the asterisks.
    """
    from markupsafe import Markup, escape

    parts = re.split(r"\*([^*]+)\*", text)
    return Markup("").join(
        Markup("<dfn>{}</dfn>").format(part) if n % 2 else escape(part)
        for n, part in enumerate(parts)
    )


def _common(lesson: Lesson, scale: Scales, trade: bool) -> dict[str, Any]:
    """What all three papers are filled from."""
    words, asked = WORDS[lesson.plan.name], questions(lesson)
    return {
        "lesson": lesson,
        "words": words,
        "trade": trade,
        "minutes": MINUTES,
        "new_words": [marked(text) for _, text in new_words(lesson.plan.name, trade)],
        "questions": asked,
        "steps_moment": next(one.moment for one in asked if one.kind == "steps"),
        "tolerance": f"{TOLERANCE:.0f}",
        "tickets": ticket(lesson),
        "beliefs": [(belief.said, belief.shown(lesson)) for belief in words.beliefs],
        "when": [stamp(moment.hour) for moment in lesson.moments],
        "weather": [_weather_text(air) for air in lesson.weather],
        "layers": [layer_rows(told, trade) for told in lesson.designs],
        "layer_heads": ("no.", "outside to inside", "thickness", *(("perm",) if trade else ())),
        "sections": [_section(told) for told in lesson.designs],
        "blank": _blank(lesson, scale),
        "drop": grams(lesson.drop),
        "most_drawn": MOST_DRAWN,
        "damp_limit": damp_limit(),
        "low": scale.low,
        "high": scale.high,
        "balances": _balances(lesson),
        "runs": _runs(lesson),
        "run_heads": (
            *(factor.words for factor in lesson.plan.factors),
            *("dampest joint", "hours", "highest humidity", "verdict"),
        ),
        "moment_rows": [
            (moment.name, stamp(moment.hour), moment.rule) for moment in lesson.moments
        ],
        "joint_heads": (f"{percent(LIMIT)} RH or more", f"{percent(HIGH)} or more", "highest"),
    }


def _weather_text(air: Weather) -> str:
    rain = ""
    if air.rain_day is not None:
        inches = convert(air.rain_day / 1000.0, "length", "ip")
        rain = (
            f"; rain in the day before: {inches:.2f} in"
            if inches >= 0.005
            else "; no rain in the day before"
        )
    return (
        f"Outdoors {degrees(air.outdoor_temperature)}, dew point {degrees(air.outdoor_dew_point)}{rain}. Room "
        f"{degrees(air.room_temperature)}, dew point {degrees(air.room_dew_point)}."
    )  # fmt: skip


def layer_rows(told: Told, trade: bool) -> list[tuple[str, ...]]:
    """Rows of the table of layers, films and facers, outside to inside.

    Parameters
    ----------
    told : Told
        A design.
    trade : bool
        Whether the permeance of each is given.
    """
    rows = []
    for k, part in enumerate(told.parts):
        number = str(told.columns.index(k) + 1) if k in told.columns else ""
        name = part.name
        if part.made_of and part.made_of != part.name:
            name += f" ({part.made_of})"
        elif part.kind == "gap":
            name += f" ({part.material})"
        thickness = thickness_text(part.thickness, "ip") if part.thickness else "thin"
        row = [number, name, thickness]
        if trade:
            value = told.permeance[k]
            row.append("air" if value is None else f"{convert(value, 'permeance', 'ip'):.3g}")
        rows.append(tuple(row))
    return rows


def _drawing(told: Told, title: str, seen: str, height: float) -> Drawing:
    return Drawing(height, f"{told.label}: {title}", seen)


def _section(told: Told) -> Markup:
    names = ", ".join(f"{n} {told.parts[k].name}" for n, k in enumerate(told.columns, start=1))
    drawing = _drawing(told, "the section", f"From outside to inside: {names}.", 124.0)
    draw_section(drawing, told)
    return drawing.svg()


def _blank(lesson: Lesson, scale: Scales) -> Markup:
    told = lesson.designs[1]
    drawing = _drawing(told, "an empty staircase", "To be filled in by hand.", scale.height(False))
    draw_section(drawing, told)
    draw_stairs(drawing, told, None, scale)
    return drawing.svg()


def _still(lesson: Lesson, design: int, moment: int, scale: Scales, trade: bool) -> dict[str, Any]:
    told, one = lesson.designs[design], lesson.moments[moment]
    rows = still_rows(lesson, design, moment, trade)
    seen = "; ".join(f"{row[0]} dew point {row[2]}, {row[3]} drops" for row in rows[1:-1])
    drawing = _drawing(
        told, one.name, f"Steps from outside to inside: {seen}.", scale.height(trade)
    )
    draw_moment(drawing, lesson, design, moment, scale, trade)
    still = told.stills[moment]
    return {
        "picture": drawing.svg(),
        "rows": rows,
        "flows": [
            (joint.name, grams(abs(flow)), _way(flow))
            for joint, flow in zip(told.joints, still.vapor, strict=True)
        ]
        + [("leaking air, beyond what the other side's air has", grams(abs(still.leak)), _way(still.leak))],
    }  # fmt: skip


def _way(flow: float) -> str:
    return "inward" if flow > 0.0 else "outward" if flow < 0.0 else "neither way"


def still_rows(lesson: Lesson, design: int, moment: int, trade: bool) -> list[tuple[str, ...]]:
    """Rows of the table below a picture: each column's temperature, dew point and drops.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    design, moment : int
        Which.
    trade : bool
        Whether vapor pressure and saturation follow.
    """
    told = lesson.designs[design]
    still = told.stills[moment]
    names = ["outdoor air"]
    names += [f"{n} {told.parts[k].name}" for n, k in enumerate(told.columns, start=1)]
    names.append("room air")
    counted = ["", *(str(drops(extra, lesson.drop)) for extra in still.extra), ""]
    rows = []
    for name, step, number in zip(names, still.steps, counted, strict=True):
        dew = "no vapor inside" if step.dew_point is None else degrees(step.dew_point)
        row = [name, degrees(step.temperature), dew, number]
        if trade:
            vapor = "" if step.vapor_pressure is None else count(step.vapor_pressure)
            row += [vapor, count(step.saturation)]
        rows.append(tuple(row))
    return rows


def _balances(lesson: Lesson) -> list[tuple[str, ...]]:
    """Rows on how well each run closes."""
    named = [*((told.label, told) for told in lesson.designs)]
    named += [(", ".join(_chosen(lesson, choice)), told) for choice, told in lesson.variants]
    return [
        (
            name,
            str(told.years),
            "yes" if told.settled else "no, it still gains or loses",
            f"{told.balance.moisture_relative:.1e}",
            f"{told.balance.heat_relative:.1e}",
        )
        for name, told in named
    ]


def variant_name(lesson: Lesson, choice: tuple[int, ...]) -> str:
    """A choice of the what-ifs in words."""
    shown = zip(lesson.plan.factors, _chosen(lesson, choice), strict=True)
    return "; ".join(f"{factor.words}: {value}" for factor, value in shown)


def _chosen(lesson: Lesson, choice: tuple[int, ...]) -> tuple[str, ...]:
    chosen = zip(lesson.plan.factors, choice, strict=True)
    return tuple(factor.options[k].shown for factor, k in chosen)


def _runs(lesson: Lesson) -> list[tuple[str, ...]]:
    """Rows of the table of variants."""
    return [
        (
            *_chosen(lesson, choice),
            told.wettest.name,
            count(told.wettest.hours_rh_80),
            percent(told.wettest.highest_rh),
            told.verdict,
        )
        for choice, told in lesson.variants
    ]


def lesson_data(lesson: Lesson, scale: Scales) -> dict[str, Any]:
    """The numbers that the page's script reads, and that its texts and pictures are from.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    scale : Scales
        Scales of its pictures.

    Returns
    -------
    dict
        Fit for JSON; keys name their units.
    """
    return {
        "lesson": lesson.plan.name,
        "climate": lesson.climate_name,
        "low_degF": scale.low,
        "high_degF": scale.high,
        "tolerance_degF": TOLERANCE,
        "damp_limit": damp_limit(),
        "drop_kg_per_m2": lesson.drop,
        "moments": [
            {"name": one.name, "hour": one.hour, "rule": one.rule} for one in lesson.moments
        ],
        "questions": [
            {
                "key": one.key,
                "kind": one.kind,
                "moment": one.moment,
                "answers": one.answers,
                "near": one.near,
            }
            for one in questions(lesson)
        ],
        "start": lesson.plan.start,
        "designs": [{"label": told.label, **_told_data(told)} for told in lesson.designs],
        "variants": [
            {"choice": choice, "name": variant_name(lesson, choice), **_told_data(told)}
            for choice, told in lesson.variants
        ],
    }


def _told_data(told: Told) -> dict[str, Any]:
    return {
        "columns": [told.parts[k].name for k in told.columns],
        "edges_percent": [round(edge, 2) for edge in edges(told)],
        "verdict": told.verdict,
        "decided_by": told.decided_by,
        "years_run": told.years,
        "repeats_itself": told.settled,
        "dampest_joint": told.wettest.name,
        "joints": [
            {
                "name": joint.name,
                "outside_of_rain_control": joint.outboard,
                "hours_rh_80": joint.hours_rh_80,
                "hours_rh_90": joint.hours_rh_90,
                "highest_rh_percent": round(100.0 * joint.highest_rh, 1),
            }
            for joint in told.joints
        ],
        "vapor_inward_kg_per_m2_year": round(told.vapor_year, DECIMALS),
        "leak_inward_kg_per_m2_year": round(told.leak_year, DECIMALS),
        "dew_outside_hours": told.dew_hours,
        "days_to_dry": told.days_to_dry,
        "moisture_balance": told.balance.moisture_relative,
        "heat_balance": told.balance.heat_relative,
        "stills": [
            {
                "steps": [_step_data(step) for step in still.steps],
                "extra_kg_per_m2": [round(extra, DECIMALS) for extra in still.extra],
                "vapor_g_per_m2_h": [round(1000.0 * flow, DECIMALS) for flow in still.vapor],
                "leak_g_per_m2_h": round(1000.0 * still.leak, DECIMALS),
            }
            for still in told.stills
        ],
    }


def _step_data(step: Step) -> dict[str, float | None]:
    dew = step.dew_point
    return {
        "temperature_degF": round(fahrenheit(step.temperature), 2),
        "dew_point_degF": None if dew is None else round(fahrenheit(dew), 2),
        "vapor_pressure_Pa": None if step.vapor_pressure is None else round(step.vapor_pressure, 1),
        "saturation_Pa": round(step.saturation, 1),
    }


__all__ = [
    "layer_rows",
    "lesson_data",
    "lesson_handout",
    "lesson_key",
    "lesson_page",
    "marked",
    "still_rows",
    "variant_name",
]
