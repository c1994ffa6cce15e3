"""Finding what a command names, and writing what it makes: whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from moistwall.errors import Fault, InputError
from moistwall.library import find_assembly, path_is
from moistwall.whole_files import write_whole_files

__all__ = ["check_writable", "find_assembly", "write_all"]


def check_writable(paths: Iterable[Path]) -> None:
    """Refuse, before anything is computed, files that could not be written afterwards.

    Parameters
    ----------
    paths : iterable of Path
        Files to be written; they and their folders need not exist.

    Raises
    ------
    InputError
        With every path that is a folder, or below something that is none or is not to be changed.
    """
    faults = []
    for path in paths:
        if path_is(path, Path.is_dir):
            faults.append(Fault(str(path), "", "", "is a folder", "give the name of a file"))
            continue
        above = next(
            (folder for folder in path.absolute().parents if path_is(folder, Path.exists)), None
        )
        if above is None or not above.is_dir():
            faults.append(Fault(str(path), "", "", f"cannot be written: {above} is no folder"))
        elif not os.access(above, os.W_OK | os.X_OK):
            remedy = "give a folder that can be written to"
            faults.append(Fault(str(path), "", "", f"{above} cannot be written to", remedy))
    if faults:
        raise InputError(faults)


def write_all(files: Mapping[Path, bytes]) -> None:
    """Write several files: each complete under another name first, then all renamed.

    Parameters
    ----------
    files : mapping of Path to bytes
        What to write where; folders are made. An existing file is replaced only at the end. What
        exists and is no ordinary file, such as a pipe or a terminal, is written to as it is.

    Raises
    ------
    InputError
        If a file cannot be written; no file under its final name has changed then, unless the
        renaming itself failed.
    """
    content_of = {Path(os.path.realpath(path)): content for path, content in files.items()}
    streams = {path for path in content_of if path.exists() and not path.is_file()}
    made: list[Path] = []
    done = False
    try:
        for path in content_of:
            missing = [folder for folder in path.parents if not folder.exists()]
            for folder in reversed(missing):
                folder.mkdir(exist_ok=True)
                made.append(folder)
        write_whole_files({path: data for path, data in content_of.items() if path not in streams})
        done = True
        for path in streams:
            _write_stream(path, content_of[path])
    except OSError as error:
        raise InputError(
            Fault(
                str(error.filename or ""),
                "",
                "",
                f"cannot be written: {error.strerror}",
                "give a folder that can be written to, with room left",
            )
        ) from error
    finally:
        if not done:
            for folder in reversed(made):
                with suppress(OSError):  # somebody else may have put something into it by now
                    folder.rmdir()


def _write_stream(path: Path, content: bytes) -> None:
    """Write to a pipe or a device; an error names it."""
    try:
        with path.open("wb") as file:
            file.write(content)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
