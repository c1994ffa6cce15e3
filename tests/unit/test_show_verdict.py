"""The first screen, the table of criteria, and the tables of mold, wood and attic air."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from heron_point import example, miami, year

from moistwall.assess.driver import (
    driver_of,
    remedy_of,
    season_months,
    tightest_film_to_room,
)
from moistwall.assess.layer_budget import layer_budgets
from moistwall.assess.measure import Answers
from moistwall.assess.verdict import judge, rank, worst_findings
from moistwall.criteria_file import find_criteria
from moistwall.result import Result
from moistwall.show.growth import attic_lines, mold_lines, wood_lines
from moistwall.show.text import report
from moistwall.show.verdict import (
    HEIGHT,
    LABEL,
    MARKS,
    criteria_lines,
    first_screen,
    number_words,
    season_words,
)
from moistwall.show.wrapping import WIDTH
from moistwall.simulate import simulate
from moistwall.study.judged import JudgedRun, judge_run
from moistwall.study.rooms import DAMP_MONTHS, room_pairs
from moistwall.study.whole_run import WholeRun
from moistwall.units import System

EXAMPLES = (
    "wall",
    "roof",
    "attic",
    "wall-no-foam-vinyl",
    "wall-brick",
    "wall-panel",
    "wall-leak-behind-foam",
    "wall-all-loads",
)


@cache
def judged(name: str) -> tuple[WholeRun, JudgedRun]:
    """Return an example and the verdict on it."""
    run = WholeRun(year(name))
    return run, judge_run(run, find_criteria())


def longest_names(result: Result) -> Result:
    """Return the result with names as long as a file may give them."""
    long = "x y " * 20
    names = {part.name: f"{part.name} {long}"[:80] for part in result.parts}
    return replace(
        result,
        section_name="n " * 40,
        climate_place="p " * 40,
        parts=tuple(replace(part, name=names[part.name]) for part in result.parts),
        places=tuple(
            replace(
                place,
                part=names[place.part],
                mold_of=names.get(place.mold_of, ""),
                name=" | ".join(names.get(one, one) for one in place.name.split(" | ")),
            )
            for place in result.places
        ),
        arrivals=tuple(replace(one, part=names[one.part], name=long) for one in result.arrivals),
        water_control=names.get(result.water_control, ""),
    )


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_first_screen_is_one_screen(name: str, system: System) -> None:
    """It has at most 80 columns and leaves a line of 24 for the prompt; it is plain ASCII."""
    lines = first_screen(*judged(name), system)
    assert len(lines) < HEIGHT == 24
    assert max(map(len, lines)) <= WIDTH == 80
    assert "\n".join(lines).isascii()


@pytest.mark.parametrize("name", ["wall-all-loads", "wall-no-foam-vinyl", "roof"])
def test_first_screen_is_one_screen_whatever_the_names(name: str) -> None:
    """With the longest names, other rooms and studs it still fits."""
    result = longest_names(year(name))
    rooms = tuple((room, result) for room, _ in room_pairs(example(name), miami()))
    run = WholeRun(result, result, 0.25, (), rooms)
    verdict = judge_run(run, find_criteria())
    lines = first_screen(run, verdict, "ip")
    assert len(lines) < HEIGHT
    assert max(map(len, lines)) <= WIDTH
    assert max(map(len, criteria_lines(run, verdict, "ip"))) <= WIDTH
    assert max(map(len, report(result, "ip", run, verdict).splitlines())) <= WIDTH


@pytest.mark.parametrize("name", EXAMPLES)
def test_first_screen_has_the_verdict_and_three_numbers(name: str) -> None:
    """The word with its mark in capitals, three criteria with limits, each with a season and a place."""
    run, verdict = judged(name)
    lines = first_screen(run, verdict, "ip")
    assert any(
        line.startswith(f"{MARKS[verdict.overall]} {verdict.overall.upper()}") for line in lines
    )
    assert len(verdict.worst) == 3
    for finding, _ in verdict.worst:
        at = next(k for k, line in enumerate(lines) if f" {finding.criterion.name}" in line[3:])
        assert lines[at].startswith(MARKS[finding.word])
        assert season_words(finding.season) in lines[at + 1]


def test_report_begins_with_the_first_screen_and_promises_nothing() -> None:
    """The word of promise is nowhere in the report; the first screen stands at its top."""
    for name in EXAMPLES:
        run, verdict = judged(name)
        text = report(run.clear, "ip", run, verdict)
        assert text.startswith("\n".join(first_screen(run, verdict, "ip")))
        assert "safe" not in text.casefold()
        assert text.isascii()


def test_hours_are_days_only_beside_a_limit_of_days() -> None:
    """A count that happens to be whole days is told in hours beside a limit in hours, so that both compare."""
    rules = find_criteria().criteria
    hours = next(one for one in rules if one.name == "hours at 80 % RH")
    days = next(one for one in rules if one.name == "wood over 20 %MC")
    assert number_words(hours, 2112.0, "ip") == "2112 h"
    assert number_words(hours, hours.limit, "ip") == "2000 h"
    assert number_words(days, days.limit, "ip") == "30 days"
    assert number_words(days, 24.0, "ip") == "1 day"
    assert number_words(days, 62.0, "ip") == "62 h"


def test_marks_differ_in_shape() -> None:
    """Each word has a mark of its own, without color."""
    assert len(set(MARKS.values())) == len(MARKS) == 3
    assert {len(mark) for mark in MARKS.values()} == {3}


def test_every_criterion_comes_with_its_source() -> None:
    """The table has each criterion, its source and its quality."""
    run, verdict = judged("wall")
    text = " ".join(" ".join(criteria_lines(run, verdict, "ip")).split())
    for criterion in verdict.criteria.criteria:
        assert criterion.name in text
        assert f"{criterion.source.text} ({criterion.source.quality})" in text


def test_other_rooms_are_told() -> None:
    """A room that was run has its line; without any the option is named."""
    run, verdict = judged("wall")
    assert any("--rooms" in line for line in first_screen(run, verdict, "ip"))
    beside = replace(run, rooms=(("a cold room", run.clear),))
    both = judge_run(beside, find_criteria())
    lines = first_screen(beside, both, "ip")
    assert any("a cold room: dries" in line for line in lines)
    assert not any("--rooms" in line for line in lines)


# cause and remedy


def test_leak_behind_foam_is_named_as_cause_and_remedy() -> None:
    """Water that a file lets leak to the sheathing is what wets it, and keeping it out comes first."""
    _, verdict = judged("wall-leak-behind-foam")
    assert verdict.driver is not None
    assert verdict.driver.kind == "water leak"
    assert verdict.driver.part == "sheathing"
    assert verdict.remedy is not None
    assert verdict.remedy.kind == "stop the water"
    assert verdict.remedy.what == verdict.driver.names[0]


def test_vinyl_is_named_as_what_keeps_it_from_drying() -> None:
    """Behind vinyl, vapor comes from outside and the wallcovering holds nearly all of it back."""
    _, verdict = judged("wall-no-foam-vinyl")
    assert verdict.driver is not None
    assert verdict.driver.kind == "vapor from outside"
    assert verdict.remedy is not None
    assert (verdict.remedy.kind, verdict.remedy.what) == ("let it dry to the room", "inside finish")
    assert verdict.remedy.share > 0.9


def test_what_dries_has_neither_cause_nor_remedy() -> None:
    """Nothing is advised where nothing is wrong."""
    _, verdict = judged("wall")
    assert (verdict.driver, verdict.remedy) == (None, None)
    assert verdict.confidence is not None
    assert verdict.confidence.distance > 0.0


def test_no_remedy_without_numbers() -> None:
    """Without a cause there is none, and a latex paint that lets vapor through is not accused."""
    wall = year("wall-panel")
    finding = worst_findings(judge(wall, find_criteria()))[0]
    assert remedy_of(wall, finding, None) is None
    driver = driver_of(wall, finding)
    assert driver is not None
    opened = replace(driver, kind="vapor from the room")
    assert remedy_of(wall, finding, opened) is None
    weak = replace(driver, kind="water leak", names=("a leak",), share=0.2)
    assert remedy_of(wall, finding, weak) is None


def test_cause_is_what_the_account_of_the_layer_has() -> None:
    """Its amount is the season's sum of the layer's own account of water."""
    wall = year("wall-no-foam-vinyl")
    finding = worst_findings(judge(wall, find_criteria()))[0]
    driver = driver_of(wall, finding)
    assert driver is not None
    account = next(one for one in layer_budgets(wall) if one.part == "gypsum board")
    season = account.month[season_months(finding.season)].sum(axis=0)
    assert driver.amount == pytest.approx(season[0])
    assert driver.share == pytest.approx(season[0] / season[season > 0.0][:-1].sum(), rel=0.5)


def test_film_takes_no_share_where_vapor_leaves_outward() -> None:
    """From a place drier than the room nothing has to dry to the room."""
    wall = year("wall")
    dry = replace(wall, rh_place=wall.rh_place * 0.1)
    assert tightest_film_to_room(dry, len(wall.places) - 3, None) == ("", 0.0)


@pytest.mark.parametrize(("season", "months"), [(None, 12), ((7, 7), 1), ((6, 9), 4), ((11, 2), 4)])
def test_seasons_wrap_the_year(season: tuple[int, int] | None, months: int) -> None:
    """November to February are four months; no season is the whole year."""
    assert season_months(season).sum() == months


# rooms


def test_rooms_beside() -> None:
    """A room at 70 degF and 50 %; and one at 75 degF with 70 % in the months in which cooling idles."""
    wall = example("wall")
    (_, cold), (_, damp) = room_pairs(wall, miami())
    assert (cold.room_temperature, cold.room_rh) == (pytest.approx(21.11, abs=0.01), 0.50)
    assert damp.room_temperature == pytest.approx(23.89, abs=0.01)
    assert set(damp.room_rh) == {0.50, 0.70}
    days = {3: 31, 4: 30, 10: 31, 11: 30}
    assert set(days) == set(DAMP_MONTHS)
    assert (damp.room_rh == 0.70).sum() == 24 * sum(days.values())
    assert cold.parts == damp.parts == wall.parts


def test_room_that_is_damper_already_stays_so() -> None:
    """A room that the file states at 75 % is not dried for the damp pair."""
    _, (_, damp) = room_pairs(replace(example("wall"), room_rh=0.75), miami())
    assert set(damp.room_rh) == {0.75}


def test_cold_room_is_worse_behind_vinyl() -> None:
    """Setpoint decides: the colder room has more mold behind vinyl (Gulf hotels: common practice, no source)."""
    section = example("wall-no-foam-vinyl")
    (_, cold), _ = room_pairs(section, miami())
    colder = simulate(cold, miami())
    criteria = find_criteria()
    index = [
        max(
            one.at.value
            for one in judge(result, criteria).judged[0].findings
            if not one.at.outboard
        )
        for result in (year("wall-no-foam-vinyl"), colder)
    ]
    assert index[1] > index[0]


# both paths


def test_worse_path_decides() -> None:
    """The overall word is the worse of clear path and studs, and the screen tells both."""
    run = WholeRun(year("wall"), year("wall-brick"), 0.25)
    verdict = judge_run(run, find_criteria())
    assert verdict.clear.overall == "dries"
    assert verdict.stud is not None
    assert verdict.stud.overall != "dries"
    assert verdict.overall == verdict.stud.overall
    assert verdict.decisive is not None
    assert verdict.decisive[1]
    assert any("through them" in line for line in first_screen(run, verdict, "ip"))


def test_rows_of_the_studs_are_whole() -> None:
    """No name of a row is cut: that of the studs stands below the criterion's and says so."""
    run = WholeRun(year("wall"), year("wall-brick"), 0.25)
    lines = criteria_lines(run, judge_run(run, find_criteria()), "ip")
    assert not [line for line in lines if ".." in line[:LABEL]]
    here = next(k for k, line in enumerate(lines) if "running month at 80 % RH (info)" in line)
    assert any("   at the studs (info)" in line for line in lines[here + 1 : here + 5])


def test_a_file_without_water_control_is_told_that_its_cladding_counts() -> None:
    """Where nothing keeps the rain out by name, the first screen says what that does to the verdict."""
    clear = replace(year("roof"), water_control="")
    run = WholeRun(clear)
    said = " ".join(" ".join(first_screen(run, judge_run(run, find_criteria()), "ip")).split())
    assert "its cladding included, as the file names no [water_control]" in said


def test_worst_findings_are_ordered() -> None:
    """What decides comes before information, and what is worse before what is better."""
    for name in EXAMPLES:
        _, verdict = judged(name)
        ranks = [rank(finding) for finding, _ in verdict.worst]
        assert ranks == sorted(ranks, reverse=True)


# tables


def test_mold_table_has_every_place() -> None:
    """A row for each side, beside outdoor air of each class."""
    answers = Answers(year("wall"))
    lines = mold_lines(answers)
    rows = [line for line in lines if line.startswith(("  in ", "  surface"))]
    assert len(rows) == len(year("wall").places)
    assert sum(line.startswith("outdoor air, class") for line in lines) == len(
        answers.mold_outdoors
    )
    assert max(map(len, lines)) <= 80


def test_place_without_class_is_marked() -> None:
    """A surface whose material gives no class is judged as sensitive, and the table says so."""
    wall = year("wall")
    bare = replace(
        wall, places=tuple(replace(one, mold_class="", mold_of="") for one in wall.places)
    )
    text = "\n".join(mold_lines(Answers(bare)))
    assert "S*" in text
    assert "sensitive was assumed" in " ".join(text.split())
    assert "sensitive was assumed" not in " ".join(" ".join(mold_lines(Answers(wall))).split())


def test_wood_table_tells_its_own_sorption() -> None:
    """Each layer of wood has three rows, and the humidities that its limits belong to."""
    lines = wood_lines(year("roof"))
    text = " ".join(" ".join(lines).split())
    assert (
        sum(line.startswith(("  mean of it", "  outer face", "  inner face")) for line in lines)
        == 6
    )
    assert "% RH (20 degC)" in text
    assert "Fasteners" in text
    assert max(map(len, lines)) <= 80


def test_section_without_wood_has_no_table() -> None:
    """Where there is no wood, nothing is said of it."""
    wall = year("wall")
    none = replace(wall, parts=tuple(replace(part, wood=False) for part in wall.parts))
    assert wood_lines(none) == []


@pytest.mark.parametrize(("system", "limit"), [("ip", "100"), ("si", "38")])
def test_attic_air_is_told_in_both_units(system: System, limit: str) -> None:
    """Hours over 100 degF, or 38 degC; a wall has none."""
    text = " ".join(attic_lines(year("attic"), system))
    assert f"h over {limit}" in text
    assert attic_lines(year("wall"), system) == []
