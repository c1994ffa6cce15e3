"""What a study keeps of each run: named numbers, and the criteria that are put to them.

A place counts unless it lies outside of the water-control layer, where damp is expected; each number is that
of the worst place that counts.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from moistwall.assess.attic_air import attic_air
from moistwall.assess.condensation import wet_hours
from moistwall.assess.criteria import WORDS, Criteria
from moistwall.assess.drying import gap_drying, month_sums
from moistwall.assess.measure import Answers
from moistwall.assess.verdict import judge
from moistwall.assess.wood import moisture_content, slices_of_wood
from moistwall.criteria_file import find_criteria
from moistwall.errors import Fault, InputError
from moistwall.names import did_you_mean
from moistwall.result import Result

MEASURES: dict[str, tuple[str, str]] = {
    "verdict": ("verdict: 0 dries, 1 marginal, 2 stays wet", ""),
    "nearness": ("how near the worst criterion comes to its limit, 1 at the limit", ""),
    "hours_rh_80": ("hours at or above 80 % RH", "h"),
    "hours_rh_90": ("hours at or above 90 % RH", "h"),
    "longest_wet_hours": ("longest stretch at or above 80 % RH", "h"),
    "condensation_risk_hours": ("hours less than 1 K above the dew point", "h"),
    "condensing_hours": ("hours in which vapor condenses", "h"),
    "liquid_hours": ("hours with liquid water", "h"),
    "rh_mean": ("mean relative humidity", "%"),
    "mold_index": ("mold index, highest of the last of three years, slow decline", ""),
    "mold_index_quick": ("the same, quick decline", ""),
    "wood_moisture": ("wood, wettest slice at its wettest hour", "%MC"),
    "attic_hottest": ("hottest hour of the air in a roof's gap", "degC"),
    "attic_hot_hours": ("hours of that air above 38 degC (100 degF)", "h"),
    "drying_potential": ("drying potential of the outermost open gap", "kg/m2 year"),
    "heat_to_room": ("heat to the room", "kWh/m2 year"),
    "rain": ("driving rain on the outer face", "kg/m2 year"),
    "leaked": ("water that leaked in", "kg/m2 year"),
    "r_value": ("thermal resistance, studs included", "m2 K/W"),
}
"""Every measure: what it is, and its unit."""

NAMED_CRITERIA: dict[str, tuple[str, str]] = {
    "dries": ("verdict <= 0", "all criteria of the screening file"),
    "marginal": ("verdict <= 1", "no criterion of the screening file says that it stays wet"),
    "mold": ("mold_index < 3", "ASHRAE 160-2016, from memory"),
    "damp": ("longest_wet_hours <= 720", "30 days on end: common practice, no source"),
    "wood": ("wood_moisture < 20", "common practice, no source"),
    "condensing": ("condensing_hours <= 0", "no vapor condenses: the strictest there is"),
}
"""Criteria by a word: what they ask, and where that is from."""

_COMPARE: dict[str, Callable[[float, float], bool]] = {
    "<=": operator.le,
    "<": operator.lt,
    ">=": operator.ge,
    ">": operator.gt,
}
_CRITERION = re.compile(r"(\w+)\s*(<=|>=|<|>)\s*([0-9]*\.?[0-9]+)")


@dataclass(frozen=True)
class Criterion:
    """A limit of a measure.

    Parameters
    ----------
    measure : str
        Key of `MEASURES`.
    sign : {'<=', '<', '>=', '>'}
        How the number must stand to the limit.
    limit : float
        The limit, in the unit of the measure.
    source : str
        Where it is from.
    """

    measure: str
    sign: str
    limit: float
    source: str

    @property
    def text(self) -> str:
        """The criterion as it can be written; one of a verdict by its word."""
        written = f"{self.measure} {self.sign} {self.limit:g}"
        if self.measure != "verdict":
            return written
        return next(
            (word for word, named in NAMED_CRITERIA.items() if named[0] == written), written
        )

    def met(self, measures: Mapping[str, float]) -> bool:
        """Whether the numbers of a run keep to it.

        Parameters
        ----------
        measures : mapping
            What `measure` gave.
        """
        return _COMPARE[self.sign](measures[self.measure], self.limit)

    def margin(self, measures: Mapping[str, float]) -> float:
        """How far a number keeps from the limit; negative beyond it.

        Parameters
        ----------
        measures : mapping
            What `measure` gave.
        """
        away = self.limit - measures[self.measure]
        return away if self.sign.startswith("<") else -away


def read_criterion(text: str, *, field: str = "--until") -> Criterion:
    """Read a criterion.

    Parameters
    ----------
    text : str
        A word of `NAMED_CRITERIA`, or a measure, a sign and a number, as in "hours_rh_80 <= 100".
    field : str
        Where it stands, for messages.

    Returns
    -------
    Criterion

    Raises
    ------
    InputError
        If it is neither, or the measure is unknown.
    """
    wanted, source = NAMED_CRITERIA.get(text.strip().casefold(), (text.strip(), "as asked"))
    found = _CRITERION.fullmatch(wanted)
    if found is None:
        words = ", ".join(NAMED_CRITERIA)
        problem, remedy = "is no criterion", f'name one ({words}), or write "hours_rh_80 <= 100"'
        raise InputError(Fault("", field, text, problem, remedy))
    if found[1] not in MEASURES:
        remedy = did_you_mean(found[1], MEASURES) or "name one of " + ", ".join(MEASURES)
        raise InputError(Fault("", field, found[1], "is no measure that is known here", remedy))
    return Criterion(found[1], found[2], float(found[3]), source)


@dataclass(frozen=True)
class Measures:
    """What is kept of a run.

    Parameters
    ----------
    numbers : dict of str to float
        By the keys of `MEASURES`, those that this section has.
    worst : str
        The place with the most hours at 80 %; where none has any, the dampest.
    verdict : str
        The verdict in a word.
    decided_by : str
        Name of the criterion that comes nearest to its limit; empty if none finds anything.
    """

    numbers: dict[str, float]
    worst: str
    verdict: str
    decided_by: str


@cache
def criteria() -> Criteria:
    """The criteria of the verdict: those that come with moistwall."""
    return find_criteria(None)


def measure(result: Result, rules: Criteria | None = None) -> Measures:
    """Numbers of a run.

    Parameters
    ----------
    result : Result
        A computed year.
    rules : Criteria or None
        What the verdict is by; None for the criteria that come with moistwall.

    Returns
    -------
    Measures
    """
    found: dict[str, float] = {}
    rows = [row for row in wet_hours(result) if not row.outboard]
    worst = ""
    if rows:
        for name in (
            "hours_rh_80",
            "hours_rh_90",
            "longest_wet_hours",
            "condensation_risk_hours",
            "condensing_hours",
            "liquid_hours",
        ):
            found[name] = float(max(getattr(row, name) for row in rows))
        found["rh_mean"] = 100.0 * max(row.rh_mean for row in rows)
        row = max(rows, key=lambda row: (row.hours_rh_80, row.rh_mean))
        worst = f"{row.name}, in {row.part}"
    answers = Answers(result)
    verdict = judge(result, rules or criteria(), answers)
    found["verdict"] = float(WORDS.index(verdict.overall))
    nearest = [
        one.worst for one in verdict.judged if one.criterion.counts and one.worst is not None
    ]
    decided_by = ""
    if nearest:
        finding = max(nearest, key=lambda one: one.nearness)
        found["nearness"] = finding.nearness
        decided_by = finding.criterion.name
    growth = [one for one in answers.mold if not one.outboard]
    if growth:
        found["mold_index"] = max(one.peak_year[-1] for one in growth)
        found["mold_index_quick"] = max(one.peak_year_quick[-1] for one in growth)
    wood = _wood_moisture(result)
    if wood is not None:
        found["wood_moisture"] = wood
    air = attic_air(result)
    if air:
        found["attic_hottest"] = max(one.highest for one in air)
        found["attic_hot_hours"] = float(max(one.hours_over[0] for one in air))
    open_gaps = [gap for gap in gap_drying(result) if gap.kind in ("vented", "ventilated")]
    if open_gaps:
        found["drying_potential"] = float(sum(open_gaps[0].potential_month))
    found["heat_to_room"] = float(month_sums(result.heat_a[:, -1]).sum()) / 3.6e6
    found["rain"] = float(result.rain_outer.sum())
    found["leaked"] = float(result.water_arrival.sum())
    rounded = {name: round(value, 9) for name, value in found.items()}
    return Measures(rounded, worst, verdict.overall, decided_by)


def _wood_moisture(result: Result) -> float | None:
    """Highest moisture content of any slice of wood that is not outboard. [%]"""
    names = [part.name for part in result.parts]
    control = names.index(result.water_control) if result.water_control in names else -1
    peaks = [
        float(np.max(moisture_content(result, part, weight)))
        for part, _, weight in slices_of_wood(result)
        if part > control
    ]
    return 100.0 * max(peaks) if peaks else None
