"""What is kept of a folder of materials is never stale."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from moistwall.library.listing import toml_files


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one file in a folder of its own, both unchanged for an hour."""
    (tmp_path / "inner").mkdir()
    (tmp_path / "inner" / "one.toml").write_text("", encoding="utf-8")
    return settled(tmp_path)


def settled(folder: Path) -> Path:
    """Let a folder and all in it look as if nothing had happened for an hour."""
    for at, _, _ in os.walk(folder):
        then = os.stat(at).st_mtime - 3600.0
        os.utime(at, (then, then))
    return folder


def names(folder: Path) -> list[str]:
    """Names of the files that are listed."""
    return [path.name for path in toml_files(folder)]


def test_a_settled_folder_is_listed_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second time nothing is walked through."""
    assert names(folder) == ["one.toml"]
    monkeypatch.setattr(os, "walk", lambda _: pytest.fail("walked again"))
    assert names(folder) == ["one.toml"]


def test_files_that_come_and_go_are_seen(folder: Path) -> None:
    """At any depth, at once."""
    assert names(folder) == ["one.toml"]
    (folder / "inner" / "two.toml").write_text("", encoding="utf-8")
    assert names(folder) == ["one.toml", "two.toml"]
    (folder / "deep").mkdir()
    (folder / "deep" / "three.toml").write_text("", encoding="utf-8")
    assert names(folder) == ["three.toml", "one.toml", "two.toml"]
    (folder / "inner" / "one.toml").unlink()
    assert names(folder) == ["three.toml", "two.toml"]


def test_a_change_right_after_a_listing_is_seen(folder: Path) -> None:
    """A folder whose time is recent is not kept: the next change may bear the same time."""
    inner = folder / "inner"
    (inner / "two.toml").write_text("", encoding="utf-8")
    then = os.stat(inner).st_mtime_ns
    assert names(folder) == ["one.toml", "two.toml"]
    (inner / "three.toml").write_text("", encoding="utf-8")
    os.utime(inner, ns=(then, then))
    assert names(folder) == ["one.toml", "three.toml", "two.toml"]


def test_links_to_files_are_followed(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A file is known by where it really lies."""
    other = tmp_path_factory.mktemp("other") / "far.toml"
    other.write_text("", encoding="utf-8")
    (folder / "link.toml").symlink_to(other)
    assert other.resolve() in toml_files(folder)
