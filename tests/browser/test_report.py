"""The report of a run in a real browser: what it says, how it is moved, read aloud and printed."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from contrast import low_contrast
from printed import cut_pictures

from moistwall.cli import main

EVIL = "<script>alert('x')</script> & wall"

WALL = f"""
name = "{EVIL}"
facing = "west"

[water_control]
layer = "foam"
seams = "taped"

[[layer]]
material = "fiber cement"
thickness = "5/16 in"

[[layer]]
gap = "ventilated"
depth = "3/4 in"

[[layer]]
id = "foam"
material = "XPS"
thickness = "1 in"

[[layer]]
id = "<b>board</b>"
material = "OSB"
thickness = "7/16 in"

[[layer]]
material = "gypsum board"
thickness = "1/2 in"
"""


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """Return the page of a computed year, and the summary of the same run."""
    folder = tmp_path_factory.mktemp("report")
    (folder / "wall.toml").write_text(WALL, encoding="utf-8")
    page, numbers = folder / "report.html", folder / "summary.json"
    ran = CliRunner().invoke(
        main,
        ["run", str(folder / "wall.toml"), "--climate", "miami", "--report", str(page), "--json", str(numbers),
         "--quiet"],
    )  # fmt: skip
    assert ran.exit_code == 0, ran.output
    assert ran.output == ""
    return page, json.loads(numbers.read_text(encoding="utf-8"))


def test_names_from_files_are_text(open_page: Any, report: tuple[Path, dict[str, Any]]) -> None:
    """A name that looks like a script or a tag shows as the text that it is, everywhere."""
    page = open_page(report[0])
    assert page.inner_text("h1") == EVIL
    assert page.title().startswith(EVIL)
    assert "<b>board</b>" in page.inner_text(".parts")
    assert page.locator("main b").count() == 0
    assert page.locator("script").count() == 2


def test_verdict_comes_first(open_page: Any, report: tuple[Path, dict[str, Any]]) -> None:
    """The first sheet has the verdict of the run, and its numbers are those of the summary."""
    page = open_page(report[0])
    verdict = report[1]["verdict"]
    assert page.inner_text(".verdict strong").lower() == verdict["overall"]
    assert page.locator("main .sheet").first.get_attribute("id") == "answer"
    rows = page.locator("#year tbody tr").all_inner_texts()
    hours = [row["hours_rh_80"] for row in report[1]["interfaces"]]
    shown = [int(row.split("\t")[4]) for row in rows if row.count("\t") > 5]
    assert shown == [report[1]["sheltered_outdoor_air"]["hours_rh_80"], *hours]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1024, 1920])
def test_fits_and_can_be_read(
    open_page: Any, report: tuple[Path, dict[str, Any]], width: int, scheme: str
) -> None:
    """At every width and in both schemes nothing sticks out, every text has AA contrast, none is tiny."""
    page = open_page(report[0], width=width, scheme=scheme)
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert low_contrast(page) == []
    sizes = page.evaluate(
        "[...document.querySelectorAll('text, p, td, th, li')]"
        ".map(one => parseFloat(getComputedStyle(one).fontSize))"
    )
    assert min(sizes) >= 11.0


def test_texts_of_pictures_stay_inside(open_page: Any, report: tuple[Path, dict[str, Any]]) -> None:
    """At 360 px no text of a picture leaves the page."""
    page = open_page(report[0], width=360)
    outside = page.evaluate(
        """() => [...document.querySelectorAll('svg.drawing text')].filter(one => {
          const box = one.getBoundingClientRect();
          return box.width && (box.left < -1 || box.right > 361);
        }).map(one => one.textContent)"""
    )
    assert outside == []


def test_day_is_moved_by_keys_and_by_pointing(
    open_page: Any, report: tuple[Path, dict[str, Any]]
) -> None:
    """Arrow keys and the pointer move the day; values are those that the page was made with."""
    page = open_page(report[0])
    data = json.loads(page.inner_text("#data"))
    slider = page.locator("#day")
    slider.focus()
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    assert page.inner_text("#day-name") == "Jan 2"
    for k, values in enumerate(data["strips"]):
        told = page.locator(f'[data-strip="{k}"] .reading').inner_text()
        numbers = [float(one) for one in re.findall(r"-?\d+\.\d", told)]
        assert numbers == [values[name][1] / 10 for name in ("mean", "low", "high", "temperature")]
    assert slider.get_attribute("aria-valuetext").startswith("Jan 2; most humid at ")
    strip = page.locator('[data-strip="0"] svg.strip')
    strip.scroll_into_view_if_needed()
    box = strip.bounding_box()
    page.mouse.move(box["x"] + box["width"] * 200.5 / 365.0, box["y"] + 40.0)
    assert page.inner_text("#day-name") == "Jul 20"


def test_everything_can_be_reached_by_keys(
    open_page: Any, report: tuple[Path, dict[str, Any]]
) -> None:
    """Tab leads from the skip link through all that can be opened or moved; the skip link works."""
    page = open_page(report[0])
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.outerHTML.slice(0, 40)"))
    wanted = page.evaluate(
        "[...document.querySelectorAll('summary, input, a:not(.skip), .wide')]"
        ".filter(one => one.checkVisibility()).map(one => one.outerHTML.slice(0, 40))"
    )
    assert set(wanted) <= reached
    page.locator(".skip").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_pictures_have_names_and_words(open_page: Any, report: tuple[Path, dict[str, Any]]) -> None:
    """Every picture is an image with a name for screen readers; headings and regions are in order."""
    page = open_page(report[0])
    for picture in page.locator("svg.drawing").all():
        assert picture.get_attribute("role") == "img"
        assert len(picture.get_attribute("aria-label")) > 15
    levels = page.evaluate(
        "[...document.querySelectorAll('h1, h2, h3')].map(one => +one.tagName[1])"
    )
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_is_whole_without_script(open_page: Any, report: tuple[Path, dict[str, Any]]) -> None:
    """Where scripts are off all pictures and tables are there, and the control that needs one is not."""
    page = open_page(report[0], script=False)
    named = {row["short_name"] for row in report[1]["interfaces"]}
    assert set(page.locator(".strip-of figcaption strong").all_inner_texts()) == named
    assert not page.locator("#day").is_visible()


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_print_cuts_no_picture(
    open_page: Any, report: tuple[Path, dict[str, Any]], paper: str
) -> None:
    """On paper every picture stands on one page, from its first text to its last."""
    assert cut_pictures(open_page(report[0]), paper) == []


def test_a_cut_picture_would_be_found(open_page: Any, tmp_path: Path) -> None:
    """A picture that is longer than the paper is told."""
    tall = tmp_path / "tall.html"
    tall.write_text("<!doctype html><figure><div style='height: 40in'>tall</div></figure>")
    assert cut_pictures(open_page(tall), "Letter") == [0]


def test_small(report: tuple[Path, dict[str, Any]]) -> None:
    """The page of a year is far below 3 MB, and asks for nothing from elsewhere."""
    text = report[0].read_text(encoding="utf-8")
    assert len(text.encode("utf-8")) < 1_000_000
    assert "://" not in text
