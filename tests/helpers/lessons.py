"""A lesson of two designs and two variants, built once for each year of weather."""

from __future__ import annotations

import dataclasses
from functools import cache

from moistwall.lesson.plans import Plan, plan
from moistwall.lesson.story import Lesson, build_lesson
from moistwall.library import read_year


def small_plan() -> Plan:
    """Return the lesson on foam with no variants but its two designs, so that two runs are enough."""
    made = plan("foam")
    foams, insides = made.factors
    none, _, thick = foams.options
    factors = (
        dataclasses.replace(foams, options=(none, thick)),
        dataclasses.replace(insides, options=(insides.options[1],)),
    )
    return dataclasses.replace(made, factors=factors, start=(0, 0))


@cache
def lesson(climate: str = "miami") -> Lesson:
    """Return the small lesson in a shipped year."""
    return build_lesson(small_plan(), read_year(climate))
