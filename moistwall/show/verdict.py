"""The first screen of a run, within 80 columns and 24 lines, and the table of criteria below it."""

from __future__ import annotations

from moistwall.assess.criteria import QUANTITIES, Criterion, Word, word_for
from moistwall.assess.driver import Driver, Remedy
from moistwall.assess.verdict import Finding, Judged, Verdict, worst_findings
from moistwall.result import Result
from moistwall.show.labels import folded
from moistwall.show.names import MONTHS, place_name, side_name, water_control_name
from moistwall.show.wrapping import WIDTH, wrapped
from moistwall.study.judged import Confidence, JudgedRun
from moistwall.study.whole_run import WholeRun
from moistwall.units import System, convert

HEIGHT = 24
LABEL = 38
COLUMN = 14
MARKS: dict[Word, str] = {"dries": "( )", "marginal": "<~>", "stays wet": "[#]"}
"""Each word has a mark of its own shape: round, pointed, square."""

_NOTHING = " - "


def first_screen(run: WholeRun, judged: JudgedRun, system: System) -> list[str]:
    """The verdict on one screen.

    Parameters
    ----------
    run : WholeRun
        What was run.
    judged : JudgedRun
        What the criteria make of it.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        At most `HEIGHT` - 1 lines of at most `WIDTH` columns, so that a prompt still fits.
    """
    result = run.clear
    lines = _short(f"{result.section_name}, in {result.climate_place}", 2)
    control = water_control_name(result)
    where = "everywhere"
    if control:
        where = f"inside of the water-control layer ({control})"
    elif result.tilt <= 90.0:
        where = "everywhere, its cladding included, as the file names no [water_control]"
    path = ""
    if judged.stud is not None:
        path = (
            f" (between the studs it {_verb(judged.clear)}, through them it {_verb(judged.stud)})"
        )
    if judged.ridge is not None:
        path = f" (the roof {_verb(judged.clear)}, along its ridge it {_verb(judged.ridge)}){path}"
    lines += [
        "",
        *_short(
            f"{MARKS[judged.overall]} {judged.overall.upper()}{path}, by the criteria "
            f"'{folded(judged.criteria.name, 30, 1)}', {where}.",
            2,
            indent=4,
        ),
        "",
        _heads("Nearest to their limits"),
    ]
    for finding, at_studs in judged.worst:
        lines += _finding(run, finding, system, at_studs=at_studs)
    lines += _short(driver_words(judged.driver, system), 2) if judged.driver else []
    if judged.overall != "dries":
        lines += _short(f"First: {remedy_words(judged.remedy)}", 2)
    lines += _rooms(judged)
    if judged.confidence is not None and judged.decisive is not None:
        words = confidence_words(judged.decisive[0], judged.confidence, system)
        lines += _short(words, 2)
    lines += [
        "Below: criteria, mold, wood, interfaces, drying, water by cause, assumptions.",
        "A screening result: local code and a licensed design professional decide.",
    ]
    assert len(lines) < HEIGHT
    return lines


def criteria_lines(run: WholeRun, judged: JudgedRun, system: System) -> list[str]:
    """Every criterion with the place where it comes nearest to its limit, and its source.

    Parameters
    ----------
    run : WholeRun
        What was run.
    judged : JudgedRun
        What the criteria make of it.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        Lines of at most `WIDTH` columns.
    """
    lines = [_heads("Criteria")]
    for clear, stud in zip(
        judged.clear.judged,
        judged.clear.judged if judged.stud is None else judged.stud.judged,
        strict=True,
    ):
        lines += _criterion(run, clear, system, at_studs=False)
        if judged.stud is not None:
            lines += _criterion(run, stud, system, at_studs=True)
        source = clear.criterion.source
        lines += wrapped(f"source: {source.text} ({source.quality})", " " * 6, " " * 6)
    lines += wrapped(
        "found: the worst place that counts, and in brackets what it would be at a humidity 0.3 % lower and "
        "higher, for mold with a quick and a slow decline; outdoors: in sheltered outdoor air. "
        f"{MARKS['dries']} dries: the whole bracket keeps clear of limit and band; {MARKS['stays wet']} stays "
        f"wet: the whole of it is at or beyond the limit; {MARKS['marginal']} marginal: anything else; info: not "
        "part of the verdict.",
        other="  ",
    )
    for name, verdict in judged.rooms:
        lines += _room(f"Room at {name}", verdict, system)
    if judged.ridge is not None:
        lines += _room("Along the ridge", judged.ridge, system)
    if judged.confidence is not None and judged.confidence.from_memory:
        lines += wrapped("The verdict leans on these values from memory or estimates:", other="  ")
        for entry in judged.confidence.from_memory:
            lines += wrapped(f"- {entry}", other="  ")
    return [*lines, ""]


def driver_words(driver: Driver, system: System) -> str:
    """What drives the worst finding, in words.

    Parameters
    ----------
    driver : Driver
        The cause.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
    """
    amount = _number("area_water", driver.amount, system)
    kinds = {
        "water leak": "water that leaks in",
        "air leak": "air that leaks in",
        "rain": "rain on it",
        "liquid": "liquid from the layer beside it",
        "vapor from outside": "vapor that comes from outside of it",
        "vapor from the room": "vapor that comes from the room's side",
    }
    names = f" ({', '.join(driver.names)})" if driver.names else ""
    return (
        f"Cause: {kinds[driver.kind]}{names}: {100.0 * driver.share:.0f} % of what {driver.part} takes "
        f"in then, {amount}."
    )


def remedy_words(remedy: Remedy | None) -> str:
    """The first thing to do that the numbers support, in words.

    Parameters
    ----------
    remedy : Remedy or None
        None where they support nothing.

    Returns
    -------
    str
    """
    if remedy is None:
        return "the numbers of this run support no remedy; change the file and compare."
    share = f"{100.0 * remedy.share:.0f} %"
    if remedy.kind == "stop the water":
        return f"keep out the water of '{remedy.what}'; leaks bring {share} of the inflow."
    if remedy.kind == "seal the air":
        return f"seal the air leak that meets {remedy.what}; it brings {share} of the inflow."
    return (
        f"let it dry to the room: '{remedy.what}' takes {share} of the drop in vapor pressure between there and "
        "the room."
    )


def season_words(season: tuple[int, int] | None) -> str:
    """Name a season by its first and last month.

    Parameters
    ----------
    season : (int, int) or None
        From 1; None for no time.

    Returns
    -------
    str
        Such as 'Jun-Sep'; 'never' for none.
    """
    if season is None:
        return "never"
    first, last = season
    return MONTHS[first - 1] if first == last else f"{MONTHS[first - 1]}-{MONTHS[last - 1]}"


def number_words(criterion: Criterion, value: float, system: System) -> str:
    """A number of a criterion's quantity with its unit; in days only where the limit is a number of days.

    Parameters
    ----------
    criterion : Criterion
        Names the quantity.
    value : float
        In the quantity's own unit.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
    """
    kind = QUANTITIES[criterion.quantity].kind
    whole_days = value >= 24.0 and value % 24.0 == 0.0
    if kind == "time" and whole_days and criterion.limit % 24.0 == 0.0:
        return "1 day" if value == 24.0 else f"{value / 24.0:.0f} days"
    return _number(kind, value, system)


def _number(kind: str, value: float, system: System) -> str:
    if kind == "index":
        return f"{value:.2f}"
    if kind == "time":
        return f"{value:.0f} h"
    if kind == "share":
        return f"{100.0 * value:.1f} %"
    if kind == "moisture_content":
        return f"{100.0 * value:.1f} %MC"
    if system == "si":
        return f"{1000.0 * value:.0f} g/m2"
    shown = float(convert(value, "area_water", "ip"))
    decimals = 0 if shown >= 10.0 else 1
    return f"{round(shown, decimals) + 0.0:.{decimals}f} oz/100ft2"


def _heads(title: str) -> str:
    heads = ("found", "limit", "marginal from")
    return title.ljust(LABEL) + "".join(f"{head:>{COLUMN}}" for head in heads)


def _verb(verdict: Verdict) -> str:
    return "is marginal" if verdict.overall == "marginal" else verdict.overall


def _short(text: str, most: int, indent: int = 2) -> list[str]:
    lines = folded(text, WIDTH - indent, most).splitlines()
    return [lines[0], *(" " * indent + line for line in lines[1:])]


def _columns(label: str, finding: Finding, system: System) -> str:
    criterion, at = finding.criterion, finding.at
    side = -1.0 if criterion.comparison == "below" else 1.0
    edge = number_words(criterion, criterion.limit + side * criterion.marginal, system)
    if len(label) > LABEL - 1:
        label = label[: LABEL - 3] + ".."
    found = number_words(criterion, at.value, system)
    limit = number_words(criterion, criterion.limit, system)
    return label.ljust(LABEL) + "".join(f"{cell:>{COLUMN}}" for cell in (found, limit, edge))


def place_words(run: WholeRun, finding: Finding, *, at_studs: bool) -> str:
    """Where and when something was found, in words.

    Parameters
    ----------
    run : WholeRun
        What was run.
    finding : Finding
        What was found.
    at_studs : bool
        Whether it is on the path through the studs.

    Returns
    -------
    str
    """
    result: Result = run.stud if at_studs and run.stud is not None else run.clear
    at = finding.at
    if at.place is not None:
        place = result.places[at.place]
        where = f"{side_name(result, place)}, {place_name(result, place)}"
    elif at.slice:
        where = f"{at.part}, {'mean of it' if at.slice == 'whole' else at.slice}"
    else:
        where = at.part or "nowhere"
    studs = "at the studs: " if at_studs else ""
    return f"{season_words(finding.season)}: {studs}{where}"


def _finding(run: WholeRun, finding: Finding, system: System, *, at_studs: bool) -> list[str]:
    criterion, at = finding.criterion, finding.at
    more = "" if criterion.counts else " (info)"
    if at.rising:
        more += ", rising"
    where = place_words(run, finding, at_studs=at_studs)
    if word_for(criterion, at.value, at.value) != finding.word:
        ends = " to ".join(number_words(criterion, one, system) for one in (at.low, at.high))
        where = f"[{ends}] {where}"
    label = f"{MARKS[finding.word]} {criterion.name}{more}"
    return [_columns(label, finding, system), *_short(f"    {where}", 1, indent=4)]


def _criterion(run: WholeRun, judged: Judged, system: System, *, at_studs: bool) -> list[str]:
    finding = judged.worst
    more = "" if judged.criterion.counts else " (info)"
    name = "  at the studs" if at_studs else judged.criterion.name  # the row below that of its name
    if finding is None:
        return [f"{_NOTHING} {name}{more}: nothing there to judge"[:WIDTH]]
    lines = [_columns(f"{MARKS[finding.word]} {name}{more}", finding, system)]
    at = finding.at
    bracket = " to ".join(number_words(judged.criterion, one, system) for one in (at.low, at.high))
    outdoors = ""
    if at.outdoor is not None:
        outdoors = f", outdoors {number_words(judged.criterion, at.outdoor, system)}"
    rising = ", still rising" if at.rising else ""
    where = place_words(run, finding, at_studs=False)
    lines += wrapped(f"[{bracket}]{outdoors}{rising}; {where}", " " * 6, " " * 6)
    return lines


def _rooms(judged: JudgedRun) -> list[str]:
    if not judged.rooms:
        return _short("Other rooms were not run: --rooms adds a cold one and a damp one.", 1)
    told = "; ".join(f"{MARKS[one.overall]} {name}: {one.overall}" for name, one in judged.rooms)
    return _short(f"Room of the file: {judged.clear.overall}. {told}.", 2)


def _room(name: str, verdict: Verdict, system: System) -> list[str]:
    lines = [f"{name}: {MARKS[verdict.overall]} {verdict.overall}"]
    for finding in worst_findings(verdict, 2):
        criterion = finding.criterion
        found = number_words(criterion, finding.at.value, system)
        limit = number_words(criterion, criterion.limit, system)
        where = f", {finding.at.part}" if finding.at.part else ""
        season = season_words(finding.season)
        lines += wrapped(
            f"{criterion.name}: {found}, limit {limit}; {season}{where}", " " * 6, " " * 6
        )
    return lines


def confidence_words(finding: Finding, confidence: Confidence, system: System) -> str:
    """How far from the limit a finding ends and what it leans on, in words.

    Parameters
    ----------
    finding : Finding
        The one that decides.
    confidence : Confidence
        How far it can be trusted.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
    """
    criterion = finding.criterion
    distance = number_words(criterion, abs(confidence.distance), system)
    side = "short of" if confidence.distance > 0.0 else "beyond"
    low, high = confidence.words
    sure = (
        f"'{low}' throughout its bracket"
        if low == high
        else f"'{low}' at one end of its bracket, '{high}' at the other"
    )
    count = len(confidence.from_memory)
    return (
        f"Confidence: {criterion.name} ends {distance} {side} the limit, {sure}; it leans on {count} entries "
        "from memory or estimates."
    )
