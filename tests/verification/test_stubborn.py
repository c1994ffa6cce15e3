"""Random sections that once had no solution or drifted; each is kept as a case."""

from __future__ import annotations

from pathlib import Path

import pytest

from moistwall.solver.march import Accuracy
from moistwall.verify.problem import read_problem
from moistwall.verify.run import run_problem

CASES = sorted((Path(__file__).parent / "stubborn").glob("*.json"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_solved_and_closed(path: Path) -> None:
    """Rain on a dry capillary layer, or a bend of storage passed in one step: solved within limits."""
    answer = run_problem(read_problem(path))
    assert answer.balance.moisture_relative <= 1e-9
    assert answer.balance.storage_drift <= 1e-3


def test_all_cases_are_there() -> None:
    """The folder was not emptied."""
    assert len(CASES) >= 13


@pytest.mark.parametrize("tolerance", [1e-3, 1e-5])
def test_a_tight_tolerance_is_no_reason_to_give_up(tolerance: float) -> None:
    """What is far off in units of a small tolerance may still be close: the passes go on."""
    answer = run_problem(read_problem(CASES[0]), accuracy=Accuracy(tolerance))
    assert answer.balance.storage_drift <= 1e-3
