"""Mold, wood, attic air and the verdict as plain data for the summary, always in SI."""

from __future__ import annotations

from typing import Any

from moistwall.assess.attic_air import HOT_LIMITS, attic_air
from moistwall.assess.criteria import QUANTITIES
from moistwall.assess.measure import Answers
from moistwall.assess.mold import MoldGrowth
from moistwall.assess.verdict import Finding, Judged, Verdict
from moistwall.assess.wood import RunningMonth, running_months, wood_moisture
from moistwall.result import Result
from moistwall.show.names import place_name
from moistwall.study.judged import JudgedRun
from moistwall.study.whole_run import WholeRun

UNITS = {
    "index": "1",
    "time": "h",
    "share": "1",
    "moisture_content": "kg/kg",
    "area_water": "kg/m2",
}
"""Unit of the numbers of each kind of quantity."""


def answers_data(answers: Answers) -> dict[str, Any]:
    """Mold at every side, wood, the older rule of the running month, the air of attics.

    Parameters
    ----------
    answers : Answers
        Of a computed year.

    Returns
    -------
    dict
        Keys of the summary.
    """
    result = answers.result
    *months, outdoor = running_months(result)
    return {
        "mold": [
            {"short_name": place_name(result, place), **_mold(row)}
            for place, row in zip(result.places, answers.mold, strict=True)
        ],
        "mold_outdoors": [_mold(row) for row in answers.mold_outdoors.values()],
        "wood": wood_data(result),
        "running_month": [
            {"name": place.name, "side": place.side, **_month(row)}
            for place, row in zip(result.places, months, strict=True)
        ],
        "running_month_outdoors": _month(outdoor),
        "attic_air": [
            {
                "gap": row.name,
                "limits_degC": list(HOT_LIMITS),
                "hours_over": list(row.hours_over),
                "hours_over_first_by_month": [float(value) for value in row.hours_over_month],
                "highest_degC": row.highest,
                "highest_month": row.highest_month,
                "mean_degC": row.mean,
                "outdoor_highest_degC": row.outdoor_highest,
            }
            for row in attic_air(result)
        ],
    }


def wood_data(result: Result) -> list[dict[str, Any]]:
    """Moisture content of each slice of wood.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    list of dict
    """
    return [
        {
            "layer": row.part,
            "slice": row.slice,
            "outboard": row.outboard,
            "mean_kg_kg": row.mean,
            "highest_kg_kg": row.highest,
            "highest_range_kg_kg": list(row.highest_range),
            "highest_month": row.highest_month,
            "limits_kg_kg": list(row.limits),
            "equivalent_rh": list(row.equivalent_rh),
            "hours_over": list(row.hours_over),
            "longest_over": list(row.longest_over),
            "fastener_hours": row.fastener_hours,
            "fastener_longest": row.fastener_longest,
        }
        for row in wood_moisture(result)
    ]


def _mold(row: MoldGrowth) -> dict[str, Any]:
    return {
        "name": row.name,
        "side": row.side,
        "part": row.part,
        "outboard": row.outboard,
        "of": row.mold_of,
        "class": row.mold_class,
        "class_assumed": row.class_assumed,
        "growing_hours": row.growing_hours,
        "peak_year": list(row.peak_year),
        "end_year": list(row.end_year),
        "peak_year_quick": list(row.peak_year_quick),
        "end_year_quick": list(row.end_year_quick),
        "peak_range": list(row.peak_range),
        "rising": row.rising,
    }


def _month(row: RunningMonth) -> dict[str, Any]:
    return {"highest_rh": row.highest, "hours": row.hours, "hours_metal": row.hours_metal}


def verdict_data(run: WholeRun, judged: JudgedRun) -> dict[str, Any]:
    """The verdict with everything that it rests on.

    Parameters
    ----------
    run : WholeRun
        What was run.
    judged : JudgedRun
        What criteria make of it.

    Returns
    -------
    dict
    """
    driver, remedy, confidence = judged.driver, judged.remedy, judged.confidence
    decisive = None
    if judged.decisive is not None:
        finding, at_studs = judged.decisive
        decisive = {"criterion": finding.criterion.name, "at_studs": at_studs}
    return {
        "overall": judged.overall,
        "criteria_name": judged.criteria.name,
        "criteria_note": judged.criteria.note,
        "clear": _verdict(run.clear, judged.clear),
        "studs": None
        if judged.stud is None or run.stud is None
        else _verdict(run.stud, judged.stud),
        "ridge": None
        if judged.ridge is None or run.ridge is None
        else _verdict(run.ridge, judged.ridge),
        "rooms": [
            {"room": name, **_verdict(result, verdict)}
            for (name, verdict), (_, result) in zip(judged.rooms, run.rooms, strict=True)
        ],
        "worst": [
            {"criterion": one.criterion.name, "at_studs": at_studs}
            for one, at_studs in judged.worst
        ],
        "decisive": decisive,
        "cause": None
        if driver is None
        else {
            "kind": driver.kind,
            "layer": driver.part,
            "amount_kg_m2": driver.amount,
            "share": driver.share,
            "names": list(driver.names),
        },
        "remedy": None
        if remedy is None
        else {"kind": remedy.kind, "what": remedy.what, "share": remedy.share},
        "confidence": None
        if confidence is None
        else {
            "distance": confidence.distance,
            "words_of_bracket": list(confidence.words),
            "from_memory": list(confidence.from_memory),
        },
    }


def _verdict(result: Result, verdict: Verdict) -> dict[str, Any]:
    return {
        "overall": verdict.overall,
        "criteria": [_judged(result, one) for one in verdict.judged],
    }


def _judged(result: Result, judged: Judged) -> dict[str, Any]:
    criterion = judged.criterion
    return {
        "name": criterion.name,
        "quantity": criterion.quantity,
        "unit": UNITS[QUANTITIES[criterion.quantity].kind],
        "limit": criterion.limit,
        "marginal": criterion.marginal,
        "comparison": criterion.comparison,
        "threshold": criterion.threshold,
        "counts": criterion.counts,
        "everywhere": criterion.everywhere,
        "kinds": list(criterion.kinds),
        "source": criterion.source.text,
        "quality": criterion.source.quality,
        "word": judged.word,
        "worst": None if judged.worst is None else _finding(result, judged.worst),
        "findings": [_finding(result, one) for one in judged.findings],
    }


def _finding(result: Result, finding: Finding) -> dict[str, Any]:
    at = finding.at
    place = None if at.place is None else result.places[at.place]
    return {
        "word": finding.word,
        "value": at.value,
        "range": [at.low, at.high],
        "outdoor": at.outdoor,
        "nearness": finding.nearness,
        "season_months": None if finding.season is None else list(finding.season),
        "rising": at.rising,
        "interface": None if place is None else place.name,
        "side": None if place is None else place.side,
        "layer": at.part,
        "slice": at.slice,
        "outboard": at.outboard,
    }
