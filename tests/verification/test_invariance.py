"""What must not change a byte of an answer: neighbors in other lanes, and how hours are cut into chunks.

No outside source is needed. What must not change it beyond round-off is in test_laws.
"""

import dataclasses

import numpy as np
import pytest
from heron_point import example, miami

from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.layout import RAIN
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import March

SUMMER = 4000
"""Row of the loads, in June, at which a stretch of the Miami year starts."""

HOURS = 336


def rows_of(section, wet=False):
    """Loads of the Miami year; wet ones add a shower of 3 hours on the outer face, twice a day."""
    rows = boundary_rows(section, miami())
    if wet:
        hour = np.arange(rows.shape[0])
        rows[:, RAIN] = np.where(hour % 12 < 3, 2e-4, 0.0)
    return rows


def march_of(sections, wet=False):
    rows = [rows_of(section, wet) for section in sections]
    lanes = join_lanes([build_grid(section) for section in sections])
    loads = loads_of(rows, list(range(len(rows))), len(sections[0].gaps))
    return March(lanes, loads, start_temperature=24.0)


# lanes and chunks ---------------------------------------------------------------------------------


def neighbors(section):
    """Seven sections of the same topology, some of them far stiffer."""
    wall = list(section.parts)

    def changed(**by_name):
        parts = [
            dataclasses.replace(part, **by_name.get(part.name.replace(" ", "_"), {}))
            for part in wall
        ]
        return dataclasses.replace(section, parts=tuple(parts))

    tight = np.full(2, 1e-13)
    open_coat = np.full(2, 1e-8)
    ends = np.array([0.25, 0.75])
    return [
        changed(siding={"initial_rh": 0.99}, cavity_wool={"initial_rh": 0.95}),
        changed(inside_finish={"rh": ends, "permeance": tight}),
        changed(inside_finish={"rh": ends, "permeance": open_coat}),
        changed(rainscreen_gap={"air_changes": 900.0}),
        changed(rainscreen_gap={"air_changes": 0.0, "depth": 0.006}),
        dataclasses.replace(changed(siding={"initial_rh": 0.2}), room_vapor_film=1e-6),
        dataclasses.replace(section, room_temperature=16.0, room_rh=0.9),
    ]


def assert_same_bytes(record, lane, alone):
    for name, here in record._asdict().items():
        there = getattr(alone, name)
        assert here[..., lane].tobytes() == there[..., 0].tobytes(), name


@pytest.mark.parametrize("n_lanes", [1, 3, 8])
def test_bytes_equal_in_every_lane(n_lanes):
    """A section gives the same bytes alone and in every lane, whatever stands beside it."""
    section = example("wall")
    count = 120
    alone = march_of([section], wet=True).hours(SUMMER, count)
    others = neighbors(section)
    for lane in range(n_lanes):
        beside = (others * 2)[lane : lane + n_lanes - 1]
        sections = [*beside[:lane], section, *beside[lane:]]
        record = march_of(sections, wet=True).hours(SUMMER, count)
        assert_same_bytes(record, lane, alone)


def test_neighbors_are_different_and_stiff():
    """The neighbors of the test above take other steps, and get other answers."""
    section = example("wall")
    sections = [section, *neighbors(section)]
    record = march_of(sections, wet=True).hours(SUMMER, 120)
    assert len({tuple(record.counts[:, lane]) for lane in range(8)}) == 8
    spread = np.ptp(record.humidity[-1], axis=1)
    assert spread.max() > 0.3


def test_a_series_shared_by_lanes_changes_nothing():
    """Lanes that share one series of loads give the bytes of lanes that each have a copy."""
    section = example("wall")
    both = [section, neighbors(section)[3]]
    rows = rows_of(section)
    shared = March(
        join_lanes([build_grid(one) for one in both]), loads_of([rows], [0, 0], 1)
    ).hours(SUMMER, 48)
    own = March(
        join_lanes([build_grid(one) for one in both]), loads_of([rows, rows.copy()], [0, 1], 1)
    ).hours(SUMMER, 48)
    for here, there in zip(shared, own, strict=True):
        assert here.tobytes() == there.tobytes()


@pytest.mark.parametrize("chunk", [1, 7, 100, 730])
@pytest.mark.parametrize("name", ["wall", "roof"])
def test_bytes_equal_for_any_chunks(name, chunk):
    """How many hours a call of the kernel takes changes no byte."""
    whole = march_of([example(name)], wet=True).hours(SUMMER, HOURS, chunk=HOURS)
    cut = march_of([example(name)], wet=True).hours(SUMMER, HOURS, chunk=chunk)
    for field, here, there in zip(whole._fields, whole, cut, strict=True):
        assert here.tobytes() == there.tobytes(), field


def test_bytes_equal_when_a_march_goes_on():
    """Two stretches one after the other give the bytes of one stretch."""
    whole = march_of([example("wall")]).hours(SUMMER, 60)
    march = march_of([example("wall")])
    first, second = march.hours(SUMMER, 23), march.hours(SUMMER + 23, 37)
    for field in ("temperature", "humidity", "content", "enthalpy", "flow", "side_humidity"):
        joined = np.concatenate((getattr(first, field), getattr(second, field)))
        assert joined.tobytes() == getattr(whole, field).tobytes(), field
    assert np.array_equal(first.counts + second.counts, whole.counts)
