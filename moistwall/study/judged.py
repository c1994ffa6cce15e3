"""What criteria make of all that was run for an assembly: both paths, other rooms, cause, remedy, confidence."""

from __future__ import annotations

from dataclasses import dataclass

from moistwall.assess.criteria import Criteria, Word, word_for, worst_word
from moistwall.assess.driver import Driver, Remedy, driver_of, remedy_of
from moistwall.assess.measure import Answers
from moistwall.assess.verdict import Finding, Verdict, judge, rank, worst_findings
from moistwall.result import Result
from moistwall.study.whole_run import WholeRun


@dataclass(frozen=True)
class Confidence:
    """How far a finding can be trusted.

    Parameters
    ----------
    distance : float
        From the worse end of the bracket to the limit, in the quantity's unit; negative beyond it.
    words : tuple of str
        The word at either end of the bracket.
    from_memory : tuple of str
        Values from memory or estimates that it leans on: those of the materials that meet there, and the
        limit itself.
    """

    distance: float
    words: tuple[Word, Word]
    from_memory: tuple[str, ...]


@dataclass(frozen=True)
class JudgedRun:
    """The verdict on an assembly.

    Parameters
    ----------
    criteria : Criteria
        What was asked.
    overall : {'dries', 'marginal', 'stays wet'}
        The worst of the two paths and of the strip along a ridge, beside the room that the file states.
    clear : Verdict
        The path between the studs.
    stud : Verdict or None
        The path through them.
    rooms : tuple of (str, Verdict)
        Other rooms that were run, and the clear path beside them.
    worst : tuple of (Finding, bool)
        The three findings that come nearest to their limits, and whether each is at the studs.
    decisive : (Finding, bool) or None
        Of those that count the worst; None where nothing counts.
    driver, remedy, confidence
        Of that one. Driver and remedy are None where everything dries.
    answers, stud_answers : Answers
        What was found on either path; the latter None without studs.
    ridge : Verdict or None
        The strip along the ridge of an attic whose air is told apart; where its word is worse than that of the
        clear path, findings, driver and remedy are those of the strip.
    """

    criteria: Criteria
    overall: Word
    clear: Verdict
    stud: Verdict | None
    rooms: tuple[tuple[str, Verdict], ...]
    worst: tuple[tuple[Finding, bool], ...]
    decisive: tuple[Finding, bool] | None
    driver: Driver | None
    remedy: Remedy | None
    confidence: Confidence | None
    answers: Answers
    stud_answers: Answers | None
    ridge: Verdict | None = None


def judge_run(run: WholeRun, criteria: Criteria) -> JudgedRun:
    """Apply criteria to all that was run.

    Parameters
    ----------
    run : WholeRun
        What was run.
    criteria : Criteria
        What to ask.

    Returns
    -------
    JudgedRun
    """
    answers = Answers(run.clear)
    clear = judge(run.clear, criteria, answers)
    stud_answers = None if run.stud is None else Answers(run.stud)
    stud = None if stud_answers is None else judge(stud_answers.result, criteria, stud_answers)
    rooms = tuple((name, judge(result, criteria)) for name, result in run.rooms)
    ridge = None if run.ridge is None else judge(run.ridge, criteria)
    overall = worst_word([one.overall for one in (clear, stud, ridge) if one is not None])
    leading, between = clear, run.clear
    if ridge is not None and run.ridge is not None and clear.overall != overall == ridge.overall:
        leading, between = ridge, run.ridge
    found = [(one, False) for one in worst_findings(leading, len(criteria.criteria))]
    if stud is not None:
        found += [(one, True) for one in worst_findings(stud, len(criteria.criteria))]
    driver = remedy = confidence = None
    decisive = max(
        (one for one in found if one[0].criterion.counts),
        key=lambda one: rank(one[0]),
        default=None,
    )
    if decisive is not None:
        finding, at_studs = decisive
        result = run.stud if at_studs and run.stud is not None else between
        confidence = confidence_in(result, finding)
        if overall != "dries":
            driver = driver_of(result, finding)
            remedy = remedy_of(result, finding, driver)
    return JudgedRun(
        criteria,
        overall,
        clear,
        stud,
        rooms,
        _worst_of_both(found),
        decisive,
        driver,
        remedy,
        confidence,
        answers,
        stud_answers,
        ridge,
    )


def _worst_of_both(
    found: list[tuple[Finding, bool]], most: int = 3
) -> tuple[tuple[Finding, bool], ...]:
    """Of both paths' findings the nearest to their limits, each criterion once."""
    kept: dict[str, tuple[Finding, bool]] = {}
    for one in sorted(found, key=lambda one: rank(one[0]), reverse=True):
        kept.setdefault(one[0].criterion.name, one)
    return tuple(kept.values())[:most]


def confidence_in(result: Result, finding: Finding) -> Confidence:
    """Tell how far a finding can be trusted.

    Parameters
    ----------
    result : Result
        A computed year.
    finding : Finding
        What was found in it.

    Returns
    -------
    Confidence
    """
    criterion, at = finding.criterion, finding.at
    below = criterion.comparison == "below"
    distance = criterion.limit - at.high if below else at.low - criterion.limit
    meeting = {at.part}
    if at.place is not None:
        meeting |= set(result.places[at.place].name.split(" | "))
    made_of = {part.made_of for part in result.parts if part.name in meeting and part.made_of}
    leans = [entry for entry in result.from_memory if entry.partition(":")[0].strip() in made_of]
    if criterion.source.quality in ("memory", "estimate"):
        leans.append(f"the limit: {criterion.source.text}")
    if criterion.quantity == "mold index":
        leans.append("the mold index: equations, classes and decline (from memory)")
    return Confidence(
        distance,
        (word_for(criterion, at.low, at.low), word_for(criterion, at.high, at.high)),
        tuple(leans),
    )
