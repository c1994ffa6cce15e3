"""An ensemble in words and as plain data: chances, spread of the numbers, which input matters, convergence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from moistwall.show.study_text import caution_lines, study_data
from moistwall.show.wrapping import wrapped
from moistwall.study.engine import Done
from moistwall.study.ensemble import (
    CONFIDENCE,
    Chance,
    Ensemble,
    chance_of,
    convergence,
    influences,
    kept_to,
    quantiles,
)
from moistwall.study.measures import MEASURES, Criterion
from moistwall.study.uncertain import Uncertain

SPREAD = ("hours_rh_80", "longest_wet_hours", "mold_index", "wood_moisture", "nearness")
VERDICTS = ("dries", "marginal", "stays wet")
MOST_INPUTS = 8


def ensemble_text(plan: Ensemble, found: Sequence[Done], criterion: Criterion) -> str:
    """What an ensemble says.

    Parameters
    ----------
    plan : Ensemble
        What was drawn.
    found : sequence of Done
        What came of it, in the order of the draws.
    criterion : Criterion
        What is judged.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    done = [one for one in found if one.summary is not None]
    (label,) = plan.climates
    lines = [
        *wrapped(f"{plan.base.name}, {label}: {plan.draws} draws, seed {plan.seed}", other=""),
        "",
    ]
    if not done:
        lines += wrapped(
            "Every draw failed; the first: " + found[0].failure,
            other="",
        )
        return "\n".join([*lines, *caution_lines()])
    for word in VERDICTS:
        count = sum(one.summary is not None and one.summary["verdict"] == word for one in done)
        lines.append(f"  {word:<12}{_chance(chance_of(count, len(done)))}")
    met = kept_to(done, criterion)
    if met:
        lines.append("")
        lines += wrapped(
            f"Keeps to '{criterion.text}' ({criterion.source}), as draws are added:", other=""
        )
        lines += [f"  {one.total:>6} draws  {_chance(one)}" for one in convergence(met)]
        width = convergence(met)[-1].high - convergence(met)[-1].low
        lines += wrapped(
            f"The interval is {100.0 * width:.0f} points wide; four times the draws would about halve it.",
            other="",
        )
    lines += ["", f"{'of a hundred draws:':<52}{'95 pass':>9}{'50':>9}{'5 pass':>9}"]
    for name in SPREAD:
        values = [one.measures[name] for one in done if name in one.measures]
        if values:
            cells = "".join(f"{value:>9.3g}" for value in quantiles(values))
            lines.append(f"{_label(name):<52}{cells}")
    lines += _influence_lines(plan, done)
    lines += ["", "What was drawn:"]
    for each in plan.inputs:
        lines += wrapped(f"{each.name}: {input_text(each)} ({each.source})", "- ", "  ")
    failed = len(found) - len(done)
    if failed:
        cause = next(one.failure for one in found if one.summary is None)
        lines += wrapped(f"{failed} draws failed and are left out; the first: {cause}", "- ", "  ")
    lines += wrapped(
        "A chance is no more than the spread that was put in: one section, one year, and nothing that the "
        "inputs leave out.",
        "- ",
        "  ",
    )
    return "\n".join([*lines, *caution_lines()])


def _influence_lines(plan: Ensemble, done: Sequence[Done]) -> list[str]:
    """Which input goes with damp hours."""
    measure = "hours_rh_80"
    rows = influences(plan, done, measure)
    if not rows:
        return [
            "",
            *wrapped(f"{_label(measure)}: the same in every draw; no input matters.", other=""),
        ]
    lines = [
        "",
        *wrapped(f"Which input goes with '{_label(measure)}' (rank correlation):", other=""),
    ]
    clear = [row for row in rows if row.told_apart][:MOST_INPUTS]
    for row in clear:
        lines += wrapped(f"{row.rank_correlation:+.2f}  {row.name}", "  ", "         ")
    rest = len(rows) - len(clear)
    if rest and clear:
        lines += wrapped(f"{rest} others are not told apart from chance.", "  ", "  ")
    elif rest:
        lines += wrapped(f"None of {rest} inputs is told apart from chance.", "  ", "  ")
    return lines


def input_text(one: Uncertain) -> str:
    """A distribution in words.

    Parameters
    ----------
    one : Uncertain
        The input.
    """
    unit = one.unit or "times"
    shape = "flat" if one.mode is None else f"peak at {one.mode:.4g}"
    over = ", over the logarithm" if one.logarithmic else ""
    return f"{one.low:.4g} to {one.high:.4g} {unit}, {shape}{over}"


def ensemble_data(plan: Ensemble, found: Sequence[Done], criterion: Criterion) -> dict[str, Any]:
    """The same as plain data.

    Parameters
    ----------
    plan, found, criterion
        As for `ensemble_text`.
    """
    done = [one for one in found if one.summary is not None]
    met = kept_to(done, criterion)
    return study_data(
        "ensemble",
        found,
        criterion,
        assembly=plan.base.name,
        draws=plan.draws,
        seed=plan.seed,
        confidence=CONFIDENCE,
        verdicts={
            word: _data(
                chance_of(
                    sum(one.summary["verdict"] == word for one in done if one.summary), len(done)
                )
            )
            for word in VERDICTS
            if done
        },
        convergence=[_data(one) for one in convergence(met)] if met else [],
        influence=[
            {
                "input": row.name,
                "rank_correlation": row.rank_correlation,
                "told_apart": row.told_apart,
            }
            for row in influences(plan, done, "hours_rh_80")
        ],
        inputs=[
            {
                "name": one.name,
                "low": one.low,
                "peak": one.mode,
                "high": one.high,
                "unit": one.unit,
                "logarithmic": one.logarithmic,
                "source": one.source,
            }
            for one in plan.inputs
        ],
    )


def _data(one: Chance) -> dict[str, Any]:
    return {"draws": one.total, "share": one.share, "low": one.low, "high": one.high}


def _chance(one: Chance) -> str:
    span = f"{100.0 * one.low:.0f} to {100.0 * one.high:.0f} %"
    return f"{100.0 * one.share:5.1f} %  ({100.0 * CONFIDENCE:.0f} % interval {span})"


def _label(name: str) -> str:
    words, unit = MEASURES[name]
    told = f"{words} [{unit}]" if unit else words
    return told if len(told) <= 51 else told.split(",")[0]
