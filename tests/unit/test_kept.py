"""Arrays that are kept between runs: the same bytes, never a wrong one, bounded, and not needed."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from heron_point import miami
from numpy.typing import NDArray

from moistwall import kept
from moistwall.kept import kept_array, key_of
from moistwall.loads import sun
from moistwall.loads.sun import plane_irradiance

Array = NDArray[np.float64]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache folder of its own."""
    monkeypatch.setenv("MOISTWALL_CACHE", str(tmp_path))
    return tmp_path


def never() -> Array:
    """Stands for a function that must not be called."""
    raise AssertionError("made although it is kept")


def test_second_time_is_read(folder: Path) -> None:
    """What was made once is read the second time, with the same bytes, and nothing else is left behind."""
    first = kept_array("x", "a", (3,), lambda: np.array([0.1, 0.2, 0.3]))
    assert np.array_equal(first, kept_array("x", "a", (3,), never))
    assert [path.name for path in (folder / "x").iterdir()] == ["a.npy"]


@pytest.mark.parametrize("content", [b"", b"no array", b"\x93NUMPY\x01\x00"])
def test_broken_file_is_made_anew(folder: Path, content: bytes) -> None:
    """A file that cannot be read is no error: the array is made again, and kept."""
    (folder / "x").mkdir()
    (folder / "x" / "a.npy").write_bytes(content)
    assert kept_array("x", "a", (2,), lambda: np.ones(2)).sum() == 2.0
    assert kept_array("x", "a", (2,), never).sum() == 2.0


def test_a_number_that_was_changed_is_found(folder: Path) -> None:
    """One bit of one number, in a file that can still be read: made anew."""
    kept_array("x", "a", (2,), lambda: np.ones(2))
    path = folder / "x" / "a.npy"
    content = bytearray(path.read_bytes())
    content[content.index(np.ones(1).tobytes()) + 6] ^= 1
    path.write_bytes(content)
    assert kept_array("x", "a", (2,), lambda: np.ones(2)).sum() == 2.0


def test_other_shape_is_made_anew(folder: Path) -> None:
    """An array of another shape is not what was asked for."""
    kept_array("x", "a", (2,), lambda: np.ones(2))
    assert kept_array("x", "a", (3,), lambda: np.ones(3)).shape == (3,)


def test_least_used_go_first(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The number of files is bounded; one that was just read stays."""
    monkeypatch.setattr(kept, "MOST_FILES", 3)
    for k, name in enumerate("abc"):
        kept_array("x", name, (1,), lambda: np.zeros(1))
        os.utime(folder / "x" / f"{name}.npy", (k, k))
    kept_array("x", "a", (1,), never)
    kept_array("x", "d", (1,), lambda: np.zeros(1))
    assert sorted(path.stem for path in (folder / "x").iterdir()) == ["a", "c", "d"]


def test_unwritable_folder_is_no_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing can be written the array is made all the same."""
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("MOISTWALL_CACHE", str(tmp_path / "file"))
    assert kept_array("x", "a", (1,), lambda: np.ones(1)).sum() == 1.0


def test_key_tells_parts_apart() -> None:
    """The key depends on where one part ends and the next begins."""
    assert key_of([b"ab", b"c"]) != key_of([b"a", b"bc"])


def test_sun_of_a_known_year_is_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sun on a plane is worked out once for a year, a plane and a ground, and anew for any other."""
    calls = []
    true = sun._irradiance

    def counted(*arguments: object) -> Array:
        calls.append(arguments)
        return true(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(sun, "_irradiance", counted)
    year = miami()
    first = plane_irradiance(year, 90.0, 180.0)
    assert np.array_equal(first, plane_irradiance(year, 90.0, 180.0))
    assert len(calls) == 1
    assert not np.array_equal(first, plane_irradiance(year, 90.0, 90.0))
    plane_irradiance(year, 80.0, 180.0)
    plane_irradiance(year, 90.0, 180.0, 0.3)
    plane_irradiance(replace(year, sun_diffuse=year.sun_diffuse * 1.01), 90.0, 180.0)
    plane_irradiance(replace(year, latitude=year.latitude + 1.0), 90.0, 180.0)
    assert len(calls) == 6
