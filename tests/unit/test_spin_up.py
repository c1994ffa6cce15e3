"""Years that come nearer to one that repeats itself: moved on, and ended by the same rule."""

from __future__ import annotations

import numpy as np
import pytest
from driven import Driven, bare_section, humid
from heron_point import miami
from numpy.typing import NDArray

from moistwall.assembly import load_paths
from moistwall.library import data_folder, find_material
from moistwall.section import Layer
from moistwall.simulate import SETTLED, simulate
from moistwall.solver.kernel.lookup import content_at
from moistwall.spin_up import SpinUp

Array = NDArray[np.float64]


def board() -> Driven:
    """A board that has not been marched yet."""
    section = bare_section("board", [Layer("board", find_material("OSB"), 0.012, 0.9)])
    return Driven(section, humid(20.0, 0.5), humid(20.0, 0.5), 1)


def year(driven: Driven, spin_up: SpinUp, share: float, ends_at: Array) -> bool:
    """A year that leaves a share of what is still too much, instead of a marched one; whether it is moved on."""
    state, width = driven.march.state, driven.grid.cells.width[:, 0]
    start = state.content[:, 0].copy()
    state.content[:, 0] = ends_at + share * (start - ends_at)
    spin_up.year_ended(start * width, state.content[:, 0] * width)
    return spin_up.move_on(driven.march)


def test_steady_approach_is_taken_to_its_end() -> None:
    """Where each year leaves 70 % of the way, two years lead to the end; nothing of the state disagrees."""
    driven = board()
    spin_up = SpinUp(driven.grid)
    state, cells = driven.march.state, driven.grid.cells
    layer = ~driven.grid.is_skin
    ends_at = 0.6 * state.content[:, 0]
    assert not year(driven, spin_up, 0.7, ends_at)
    assert year(driven, spin_up, 0.7, ends_at)
    np.testing.assert_allclose(state.content[layer, 0], ends_at[layer], rtol=1e-9)
    stored = [
        content_at(driven.grid.tables, cells.material[k, 0], state.coordinate[k, 0])
        for k in np.flatnonzero(layer)
    ]
    np.testing.assert_allclose(stored, state.content[layer, 0], rtol=1e-9)
    heat = (cells.heat_capacity + 4186.0 * state.content) * state.temperature
    np.testing.assert_allclose(state.enthalpy[layer], heat[layer], rtol=1e-12)
    # the next change starts from another state and tells nothing alone
    assert not year(driven, spin_up, 0.7, ends_at)


@pytest.mark.parametrize("share", [0.1, 0.99, 1.2, -0.5])
def test_no_steady_approach_is_left_alone(share: float) -> None:
    """Years that are nearly there, or lead nowhere, do not move the state."""
    driven = board()
    spin_up = SpinUp(driven.grid)
    ends_at = 0.8 * driven.march.state.content[:, 0]
    assert [year(driven, spin_up, share, ends_at) for _ in range(3)] == [False] * 3


def test_no_cell_is_emptied_or_overfilled() -> None:
    """However far two years lead, a cell keeps a fifth of its water and takes no more than it holds."""
    driven = board()
    spin_up = SpinUp(driven.grid)
    state, holds = driven.march.state, driven.grid.cells.holds[:, 0]
    layer = ~driven.grid.is_skin
    full = state.content[layer, 0].copy()
    moved = [year(driven, spin_up, 0.9, -state.content[:, 0]) for _ in range(2)]
    assert moved == [False, True]
    assert np.all(state.content[layer, 0] > 0.1 * full)
    moved = [year(driven, spin_up, 0.9, 5.0 * holds) for _ in range(2)]
    assert moved == [False, True]
    np.testing.assert_allclose(state.content[layer, 0], holds[layer])


@pytest.mark.slow
def test_studs_end_where_plain_years_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Studs under all loads repeat themselves after fewer years, and as the years alone would have them."""
    path = data_folder("examples") / "heron-point-wall-all-loads.toml"
    studs = load_paths(path)[-1]
    moved = simulate(studs, miami())
    monkeypatch.setattr(SpinUp, "move_on", lambda self, march: False)
    monkeypatch.setattr("moistwall.simulate.SETTLED", 1e-4)
    plain = simulate(studs, miami(), most_years=30)
    assert moved.solver.wall_years <= 8
    assert moved.balance.yearly_change[-1] < SETTLED
    stored = [result.content_cell[-1] @ result.width_cell for result in (moved, plain)]
    assert stored[0] == pytest.approx(stored[1], abs=2.0 * SETTLED)
    np.testing.assert_allclose(moved.rh_place, plain.rh_place, rtol=0, atol=0.005)
