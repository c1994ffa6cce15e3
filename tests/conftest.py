"""What all tests share: the folder ``helpers`` to import from, and a kernel that is compiled once."""

from __future__ import annotations

import sys
from pathlib import Path

import hypothesis
import pytest

sys.path.insert(0, str(Path(__file__).parent / "helpers"))

# a loaded machine is no failure, and every run draws the same examples
hypothesis.settings.register_profile("moistwall", deadline=None, derandomize=True)
hypothesis.settings.load_profile("moistwall")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_setupnodes() -> None:
    """Compile the kernel before the workers start, which would each compile it for themselves."""
    compile_kernel()


def compile_kernel() -> None:
    """Compile the kernel, or load it from its cache, by a march of no hours."""
    import numpy as np

    from moistwall.library import find_material
    from moistwall.section import Layer, Section
    from moistwall.solver.boundary import loads_of
    from moistwall.solver.grid import build_grid
    from moistwall.solver.kernel.layout import N_END_COLUMNS
    from moistwall.solver.march import March, join_lanes

    section = Section("board", (Layer("board", find_material("gypsum board"), 0.0125),))
    rows = np.zeros((2, 2 * N_END_COLUMNS))
    March(join_lanes([build_grid(section)]), loads_of([rows], [0], 0))
