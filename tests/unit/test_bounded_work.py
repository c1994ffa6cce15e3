"""How much work an hour and a march may take, and what is told when it is more."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from moistwall.assembly import read_assembly, resolve
from moistwall.errors import ConvergenceError
from moistwall.library import data_folder, read_year
from moistwall.solver.grid import build_grid
from moistwall.solver.march import MOST_TRIES, MOST_WORK, Accuracy, March
from moistwall.solver.zones import march_of

SHORTEST = 4096
"""Steps of an hour that are accepted whatever their error. [1/h]"""


def march(example: str) -> March:
    """A march of an example under a shipped year."""
    section = resolve(read_assembly(data_folder("examples") / f"{example}.toml"))
    return march_of(build_grid(section), read_year("miami"))[0]


EXAMPLES = ["heron-point-wall", "zones/heron-point-attic-open-cell"]


@pytest.mark.parametrize("example", EXAMPLES)
def test_an_hour_is_given_up_after_so_many_steps(example: str) -> None:
    """The message says after how many steps and cuts, and where."""
    one = march(example)
    one.control = one.control._replace(most_tries=3)
    with pytest.raises(ConvergenceError, match="given up after 3 steps and cuts") as caught:
        one.hours(0, 48)
    assert caught.value.tried == 3
    assert caught.value.layer


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_march_is_given_up_after_so_many_steps(example: str) -> None:
    """Whatever the hours are cut into; and what takes fewer is left alone, to the byte."""
    hours = []
    for chunk in (5, 48):
        one = march(example)
        one.control = one.control._replace(most_work=200)
        with pytest.raises(ConvergenceError, match="given up after 200 steps and cuts") as caught:
            one.hours(0, 96, chunk=chunk)
        hours.append(caught.value.hour)
    assert hours[0] == hours[1] > 1
    free, bound = march(example), march(example)
    bound.control = bound.control._replace(most_work=10_000)
    assert np.array_equal(free.hours(0, 24).temperature, bound.hours(0, 24).temperature)


def test_what_is_given_up_is_far_from_what_runs_take() -> None:
    """Every step of an hour may be forced, and a quarter of a year's hours with it."""
    assert MOST_TRIES >= 8 * SHORTEST
    assert MOST_WORK >= 2000 * SHORTEST
    found = march("heron-point-wall").hours(0, 730)
    assert 20 * int(found.counts[:2].sum()) < MOST_WORK * 730 / 8760


def test_the_error_travels_whole() -> None:
    """Between processes it keeps its numbers and its words."""
    for error in (
        ConvergenceError(5, 3, "wool", 9.0),
        ConvergenceError(5, 3, "wool", 9.0, 200),
    ):
        again = pickle.loads(pickle.dumps(error))
        assert vars(again) == vars(error)
        assert str(again) == str(error)
    assert "shortest step" in str(ConvergenceError(5, 3, "wool", 9.0))


def test_a_step_without_a_solution_is_told_as_such() -> None:
    """What fails at its shortest step is not said to have taken too many."""
    one = march("heron-point-wall")
    one.control = one.control._replace(most_passes=1, tiniest=1800.0)
    with pytest.raises(ConvergenceError, match="no solution in cell") as caught:
        one.hours(4000, 48)
    assert caught.value.tried == 0
    assert caught.value.residual > 1.0


def test_fixed_steps_are_bounded_too() -> None:
    """A march of fixed steps that would take more than are allowed is given up."""
    section = resolve(read_assembly(data_folder("examples") / "heron-point-wall.toml"))
    one, _ = march_of(build_grid(section), read_year("miami"), Accuracy(fixed=MOST_TRIES + 1))
    with pytest.raises(ConvergenceError, match=f"given up after {MOST_TRIES} steps"):
        one.hours(0, 1)
