"""Files that appear under their name whole or not at all, whatever ends the program.

Each is written under another name beside its own, put on the disk, and only then renamed, which a system does at
once or not at all. What a killed program has left is cleared away by the next that writes the same file, once it
is surely nobody's any more.
"""

from __future__ import annotations

import os
import secrets
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import IO

ENDING = ".part"
"""Ending of a file that is not complete."""

FORGOTTEN = 600.0
"""Age from which an incomplete file is nobody's any more: writing one takes seconds. [s]"""


def write_whole_files(contents: Mapping[Path, bytes]) -> None:
    """Write files: all complete under other names first, then all renamed.

    Parameters
    ----------
    contents : mapping of Path to bytes
        What to write where; the folders are there. One that exists is replaced.

    Raises
    ------
    OSError
        If one cannot be written; then none has changed, unless the renaming itself failed.
    """
    write_whole_by({path: _writes(content) for path, content in contents.items()})


def write_whole_by(writers: Mapping[Path, Callable[[IO[bytes]], object]]) -> None:
    """Write files as `write_whole_files`, each by a function that gets an open binary file.

    Parameters
    ----------
    writers : mapping of Path to callable
        What writes where.

    Raises
    ------
    OSError
        As `write_whole_files`; what a function raises comes through, and nothing has changed then.
    """
    parts: dict[Path, Path] = {}
    path = Path()
    try:
        for path, write in writers.items():
            clear_forgotten(path.parent, path.name)
            parts[path] = path.with_name(
                f".{path.name}.{os.getpid()}-{secrets.token_hex(4)}{ENDING}"
            )
            with parts[path].open("xb") as file:
                write(file)
                file.flush()
                os.fsync(file.fileno())
        for path, part in parts.items():
            part.replace(path)
        for folder in {path.parent for path in parts}:
            sync_folder(folder)
    except OSError as error:
        # a full disk names no file, and the other name is nobody's business
        raise OSError(error.errno, error.strerror, str(path)) from error
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)


def _writes(content: bytes) -> Callable[[IO[bytes]], object]:
    return lambda file: file.write(content)


def clear_forgotten(folder: Path, name: str = "") -> None:
    """Remove incomplete files that a program left when it was killed; those of a running one stay.

    Parameters
    ----------
    folder : Path
        Where to look.
    name : str
        Name of the file that they were to become; all if empty.
    """
    try:
        found = [one for one in os.scandir(folder) if one.name.endswith(ENDING)]
    except OSError:
        return
    for one in found:
        if not one.name.startswith(f".{name}.") and name:
            continue
        try:
            if one.name.startswith(".") and time.time() - one.stat().st_mtime > FORGOTTEN:
                Path(one.path).unlink(missing_ok=True)
        except OSError:
            continue


def sync_folder(folder: Path) -> None:
    """Put new names on the disk as well, where the system lets a folder be opened; Windows does not.

    Parameters
    ----------
    folder : Path
        The folder.
    """
    if os.name == "nt":
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return  # some network folders know no such thing
    finally:
        os.close(handle)
