"""Results are kept without loss, and written whole or not at all."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
from heron_point import year

from moistwall.assembly import load_section
from moistwall.climate.read import read_climate
from moistwall.errors import ResultError
from moistwall.library import data_folder, find_climate_path
from moistwall.result import Result
from moistwall.simulate import Progress, simulate


@pytest.fixture(scope="module")
def told() -> list[Progress]:
    """Progress as it was told during the run."""
    return []


@pytest.fixture(scope="module")
def result(told: list[Progress]) -> Result:
    """One year of the example roof, without spin-up."""
    section = load_section(data_folder("examples") / "heron-point-roof.toml")
    climate = read_climate(find_climate_path("miami"))
    return simulate(section, climate, tell=told.append, most_years=1)


def test_saved_and_read_back_it_is_equal_bit_for_bit(result: Result, tmp_path: Path) -> None:
    """Every field, every array and its type survive."""
    path = tmp_path / "roof.npz"
    result.save(path)
    again = Result.load(path)
    for field in fields(Result):
        before, after = getattr(result, field.name), getattr(again, field.name)
        if isinstance(before, np.ndarray):
            assert before.dtype == after.dtype
            assert np.array_equal(before, after, equal_nan=True)
        else:
            assert before == after


def test_saving_leaves_no_second_file(result: Result, tmp_path: Path) -> None:
    """An earlier file is replaced and nothing else is left behind."""
    path = tmp_path / "roof.npz"
    path.write_bytes(b"earlier")
    result.save(path)
    assert [entry.name for entry in tmp_path.iterdir()] == ["roof.npz"]
    assert Result.load(path).section_name == result.section_name


@pytest.mark.parametrize("content", [b"", b"not a result", b"PK\x03\x04 broken"])
def test_other_files_are_refused(content: bytes, tmp_path: Path) -> None:
    """A file that is not a result raises ResultError that names it."""
    path = tmp_path / "other.npz"
    path.write_bytes(content)
    with pytest.raises(ResultError, match=r"other\.npz"):
        Result.load(path)


def test_pickled_content_is_refused(tmp_path: Path) -> None:
    """Objects that would be unpickled are never loaded."""
    path = tmp_path / "other.npz"
    np.savez(path, words=np.array([{"a": 1}], dtype=object))
    with pytest.raises(ResultError):
        Result.load(path)


def test_progress_tells_every_hour(result: Result, told: list[Progress]) -> None:
    """Progress rises to the full year."""
    assert result.solver.wall_years == 1
    assert [step.year for step in told] == [1] * len(told)
    assert told[-1].hours == result.n_hours == 8760


def test_balances_are_those_of_the_result_itself(result: Result) -> None:
    """Water at the end less water at the start is what flowed in, less what flowed out or ran off."""
    stored = result.water_cell[1].sum() - result.water_cell[0].sum()
    gap = result.gaps[0].face
    flowed = (
        result.moisture_b[:, 0].sum()
        - result.moisture_a[:, -1].sum()
        - (result.moisture_a[:, gap] - result.moisture_b[:, gap]).sum()
        - result.drained_cell.sum()
    )
    assert stored == pytest.approx(flowed, abs=1e-10)
    assert result.drained_cell.sum() > 0.1


def test_dew_on_steel_is_gained_and_given_back(result: Result) -> None:
    """The steel over-roof gathers dew in hundreds of hours, and humidity never passes 1."""
    steel = next(k for k, place in enumerate(result.places) if place.surface)
    assert (result.condensed_place[:, steel] > 1e-5).sum() > 300
    assert result.rh_place.max() <= 1.0
    assert result.liquid_place.min() >= 0.0


def test_result_with_leaks_is_saved(tmp_path: Path) -> None:
    """Places that rain and air reach by ways of their own survive too."""
    before = year("wall-all-loads")
    before.save(tmp_path / "wall.npz")
    assert before.arrivals
    assert Result.load(tmp_path / "wall.npz").arrivals == before.arrivals
