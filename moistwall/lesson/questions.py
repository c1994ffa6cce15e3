"""What a lesson asks, and what the run answers: guesses are scored against numbers of the run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from moistwall.lesson.numbers import (
    count,
    damp_limit,
    degrees,
    fahrenheit,
    grams,
    hours,
)
from moistwall.lesson.story import Lesson, Told

TOLERANCE = 5.0
"""A step that is guessed within so much counts as right. [K of the Fahrenheit scale]"""

A_DAY = 24
"""Designs that differ by less than a day in the year, or by a tenth, are about the same. [h]"""

INWARD, OUTWARD = "inward", "outward"
FEW_DAYS = ((7.0, "within a week"), (30.0, "within a month"), (90.0, "within three months"))
RATIOS = (
    (1.0, "less than vapor does"),
    (10.0, "up to ten times as much"),
    (100.0, "up to a hundred times as much"),
)


@dataclass(frozen=True)
class Question:
    """One thing to guess before the pictures are shown.

    Parameters
    ----------
    key : str
        Its name in the page.
    kind : {'pick', 'ways', 'steps'}
        One of several; a direction for each moment; heights of steps.
    ask : str
        The question.
    rows : tuple of str
        What is to be said something about; one empty text where only one choice is to be made.
    options : tuple of str
        What may be chosen.
    answers : tuple of str
        For each row, the option that the run gives, or the height of a step in degF.
    near : tuple of str
        Options that are nearly right, for half a point.
    why : tuple of str
        What the run says, in sentences.
    moment : int
        Of steps, the moment that they are asked for.
    """

    key: str
    kind: Literal["pick", "ways", "steps"]
    ask: str
    rows: tuple[str, ...]
    options: tuple[str, ...]
    answers: tuple[str, ...]
    near: tuple[str, ...]
    why: tuple[str, ...]
    moment: int = 0


def questions(lesson: Lesson) -> tuple[Question, ...]:
    """All questions of a lesson, with the answers of its run.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.
    """
    last = _days(lesson) if lesson.plan.name == "dry-out" else _leak(lesson)
    return (_ways(lesson), _steps(lesson), _joint(lesson), _design(lesson), last)


def _ways(lesson: Lesson) -> Question:
    answers = tuple(INWARD if one.inward else OUTWARD for one in lesson.weather)
    rows = tuple(
        f"{moment.name}: outdoors {degrees(air.outdoor_temperature)} with a dew point of "
        f"{degrees(air.outdoor_dew_point)}, the room {degrees(air.room_temperature)} with a dew point of "
        f"{degrees(air.room_dew_point)}"
        for moment, air in zip(lesson.moments, lesson.weather, strict=True)
    )
    told = lesson.designs[1]
    why = (
        "Vapor goes from the higher dew point to the lower, whichever side is warmer.",
        f"In {hours(told.hours_crossed)} of this year the warmer side had the lower dew point: whoever goes by "
        "temperature alone is wrong in all of them.",
    )
    return Question(
        "ways", "ways", "Which way is vapor driven?", rows, (INWARD, OUTWARD), answers, (), why
    )


def _steps(lesson: Lesson) -> Question:
    at_moment = 1 if lesson.plan.name == "dry-out" else 0
    told, moment = lesson.designs[1], lesson.moments[at_moment]
    still = told.stills[at_moment]
    names = [told.parts[k].name for k in told.columns]
    rows, answers, heights = [], [], []
    for n, (name, step) in enumerate(zip(names, still.steps[1:-1], strict=True), start=1):
        if step.dew_point is not None:
            rows.append(f"{n} {name}")
            heights.append(f"{name} {fahrenheit(step.dew_point):.0f}")
            answers.append(f"{fahrenheit(step.dew_point):.0f}")
    drops = _drops(told, at_moment)
    why = [
        f"The steps from outside to inside: outdoors {_step(still.steps[0].dew_point)}, "
        + ", ".join(heights)
        + f" degF, room {_step(still.steps[-1].dew_point)}."
    ]
    if drops is not None:
        high, low, fall = drops
        why.append(
            f"The largest step down on the way in is from {high} to {low}, {fall:.0f} degF: something there "
            "lets little vapor through."
        )
    highest = max(
        (one for one in still.steps if one.dew_point is not None),
        key=lambda one: one.dew_point or 0.0,
    )
    at = still.steps.index(highest)
    if 0 < at < len(still.steps) - 1 and highest.dew_point is not None:
        why.append(
            f"The highest step is {names[at - 1]}, above the air on both sides: it gives off vapor both ways."
        )
    ask = f"Draw the staircase of '{told.label}', {moment.name}: how high is the dew point in each layer?"
    return Question(
        "steps", "steps", ask, tuple(rows), (), tuple(answers), (), tuple(why), at_moment
    )


def _step(celsius: float | None) -> str:
    return "none" if celsius is None else degrees(celsius)


def _drops(told: Told, moment: int) -> tuple[str, str, float] | None:
    """The largest fall of the dew point between neighbors on the way in: from, to, degF."""
    names = ["outdoor air", *(told.parts[k].name for k in told.columns), "the room"]
    known = [
        (name, step.dew_point)
        for name, step in zip(names, told.stills[moment].steps, strict=True)
        if step.dew_point is not None
    ]
    falls = [(a[0], b[0], fahrenheit(a[1]) - fahrenheit(b[1])) for a, b in pairwise(known)]
    best = max(falls, key=lambda one: one[2])
    return best if best[2] > 0.0 else None


NOWHERE = "none of them"


def _joint(lesson: Lesson) -> Question:
    told = lesson.designs[1]
    inside = [told.joints[k] for k in told.inside]
    options = (*(joint.name for joint in inside), NOWHERE)
    wet = told.wettest
    some = wet.hours_rh_80 > 0
    at = inside.index(wet)
    near = tuple(inside[k].name for k in (at - 1, at + 1) if some and 0 <= k < len(inside))
    listed = "; ".join(f"{one.name} {hours(one.hours_rh_80)}" for one in inside)
    why = [f"Hours of the year at or above {damp_limit()}: {listed}."]
    if 2 * told.room_hours_rh_80 < wet.hours_rh_80:
        why.append(
            f"Yet the face that the room sees is that damp for {hours(told.room_hours_rh_80)}: what is wet is "
            "hidden."
        )
    there = _why_there(told, lesson)
    if there is not None:
        why.append(there)
    return Question(
        "joint",
        "pick",
        f"Place the wet spot: where do two layers of '{told.label}' spend most hours of the year at or "
        f"above {damp_limit()}? (Inside of the layer that keeps the rain out.)",
        ("",),
        options,
        (wet.name if some else NOWHERE,),
        near,
        tuple(why),
    )


def _why_there(told: Told, lesson: Lesson) -> str | None:
    """Dew point outside of the dampest joint and temperature inside of it, at the moment when they are nearest."""
    column = told.wettest.column
    names = ["outdoor air", *(told.parts[k].name for k in told.columns), "the room"]
    near = []
    for moment, still in zip(lesson.moments, told.stills, strict=True):
        outer, inner = still.steps[column], still.steps[column + 1]
        if outer.dew_point is not None:
            near.append((inner.temperature - outer.dew_point, moment.name, outer.dew_point, inner))
    if not near:
        return None
    _, when, dew_point, inner = min(near, key=lambda one: one[0])
    return (
        f"In the moment '{when}' the dew point in {names[column]} was {degrees(dew_point)}, and "
        f"{names[column + 1]} was at {degrees(inner.temperature)}: the nearer these come, the damper it "
        "is where they meet."
    )


def _design(lesson: Lesson) -> Question:
    one, two = lesson.designs
    a, b = one.wettest.hours_rh_80, two.wettest.hours_rh_80
    same = "about the same"
    least = max(0.1 * max(a, b), A_DAY)
    answer = same if abs(a - b) <= least else one.label if a > b else two.label
    why = (
        f"Dampest joint of '{one.label}': {one.wettest.name}, {hours(a)}. Of '{two.label}': {two.wettest.name}, "
        f"{hours(b)}.",
        f"By the screening criteria '{one.label}' {_verdict(one)}, '{two.label}' {_verdict(two)}.",
    )
    return Question(
        "design",
        "pick",
        f"Which design has a joint that is damp for longer: '{one.label}' or '{two.label}'?",
        ("",),
        (one.label, two.label, same),
        (answer,),
        (),
        why,
    )


def _verdict(told: Told) -> str:
    said = "is marginal" if told.verdict == "marginal" else told.verdict
    return f"{said} (nearest to its limit: {told.decided_by})" if told.decided_by else said


def _ladder(
    value: float, limits: Sequence[tuple[float, str]], beyond: str
) -> tuple[tuple[str, ...], str, tuple[str, ...]]:
    options = (*(words for _, words in limits), beyond)
    at = next((k for k, (limit, _) in enumerate(limits) if value <= limit), len(limits))
    near = tuple(options[k] for k in (at - 1, at + 1) if 0 <= k < len(options))
    return options, options[at], near


def _leak(lesson: Lesson) -> Question:
    told = lesson.designs[1]
    ratio = told.leak_year / told.vapor_year if told.vapor_year > 0.0 else float("inf")
    options, answer, near = _ladder(ratio, RATIOS, "more than that")
    whose = f"as leaky as in the test '{lesson.leak_test}'" if lesson.leak_test else "as it was run"
    beside = " The leak is shown beside the run and is not in it." if lesson.leak_test else ""
    why = (
        f"In the year leaking air brought {grams(told.leak_year)} inward on each square meter, beyond what the "
        f"room's air had; vapor that went inward through the layers themselves {grams(told.vapor_year)}, "
        f"{told.lining.name}. That is {_times(ratio)}.{beside}",
    )
    return Question(
        "leak",
        "pick",
        "How much water does air bring in through leaks in a year, beside what vapor does through the layers? "
        f"(The house {whose}.)",
        ("",),
        options,
        (answer,),
        near,
        why,
    )


def _times(ratio: float) -> str:
    if ratio == float("inf"):
        return "all against nothing"
    return f"{ratio:.1f} times as much" if ratio < 10.0 else f"{count(ratio)} times as much"


def _days(lesson: Lesson) -> Question:
    one, two = lesson.designs
    found = two.days_to_dry
    options, answer, near = _ladder(
        float("inf") if found is None else found, FEW_DAYS, "longer than that"
    )
    return Question(
        "days",
        "pick",
        f"After the storm, when does every hidden joint of '{two.label}' stay below {damp_limit()} for a "
        "whole day?",
        ("",),
        options,
        (answer,),
        near,
        (f"'{one.label}' took {days(one)}, '{two.label}' {days(two)}.",),
    )


def days(told: Told) -> str:
    """How long a design took to dry, in words."""
    return "longer than the year" if told.days_to_dry is None else f"{told.days_to_dry:.1f} days"
