"""A real browser for the pages: Debian's Chromium, opened on files, watched for errors and requests."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from watched import Watched

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
)

Opener = Callable[..., Any]


def chromium_path() -> str | None:
    """Return where Chromium is: as MOISTWALL_CHROMIUM says, or on the search path."""
    return os.environ.get("MOISTWALL_CHROMIUM") or shutil.which("chromium")


@pytest.fixture(scope="package")
def chromium() -> Iterator[Any]:
    """Start Chromium once for all pages; without it the tests of pages are skipped."""
    path = chromium_path()
    if path is None:
        pytest.skip("needs a browser: apt-get install chromium, or name one in MOISTWALL_CHROMIUM")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Any) -> Iterator[Opener]:
    """Give a function that opens a file in a new window; the pages are asked at the end what they did."""
    contexts, watches = [], []

    def opened(
        path: Path,
        width: int = 1024,
        height: int = 800,
        scheme: str = "light",
        media: str = "screen",
        script: bool = True,
        watch: bool = True,
    ) -> Any:
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            color_scheme=scheme,
            java_script_enabled=script,
        )
        contexts.append(context)
        page = context.new_page()
        address = path.resolve().as_uri()
        if watch:
            watches.append(Watched(page, address))
        page.emulate_media(media=media, color_scheme=scheme)
        page.goto(address)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [error for watch in watches for error in watch.errors] == []
    assert [address for watch in watches for address in watch.requests] == []
