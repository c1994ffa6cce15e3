"""What is worked out once and kept between runs: where it lies, and arrays found again by their key.

A kept array is only ever a shortcut: one that cannot be read, or is not what was asked for, is made anew,
and where nothing can be written nothing is kept.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray

from moistwall.whole_files import write_whole_by

Array = NDArray[np.float64]

MOST_FILES = 64
"""Arrays of one kind that are kept; the one that was not used for longest goes first."""


def cache_root() -> Path:
    """Folder under which everything is kept; ``MOISTWALL_CACHE`` overrides it."""
    named = os.environ.get("MOISTWALL_CACHE")
    if named:
        return Path(named)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "moistwall" / "cache"
    return Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "moistwall"


def key_of(parts: Iterable[bytes]) -> str:
    """Key by content: a hash of everything that an array depends on.

    Parameters
    ----------
    parts : iterable of bytes
        Inputs, settings, and the text of the functions that make it.

    Returns
    -------
    str
        Hexadecimal digits.
    """
    digest = hashlib.sha256()
    for part in parts:
        digest.update(len(part).to_bytes(8, "little"))
        digest.update(part)
    return digest.hexdigest()


def kept_array(kind: str, key: str, shape: tuple[int, ...], make: Callable[[], Array]) -> Array:
    """Read an array that was kept under this key, or make and keep it.

    Parameters
    ----------
    kind : str
        Folder under `cache_root`.
    key : str
        From `key_of`.
    shape : tuple of int
        Shape that it must have.
    make : callable
        Makes it.

    Returns
    -------
    ndarray
        The same bytes either way.
    """
    folder = cache_root() / kind
    path = folder / f"{key}.npy"
    found = _read(path)
    if found is not None and found.shape == shape:
        with contextlib.suppress(OSError):
            os.utime(path)
        return found
    array = make()
    with contextlib.suppress(OSError):
        _keep(folder, path, array)
    return array


def _read(path: Path) -> Array | None:
    """Read an array; None if it is not there or not what was written."""
    try:
        with path.open("rb") as file:
            found: Array = np.load(file, allow_pickle=False)
            digest = file.read()
    except (OSError, ValueError, EOFError):
        return None
    return found if found.dtype == np.float64 and digest == _digest(found) else None


def _write(file: IO[bytes], array: Array) -> None:
    """Write an array, and behind it what tells whether it is still the same when it is read."""
    np.save(file, array)
    file.write(_digest(array))


def _digest(array: Array) -> bytes:
    return hashlib.sha256(np.ascontiguousarray(array).tobytes()).digest()


def _keep(folder: Path, path: Path, array: Array) -> None:
    """Write it whole; drop what was not used for longest."""
    folder.mkdir(parents=True, exist_ok=True)
    write_whole_by({path: lambda file: _write(file, array)})
    files = sorted(folder.glob("*.npy"), key=lambda one: one.stat().st_mtime)
    for old in files[:-MOST_FILES]:
        old.unlink(missing_ok=True)
