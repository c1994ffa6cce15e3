"""Every line that scripts/sabotage breaks is still there: an edit that cannot be made tests nothing."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCRIPT = runpy.run_path(str(ROOT / "scripts" / "sabotage"), run_name="listed")


@pytest.mark.parametrize("edit", SCRIPT["EDITS"], ids=lambda edit: edit[0])
def test_line_is_there(edit: tuple[str, str, str, str]) -> None:
    """The file holds the line, and the edit changes it."""
    _, file, line, broken = edit
    assert line in (ROOT / file).read_text(encoding="utf-8")
    assert line != broken


@pytest.mark.parametrize("test", SCRIPT["TESTS"])
def test_what_is_run_is_there(test: str) -> None:
    """The tests that must notice are where the script looks."""
    assert (ROOT / test).exists()
