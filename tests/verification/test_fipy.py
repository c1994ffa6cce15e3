"""Two days of heat and vapor in three layers: moistwall beside FiPy, the general solver of NIST.

scripts/fipy_case.py solves the same file with FiPy's own terms, from docs/theory.md alone. It runs as a process of
its own and needs the extra ``references``.
"""

from __future__ import annotations

import csv
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from moistwall.section import Layer
from moistwall.verify.problem import Problem, read_problem
from moistwall.verify.run import run_problem

Array = NDArray[np.float64]

pytestmark = pytest.mark.slow

SCRIPT = Path(__file__).parents[2] / "scripts" / "fipy_case.py"
FILE = Path(__file__).parent / "wall-48h.toml"

MEAN = {"temperature": 0.05, "relative humidity": 0.001}
"""Root mean square that may lie between the two. [K], [-]"""

MOST = {"temperature": 0.3, "relative humidity": 0.01}
"""And at any hour."""


@pytest.fixture(scope="module")
def fipy() -> dict[str, Array]:
    """What FiPy finds, by name."""
    command = [sys.executable, str(SCRIPT), str(FILE)]
    found = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert found.returncode == 0, found.stderr
    heading, *rows = csv.reader(found.stdout.splitlines())
    return dict(zip(heading, np.array(rows, float).T, strict=True))


def mean_and_most(problem: Problem, other: dict[str, Array]) -> Array:
    """Root mean square and largest of the differences at the worst place, in units of the limits."""
    ours = run_problem(problem).series
    found = []
    for one in problem.outputs:
        apart = ours[one.name] - other[one.name]
        mean, most = np.sqrt(np.mean(apart**2)), np.max(np.abs(apart))
        found.append((mean / MEAN[one.quantity], most / MOST[one.quantity]))
    return np.asarray(np.max(found, axis=0))


def test_two_days_beside_fipy(fipy: dict[str, Array]) -> None:
    """At every face 0.05 K and 0.1 % RH in the mean, 0.3 K and 1 % RH at most."""
    assert np.ptp(fipy["t_panel_outer"]) > 20.0
    assert np.ptp(fipy["rh_panel_inner"]) > 0.1
    assert np.all(mean_and_most(read_problem(FILE), fipy) < 1.0)


def test_a_wrong_material_is_seen(fipy: dict[str, Array]) -> None:
    """Control: ten percent on one permeability break these limits."""
    problem = read_problem(FILE)
    panel, *others = problem.section.parts
    assert isinstance(panel, Layer)
    wrong = replace(panel.material, vapor_permeability=1.1 * panel.material.vapor_permeability)
    parts = (replace(panel, material=wrong), *others)
    changed = replace(problem, section=replace(problem.section, parts=parts))
    assert mean_and_most(changed, fipy)[0] > 1.0
