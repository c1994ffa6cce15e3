"""Lessons: numbers come from runs, moments from rules, answers from numbers, and nothing is typed in."""

from __future__ import annotations

import ast
import dataclasses
import html
import io
import json
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from lessons import lesson

from moistwall.air import (
    dew_point_from_vapor_pressure,
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
)
from moistwall.assembly import resolve
from moistwall.climate.hours import hour_stamp
from moistwall.errors import InputError
from moistwall.lesson.columns import drop_mass
from moistwall.lesson.figures import blank_figure, moment_figure, moments_gif, picture_names
from moistwall.lesson.flows import leak_water
from moistwall.lesson.moments import days_to_dry, storm_moments, year_moments
from moistwall.lesson.numbers import fahrenheit
from moistwall.lesson.page import lesson_handout, lesson_key, lesson_page, still_rows
from moistwall.lesson.plans import LESSONS, plan
from moistwall.lesson.questions import questions
from moistwall.lesson.story import Lesson
from moistwall.lesson.words import WORDS, new_words, ticket
from moistwall.library import read_year
from moistwall.result import Result
from moistwall.section import Section
from moistwall.simulate import simulate

PACKAGE = Path(__file__).parents[2] / "moistwall"


class Visible(HTMLParser):
    """The text of a page that people see, without script, style and drawings' descriptions."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note whether what follows is seen."""
        self._hidden += tag in ("script", "style", "title", "desc")

    def handle_endtag(self, tag: str) -> None:
        """Note whether what follows is seen."""
        self._hidden -= tag in ("script", "style", "title", "desc")
        self.text += "" if tag in ("b", "dfn") else " "

    def handle_data(self, data: str) -> None:
        """Keep what is seen."""
        if not self._hidden:
            self.text += data


def visible(page: str) -> str:
    """Return the text of a page."""
    parser = Visible()
    parser.feed(page)
    return re.sub(r"\s+", " ", parser.text)


def data_of(page: str) -> dict[str, Any]:
    """Return the numbers that stand in a page."""
    (found,) = re.findall(r'<script type="application/json" id="data">(.*?)</script>', page, re.S)
    return dict(json.loads(html.unescape(found)))


@cache
def rerun() -> Result:
    """Run the design that is asked about once more, past everything that lessons do."""
    return simulate(resolve(lesson().plan.designs[1].assembly), read_year("miami"))


def test_dew_points_in_the_page_are_those_of_a_run_made_anew() -> None:
    """The steps stored in the page are dew points of the mean vapor pressure in each layer of a new run."""
    told = data_of(lesson_page(lesson()))["designs"][1]
    result = rerun()
    for moment, still in zip(lesson().moments, told["stills"], strict=True):
        k = moment.hour
        vapor = result.rh_cell[k] * saturation_pressure(result.temperature_cell[k])
        expected = [result.outdoor_vapor[k]]
        for name in told["columns"]:
            index = [part.name for part in result.parts].index(name)
            own = (result.part_cell == index) & (result.skin_cell == 0)
            if result.parts[index].kind == "gap":
                face = result.gaps[0].inner_cell
                expected.append(0.5 * (vapor[face - 1] + vapor[face]))
            else:
                expected.append(
                    (vapor * result.width_cell)[own].sum() / result.width_cell[own].sum()
                )
        expected.append(result.room_vapor[k])
        shown = [step["dew_point_degF"] for step in still["steps"]]
        dew_points = dew_point_from_vapor_pressure(np.array(expected)) * 1.8 + 32.0
        assert shown == pytest.approx(dew_points, abs=0.006)


def spoken(names: list[str]) -> str:
    """Return what meets at a joint, as the lesson says it."""
    if names[-1] == "room air":
        return f"{names[0]}, behind {names[1]}"
    return f"between {names[0]} and {names[-1]}"


def test_hours_and_flows_in_the_page_are_those_of_a_run_made_anew() -> None:
    """Hours at each joint, vapor into the lining and extra water are those of a new run."""
    told = data_of(lesson_page(lesson()))["designs"][1]
    result = rerun()
    for joint in told["joints"]:
        sides = [
            k
            for k, place in enumerate(result.places)
            if not place.surface
            and joint["name"] == spoken([n for n in place.name.split(" | ") if "facer" not in n])
        ]
        hours = max(int((result.rh_place[:, k] >= 0.8 - 1e-12).sum()) for k in sides)
        assert joint["hours_rh_80"] == hours
    lining = next(place.face for place in result.places if place.part == "gypsum board")
    inward = np.maximum(result.vapor_b[:, lining], 0.0).sum()
    assert told["vapor_inward_kg_per_m2_year"] == pytest.approx(inward, abs=1e-4)
    sheathing = [part.name for part in result.parts].index("sheathing")
    own = (result.part_cell == sheathing) & (result.skin_cell == 0)
    rh = np.mean(result.room_vapor / saturation_pressure(result.room_temperature))
    held = np.interp(rh, result.sorption_rh, result.sorption_part[:, sheathing])
    held *= result.parts[sheathing].thickness
    for moment, still in zip(lesson().moments, told["stills"], strict=True):
        water = result.content_cell[moment.hour, own] @ result.width_cell[own]
        shown = still["extra_kg_per_m2"][told["columns"].index("sheathing")]
        assert shown == pytest.approx(water - held, abs=1e-4)


def test_another_climate_has_other_numbers() -> None:
    """Beside Miami, Minneapolis changes every moment's steps, the hours, the answers' sentences."""
    one, two = (data_of(lesson_page(lesson(name))) for name in ("miami", "minneapolis"))
    for here, there in zip(one["designs"], two["designs"], strict=True):
        for a, b in zip(here["stills"], there["stills"], strict=True):
            assert a["steps"][:-1] != b["steps"][:-1]
        assert here["joints"] != there["joints"]
    for a, b in zip(questions(lesson()), questions(lesson("minneapolis")), strict=True):
        assert a.why != b.why


def strings(path: Path) -> list[str]:
    """Return the texts in a module that are neither docstrings nor formats."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
            skipped |= {id(one) for one in ast.walk(node.format_spec)}
        if isinstance(node, ast.Expr):
            skipped.add(id(node.value))
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in skipped
    ]


@pytest.mark.parametrize("module", ["words", "questions", "moments", "text"])
def test_no_sentence_holds_a_number(module: str) -> None:
    """No text of a lesson has a digit in it: all that people read as numbers are filled in."""
    assert [
        text for text in strings(PACKAGE / "lesson" / f"{module}.py") if re.search(r"\d", text)
    ] == []


@pytest.mark.parametrize("paper", ["lesson", "lesson_handout", "lesson_key", "lesson_parts"])
def test_no_template_holds_a_number(paper: str) -> None:
    """Between the tags of the templates there is no digit."""
    text = (PACKAGE / "show" / "pages" / f"{paper}.html").read_text(encoding="utf-8")
    text = re.sub(r"\{[%{#].*?[%}#]\}", " ", text, flags=re.S)
    assert re.findall(r"\S*\d\S*", re.sub(r"<[^>]*>", " ", text, flags=re.S)) == []


def test_moments_are_chosen_by_their_rules() -> None:
    """Each moment lies in its month and part of the day, and no other hour there fits its rule better."""
    climate, result = read_year("miami"), rerun()
    noon, night, winter, damp = lesson().moments
    month, _, clock = hour_stamp(noon.hour)
    assert (month, 11 <= clock <= 14) == (7, True)
    assert climate.rain is not None
    assert climate.rain[noon.hour - 23 : noon.hour + 1].sum() > 0.0
    months = np.array([hour_stamp(k)[0] for k in range(8760)])
    clocks = np.array([hour_stamp(k)[2] for k in range(8760)])
    small = (clocks >= 1) & (clocks <= 5)
    outside = result.temperature_place[:, 0]
    assert outside[night.hour] == outside[small & (months == 7)].min()
    cold = result.outdoor_temperature
    assert cold[winter.hour] == cold[small & (months == 1)].min()
    inside = [
        k for k, place in enumerate(result.places) if not place.outboard and not place.surface
    ]
    assert result.rh_place[damp.hour, inside].max() == result.rh_place[:, inside].max()


def test_south_of_the_equator_summer_is_in_january() -> None:
    """With the latitude turned over, the noon is January's and the cold night July's."""
    climate = dataclasses.replace(read_year("miami"), latitude=-25.8)
    noon, night, winter, _ = year_moments(rerun(), climate)
    assert [hour_stamp(one.hour)[0] for one in (noon, night, winter)] == [1, 1, 7]
    assert noon.name.startswith("January noon")
    assert winter.name == "July night"


def test_without_known_rain_noon_is_no_noon_after_rain() -> None:
    """Where a record has no rain, the moment is called July noon, and its rule says nothing of rain."""
    noon = year_moments(rerun(), dataclasses.replace(read_year("miami"), rain=None))[0]
    assert noon.name == "July noon"
    assert "rain" not in noon.rule


def dried() -> tuple[Result, Section]:
    """Return a result whose sheathing loses a storm's water by e in 20 days, damp for 10, and its section."""
    section = resolve(plan("dry-out").designs[1].assembly)
    first = section.exposure.pours[0].first_hour
    since = (np.arange(8760) - first) % 8760
    result = rerun()
    content = np.full_like(result.content_cell, 50.0)
    wet = np.where(since < 8759, np.exp(-since / (20 * 24.0)), 0.0)
    content += 100.0 * wet[:, np.newaxis]
    rh = np.full_like(result.rh_place, 0.5)
    rh[since < 240] = 0.9
    return dataclasses.replace(result, content_cell=content, rh_place=rh), section


def test_moments_of_a_drying_follow_the_water() -> None:
    """Of water that falls by e in 20 days, half is gone after 20 ln 2 days, nine tenths after 20 ln 10."""
    result, section = dried()
    before, soaked, half, most = storm_moments(result, section)
    first = section.exposure.pours[0].first_hour
    assert (before.hour, soaked.hour) == (first - 1, first)
    for moment, days in ((half, 20 * np.log(2)), (most, 20 * np.log(10))):
        assert (moment.hour - first) % 8760 == np.ceil(days * 24)


def test_days_to_dry_count_to_the_first_dry_day() -> None:
    """Joints that are damp for 240 hours after the storm take 10 days; such as are always damp, no number."""
    result, section = dried()
    assert days_to_dry(result, section) == 10.0
    damp = dataclasses.replace(result, rh_place=np.full_like(result.rh_place, 0.8))
    assert days_to_dry(damp, section) is None


def test_leaks_bring_what_the_air_beyond_has_less() -> None:
    """Damp air brings its surplus the way that it goes; dry air brings none, whichever way it goes."""
    damp, dry = 2800.0, 1400.0
    result: Any = SimpleNamespace(
        outdoor_vapor=np.array([damp, damp, dry, dry]), room_vapor=np.array([dry, dry, damp, damp])
    )
    air = np.array([2.0, -2.0, 2.0, -2.0])
    surplus = humidity_ratio_from_vapor_pressure(damp) - humidity_ratio_from_vapor_pressure(dry)
    assert leak_water(result, air) == pytest.approx(2.0 * surplus * np.array([1.0, 0.0, 0.0, -1.0]))


def test_way_of_vapor_is_from_the_higher_dew_point() -> None:
    """In Miami's July vapor is driven inward, in its January night outward; the answers say so."""
    ways = questions(lesson())[0]
    assert ways.answers[:3] == ("inward", "inward", "outward")
    still = lesson().designs[1].stills[0].steps
    assert still[0].dew_point is not None
    assert still[-1].dew_point is not None
    assert still[0].dew_point > still[-1].dew_point


def test_answers_are_among_the_options() -> None:
    """Every answer that is to be picked can be picked, and none is both right and nearly right."""
    for name in ("miami", "minneapolis"):
        for one in questions(lesson(name)):
            if one.kind != "steps":
                assert set(one.answers) <= set(one.options)
            assert len(one.answers) == len(one.rows)
            assert not set(one.near) & set(one.answers)
            assert set(one.near) <= set(one.options)


def test_one_change_of_the_ticket_is_the_best() -> None:
    """The exit ticket names foam, the one change that the small lesson has, with the hours of both runs."""
    answer = ticket(lesson())[1].answer
    by_choice = dict(lesson().variants)
    for choice in ((0, 0), (1, 0)):
        assert f"{by_choice[choice].wettest.hours_rh_80:,} hour" in answer
    assert "foam outside: 2 in" in answer


@pytest.mark.parametrize("trade", [False, True])
@pytest.mark.parametrize("name", LESSONS)
def test_words_are_few_and_defined(name: str, trade: bool) -> None:
    """At most six new words, each set off in the sentence that defines it."""
    words = new_words(name, trade)
    assert len(words) <= 6
    for word, sentence in words:
        assert f"*{word}*" in sentence.lower()


def test_words_are_defined_where_they_come_first() -> None:
    """Below its title the page uses no new word before the sentence that defines it."""
    page = lesson_page(lesson(), trade=True)
    body = visible(page[page.index('<main id="main"') :]).lower()
    for word, sentence in new_words("foam", trade=True):
        assert body.index(word) == body.index(sentence.replace("*", "").lower()) + sentence.replace(
            "*", ""
        ).lower().index(word)


def test_trade_adds_pressures_and_perms() -> None:
    """Vapor pressure, perms and saturation stand in the page of the trade only."""
    plain, trade = (visible(lesson_page(lesson(), trade=one)) for one in (False, True))
    for word in ("vapor pressure", "perm", "saturation"):
        assert word in trade
        assert word not in plain


def test_handout_keeps_the_answers_to_itself() -> None:
    """The handout has the questions and none of the answers; the key has all of them."""
    handout, key = visible(lesson_handout(lesson())), visible(lesson_key(lesson()))
    for one in questions(lesson()):
        for sentence in one.why:
            assert sentence not in handout
            assert sentence in key
        assert one.kind == "steps" or one.ask in handout
    for left in ticket(lesson()):
        assert left.ask in handout
        assert left.answer not in handout
        assert left.answer in key


@pytest.mark.parametrize("paper", [lesson_page, lesson_handout, lesson_key])
def test_papers_end_with_the_cautions(paper: Any) -> None:
    """Each paper says what is not in the run, and that code and professionals decide."""
    assert "Local code and a licensed design professional decide." in visible(paper(lesson()))


def test_names_are_text() -> None:
    """A place that is called like a script shows as text in all papers."""
    evil = "<script>alert(1)</script>"
    made = dataclasses.replace(lesson(), climate_place=evil)
    for paper in (lesson_page, lesson_handout, lesson_key):
        page = paper(made)
        assert evil not in page
        assert evil in visible(page)


def test_tables_count_the_drops_that_are_stored() -> None:
    """The number of drops times what one stands for is the extra water, to half a drop."""
    made: Lesson = lesson()
    for design, told in enumerate(made.designs):
        for moment, still in enumerate(told.stills):
            rows = still_rows(made, design, moment, trade=False)
            for row, extra in zip(rows[1:-1], still.extra, strict=True):
                assert int(row[3]) * made.drop == pytest.approx(
                    max(extra, 0.0), abs=0.51 * made.drop
                )


@pytest.mark.parametrize(
    ("most", "expected"), [(0.24, 0.01), (0.25, 0.02), (2.4, 0.1), (0.0, 5e-5)]
)
def test_a_drop_stands_for_a_round_mass(most: float, expected: float) -> None:
    """The mass of a drop is 1, 2 or 5 with zeros, and at most 24 drops are needed."""
    assert drop_mass(most) == pytest.approx(expected)


def test_figures_are_figures_and_move() -> None:
    """Every moment is a matplotlib figure with both designs; the moving picture has a frame for each."""
    from matplotlib.figure import Figure
    from PIL import Image

    made = lesson()
    figure = moment_figure(made, 0, trade=True)
    assert isinstance(figure, Figure)
    assert len(figure.axes) == 2
    texts = [text.get_text() for text in figure.axes[1].texts]
    steps = made.designs[1].stills[0].steps
    for step in steps:
        assert step.dew_point is not None
        assert f"{fahrenheit(step.dew_point):.0f}" in texts
    assert len(blank_figure(made).axes) == 2
    assert len(set(picture_names(made))) == len(made.moments)
    with Image.open(io.BytesIO(moments_gif(made))) as moving:
        assert moving.n_frames == len(made.moments)


@pytest.mark.parametrize("name", LESSONS)
def test_plans_are_assemblies(name: str) -> None:
    """Every lesson has two designs that resolve, six to nine variants, and texts."""
    made = plan(name)
    variants = made.variants()
    assert 6 <= len(variants) <= 9
    for assembly in (*(one.assembly for one in made.designs), *(one for _, one in variants)):
        assert resolve(assembly).layers
    assert made.start in dict(variants)
    assert WORDS[name].beliefs


def test_unknown_lessons_are_refused() -> None:
    """A lesson that does not exist is refused with the ones that do."""
    with pytest.raises(InputError, match="vapor-drive"):
        plan("vapour")
