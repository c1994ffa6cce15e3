import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from moistwall.climate.hours import (
    HOURS,
    MONTH_OF_HOUR,
    hour_index,
    hour_name,
    hour_stamp,
    node_readings,
    node_values,
)


@pytest.mark.parametrize(
    ("stamp", "index"),
    [
        ((1, 1, 1), 0),
        ((1, 1, 24), 23),
        ((1, 2, 1), 24),
        ((2, 28, 24), 59 * 24 - 1),
        ((3, 1, 1), 59 * 24),
        ((12, 31, 24), 8759),
    ],
)
def test_stamps_of_known_hours(stamp, index):
    """Hour 1 of January 1 is element 0 and March follows February 28."""
    assert hour_index(*stamp) == index
    assert hour_stamp(index) == stamp


def test_every_hour_has_one_stamp():
    """Index and stamp are inverse over the whole year."""
    assert [hour_index(*hour_stamp(k)) for k in range(HOURS)] == list(range(HOURS))
    assert [hour_stamp(k)[0] for k in range(HOURS)] == MONTH_OF_HOUR.tolist()


@pytest.mark.parametrize("stamp", [(0, 1, 1), (13, 1, 1), (2, 29, 1), (4, 31, 1), (1, 0, 1)])
def test_days_that_do_not_exist(stamp):
    """A day outside the calendar has no index."""
    assert hour_index(*stamp) is None


@pytest.mark.parametrize("hour", [0, 25, -1])
def test_hours_that_do_not_exist(hour):
    """Hours run from 1 to 24: hour 0 is hour 24 of the day before, and not taken for it."""
    assert hour_index(1, 1, hour) is None


def test_hour_in_words():
    """An hour is named by month, day and the hour that it ends with."""
    assert hour_name(24) == "month 1, day 2, hour 1"


@given(arrays(np.float64, st.integers(1, 60), elements=st.floats(0.0, 1500.0)))
def test_marks_keep_the_energy(hourly):
    """The lines between the marks enclose the sum of the hourly means."""
    mark = node_values(hourly)
    assert mark.size == hourly.size + 1
    assert mark[0] == mark[-1]
    assert np.sum(0.5 * (mark[1:] + mark[:-1])) == pytest.approx(hourly.sum(), rel=1e-12)
    assert mark.min() >= hourly.min()
    assert mark.max() <= hourly.max()


def test_marks_are_means_of_their_neighbours():
    """A mark is the mean of the hour before and the hour after it, around the year."""
    np.testing.assert_array_equal(node_values(np.array([0.0, 4.0, 10.0])), [5.0, 2.0, 7.0, 5.0])


def test_readings_stand_at_the_end_of_their_hour():
    """Mark k + 1 is reading k, and mark 0 is the last reading of the year."""
    np.testing.assert_array_equal(node_readings(np.array([1.0, 2.0, 3.0])), [3.0, 1.0, 2.0, 3.0])
