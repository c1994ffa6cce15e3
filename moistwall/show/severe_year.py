"""The ranking of years and the moisture design year, in words and as plain data."""

from __future__ import annotations

from typing import Any

from moistwall import __version__
from moistwall.show.cautions import CAUTIONS
from moistwall.show.wrapping import wrapped
from moistwall.study.severe_year import (
    INDEX,
    WANTED_SHARE,
    WANTED_YEARS,
    SevereYear,
)

PLACES_DIFFER = (
    "These are years of different places: what is ranked is the places. A design year is chosen from years of "
    "one place."
)
TYPICAL_YEARS = (
    "A typical year is put together to be ordinary: a ranking wants years as they were measured, one after the "
    "other. None of these years stands for a hurricane or a flood."
)


def remarks(found: SevereYear) -> list[str]:
    """What has to be said beside the choice.

    Parameters
    ----------
    found : SevereYear
        The ranking.

    Returns
    -------
    list of str
        Index, method, and what is wanting in this choice.
    """
    n, chosen = len(found.scores), found.scores[found.chosen]
    said = [
        f"Scored by: {INDEX}.",
        f"Chosen is the year whose rank / (n + 1) is nearest to {WANTED_SHARE:g}: rank {chosen.rank} of {n} has "
        f"{chosen.share:.2f}, which is the share of years that are as severe or more (10th-percentile year of "
        "ASHRAE 160, from memory; the index is ours).",
    ]
    if not found.enough:
        said.append(
            f"Of {n} years: a 10th-percentile year wants {WANTED_YEARS} or more. With so few it is the most "
            "severe of those given, no more."
        )
    if not found.one_place:
        said.append(PLACES_DIFFER)
    if found.scores[0].hours_rh_80 == 0:
        said.append(
            "No year reaches 80 % at the sheathing: mean humidity alone orders them, and the section is little "
            "moved by the choice."
        )
    said.append(TYPICAL_YEARS)
    return said


def severe_year_text(found: SevereYear) -> str:
    """The ranking, the choice and what has to be said beside it.

    Parameters
    ----------
    found : SevereYear
        The ranking.

    Returns
    -------
    str
        Lines of at most 80 columns, but for long names.
    """
    chosen = found.scores[found.chosen]
    lines = [
        *wrapped(f"Years for {found.section_name}, from severe to mild"),
        "",
        f"{'rank':>5} {'rank/(n+1)':>11} {'hours >=80':>11} {'mean RH':>8}   year",
    ]
    for k, score in enumerate(found.scores):
        mark = "  <- design year" if k == found.chosen else ""
        lines.append(
            f"{score.rank:5} {score.share:11.2f} {score.hours_rh_80:11} {100 * score.rh_mean:7.1f}%   "
            f"{score.climate_name}{mark}"
        )
    lines += ["", *wrapped(f"Design year: {chosen.climate_name} ({chosen.climate_place})")]
    lines += wrapped(f"decided at {chosen.side}", "  ")
    lines.append("")
    for remark in remarks(found):
        lines += wrapped(remark, "- ", "  ")
    lines += ["", "Cautions:"]
    for caution in CAUTIONS:
        lines += wrapped(caution, "- ", "  ")
    return "\n".join(lines) + "\n"


def severe_year_summary(found: SevereYear) -> dict[str, Any]:
    """The same as plain data.

    Parameters
    ----------
    found : SevereYear
        The ranking.

    Returns
    -------
    dict
        Fit for JSON; keys name their units where a value has one.
    """
    return {
        "moistwall": __version__,
        "section": found.section_name,
        "index": INDEX,
        "design_year": found.scores[found.chosen].climate_name,
        "years": [
            {
                "name": score.climate_name,
                "place": score.climate_place,
                "rank": score.rank,
                "share_as_severe_or_more": score.share,
                "hours_rh_80": score.hours_rh_80,
                "rh_mean": score.rh_mean,
                "decided_at": score.side,
            }
            for score in found.scores
        ],
        "enough_years": found.enough,
        "one_place": found.one_place,
        "remarks": remarks(found),
        "cautions": list(CAUTIONS),
    }
