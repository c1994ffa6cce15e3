"""``moistwall lesson``: the three papers, the pictures, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from lessons import lesson

from moistwall.cli import main
from moistwall.lesson.figures import picture_names
from moistwall.lesson.plans import LESSONS


def call(*words: str | Path) -> Any:
    """Call the command."""
    return CliRunner().invoke(main, ["lesson", *map(str, words)], catch_exceptions=False)


def test_papers_and_pictures_are_written(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Page, handout and key lie side by side; the moving picture and all moments where they were asked for."""
    monkeypatch.setattr("moistwall.lesson.story.build_lesson", lambda *_: lesson())
    folder = tmp_path / "pictures"
    ran = call(
        "foam",
        "--out",
        tmp_path / "wall.html",
        "--gif",
        tmp_path / "wall.gif",
        "--pictures",
        folder,
    )
    assert ran.exit_code == 0
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {"wall.html", "wall-handout.html", "wall-key.html", "wall.gif", "pictures"}
    stems = picture_names(lesson())
    assert {path.name for path in folder.iterdir()} == {
        f"{stem}.{end}" for stem in stems for end in ("png", "svg")
    }
    assert (tmp_path / "wall.gif").read_bytes().startswith(b"GIF89a")
    for told in lesson().designs:
        assert f"{told.wettest.hours_rh_80:,} hours" in ran.stdout
    assert max(map(len, ran.stdout.splitlines())) <= 80


def test_wrong_input_is_refused_together(tmp_path: Path) -> None:
    """An unknown lesson, an unknown year and a file below a file end with 2, all told, nothing written."""
    (tmp_path / "file").write_text("mine")
    ran = call("foams", "--climate", "atlantis", "--out", tmp_path / "file" / "page.html")
    assert ran.exit_code == 2
    for word in ("did you mean 'foam'", "atlantis", "is no folder"):
        assert word in ran.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_page_has_an_ending(tmp_path: Path) -> None:
    """A page without .html, which no browser opens by a click, is refused with the name to give."""
    ran = call("foam", "--climate", "miami", "--out", tmp_path / "page")
    assert ran.exit_code == 2
    assert "page.html" in ran.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", LESSONS)
def test_every_lesson_can_be_built(name: str, tmp_path: Path) -> None:
    """Each lesson runs in the Miami year and writes its three papers."""
    ran = call(name, "--level", "trade", "--out", tmp_path / "page.html")
    assert ran.exit_code == 0
    assert len(list(tmp_path.iterdir())) == 3
