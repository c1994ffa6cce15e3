"""What all tests share: helpers to import, a kernel that is compiled once, skips that count."""

from __future__ import annotations

import os
import sys
from collections.abc import Generator
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


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With ``MOISTWALL_STRICT`` set, a skip fails; only tests marked ``weather_files`` may skip."""
    report = yield
    exempt = item.get_closest_marker("weather_files") is not None
    if os.environ.get("MOISTWALL_STRICT") and report.skipped and not exempt:
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped, which the strict mode forbids"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """With ``MOISTWALL_STRICT`` set, a module that skips itself fails."""
    report = yield
    if os.environ.get("MOISTWALL_STRICT") and report.skipped:
        report.outcome = "failed"
        report.longrepr = f"{collector.nodeid} was skipped, which the strict mode forbids"
    return report


def compile_kernel() -> None:
    """Compile the kernel, or load it from its cache, by a march of no hours."""
    import numpy as np

    from moistwall.library import find_material
    from moistwall.section import Layer, Section
    from moistwall.solver.boundary import loads_of
    from moistwall.solver.grid import build_grid
    from moistwall.solver.kernel.layout import N_END_COLUMNS
    from moistwall.solver.lanes import join_lanes
    from moistwall.solver.march import March

    section = Section("board", (Layer("board", find_material("gypsum board"), 0.0125),))
    rows = np.zeros((2, 2 * N_END_COLUMNS))
    March(join_lanes([build_grid(section)]), loads_of([rows], [0], 0))
