"""Paths that an assembly file names, refused where they lead out of its folder."""

from __future__ import annotations

from pathlib import Path

from moistwall.errors import Fault

HOW = "give a path that starts at the folder of this file"
"""What to write where a file names another."""


def find_paths(given: object, folder: Path, field: str, faults: list[Fault]) -> tuple[Path, ...]:
    """Return the paths of a list of texts.

    Parameters
    ----------
    given : object
        What stands in the file; anything but a list of texts is no business of this function.
    folder : Path
        Folder that they start from.
    field : str
        Where they stand.
    faults : list of Fault
        Takes every mistake.

    Returns
    -------
    tuple of Path
    """
    texts = [text for text in given if isinstance(text, str)] if isinstance(given, list) else []
    found = [
        find_path(text, folder, f"{field}[{number}]", faults)
        for number, text in enumerate(texts, start=1)
    ]
    return tuple(path for path in found if path is not None)


def find_file(text: str, folder: Path, field: str, faults: list[Fault]) -> Path | None:
    """Return the file that a text names; None if it is refused.

    Parameters
    ----------
    text, folder, field, faults
        As for `find_path`.

    Returns
    -------
    Path or None
        None if it is a folder as well.
    """
    path = find_path(text, folder, field, faults)
    if path is not None and path.is_dir():
        faults.append(Fault("", field, text, "is a folder", "give the path of a file in it"))
        return None
    return path


def find_path(text: str, folder: Path, field: str, faults: list[Fault]) -> Path | None:
    """Return the path that a text names; None if it is refused.

    Parameters
    ----------
    text : str
        The path as written.
    folder : Path
        Folder that it starts from.
    field : str
        Where it stands.
    faults : list of Fault
        Takes every mistake.

    Returns
    -------
    Path or None
    """
    if not text.strip():
        faults.append(Fault("", field, ascii(text), "names nothing", HOW))
        return None
    try:
        base, path = folder.resolve(), (folder / text).resolve()
        exists = path.is_file() or path.is_dir()
    except (OSError, ValueError, RuntimeError):
        faults.append(Fault("", field, ascii(text), "is no path", HOW))
        return None
    if not Path(text).is_absolute() and not path.is_relative_to(base):
        problem = "leads out of the folder of this file"
        faults.append(Fault("", field, text, problem, "give the whole path if that is meant"))
        return None
    if not exists:
        faults.append(Fault("", field, text, "there is no such file or folder", HOW))
        return None
    return path
