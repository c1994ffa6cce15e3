"""Files below a folder, listed once as long as nothing in it changes: every name looked up asks for them."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import NamedTuple


class _Listing(NamedTuple):
    """Files below a folder, and when each of the folders that they lie in was last changed."""

    folders: tuple[tuple[str, int], ...]
    files: tuple[Path, ...]


_LISTINGS: dict[Path, _Listing] = {}

SETTLED = 3.0
"""A folder changed more recently is listed anew: its time may be too coarse to tell of the next change. [s]"""


def toml_files(folder: Path) -> tuple[Path, ...]:
    """List the TOML files below a folder, in the order of their paths.

    Parameters
    ----------
    folder : Path
        Folder, resolved.

    Returns
    -------
    tuple of Path
        Resolved; links to files are followed, links to folders are not.
    """
    known = _LISTINGS.get(folder)
    if known and known.folders == tuple((at, _time_of(at)) for at, _ in known.folders):
        return known.files
    _LISTINGS.pop(folder, None)
    before = time.time()
    folders, found = [], []
    for at, _, names in os.walk(folder):
        folders.append((at, _time_of(at)))
        for name in names:
            if name.endswith(".toml"):
                file = os.path.join(at, name)
                found.append(os.path.realpath(file) if os.path.islink(file) else file)
    files = tuple(sorted(Path(file) for file in found))
    if all(changed < (before - SETTLED) * 1e9 for _, changed in folders):
        _LISTINGS[folder] = _Listing(tuple(folders), files)
    return files


def _time_of(folder: str) -> int:
    """When a folder was last changed; 0 if it is not there. [ns]"""
    try:
        return os.stat(folder).st_mtime_ns
    except OSError:
        return 0
