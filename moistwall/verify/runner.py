"""Run the cases, tell what each proves, and say whether all hold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from time import perf_counter
from typing import Any

from moistwall import __version__
from moistwall.errors import Fault, InputError, MoistwallError
from moistwall.names import did_you_mean
from moistwall.verify import cases_air, cases_exact, cases_independent, cases_published
from moistwall.verify.case import Case, Comparison, Outcome

CASES: tuple[Case, ...] = (
    *cases_exact.CASES,
    *cases_published.CASES,
    *cases_air.CASES,
    *cases_independent.CASES,
)
"""All cases, in the order in which they run."""


@dataclass(frozen=True)
class Verdict:
    """A case and what it gave.

    Parameters
    ----------
    case : Case
        The case.
    outcome : Outcome
        What it gave.
    seconds : float
        Time it took. [s]
    """

    case: Case
    outcome: Outcome
    seconds: float


def chosen_cases(names: Sequence[str] = ()) -> list[Case]:
    """Give the cases of these names, or all without names.

    Parameters
    ----------
    names : sequence of str
        Names of cases.

    Returns
    -------
    list of Case
        In their own order.

    Raises
    ------
    InputError
        If there is no case of such a name.
    """
    known = [case.name for case in CASES]
    faults = [
        Fault("--only", "", name, "is no case", did_you_mean(name, known))
        for name in names
        if name not in known
    ]
    if faults:
        raise InputError(faults)
    return [case for case in CASES if not names or case.name in names]


def run_case(case: Case) -> Verdict:
    """Run one case; what stops it is its error, not the end of all.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    Verdict
        Fails with an error where the problem could not be read or solved, or where the reference is
        missing, damaged or answers another problem.
    """
    started = perf_counter()
    try:
        outcome = case.run()
    except (MoistwallError, ValueError) as error:
        outcome = Outcome(error=str(error))
    return Verdict(case, outcome, perf_counter() - started)


def run_cases(
    cases: Sequence[Case], tell: Callable[[Verdict], None] | None = None
) -> list[Verdict]:
    """Run cases one after the other.

    Parameters
    ----------
    cases : sequence of Case
        What to run.
    tell : callable or None
        Called with each verdict as it is known.

    Returns
    -------
    list of Verdict
    """
    verdicts = []
    for case in cases:
        verdicts.append(run_case(case))
        if tell is not None:
            tell(verdicts[-1])
    return verdicts


def number(value: float) -> str:
    """Give a value with the digits that a reader can compare."""
    return f"{value:.6g}"


def share(one: Comparison, value: float) -> str:
    """Give a deviation or a tolerance of a comparison: as percent where it is relative, else in its unit.

    Parameters
    ----------
    one : Comparison
        The comparison.
    value : float
        The deviation or tolerance.
    """
    if not one.relative:
        unit = "K" if one.unit == "degC" else one.unit
        return f"{value:.2g} {unit}".strip()
    # percent would show too many zeros where round-off is meant
    return f"{100.0 * value:.2g} %" if abs(one.tolerance) >= 1e-5 else f"{value:.1e} of it"


def case_lines(verdict: Verdict) -> list[str]:
    """Tell one verdict in lines of text.

    Parameters
    ----------
    verdict : Verdict
        What to tell.

    Returns
    -------
    list of str
        Name and mark, what it proves, its source, and one line for each comparison.
    """
    case, outcome = verdict.case, verdict.outcome
    lines = [
        f"{'holds ' if outcome.passes else 'MISSES'}  {case.name}: {case.proves}",
        f"        source: {case.source}",
    ]
    if outcome.error:
        lines += [f"        not judged: {line}" for line in outcome.error.splitlines()]
    for one in outcome.comparisons:
        unit = f" {one.unit}" if one.unit else ""
        mark = "ok  " if one.passes else "OFF "
        of = f", worst of {one.points}" if one.points > 1 and "root mean" not in one.what else ""
        lines += [
            f"    {mark}{one.what}{of}",
            f"        reference {number(one.reference)}{unit}, ours {number(one.ours)}{unit}, "
            f"off by {share(one, one.deviation)}, allowed {share(one, one.tolerance)} ({one.whose})",
        ]
    return lines


def summary(verdicts: Sequence[Verdict]) -> str:
    """Give one line on all verdicts.

    Parameters
    ----------
    verdicts : sequence of Verdict
        What was run.
    """
    count = sum(len(verdict.outcome.comparisons) for verdict in verdicts)
    missed = [verdict.case.name for verdict in verdicts if not verdict.outcome.passes]
    seconds = sum(verdict.seconds for verdict in verdicts)
    head = f"{len(verdicts)} cases, {count} comparisons, {seconds:.1f} s: "
    return head + (f"{len(missed)} MISS: {', '.join(missed)}" if missed else "all hold")


def verdicts_data(verdicts: Sequence[Verdict]) -> dict[str, Any]:
    """Give all verdicts as plain data.

    Parameters
    ----------
    verdicts : sequence of Verdict
        What was run.

    Returns
    -------
    dict
        Fit for JSON; numbers are in the unit that stands beside them.
    """
    return {
        "moistwall": __version__,
        "holds": all(verdict.outcome.passes for verdict in verdicts),
        "cases": [
            {
                "name": one.case.name,
                "proves": one.case.proves,
                "source": one.case.source,
                "holds": one.outcome.passes,
                "error": one.outcome.error or None,
                "comparisons": [
                    {
                        "what": each.what,
                        "unit": each.unit,
                        "points": each.points,
                        "reference": each.reference,
                        "ours": each.ours,
                        "off_by": each.deviation,
                        "allowed": each.tolerance,
                        "whose": each.whose,
                        "holds": each.passes,
                    }
                    for each in one.outcome.comparisons
                ],
            }
            for one in verdicts
        ],
    }
