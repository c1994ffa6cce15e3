"""Criteria, the one rule that turns numbers into words, and what is made of a whole year."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from heron_point import year
from hypothesis import given
from hypothesis import strategies as st

from moistwall.assess.condensation import wet_hours
from moistwall.assess.criteria import (
    QUANTITIES,
    WORDS,
    Criteria,
    Criterion,
    nearness,
    word_for,
    worst_word,
)
from moistwall.assess.measure import Answers, inboard_cells, measure
from moistwall.assess.verdict import judge, season_of, worst_findings
from moistwall.assess.wood import wood_moisture
from moistwall.criteria_file import criteria_from_data, find_criteria, read_criteria
from moistwall.errors import CriteriaError
from moistwall.library import data_folder
from moistwall.material import Source

SOURCE = Source("invented for a test", "estimate")
NUMBERS = st.floats(0.0, 100.0)


def limit(quantity: str = "mold index", **more: Any) -> Criterion:
    """Return a criterion with a limit of 10 and a marginal band of 3."""
    return Criterion("a rule", quantity, 10.0, 3.0, SOURCE, **more)


def only(*criteria: Criterion) -> Criteria:
    """Return criteria that hold some alone."""
    return Criteria("test", "", "", criteria)


# the rule


@pytest.mark.parametrize(
    ("low", "high", "word"),
    [
        (0.0, 6.9, "dries"),
        (7.0, 7.0, "marginal"),
        (0.0, 7.0, "marginal"),
        (9.9, 9.9, "marginal"),
        (9.9, 50.0, "marginal"),
        (0.0, 50.0, "marginal"),
        (10.0, 10.0, "stays wet"),
        (10.0, 50.0, "stays wet"),
    ],
)
def test_one_rule_for_every_number(low: float, high: float, word: str) -> None:
    """Clear of limit and band on the whole bracket, beyond the limit on the whole of it, or in between."""
    assert word_for(limit(), low, high) == word


@given(NUMBERS, NUMBERS, NUMBERS)
def test_more_is_never_better(a: float, b: float, c: float) -> None:
    """A bracket that lies higher has no better word; one that is wider is never sure of a worse one."""
    low, mid, high = sorted((a, b, c))
    rank = [
        WORDS.index(word_for(limit(), *pair)) for pair in ((low, mid), (low, high), (mid, high))
    ]
    assert rank == sorted(rank)


@given(NUMBERS, NUMBERS)
def test_above_is_below_in_a_mirror(a: float, b: float) -> None:
    """A limit to stay above judges x as one to stay below judges the mirrored x."""
    low, high = sorted((a, b))
    above = replace(limit(), comparison="above")
    if low > 13.0:
        assert word_for(above, low, high) == "dries"
    elif high <= 10.0:
        assert word_for(above, low, high) == "stays wet"
    else:
        assert word_for(above, low, high) == "marginal"


def test_nearness_is_one_at_the_limit() -> None:
    """Half of the limit is half way; where more is better, twice the limit is."""
    assert nearness(limit(), 0.0, 5.0) == pytest.approx(0.5)
    assert nearness(limit(), 0.0, 10.0) == pytest.approx(1.0)
    assert nearness(replace(limit(), comparison="above"), 20.0, 30.0) == pytest.approx(0.5)


def test_no_word_promises_anything() -> None:
    """The words are dries, marginal and stays wet, in this order; the worst wins."""
    assert WORDS == ("dries", "marginal", "stays wet")
    assert worst_word(("dries", "stays wet", "marginal")) == "stays wet"
    assert worst_word(("dries", "dries")) == "dries"


# the season


@pytest.mark.parametrize(
    ("months", "season"),
    [
        ({7: 1.0}, (7, 7)),
        ({6: 0.3, 7: 0.3, 8: 0.2, 1: 0.2}, (6, 7)),
        ({12: 0.3, 1: 0.3, 5: 0.4}, (12, 1)),
        ({}, None),
    ],
)
def test_season_is_the_shortest_that_holds_half(
    months: dict[int, float], season: tuple[int, int] | None
) -> None:
    """December and January are neighbors; nothing has no season."""
    share = np.zeros(12)
    for month, value in months.items():
        share[month - 1] = value
    assert season_of(share) == season


# measures


@pytest.mark.parametrize(
    ("quantity", "threshold", "field"),
    [
        ("hours at humidity", 0.80, "hours_rh_80"),
        ("hours at humidity", 0.95, "hours_rh_95"),
        ("longest time at humidity", 0.80, "longest_wet_hours"),
        ("hours with liquid", None, "liquid_hours"),
    ],
)
def test_hours_are_those_of_the_table(quantity: str, threshold: float | None, field: str) -> None:
    """A criterion on hours counts what the table of the report counts, bracket included."""
    roof = year("roof")
    found = measure(limit(quantity, threshold=threshold), Answers(roof))
    rows = wet_hours(roof)
    assert [one.value for one in found] == [getattr(row, field) for row in rows]
    if field.startswith("hours"):
        brackets = [getattr(row, f"{field}_range") for row in rows]
        assert [(one.low, one.high) for one in found] == brackets


def test_moisture_content_is_that_of_the_wood() -> None:
    """A criterion on wood takes each slice of each layer of wood, and its bracket."""
    roof = year("roof")
    found = measure(limit("highest moisture content"), Answers(roof))
    rows = wood_moisture(roof)
    assert [(one.part, one.slice) for one in found] == [(row.part, row.slice) for row in rows]
    assert [one.value for one in found] == [row.highest for row in rows]
    assert [(one.low, one.high) for one in found] == [row.highest_range for row in rows]


def test_kinds_restrict_a_criterion() -> None:
    """Restricted to sheathing it looks at sheathing alone; of a kind that is not there it finds nothing."""
    roof = year("roof")
    some = limit("highest moisture content", kinds=("sheathing",))
    assert {one.part for one in measure(some, Answers(roof))} == {"deck"}
    none = limit("highest moisture content", kinds=("cladding",))
    assert measure(none, Answers(roof)) == []


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_quantity_is_measured(quantity: str) -> None:
    """Each quantity gives finite numbers within their brackets, and months that add up to 1 or 0."""
    roof = year("roof")
    threshold = {"share": 0.8, "moisture_content": 0.1, None: None}[QUANTITIES[quantity].threshold]
    found = measure(limit(quantity, threshold=threshold), Answers(roof))
    assert found
    for one in found:
        assert np.isfinite([one.value, one.low, one.high]).all()
        assert one.low <= one.value <= one.high
        assert one.month.sum() == pytest.approx(1.0) or not one.month.any()


def test_cells_inside_of_the_water_control_layer() -> None:
    """The outer skin of the foam lies outside of its facer that keeps rain out; all that follows is inside."""
    wall = year("wall")
    inboard = inboard_cells(wall)
    first = int(np.flatnonzero(inboard)[0])
    assert inboard[first:].all()
    assert wall.parts[wall.part_cell[first]].name == "outer foam"
    assert wall.skin_cell[first] == 0
    assert wall.skin_cell[first - 1] == 1
    assert inboard_cells(replace(wall, water_control="")).all()


# the verdict


def test_wall_of_the_readme_dries() -> None:
    """Two inches of foil foam, no rain, no leaks: every criterion that counts says so."""
    verdict = judge(year("wall"), find_criteria())
    assert verdict.overall == "dries"
    assert {one.word for one in verdict.judged if one.criterion.counts} <= {"dries"}


def test_vinyl_wallcovering_breeds_mold_behind_it() -> None:
    """Behind vinyl in a cooled room mold grows in summer and rises: known from Gulf hotels (no source)."""
    wall = year("wall-no-foam-vinyl")
    verdict = judge(wall, find_criteria())
    assert verdict.overall != "dries"
    worst = worst_findings(verdict)[0]
    assert worst.criterion.quantity == "mold index"
    assert worst.at.part == "gypsum board"
    assert worst.at.rising
    assert worst.season is not None
    assert 6 <= worst.season[0] <= 9


def test_places_outside_count_only_where_a_criterion_says_so() -> None:
    """Outside of the water-control layer it is damp: that decides only with everywhere."""
    wall = year("wall")
    rule = Criterion("damp", "hours at humidity", 500.0, 100.0, SOURCE, threshold=0.8)
    assert judge(wall, only(rule)).overall == "dries"
    assert judge(wall, only(replace(rule, everywhere=True))).overall == "stays wet"


def test_information_does_not_decide() -> None:
    """A criterion that does not count is judged and shown, and leaves the overall word alone."""
    wall = year("wall-no-foam-vinyl")
    rule = Criterion("damp", "hours at humidity", 10.0, 1.0, SOURCE, threshold=0.5, counts=False)
    quiet = Criterion("run off", "water run off", 1e6, 0.0, SOURCE)
    verdict = judge(wall, only(rule, quiet))
    assert [one.word for one in verdict.judged] == ["stays wet", "dries"]
    assert verdict.overall == "dries"


def test_nothing_to_judge_is_not_called_dry() -> None:
    """Where no criterion finds anything the word is marginal: nothing is known."""
    rule = limit("highest moisture content", kinds=("no such kind",))
    verdict = judge(year("wall"), only(rule))
    assert verdict.judged[0].word is None
    assert verdict.overall == "marginal"


def test_quick_decline_that_flips_the_answer_makes_it_marginal() -> None:
    """A limit between the peaks of the slow and the quick decline is neither passed nor failed."""
    wall = year("wall-no-foam-vinyl")
    answers = Answers(wall)
    index = max((one for one in measure(limit(), answers)), key=lambda one: one.value)
    between = 0.5 * (index.low + index.value)
    rule = replace(limit(), limit=between, marginal=0.0)
    assert index.low < between < index.value
    assert judge(wall, only(rule), answers).overall == "marginal"


# files


def test_shipped_criteria_have_sources() -> None:
    """The shipped file is read; mold counts with a limit of 3, and every limit says where it comes from."""
    criteria = find_criteria()
    mold = criteria.criteria[0]
    assert (mold.quantity, mold.limit, mold.marginal, mold.counts) == ("mold index", 3.0, 2.0, True)
    assert all(one.source.text for one in criteria.criteria)
    wood = next(one for one in criteria.criteria if one.name == "wood over 20 %MC")
    assert (wood.threshold, wood.limit, wood.marginal) == pytest.approx((0.20, 720.0, 696.0))


def test_local_rule_needs_no_code(tmp_path: Path) -> None:
    """A file with one rule of its own is read, in SI and hours, and judges."""
    path = tmp_path / "local.toml"
    path.write_text(
        """
name = "local"
[[criterion]]
name = "deck"
quantity = "highest moisture content"
kinds = ["sheathing"]
limit = "5 %MC"
marginal = "1 %MC"
source = "invented"
quality = "estimate"
""",
        encoding="utf-8",
    )
    criteria = read_criteria(path)
    assert criteria.criteria[0].limit == pytest.approx(0.05)
    verdict = judge(year("roof"), criteria)
    assert verdict.overall == "stays wet"
    assert worst_findings(verdict)[0].at.part == "deck"


def shipped() -> dict[str, Any]:
    """Return the shipped file as data."""
    path = data_folder("criteria") / "screening.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("place", "key", "value", "said"),
    [
        (0, "limit", "3 %", "the mold index has no unit"),
        (0, "limit", 0.0, "must be above 0"),
        (0, "marginal", 4.0, "must lie between 0 and the limit"),
        (0, "threshold", "80 %", "has no threshold"),
        (0, "quantity", "mold indx", "mold index"),
        (0, "quality", "certain", "must be one of"),
        (0, "comparison", "under", "must be one of"),
        (1, "limit", 30.0, "30"),
        (1, "limit", "30", "unit"),
        (1, "limit", "30 %", "time"),
        (1, "threshold", None, "is missing"),
        (1, "name", "Mold index, third year", "two criteria have this name"),
        (1, "limits", "30 days", "is not a known key"),
    ],
)
def test_mistakes_are_named(place: int, key: str, value: object, said: str) -> None:
    """Each mistake is one fault with its place, what stands there and what to write."""
    data = shipped()
    if value is None:
        del data["criterion"][place][key]
    else:
        data["criterion"][place][key] = value
    with pytest.raises(CriteriaError, match=said) as caught:
        criteria_from_data(data, "own.toml")
    assert [fault.file for fault in caught.value.faults] == ["own.toml"]
    assert caught.value.faults[0].field.startswith(f"criterion[{place + 1}].{key}")


def test_all_mistakes_come_together() -> None:
    """Two wrong limits and a name given twice are three faults."""
    data = shipped()
    data["criterion"][0]["limit"] = "3 in"
    data["criterion"][1]["limit"] = "3 in"
    data["criterion"][2]["name"] = data["criterion"][3]["name"]
    with pytest.raises(CriteriaError) as caught:
        criteria_from_data(data)
    assert len(caught.value.faults) == 3


def test_criteria_of_which_none_counts_are_refused() -> None:
    """Without anything that counts there is no verdict."""
    data = shipped()
    for one in data["criterion"]:
        one["counts"] = False
    with pytest.raises(CriteriaError, match="none of them counts"):
        criteria_from_data(data)
