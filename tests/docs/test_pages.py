"""Every command and every printed text in README and docs is what happens when it is run."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pages
import pytest

ROOT = Path(__file__).parents[2]

PAGES = sorted(
    str(path.relative_to(ROOT).as_posix())
    for path in (
        ROOT / "README.md",
        ROOT / "DEVELOPERS.md",
        ROOT / "CONTRIBUTING.md",
        *(ROOT / "docs").rglob("*.md"),
        *(ROOT / "materials").glob("*.md"),
        *(ROOT / "criteria").glob("*.md"),
    )
    if path.is_file()
)

ELSEWHERE = ("run command", "test command", "excerpt", "assembly", "python")
"""Blocks of README.md that tests/cli/test_readme.py and .ci/run take by these marks."""

NOT_RUN = {"DEVELOPERS.md": 1, "docs/studies.md": 1, "README.md": 2, "docs/tutorial.md": 1}
"""Blocks that are shown and cannot be run here: to install something, another machine, a part of code."""

RUNS_WHAT = {"sh", "python", "toml", "csv", "text", "powershell", ""}
"""Languages of blocks."""


def content(value: Any) -> Any:
    """Return something that is equal for equal sections and years, and has a repr of all of it."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = [field.name for field in dataclasses.fields(value)]
        return (type(value).__name__, *(content(getattr(value, name)) for name in fields))
    if isinstance(value, np.ndarray):
        return hashlib.sha256(np.ascontiguousarray(value).tobytes()).hexdigest(), value.shape
    if isinstance(value, dict):
        return tuple((key, content(one)) for key, one in sorted(value.items()))
    if isinstance(value, (tuple, list)):
        return tuple(content(one) for one in value)
    return value


@pytest.fixture(scope="module")
def shared_runs() -> Iterator[dict[str, Any]]:
    """Let a section that has been run through a year be run no second time by another page."""
    from moistwall.simulate import simulate

    kept: dict[str, Any] = {}

    def remembered(section: Any, climate: Any, **options: Any) -> Any:
        options.pop("tell", None)
        key = hashlib.sha256(repr(content((section, climate, options))).encode()).hexdigest()
        if key not in kept:
            kept[key] = simulate(section, climate, **options)
        return kept[key]

    with pytest.MonkeyPatch.context() as patch:
        for module in pages.simulating_modules():
            patch.setattr(module, "simulate", remembered)
        yield kept


@pytest.mark.parametrize("page", PAGES)
def test_page_is_true(page: str, shared_runs: dict[str, Any], tmp_path: Path) -> None:
    """Every command of a page works in order, and prints what the page shows; slow ones until they simulate."""
    pages.run_page(ROOT / page, tmp_path, page, slow=False, skip=ELSEWHERE)


SLOW = [
    page for page in PAGES if any(b.mark("slow") is not None for b in pages.blocks_of(ROOT / page))
]


@pytest.mark.slow
@pytest.mark.parametrize("page", SLOW)
def test_slow_page_is_true(page: str, shared_runs: dict[str, Any], tmp_path: Path) -> None:
    """Pages with slow commands are true to their end."""
    assert pages.run_page(ROOT / page, tmp_path, page, slow=True, skip=ELSEWHERE) > 0


def test_what_is_not_run_is_counted() -> None:
    """No page hides behind blocks that are not run: they are as many as stand here, each with its reason."""
    found: dict[str, int] = {}
    for page in PAGES:
        for block in pages.blocks_of(ROOT / page, page):
            assert block.language in RUNS_WHAT, block.where
            reason = block.mark("not run")
            if reason is not None:
                assert len(reason) > 5, block.where
                found[page] = found.get(page, 0) + 1
            if any(block.mark(one) == "" for one in ELSEWHERE):
                assert page == "README.md", block.where
            if block.language == "powershell":
                assert reason is not None, block.where
    assert found == NOT_RUN


def test_texts_follow_what_prints_them() -> None:
    """A shown text without a mark stands behind commands or Python that are run, so that it is compared."""
    for page in PAGES:
        before = None
        for block in pages.blocks_of(ROOT / page, page):
            if block.language == "text" and not block.marks:
                assert before is not None, block.where
                assert before.language in ("sh", "python"), block.where
                assert before.mark("not run") is None, block.where
            before = block


def test_commands_stand_in_blocks_that_are_run() -> None:
    """Lines that begin with the command stand in no other fenced block."""
    for page in PAGES:
        for block in pages.blocks_of(ROOT / page, page):
            if block.language not in ("sh", "powershell"):
                assert not any(line.startswith("moistwall ") for line in block.text.splitlines()), (
                    block.where
                )
