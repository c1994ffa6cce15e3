"""A moisture design year chosen from several: scores, ranks, the choice, and what is said of it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from heron_point import example, miami, year
from weather import changed

from moistwall.climate.record import Climate
from moistwall.errors import AssemblyError, InputError
from moistwall.result import Result
from moistwall.section import Layer, Section
from moistwall.show.cautions import TYPICAL_YEAR
from moistwall.show.severe_year import PLACES_DIFFER, severe_year_summary, severe_year_text
from moistwall.study.severe_year import (
    INDEX,
    SevereYear,
    rank_nearest,
    score_of,
    severe_year,
)

WALL = "wall-no-foam"


def drifting(k: int, **values: object) -> Climate:
    """Year number k: Miami's, a little warmer each, so that no two are the same weather."""
    return changed(name=f"year {k}", temperature=miami().temperature + 0.01 * k, **values)


def with_sheathing_at(result: Result, wet_hours: int, rh: float = 0.5) -> Result:
    """Return the result with so many hours at 85 % at the sheathing's inner side, else one humidity."""
    humidity = result.rh_place.copy()
    for k, place in enumerate(result.places):
        if place.part == "sheathing":
            humidity[:, k] = rh
            if place.side == "a":
                humidity[:wet_hours, k] = 0.85
    return replace(result, rh_place=humidity)


def chosen_from(hours: list[int], means: list[float] | None = None) -> SevereYear:
    """Rank years that come out with so many wet hours, and otherwise at such humidities."""
    means = means or [0.5] * len(hours)
    years = [drifting(k) for k in range(len(hours))]

    def run(section: Section, climate: Climate) -> Result:
        k = int(climate.name.split()[1])
        return with_sheathing_at(year(WALL), hours[k], means[k])

    return severe_year(example(WALL), years, run=run)


def test_score_counts_the_sheathing_inside_of_the_water_control_layer() -> None:
    """Hours are those of the wettest side of the sheathing, and other layers do not count."""
    result = with_sheathing_at(year(WALL), 123)
    hours, mean, side = score_of(result)
    assert hours == 123
    assert side.endswith("in sheathing")
    assert mean == pytest.approx((123 * 0.85 + 8637 * 0.5) / 8760)
    wet = replace(
        result,
        rh_place=np.where([p.part == "sheathing" for p in result.places], result.rh_place, 0.99),
    )
    assert score_of(wet)[0] == 123


def test_sides_outboard_do_not_count() -> None:
    """A side of the sheathing that lies outside of the water-control layer is left out."""
    result = with_sheathing_at(year(WALL), 123)
    places = tuple(
        replace(place, outboard=place.outboard or (place.part == "sheathing" and place.side == "a"))
        for place in result.places
    )
    with_outer = replace(result, places=places)
    inner = [p for p in places if p.part == "sheathing" and not p.outboard]
    assert inner
    assert score_of(with_outer)[0] == 0


def test_ranked_from_severe_to_mild() -> None:
    """More hours come first, and where hours are alike the damper mean."""
    found = chosen_from([10, 500, 10, 0], [0.5, 0.4, 0.6, 0.79])
    assert [score.climate_name for score in found.scores] == [
        "year 1",
        "year 2",
        "year 0",
        "year 3",
    ]
    assert [score.rank for score in found.scores] == [1, 2, 3, 4]
    assert [score.share for score in found.scores] == pytest.approx([0.2, 0.4, 0.6, 0.8])
    assert found.scores[found.chosen].climate_name == "year 1"


@pytest.mark.parametrize(
    ("n_years", "rank"), [(1, 1), (4, 1), (10, 1), (14, 1), (19, 2), (20, 2), (29, 3), (99, 10)]
)
def test_rank_of_the_design_year(n_years: int, rank: int) -> None:
    """The rank is 1 of ten, 2 of twenty, 10 of 99: rank / (n + 1) nearest to a tenth."""
    assert rank_nearest(n_years) == rank


@pytest.mark.parametrize("n_years", range(1, 60))
def test_no_other_rank_is_nearer(n_years: int) -> None:
    """By search: no rank has a share nearer to a tenth, and a milder one that is as near is not taken."""
    rank = rank_nearest(n_years)
    distance = [abs(r / (n_years + 1) - 0.1) for r in range(1, n_years + 1)]
    assert distance[rank - 1] <= min(distance) + 1e-12
    assert not any(math.isclose(d, min(distance), abs_tol=1e-12) for d in distance[: rank - 1])


def test_twenty_years_give_the_second() -> None:
    """Of twenty years the second most severe is chosen, and nothing is said of too few."""
    found = chosen_from([10 * k for k in range(20)])
    assert found.scores[found.chosen].climate_name == "year 18"
    assert found.enough
    text = " ".join(severe_year_text(found).split())
    assert "wants 10 or more" not in text
    assert "<- design year" in text


def test_few_years_are_said_to_be_few() -> None:
    """With four years the text says 'of 4 years' and what such a choice wants; the cautions are there."""
    found = chosen_from([5, 4, 3, 2])
    text = " ".join(severe_year_text(found).split())
    assert "Of 4 years: a 10th-percentile year wants 10 or more" in text
    assert INDEX in text
    assert TYPICAL_YEAR in text
    assert PLACES_DIFFER not in text
    assert "No year reaches 80 %" not in text
    assert max(map(len, severe_year_text(found).splitlines())) <= 80
    data = severe_year_summary(found)
    assert data["design_year"] == "year 0"
    assert [one["hours_rh_80"] for one in data["years"]] == [5, 4, 3, 2]
    assert data["enough_years"] is False


def test_years_that_never_get_damp_are_said_to_decide_little() -> None:
    """Where no year has an hour at 80 %, the text says that mean humidity alone orders them."""
    found = chosen_from([0, 0], [0.5, 0.6])
    assert found.scores[0].climate_name == "year 1"
    assert "mean humidity alone" in " ".join(severe_year_text(found).split())


def test_places_are_not_years() -> None:
    """Years of different places are ranked, with the remark that places are what is ranked."""
    years = [drifting(0), drifting(1, place="Heron Point (invented)")]
    found = severe_year(example(WALL), years, run=lambda section, climate: year(WALL))
    assert not found.one_place
    assert PLACES_DIFFER in " ".join(severe_year_text(found).split())


def test_years_of_one_name_are_numbered() -> None:
    """Different weather under one name is told apart; equal scores keep the order given."""
    years = [replace(drifting(k), name="logger") for k in range(3)]
    found = severe_year(example(WALL), years, run=lambda section, climate: year(WALL))
    assert [s.climate_name for s in found.scores] == [f"logger, no. {k}" for k in (1, 2, 3)]


def test_too_few_years_and_one_twice() -> None:
    """One year is no choice, and the same weather twice is refused, under whatever name."""
    with pytest.raises(InputError, match="two years or more"):
        severe_year(example(WALL), [miami()])
    with pytest.raises(InputError, match="given twice"):
        severe_year(example(WALL), [miami(), replace(miami(), name="other")])


def test_section_without_sheathing_is_refused_before_anything_is_run() -> None:
    """Without sheathing nothing can be scored."""
    wall = example(WALL)
    parts = tuple(
        replace(part, material=replace(part.material, kind="lining"))
        if isinstance(part, Layer)
        else part
        for part in wall.parts
    )

    def run(section: Section, climate: Climate) -> Result:
        raise AssertionError("was run")

    with pytest.raises(AssemblyError, match="no sheathing"):
        severe_year(replace(wall, parts=parts), [drifting(0), drifting(1)], run=run)
    with pytest.raises(AssemblyError, match="no sheathing"):
        score_of(
            replace(year(WALL), parts=tuple(replace(p, material="x") for p in year(WALL).parts))
        )


@pytest.mark.slow
def test_humid_years_are_the_severe_ones() -> None:
    """Simulated: air near saturation is worse for the sheathing than Miami's, and dry air is milder."""
    t = miami().temperature
    years = [
        changed(name="dry", dew_point=np.minimum(t - 15.0, 5.0)),
        changed(name="as it was", wind_speed=miami().wind_speed),
        changed(name="damp", dew_point=t - 0.5),
    ]
    told: list[int] = []
    found = severe_year(example(WALL), years, tell=lambda climate, k: told.append(k))
    assert [score.climate_name for score in found.scores] == ["damp", "as it was", "dry"]
    assert found.scores[0].hours_rh_80 > 1000
    assert told == [0, 1, 2]
