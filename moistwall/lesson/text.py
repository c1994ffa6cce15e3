"""A lesson in a few lines for the terminal."""

from __future__ import annotations

from moistwall.lesson.numbers import damp_limit, degrees, hours, stamp
from moistwall.lesson.story import Lesson
from moistwall.lesson.words import WORDS
from moistwall.show.wrapping import wrapped


def lesson_text(lesson: Lesson) -> str:
    """What was made: the moments, the two designs, the variants.

    Parameters
    ----------
    lesson : Lesson
        A computed lesson.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    lines = [WORDS[lesson.plan.name].title, f"A year in {lesson.climate_place}.", "", "Moments:"]
    for moment, air in zip(lesson.moments, lesson.weather, strict=True):
        way = "inward" if air.inward else "outward"
        lines += wrapped(
            f"{moment.name}, {stamp(moment.hour)}: dew point outdoors {degrees(air.outdoor_dew_point)}, room "
            f"{degrees(air.room_dew_point)}, vapor is driven {way}",
            "- ",
            "  ",
        )
    lines += ["", f"Hours at or above {damp_limit()} at the dampest joint:"]
    for told in lesson.designs:
        lines += wrapped(
            f"{told.label}: {hours(told.wettest.hours_rh_80)} ({told.wettest.name}), {told.verdict}",
            "- ",
            "  ",
        )
    drift = max(told.balance.moisture_relative for told in lesson.designs)
    lines += wrapped(
        f"{len(lesson.variants)} variants; of all water that moved in the two designs {drift:.1e} or less is "
        "unexplained"
    )
    return "\n".join(lines) + "\n"
