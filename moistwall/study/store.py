"""The folder of a study: what it is, and one file for each variant that is finished.

A file is complete under another name before it gets its own, so that what is there is whole whenever the
program ends. A folder belongs to one study; another one's is refused.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from moistwall.errors import Fault, InputError
from moistwall.study.job import FORMAT
from moistwall.whole_files import clear_forgotten, write_whole_files

STUDY_FORMAT = "moistwall study 1"
HEAD, VARIANTS = "study.json", "variants"
FILES = "files"
"""Key of a head with the hash of each file: it says which of them differs, ``around`` that one does."""


@dataclass(frozen=True)
class Store:
    """An open folder of a study.

    Parameters
    ----------
    folder : Path
        The folder.
    """

    folder: Path

    def kept(self, key: str) -> dict[str, Any] | None:
        """What is kept of a variant; None if it is not finished, or its file is damaged.

        Parameters
        ----------
        key : str
            Name of the variant.
        """
        try:
            read: dict[str, Any] = json.loads(self._path(key).read_text(encoding="utf-8"))
            if read.pop("key") == key and read["format"] == FORMAT and read["measures"]:
                return read
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            pass
        return None

    def keep(self, key: str, summary: Mapping[str, Any]) -> None:
        """Write what is kept of a finished variant: whole, on the disk, and only then under its name.

        Parameters
        ----------
        key : str
            Name of the variant.
        summary : mapping
            Fit for JSON.

        Raises
        ------
        InputError
            If it cannot be written.
        """
        write_whole(self._path(key), {"key": key, **summary})

    def _path(self, key: str) -> Path:
        return self.folder / VARIANTS / f"{key}.json"


def open_store(folder: Path, head: Mapping[str, Any], *, resume: bool) -> Store:
    """Open the folder of a study, or make it.

    Parameters
    ----------
    folder : Path
        The folder; it may be there only if it is empty, or of the same study and to be resumed.
    head : mapping
        All that tells this study from another; fit for JSON.
    resume : bool
        Whether to go on with what is there.

    Returns
    -------
    Store

    Raises
    ------
    InputError
        If the folder holds something else, another study, or this one without ``resume``.
    """
    wanted = json.loads(json.dumps({"format": STUDY_FORMAT, **head}))
    path = folder / HEAD

    def refused(problem: str, remedy: str) -> InputError:
        return InputError(Fault(str(folder), "", "", problem, remedy))

    if path.exists():
        try:
            there = json.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            there = None
        if not _same(there, wanted):
            what = _differs(there, wanted)
            raise refused(f"holds another study{what}", "give another folder")
        if not resume:
            raise refused("holds this very study", "add --resume to go on with it")
    elif folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise refused("holds something that is no study", "give an empty folder, or a new one")
    try:
        (folder / VARIANTS).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise refused(f"cannot be made: {error.strerror}", "give another folder") from error
    clear_forgotten(folder / VARIANTS)
    if not path.exists():
        write_whole(path, wanted)
    return Store(folder)


def digest(value: Any) -> str:
    """Fingerprint of plain data.

    Parameters
    ----------
    value : object
        Fit for JSON.
    """
    return hashlib.sha256(json.dumps(value, sort_keys=True).encode("utf-8")).hexdigest()


def _differs(there: Any, wanted: Mapping[str, Any]) -> str:
    if not isinstance(there, dict):
        return ""
    keys = [key for key in wanted if key != FILES and there.get(key) != wanted[key]]
    before, now = there.get(FILES), wanted.get(FILES, {})
    files = []
    if isinstance(before, dict):
        files = [name for name in {**before, **now} if before.get(name) != now.get(name)]
        keys = [key for key in keys if key != "around" or not files]
    return f", which differs in {', '.join([*keys, *files])}" if keys or files else ""


def _same(there: Any, wanted: Mapping[str, Any]) -> bool:
    """Tell whether a head is that of a study; older ones do not list their files."""
    if isinstance(there, dict) and FILES not in there:
        wanted = {key: value for key, value in wanted.items() if key != FILES}
    return bool(there == wanted)


def write_whole(path: Path, data: Mapping[str, Any]) -> None:
    """Write a file of JSON: complete and on the disk before it gets its name.

    Parameters
    ----------
    path : Path
        The file; its folder is there.
    data : mapping
        What to write.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    text = json.dumps(data, indent=1, allow_nan=False, ensure_ascii=False) + "\n"
    try:
        write_whole_files({path: text.encode("utf-8")})
    except OSError as error:
        problem = f"cannot be written: {error.strerror}"
        raise InputError(
            Fault(str(path), "", "", problem, "make room, or give another folder")
        ) from error
