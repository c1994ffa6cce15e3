"""The least and the most in words: the answer with its bracket and margin, or why there is none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from moistwall import __version__
from moistwall.show.cautions import CAUTIONS
from moistwall.show.study_text import caution_lines
from moistwall.show.wrapping import wrapped
from moistwall.study.bisect import Found, Look, Wanted, moved
from moistwall.study.measures import MEASURES, Criterion
from moistwall.study.vary import text_of
from moistwall.units import System, convert, unit_label

DAYS = 365.0


def answer_lines(
    path: str, unit: str, criterion: Criterion, found: Found, wanted: Wanted
) -> list[str]:
    """The answer of a search in words.

    Parameters
    ----------
    path, unit : str
        Field that was varied, and the unit of its values.
    criterion : Criterion
        What was to hold.
    found : Found
        What the search came to.
    wanted : {'least', 'most'}
        What was sought.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    ends = found.looks[0].value, found.looks[-1].value
    span = f"from {text_of(ends[0], unit)} to {text_of(ends[1], unit)}"
    end = text_of(ends[0] if wanted == "least" else ends[1], unit)
    asked = f"'{criterion.text}'"
    margin = _margin(criterion, found)
    if found.kind == "found" and found.bracket and found.answer is not None:
        low, high = (text_of(value, unit) for value in found.bracket)
        said = (
            f"The {wanted} {path} that keeps to {asked} is {text_of(found.answer, unit)}: it turns "
            f"between {low} and {high}.{margin}"
        )
    elif found.kind == "all meet it":
        said = f"Every value {span} keeps to {asked}, {end} too; the turn lies beyond, if there is one.{margin}"
    elif found.kind == "none meets it":
        said = f"No value {span} keeps to {asked}: {path} alone does not do it."
    elif found.kind == "turns more than once":
        met = ", ".join(text_of(one.value, unit) for one in found.looks if one.met)
        said = (
            f"The answer turns more than once {span}, so that there is no {wanted}: of what was run, {met} "
            f"keep to {asked}. Sweep it."
        )
    elif found.kind == "other way round":
        met = "small" if found.looks[0].met else "large"
        said = (
            f"It is the {met} values that keep to {asked}, so that the {wanted} is the end {end}. "
            f"Ask for the {'most' if wanted == 'least' else 'least'}.{margin}"
        )
    else:
        said = (
            f"A value {span} could not be run or has no such number, so that nothing can be said."
        )
    lines = wrapped(said, other="")
    if found.flat and found.kind != "failed":
        hours = moved(found.looks, "hours_rh_80")
        judged = moved(found.looks, criterion.measure)
        lines += wrapped(
            f"{path} does not decide here: {span} the hours at or above 80 % RH move by no more than "
            f"{hours:.0f}, and {criterion.measure} by {judged:.2g}.",
            other="",
        )
    return lines


def _margin(criterion: Criterion, found: Found) -> str:
    """How far the answer keeps from the limit; of a verdict, how near its worst criterion comes."""
    at = next((one.measures for one in found.looks if one.value == found.answer), None)
    if at is None or found.margin is None:
        return ""
    if criterion.measure == "verdict":
        near = at.get("nearness")
        return (
            ""
            if near is None
            else f" The worst criterion is at {100.0 * near:.2g} % of its limit there."
        )
    unit = MEASURES[criterion.measure][1]
    return f" Margin there: {found.margin:.3g} {unit}".rstrip() + "."


def lever_lines(
    criterion: Criterion, base: dict[str, float], tried: Sequence[tuple[str, str, dict[str, float]]]
) -> list[str]:
    """What else might decide, the strongest first.

    Parameters
    ----------
    criterion : Criterion
        What is judged.
    base : dict
        Numbers of the file as it is.
    tried : sequence of (str, str, dict)
        What was tried, how, and the numbers.

    Returns
    -------
    list of str
    """
    names = [name for name in (criterion.measure, "nearness", "hours_rh_80") if name in base]

    def effect(numbers: dict[str, float]) -> tuple[float, ...]:
        return tuple(abs(numbers.get(name, base[name]) - base[name]) for name in names[-2:])

    rows = sorted(tried, key=lambda one: effect(one[2]), reverse=True)
    if not rows:
        return []
    lines = ["", "What else was tried, one thing at a time:"]
    for words, change, numbers in rows:
        told = ", ".join(f"{name} {base[name]:.4g} -> {numbers[name]:.4g}" for name in names[-2:])
        lines += wrapped(f"{words} ({change}): {told}", "- ", "  ")
    strongest, moved_most = rows[0][0], effect(rows[0][2])
    if moved_most[-1] >= 1.0 or moved_most[0] >= 0.05:
        lines += wrapped(f"Of these, {strongest} decides most.", other="")
    else:
        lines += wrapped("None of these decides either.", other="")
    return lines


def look_lines(unit: str, criterion: Criterion, looks: Sequence[Look]) -> list[str]:
    """All that was run, rising.

    Parameters
    ----------
    unit : str
        Unit of the values.
    criterion : Criterion
        What was judged.
    looks : sequence of Look
        What was run.
    """
    names = list(dict.fromkeys([criterion.measure, "nearness", "hours_rh_80"]))
    lines = ["", f"{'value':>16}" + "".join(f"{name:>20}" for name in names) + "  kept"]
    for look in looks:
        measures = look.measures or {}
        cells = "".join(
            f"{measures[name]:>20.4g}" if name in measures else f"{'-':>20}" for name in names
        )
        lines.append(f"{text_of(look.value, unit):>16}{cells}  {'yes' if look.met else 'no'}")
    return lines


def water_line(measures: dict[str, float], system: System) -> list[str]:
    """What leaked in at the answer, in a day and of the driving rain; nothing where nothing did.

    Parameters
    ----------
    measures : dict
        Numbers of the answer.
    system : {'ip', 'si'}
        Units.
    """
    leaked, rain = measures.get("leaked", 0.0), measures.get("rain", 0.0)
    if leaked <= 0.0:
        return []
    per_day = leaked / DAYS
    shown = f"{1000.0 * per_day:.3g} g/m2 day"
    if system == "ip":
        ounces = convert(per_day, "area_water", "ip")
        shown = f"{ounces:.3g} {unit_label('area_water', 'ip')} a day ({shown})"
    share = f", {100.0 * leaked / rain:.2g} % of the driving rain" if rain > 0.0 else ""
    return wrapped(
        f"Water that leaks in there, mean of the year, all leaks together: {shown}{share}.",
        other="",
    )


def search_data(
    path: str, unit: str, criterion: Criterion, found: Found, wanted: Wanted, tried: list[Any]
) -> dict[str, Any]:
    """The same as plain data.

    Parameters
    ----------
    path, unit, criterion, found, wanted
        As for `answer_lines`.
    tried : list
        What else was tried.
    """
    return {
        "moistwall": __version__,
        "study": wanted,
        "path": path,
        "unit": unit,
        "criterion": criterion.text,
        "criterion_source": criterion.source,
        "outcome": found.kind,
        "flat": found.flat,
        "answer": found.answer,
        "bracket": found.bracket,
        "margin": found.margin,
        "runs": [
            {"value": one.value, "met": one.met, "measures": one.measures} for one in found.looks
        ],
        "tried": tried,
        "cautions": list(CAUTIONS),
    }


def search_text(lines: Sequence[str]) -> str:
    """The whole text with the cautions.

    Parameters
    ----------
    lines : sequence of str
        All that comes before them.
    """
    return "\n".join([*lines, *caution_lines()])
