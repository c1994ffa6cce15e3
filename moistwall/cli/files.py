"""Finding what a command names, and writing what it makes: whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from moistwall.errors import Fault, InputError
from moistwall.library import data_folder


def find_assembly(name: str) -> Path:
    """Path of an assembly file, or of a shipped example that the name stands for.

    Parameters
    ----------
    name : str
        A path; or 'examples/NAME.toml' or 'NAME' of a shipped example, where no such file is here.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        If there is neither.
    """
    path = Path(name)
    if path.exists():
        return path
    folder = data_folder("examples")
    shipped = folder / Path(name).with_suffix(".toml").name
    if path.parent in (Path(), Path("examples")) and shipped.exists():
        return shipped
    known = ", ".join(sorted(example.stem for example in folder.glob("*.toml")))
    raise InputError(
        Fault(name, "", "", "no such file", f"give an assembly file, or a shipped example: {known}")
    )


def write_all(files: Mapping[Path, bytes]) -> None:
    """Write several files: each complete under another name first, then all renamed.

    Parameters
    ----------
    files : mapping of Path to bytes
        What to write where; folders are made. An existing file is replaced only at the end.

    Raises
    ------
    InputError
        If a file cannot be written; no file under its final name has changed then, unless the
        renaming itself failed.
    """
    parts: list[tuple[Path, Path]] = []
    try:
        for path, content in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            part = path.with_name(f".{path.name}.{os.getpid()}.part")
            parts.append((part, path))
            with part.open("wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
        for part, path in parts:
            part.replace(path)
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
        for part, _ in parts:
            part.unlink(missing_ok=True)
