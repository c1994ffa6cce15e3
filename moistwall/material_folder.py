"""Material files checked together: each by itself, their names, and what boards name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from moistwall.errors import Fault, InputError, MaterialError
from moistwall.library import LIST_THEM, material_files
from moistwall.material_file import check_material_file
from moistwall.names import did_you_mean, plain_name
from moistwall.schema import read_toml


@dataclass(frozen=True)
class CheckedFiles:
    """What a check of several files found.

    Parameters
    ----------
    files : tuple of Path
        Files that were checked.
    faults, warnings : tuple of Fault
        What is wrong, and what is unusual but can be; of all files, in their order.
    """

    files: tuple[Path, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]


@dataclass(frozen=True)
class _Named:
    """A name or alias, where it stands, and what it names."""

    given: str
    path: Path
    type: str


def check_material_files(places: Sequence[str | Path]) -> CheckedFiles:
    """Check files and folders of materials whole.

    Parameters
    ----------
    places : sequence of str or Path
        Files, and folders with files ending in .toml at any depth.

    Returns
    -------
    CheckedFiles
        Every fault and warning. Names that two of the files give are faults; a name that the
        library has already is a warning, as it may be a copy that is being edited. The core and the
        facers of a board may stand in these files or in the library.

    Raises
    ------
    MaterialError
        If a place is not there, or a folder holds no material files.
    """
    files = _files_of(places)
    faults: dict[Path, list[Fault]] = {}
    warnings: dict[Path, list[Fault]] = {}
    for path in files:
        faults[path], warnings[path] = check_material_file(path)
    contents = {path: content for path in files if (content := _content(path)) is not None}
    named: dict[str, _Named] = {}
    for path, content in contents.items():
        for one in _names(path, content):
            other = named.setdefault(plain_name(one.given), one)
            if other.path != path:
                faults[path].append(_taken(one, other))
    library = _library_without(files)
    for one in named.values():
        if plain_name(one.given) in library:
            warnings[one.path].append(_taken(one, library[plain_name(one.given)]))
    for path, content in contents.items():
        if content.get("type") == "board":
            faults[path] += _parts_missing(path, content, {**library, **named})
    return CheckedFiles(
        tuple(files),
        tuple(fault for path in files for fault in faults[path]),
        tuple(fault for path in files for fault in warnings[path]),
    )


def _files_of(places: Sequence[str | Path]) -> list[Path]:
    found: dict[Path, Path] = {}
    faults = []
    for place in places:
        path = Path(place)
        if path.is_dir():
            inside = sorted(path.rglob("*.toml"))
            if not inside:
                faults.append(Fault(str(place), "", "", "holds no file that ends in .toml"))
        elif path.is_file():
            inside = [path]
        else:
            inside = []
            faults.append(Fault(str(place), "", "", "there is no such file or folder"))
        found.update((one.resolve(), one) for one in inside)
    if faults:
        raise MaterialError(faults)
    return list(found.values())


def _content(path: Path) -> dict[str, Any] | None:
    """Give what a file holds; None where it cannot be read, which its own check tells."""
    try:
        return read_toml(path, MaterialError)
    except InputError:
        return None


def _names(path: Path, content: dict[str, Any]) -> list[_Named]:
    aliases = content.get("aliases", [])
    given = (content.get("name"), *(aliases if isinstance(aliases, list) else ()))
    sort = str(content.get("type", ""))
    return [_Named(one, path, sort) for one in given if isinstance(one, str) and one.strip()]


def _library_without(files: list[Path]) -> dict[str, _Named]:
    own = {path.resolve() for path in files}
    found: dict[str, _Named] = {}
    for path in material_files():
        content = None if path.resolve() in own else _content(path)
        for one in _names(path, content) if content is not None else ():
            found.setdefault(plain_name(one.given), one)
    return found


def _taken(one: _Named, other: _Named) -> Fault:
    remedy = "give one of the two another name"
    problem = f"this name is taken by {other.path}"
    return Fault(str(one.path), "name", one.given, problem, remedy)


def _parts_missing(path: Path, content: dict[str, Any], named: dict[str, _Named]) -> list[Fault]:
    """Find what a board names and no file has, or has as something else."""
    faults = []
    for key, wanted in (("core", "material"), ("outside", "film"), ("inside", "film")):
        given = content.get(key)
        if not isinstance(given, str):
            continue
        found = named.get(plain_name(given))
        if found is None:
            names = [one.given for one in named.values() if one.type == wanted]
            problem = f"no {wanted} has this name"
            faults.append(
                Fault(str(path), key, given, problem, did_you_mean(given, names) or LIST_THEM)
            )
        elif found.type != wanted:
            faults.append(
                Fault(str(path), key, given, f"is a {found.type}, not a {wanted}", LIST_THEM)
            )
    return faults
