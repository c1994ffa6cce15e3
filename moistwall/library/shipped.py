"""Where the data that come with moistwall lie, and the files of them that a person names."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Literal

from moistwall.errors import Fault, InputError, cut
from moistwall.names import nearest

MOST_NAMES = 12
"""Shipped names that a message lists."""

LONGEST_NAME = 200
"""A longer name of a file is cut in messages. [characters]"""

GIVE_PATH = "give the path of one that is there"
"""What to do about a path that leads nowhere."""

ASSEMBLIES = ("examples", "examples/zones")
"""Folders of assembly files."""

STAGES = ("examples/stages",)
"""Folder of files of stages."""

Signature = tuple[Path, int, int]
"""A file, its time and its size."""


def data_folder(kind: Literal["materials", "climates", "criteria", "examples"]) -> Path:
    """Find a folder of the data that come with moistwall.

    Parameters
    ----------
    kind : {'materials', 'climates', 'criteria', 'examples'}
        Which data.

    Returns
    -------
    Path
        The folder inside the installed package; in a checkout, the one beside the package.

    Raises
    ------
    InputError
        If there is neither.
    """
    package = Path(__file__).resolve().parent.parent
    inside = package / "_data" / kind
    if inside.is_dir():
        return inside
    beside = package.parent / kind
    if beside.is_dir() and _is_checkout(package.parent):
        return beside
    raise InputError(
        Fault(
            str(inside),
            "",
            "",
            f"the {kind} of moistwall are missing from this installation",
            "install moistwall again",
        )
    )


def _is_checkout(folder: Path) -> bool:
    try:
        (project,) = signed([folder / "pyproject.toml"])
        return _project_name(project) == "moistwall"
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return False


@lru_cache(maxsize=8)
def _project_name(project: Signature) -> object:
    return tomllib.loads(project[0].read_text(encoding="utf-8")).get("project", {}).get("name")


def path_is(path: Path, kind: Callable[[Path], bool]) -> bool:
    """Ask the file system about a path; one that it cannot even take is nothing.

    Parameters
    ----------
    path : Path
        What to ask about.
    kind : callable
        The question, such as `Path.is_file`.
    """
    try:
        return kind(path)
    except (OSError, ValueError):
        return False


def signed(paths: list[Path]) -> tuple[Signature, ...]:
    """Pair each file with its time and size, so that what is kept of it is never stale.

    Parameters
    ----------
    paths : list of Path
        Files that are there.
    """
    stats = [(path, path.stat()) for path in paths]
    return tuple((path, stat.st_mtime_ns, stat.st_size) for path, stat in stats)


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
    begin = (
        f"; or begin one: moistwall new wall {Path(name).name}" if name.endswith(".toml") else ""
    )
    wanted = "give an assembly file, or the name of a shipped example"
    return _find_shipped(name, ASSEMBLIES, wanted, begin)


def find_stages(name: str) -> Path:
    """Path of a file of stages, or of a shipped one that the name stands for; as `find_assembly`.

    Parameters
    ----------
    name : str
        A path; or 'examples/stages/NAME.toml' or 'NAME' of a shipped one.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        If there is neither.
    """
    return _find_shipped(name, STAGES, "give a file of stages, or the name of a shipped one")


def example_names() -> list[str]:
    """List the names of the assembly files that come with moistwall."""
    return sorted(_shipped(ASSEMBLIES))


def stages_names() -> list[str]:
    """List the names of the files of stages that come with moistwall."""
    return sorted(_shipped(STAGES))


def _shipped(places: tuple[str, ...]) -> dict[str, Path]:
    """Files of some shipped folders, by name."""
    folders = [data_folder("examples") / Path(one).relative_to("examples") for one in places]
    return {one.stem: one for folder in folders for one in folder.glob("*.toml")}


def _find_shipped(name: str, places: tuple[str, ...], wanted: str, instead: str = "") -> Path:
    """Path of a file that is here, or of one of some shipped folders."""
    path = Path(name)
    if path_is(path, Path.is_file):
        return path
    shipped = _shipped(places)
    is_name = path.parent in map(Path, ("", *places)) and path.suffix in ("", ".toml")
    if is_name and path.stem in shipped:
        return shipped[path.stem]
    problem = "is a folder" if path_is(path, Path.is_dir) else "there is no such file"
    near = nearest(path.stem, shipped) or sorted(shipped)
    more = f" and {len(near) - MOST_NAMES} more" if len(near) > MOST_NAMES else ""
    remedy = f"{wanted}: " + ", ".join(near[:MOST_NAMES]) + more + instead
    raise InputError(Fault(cut(name, LONGEST_NAME), "", "", problem, remedy))
