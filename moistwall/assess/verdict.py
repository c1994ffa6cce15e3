"""The verdict: every criterion at every place, and the worst of those that count.

Only places inside of the water-control layer count, unless a criterion says otherwise; the others are told
beside them. The words are `moistwall.assess.criteria.WORDS`: a screening result that passes is called no more
than dry by its criteria.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.criteria import (
    WORDS,
    Criteria,
    Criterion,
    Word,
    nearness,
    word_for,
    worst_word,
)
from moistwall.assess.measure import Answers, Measured, measure
from moistwall.result import Result

Array = NDArray[np.float64]

LEAST_NEARNESS = 1e-6
"""Nearness to a limit below which nothing is there. [-]"""

MOST_OF_IT = 0.5
"""Share of a quantity that its season holds. [-]"""


@dataclass(frozen=True)
class Finding:
    """One criterion at one place.

    Parameters
    ----------
    criterion : Criterion
        What was asked.
    at : Measured
        The number and where it was found.
    word : {'dries', 'marginal', 'stays wet'}
        What it amounts to.
    nearness : float
        Worse end of the bracket over the limit. [-]
    season : tuple of int or None
        First and last month, from 1, of the shortest time that holds half of it; None for no time.
    """

    criterion: Criterion
    at: Measured
    word: Word
    nearness: float
    season: tuple[int, int] | None


@dataclass(frozen=True)
class Judged:
    """One criterion over all places.

    Parameters
    ----------
    criterion : Criterion
        What was asked.
    word : str or None
        The worst word of the places that count; None where nothing has the quantity.
    worst : Finding or None
        Where it comes nearest to its limit.
    findings : tuple of Finding
        All places, those that do not count included.
    """

    criterion: Criterion
    word: Word | None
    worst: Finding | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Verdict:
    """What the criteria make of a result.

    Parameters
    ----------
    overall : {'dries', 'marginal', 'stays wet'}
        The worst of the criteria that count.
    judged : tuple of Judged
        Each criterion, in the order of their file.
    """

    overall: Word
    judged: tuple[Judged, ...]

    def __repr__(self) -> str:
        """Say the word, and which criteria are not met, in a line."""
        missed = [
            f"{one.criterion.name}: {one.word}"
            for one in self.judged
            if one.word not in ("dries", None)
        ]
        told = "; ".join([f"{len(self.judged)} criteria", *missed])
        return f"<Verdict {self.overall!r}, {told}>"


def season_of(month: Array) -> tuple[int, int] | None:
    """Shortest run of months, the year's end joined to its start, that holds half of something.

    Parameters
    ----------
    month : (12,) ndarray
        Share of each month.

    Returns
    -------
    (int, int) or None
        First and last month, from 1; None if there is nothing.
    """
    total = float(month.sum())
    if total <= 0.0:
        return None
    twice = np.concatenate((month, month))
    for length in range(1, 13):
        sums = np.convolve(twice, np.ones(length), "valid")[:12]
        first = int(np.argmax(sums))
        if sums[first] >= MOST_OF_IT * total - 1e-12:
            return first + 1, (first + length - 1) % 12 + 1
    raise AssertionError("twelve months hold the whole year")


def counts(criterion: Criterion, at: Measured) -> bool:
    """Whether a place is one that a criterion judges by.

    Parameters
    ----------
    criterion : Criterion
        Says whether it holds everywhere.
    at : Measured
        The place.
    """
    return criterion.everywhere or not at.outboard


def judge(result: Result, criteria: Criteria, answers: Answers | None = None) -> Verdict:
    """Apply criteria to a result.

    Parameters
    ----------
    result : Result
        A computed year.
    criteria : Criteria
        What to ask.
    answers : Answers or None
        Those of the result, if they are there already.

    Returns
    -------
    Verdict
        The overall word is 'marginal' where no criterion that counts finds anything to judge: nothing is known
        then.
    """
    answers = answers or Answers(result)
    judged = []
    for criterion in criteria.criteria:
        findings = tuple(
            Finding(
                criterion,
                at,
                word_for(criterion, at.low, at.high),
                nearness(criterion, at.low, at.high),
                season_of(at.month),
            )
            for at in measure(criterion, answers)
        )
        own = [one for one in findings if counts(criterion, one.at)]
        worst = max(own, key=lambda one: one.nearness, default=None)
        word = worst_word(one.word for one in own) if own else None
        judged.append(Judged(criterion, word, worst, findings))
    words = [one.word for one in judged if one.criterion.counts and one.word is not None]
    return Verdict(worst_word(words) if words else "marginal", tuple(judged))


def rank(finding: Finding) -> tuple[bool, int, bool, float]:
    """Order of findings by how much they matter: the worst is the largest.

    Parameters
    ----------
    finding : Finding
        One of them.

    Returns
    -------
    tuple
        Whether anything of it is there at all, its word if it counts, whether it counts, how near it is to its
        limit.
    """
    there, decides = finding.nearness > LEAST_NEARNESS, finding.criterion.counts
    word = WORDS.index(finding.word) if decides else 0
    return there, word, there and decides, finding.nearness


def worst_findings(verdict: Verdict, most: int = 3) -> list[Finding]:
    """The criteria that come nearest to their limits, each with the place where it does.

    Parameters
    ----------
    verdict : Verdict
        What was judged.
    most : int
        How many are wanted.

    Returns
    -------
    list of Finding
        The nearest first. Criteria that do not count come behind those that do, and criteria of which nothing
        is there at all come last.
    """
    found = [one.worst for one in verdict.judged if one.worst is not None]
    return sorted(found, key=rank, reverse=True)[:most]
