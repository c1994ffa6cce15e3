"""Pages of studies in a real browser: made by the command line, with a stand-in for the solver."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from contrast import low_contrast
from printed import cut_pictures

from moistwall.cli import main
from moistwall.library import data_folder

EVIL = "<script>alert('x')</script> & roof"


def stand_in(
    job: Any, climate: Any, stop: Callable[[], bool] | None = None, rules: Any = None
) -> dict[str, Any]:
    """Give numbers that follow from the number of the variant; every fourth stays wet."""
    k = job.number % 7
    words = ("dries", "marginal", "dries", "stays wet")
    return {
        "measures": {
            "hours_rh_80": 100.0 + 800.0 * k, "longest_wet_hours": 10.0 * k, "condensing_hours": 0.0,
            "mold_index": 0.7 * k, "wood_moisture": 9.0 + k, "nearness": 0.2 * k, "r_value": 4.0 + 0.3 * k,
            "attic_hottest": 50.0 + k, "attic_hot_hours": 700.0, "verdict": float(k % 3),
        },
        "worst": f"{EVIL} | deck, in deck", "verdict": words[k % 4], "decided_by": "mold index, third year",
    }  # fmt: skip


def evil_copy(folder: Path, example: str) -> str:
    """Copy an example under a name that looks like a script."""
    text = (data_folder("examples") / f"{example}.toml").read_text(encoding="utf-8")
    lines = text.splitlines()
    at = next(k for k, line in enumerate(lines) if line.startswith("name = "))
    lines[at] = f'name = "{EVIL}"'
    path = folder / f"{example}.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return str(path)


COMMANDS = {
    "compare": ("compare", "{roof}", "heron-point-attic", "heron-point-roof-over", "--climate", "mobile",
                "--climate", "miami"),
    "sweep": ("sweep", "{roof}", "--vary", "slope = 1/12, 2/12, 3/12, 4/12", "--climate", "miami", "--climate",
              "mobile"),
    "ensemble": ("ensemble", "{roof}", "--draws", "12", "--climate", "miami"),
}  # fmt: skip


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return a page of each kind of study, and one of a drying."""
    folder = tmp_path_factory.mktemp("studies")
    roof = evil_copy(folder, "heron-point-roof")
    wall = evil_copy(folder, "heron-point-wall")
    found = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("moistwall.study.job.compute", stand_in)
        for kind, command in COMMANDS.items():
            page = folder / f"{kind}.html"
            line = [one.format(roof=roof) for one in command]
            ran = CliRunner().invoke(main, [*line, "--report", str(page), "--quiet"])
            assert ran.exit_code == 0, ran.output
            assert ran.output == ""
            found[kind] = page
    page = folder / "dry-out.html"
    ran = CliRunner().invoke(
        main,
        ["dry-out", wall, "--climate", "miami", "--wet", "sheathing", "--start", "17 %MC", "--target", "16 %MC",
         "--report", str(page), "--quiet"],
    )  # fmt: skip
    assert ran.exit_code == 0, ran.output
    return {**found, "dry-out": page}


KINDS = ("compare", "sweep", "ensemble", "dry-out")


@pytest.mark.parametrize("kind", KINDS)
def test_fits_is_readable_and_escaped(open_page: Any, pages: dict[str, Path], kind: str) -> None:
    """At 360 px in the dark and at 1920 px nothing sticks out, texts have AA contrast, names are text."""
    for width, scheme in ((360, "dark"), (1920, "light")):
        page = open_page(pages[kind], width=width, scheme=scheme)
        page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert low_contrast(page) == []
        assert EVIL in page.inner_text("h1")
        assert page.locator("script").count() == 1
        outside = page.evaluate(
            """() => [...document.querySelectorAll('svg.drawing text')].filter(one => {
              const box = one.getBoundingClientRect();
              return box.width && (box.left < -1 || box.right > innerWidth + 1);
            }).map(one => one.textContent)"""
        )
        assert outside == []


@pytest.mark.parametrize("kind", KINDS)
def test_print_cuts_no_picture(open_page: Any, pages: dict[str, Path], kind: str) -> None:
    """On paper every picture stands on one page."""
    assert cut_pictures(open_page(pages[kind]), "Letter") == []


def test_compare_shows_every_design(open_page: Any, pages: dict[str, Path]) -> None:
    """Each design has its card with the verdict of its numbers, in each year, and what differs is told."""
    page = open_page(pages["compare"])
    verdicts = page.locator(".card .verdict").all_inner_texts()
    assert [text.strip() for text in verdicts] == [
        "Dries", "Marginal", "Dries", "Stays wet", "Dries", "Marginal",
    ]  # fmt: skip
    assert page.locator(".card svg.drawing").count() == 6
    assert page.locator("#differences tbody tr").count() > 5
    numbers = page.locator("#answer1 table tbody tr").nth(2).locator("td").all_inner_texts()
    assert numbers[:2] == ["1700", "20"]


def test_sweep_draws_every_value(open_page: Any, pages: dict[str, Path]) -> None:
    """Each line of the chart has a mark for each value, at the height of its number."""
    page = open_page(pages["sweep"])
    hours = page.locator("#answer figure").nth(1)
    assert hours.locator("h3").inner_text() == "hours at or above 80 % RH [h]"
    boxes = [one.bounding_box() for one in hours.locator("path.dot-a").all()][:-1]
    heights = [box["y"] for box in boxes]
    # variants 0, 2, 4 and 6 of the first year have 100, 1700, 3300 and 4900 h
    steps = [before - after for before, after in pairwise(heights)]
    assert len(boxes) == 4
    assert steps == pytest.approx([steps[0]] * 3, abs=0.6)
    assert steps[0] > 20


def test_ensemble_and_dry_out_say_their_answer(open_page: Any, pages: dict[str, Path]) -> None:
    """The chance of each verdict and the days stand on the first sheet, for readers of pictures and of texts."""
    chances = open_page(pages["ensemble"]).locator("#answer svg.drawing").first
    assert "stays wet: 17 %" in chances.get_attribute("aria-label")
    page = open_page(pages["dry-out"])
    days = int(page.inner_text(".verdict strong").split()[0])
    assert days > 0
    assert f"day 0 to day {days}, until sheathing is down to 16.0 %MC" in page.inner_text("#answer")
