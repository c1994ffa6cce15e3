"""Assemblies, years and rooms drawn at random from all that a file may say: every law holds of every run."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from random_recipes import Recipe, draw_recipe, draw_zoned_recipe
from random_runs import run_recipe, run_zoned, temperature_bounds

from moistwall.library import find_material
from moistwall.section import Layer, Section

CASES = sorted((Path(__file__).parent / "once_broken").glob("*.json"))


@given(random=st.randoms(use_true_random=False))
@settings(max_examples=20, suppress_health_check=list(HealthCheck))
def test_laws_hold_of_whatever_is_drawn(random: Random) -> None:
    """Balances, drift, humidity, temperatures, twice and beside others; a step may have no solution."""
    recipe = draw_recipe(random, most_layers=6, hours=(6, 30))
    outcome = run_recipe(recipe)
    # fans may be drawn that no house withstands: such a recipe says nothing of the laws
    assume(outcome.end != "refused")
    assert outcome.end in ("solved", "unsolved"), (outcome.told, recipe)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_what_once_broke_is_solved(path: Path) -> None:
    """Runs that long trials found broken are solved, and every law holds of them."""
    outcome = run_recipe(Recipe(**json.loads(path.read_text(encoding="utf-8"))))
    assert outcome.end == "solved", outcome.told


@pytest.mark.parametrize(
    "name", ["run_off_at_the_brim", "run_off_behind_rain", "steel_full_of_water"]
)
def test_water_that_runs_off_takes_no_steps_of_a_second(name: str) -> None:
    """Where a layer is full, the march goes on in ordinary steps; they were 4000 an hour, hour after hour."""
    path = Path(__file__).parent / "once_broken" / f"{name}.json"
    recipe = Recipe(**json.loads(path.read_text(encoding="utf-8")))
    outcome = run_recipe(recipe)
    assert outcome.end == "solved", outcome.told
    assert outcome.steps < 4000
    assert outcome.forced < 60


def test_all_cases_are_there() -> None:
    """The folder was not emptied."""
    assert len(CASES) >= 10


def test_one_seed_is_one_run() -> None:
    """A run is made from its seed alone."""
    assert draw_recipe(Random(7)) == draw_recipe(Random(7))
    assert draw_recipe(Random(7)) != draw_recipe(Random(8))


def test_what_is_drawn_reaches_far() -> None:
    """In 60 seeds stand thin and thick layers, all kinds of gaps, of years, of rooms and of loads."""
    recipes = [draw_recipe(Random(seed)) for seed in range(60)]
    layers = [entry for recipe in recipes for entry in recipe.assembly["layer"]]
    thick = [float(entry["thickness"].split()[0]) for entry in layers if "thickness" in entry]
    assert min(thick) < 0.1
    assert max(thick) > 800.0
    assert {entry["gap"] for entry in layers if "gap" in entry} == {
        "sealed",
        "drained",
        "vented",
        "ventilated",
    }
    assert len({recipe.weather for recipe in recipes}) == 7
    assert len({recipe.base for recipe in recipes}) == 9
    tables = {key for recipe in recipes for key in recipe.assembly}
    assert {"rain", "leakage", "start", "event", "studs", "water_control"} <= tables
    named = {entry.get("material", entry.get("film")) for entry in layers}
    assert len(named) > 75


def test_bounds_of_temperature_refuse_what_nothing_explains() -> None:
    """Between 20 degC on both sides a dry board can be warmed by sorption, but not cooled below wet bulb."""
    section = Section("board", (Layer("board", find_material("gypsum board"), 0.0125),))
    row = [20.0, 1170.0, 10.0, 7e-8, 0.0, 418.7, 0.0]
    low, high = temperature_bounds(section, np.array([row + row]), 20.0, 0.5)
    assert 13.0 < low < 14.0
    assert 20.0 < high < 31.0


@given(random=st.randoms(use_true_random=False))
@settings(max_examples=6, suppress_health_check=list(HealthCheck))
def test_laws_hold_beside_zones_too(random: Random) -> None:
    """Rooms by balance, sealed attics, crawl spaces: balances of section and zone, numbers, twice the same."""
    recipe = draw_zoned_recipe(random, most_layers=4, hours=(6, 30))
    outcome = run_zoned(recipe)
    assume(outcome.end != "refused")
    assert outcome.end in ("solved", "unsolved"), (outcome.told, recipe)


def test_zones_of_all_kinds_are_drawn() -> None:
    """In 40 seeds stand all three kinds of zones, and every key of each that a run may hang on."""
    drawn = [draw_zoned_recipe(Random(seed)).assembly for seed in range(40)]
    assert {"attic", "crawl_space"} <= {key for one in drawn for key in one}
    rooms = [one["room"] for one in drawn if one["room"].get("form") == "balanced"]
    assert {"cooling", "dehumidifier", "people", "ventilation", "window"} <= {
        key for one in rooms for key in one
    }
