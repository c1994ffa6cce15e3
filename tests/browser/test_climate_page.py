"""The page of a year of weather in a real browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from contrast import low_contrast
from watched import Watched

from moistwall.assess.weather import fingerprint, wall_weather
from moistwall.library import read_year
from moistwall.show.climate_page import page_files


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of a shipped year."""
    climate = read_year("miami", rain_as_read=True, field="--climate")
    files = page_files(climate, fingerprint(climate), wall_weather(climate), "ip")
    path = tmp_path_factory.mktemp("climate") / "index.html"
    path.write_bytes(files["index.html"])
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1024, 1920])
def test_page_fits_and_can_be_read(
    open_page: Any, page_file: Path, width: int, scheme: str
) -> None:
    """At every width and in both schemes nothing sticks out, and every text has AA contrast."""
    page = open_page(page_file, width=width, scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert low_contrast(page) == []


def test_a_page_that_asks_for_more_is_found(
    open_page: Any, page_file: Path, tmp_path: Path
) -> None:
    """A picture from elsewhere is refused by the page's own policy, and the watch hears of it."""
    text = page_file.read_text(encoding="utf-8")
    bad = tmp_path / "bad.html"
    bad.write_text(text.replace("<footer>", '<footer><img src="http://127.0.0.1:9/x.png">'))
    page = open_page(page_file, watch=False)
    watched = Watched(page, bad.as_uri())
    page.goto(bad.as_uri())
    assert any("Content Security Policy" in error for error in watched.errors)


def test_a_request_is_heard_of(open_page: Any, page_file: Path, tmp_path: Path) -> None:
    """Without that policy the same picture is asked for, which the watch hears of."""
    page = open_page(page_file, watch=False)
    bare = tmp_path / "bare.html"
    bare.write_text('<!doctype html><img src="http://127.0.0.1:9/x.png">')
    watched = Watched(page, bare.as_uri())
    page.goto(bare.as_uri())
    assert watched.requests == ["http://127.0.0.1:9/x.png"]
