"""The report's page as text: small, quick, the same every time, and every kind of section has one."""

from __future__ import annotations

import re
import time

import pytest
from heron_point import year

from moistwall.criteria_file import find_criteria
from moistwall.show.drawing import Drawing
from moistwall.show.places_drawing import day_text, strips
from moistwall.show.report_page import report_page
from moistwall.study.judged import judge_run
from moistwall.study.whole_run import WholeRun
from moistwall.units import System

MEGABYTE = 1_000_000


def page_of(example: str, system: System = "ip") -> str:
    """Return the page of a shipped example in Miami."""
    run = WholeRun(year(example))
    return report_page(run, judge_run(run, find_criteria(None)), system)


def test_small_and_quick() -> None:
    """The page of a year of a section of about 100 cells takes a second or so, and a fraction of 3 MB."""
    assert year("wall").x_cell.size >= 90
    page_of("wall")  # imports and first use
    started = time.process_time()
    page = page_of("wall")
    assert time.process_time() - started < 3.0
    assert len(page.encode("utf-8")) < MEGABYTE


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("example", ["wall", "wall-no-foam-vinyl", "roof"])
def test_every_section_has_a_page(example: str, system: System) -> None:
    """Walls and roofs have a page in both systems of units, the same bytes every time, with no style in tags."""
    page = page_of(example, system)
    assert page == page_of(example, system)
    room = re.search(r"<dt>room, mean of the year</dt><dd>([\d.]+ deg\w)", page)
    assert room is not None
    assert room[1] == {"ip": "75.0 degF", "si": "23.9 degC"}[system]
    assert not re.search(r"<[^>]+ (?:style|on\w+)=", page)
    assert f"{len(year(example).defaults)})</h3>" in page


def test_strips_are_the_days_of_the_result() -> None:
    """A strip has the lowest, mean and highest hour of each day; sides that are the same come as one."""
    result = year("wall")
    found = strips(result, "si")
    rh = 1000.0 * result.rh_place[:, 0].reshape(365, 24)
    for name, values in (
        ("low", rh.min(axis=1)),
        ("mean", rh.mean(axis=1)),
        ("high", rh.max(axis=1)),
    ):
        assert found[0].values[name] == pytest.approx(values, abs=0.51)
    assert "both sides" in {strip.side for strip in found}
    assert len(found) < len(result.places)


def test_days_in_words() -> None:
    """Days of the year are told as in a calendar without leap day."""
    told = [day_text(day) for day in (0, 30, 31, 58, 59, 364)]
    assert told == ["Jan 1", "Jan 31", "Feb 1", "Feb 28", "Mar 1", "Dec 31"]


def test_no_policy_would_let_a_style_in() -> None:
    """The search for styles in tags would find one."""
    drawing = Drawing(10, "title")
    drawing.shape("rect", "", style="fill: red")
    assert re.search(r"<[^>]+ (?:style|on\w+)=", str(drawing.svg()))
