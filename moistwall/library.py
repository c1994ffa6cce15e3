"""Finds what a person refers to by name: materials, climates, examples.

Names are compared without regard to upper and lower case, spaces and hyphens. Besides the files
that come with moistwall, materials are found in folders and files that the caller names, and in
those that the environment variable MOISTWALL_MATERIALS lists.
"""

from __future__ import annotations

import math
import os
import tomllib
from collections.abc import Callable, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Literal, NamedTuple

from moistwall.climate.monthly import MonthlyNormals, read_monthly
from moistwall.climate.rain import RainRule
from moistwall.climate.read import read_climate
from moistwall.climate.record import Climate
from moistwall.errors import ClimateError, Fault, InputError, MaterialError
from moistwall.material import FacedBoard, FilmMaterial, Material
from moistwall.material_file import BoardFile, MaterialRecord, read_material_record
from moistwall.names import did_you_mean, nearest, plain_name
from moistwall.schema import read_toml

__all__ = [
    "Entry",
    "climate_names",
    "data_folder",
    "find_assembly",
    "find_climate_path",
    "find_entry",
    "find_film",
    "find_material",
    "find_record",
    "find_stages",
    "material_files",
    "material_names",
    "nearest",
    "nearest_normals",
    "path_is",
    "read_year",
]

Entry = Material | FilmMaterial | FacedBoard
Folders = Sequence[str | Path]

MOST_NAMES = 12
"""Shipped names that a message lists."""

LONGEST_NAME = 200
"""A longer name of a file is cut in messages. [characters]"""

MATERIALS_VARIABLE = "MOISTWALL_MATERIALS"
"""Environment variable with more folders or files of materials, separated as PATH is."""

CLIMATE_SUFFIXES = (".csv", ".tm2", ".tmy2", ".tmy3", ".epw", ".toml")
"""Endings of files that are offered as climates."""

LIST_THEM = "see moistwall materials for all of them"
"""What to do about a name that nothing near has."""

GIVE_PATH = "give the path of one that is there"
"""What to do about a path that leads nowhere."""

EARTH_RADIUS = 6371.0
"""Mean radius of the Earth (from memory). [km]"""

_CALLED = {Material: "a material", FilmMaterial: "a film", FacedBoard: "a faced board"}


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
    package = Path(__file__).resolve().parent
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
        project = tomllib.loads((folder / "pyproject.toml").read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return False
    named = project.get("project", {}).get("name")
    return bool(named == "moistwall")


def material_names(folders: Folders = ()) -> list[str]:
    """List the names of all materials, films and faced boards, without their aliases."""
    return sorted({entry.name for entry in _index(_signed(material_files(folders))).values()})


def find_entry(name: str, folders: Folders = (), *, file: str = "", field: str = "") -> Entry:
    """Find a material, film or faced board.

    Parameters
    ----------
    name : str
        Its name or one of its aliases.
    folders : sequence of str or Path
        Folders or files to look into besides the library.
    file, field : str
        Where the name stands, for the message.

    Returns
    -------
    Material, FilmMaterial or FacedBoard
        What has the name.

    Raises
    ------
    MaterialError
        If nothing has the name, if two files claim one name, or if its file is wrong.
    """
    return _entry(_found(name, folders, file, field), folders)


def find_record(
    name: str, folders: Folders = (), *, file: str = "", field: str = ""
) -> MaterialRecord:
    """Find all that the file of a material, film or faced board says; as `find_entry`.

    Parameters
    ----------
    name : str
        Its name or one of its aliases.
    folders : sequence of str or Path
        Folders or files to look into besides the library.
    file, field : str
        Where the name stands, for the message.

    Returns
    -------
    MaterialRecord
        Sources, ranges and spreads beside the numbers; of a board, the names of its parts.

    Raises
    ------
    MaterialError
        If nothing has the name, if two files claim one name, or if its file is wrong.
    """
    return _read(_found(name, folders, file, field))


def find_material(name: str, folders: Folders = (), *, file: str = "", field: str = "") -> Material:
    """Find a material; as `find_entry`, but a film or a board of this name is an error."""
    entry = find_entry(name, folders, file=file, field=field)
    if not isinstance(entry, Material):
        raise MaterialError(
            Fault(file, field, name, f"is {_CALLED[type(entry)]}, not a material", LIST_THEM)
        )
    return entry


def find_film(name: str, folders: Folders = (), *, file: str = "", field: str = "") -> FilmMaterial:
    """Find a film; as `find_entry`, but a material or a board of this name is an error."""
    entry = find_entry(name, folders, file=file, field=field)
    if not isinstance(entry, FilmMaterial):
        raise MaterialError(
            Fault(file, field, name, f"is {_CALLED[type(entry)]}, not a film", LIST_THEM)
        )
    return entry


ZONES = "zones"
"""Folder of the examples whose air is balanced."""


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
    return _find_shipped(
        name, "examples", "give an assembly file, or the name of a shipped example"
    )


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
    return _find_shipped(
        name, "examples/stages", "give a file of stages, or the name of a shipped one"
    )


def _find_shipped(name: str, place: str, wanted: str) -> Path:
    """Path of a file that is here, or of one of a shipped folder."""
    path = Path(name)
    if path_is(path, Path.is_file):
        return path
    places = [Path(place)]
    if place == "examples":
        places.append(Path(place) / ZONES)
    folders = [data_folder("examples") / one.relative_to("examples") for one in places]
    shipped = {one.stem: one for folder in folders for one in folder.glob("*.toml")}
    if path.parent in (Path(), *places) and path.suffix in ("", ".toml"):
        example = shipped.get(path.stem)
        if example is not None:
            return example
    problem = "is a folder" if path_is(path, Path.is_dir) else "there is no such file"
    near = nearest(path.stem, shipped) or sorted(shipped)
    more = f" and {len(near) - MOST_NAMES} more" if len(near) > MOST_NAMES else ""
    remedy = f"{wanted}: " + ", ".join(near[:MOST_NAMES]) + more
    if place == "examples" and path.suffix == ".toml":
        remedy += f"; or begin one: moistwall new wall {path.name}"
    shown = name if len(name) <= LONGEST_NAME else name[:LONGEST_NAME] + " ..."
    raise InputError(Fault(shown, "", "", problem, remedy))


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


def climate_names() -> list[str]:
    """List the names of the years of weather that come with moistwall."""
    return sorted(path.stem for path in _climate_files())


def find_climate_path(name_or_path: str | Path, *, file: str = "", field: str = "") -> Path:
    """Find a year of weather.

    Parameters
    ----------
    name_or_path : str or Path
        Name of one that comes with moistwall, or the path of a file.
    file, field : str
        Where the name stands, for the message.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    ClimateError
        If there is neither such a name nor such a file.
    """
    given = str(name_or_path)
    is_path = Path(given).suffix.lower() in CLIMATE_SUFFIXES or len(Path(given).parts) > 1
    if is_path or isinstance(name_or_path, Path):
        if not Path(given).is_file():
            raise ClimateError(Fault(file, field, given, "there is no such file", GIVE_PATH))
        return Path(given)
    by_name: dict[str, Path] = {plain_name(path.stem): path for path in _climate_files()}
    if plain_name(given) not in by_name:
        remedy = did_you_mean(given, climate_names())
        raise ClimateError(Fault(file, field, given, "there is no climate of this name", remedy))
    return by_name[plain_name(given)]


def read_year(
    name_or_path: str | Path, *, rain_as_read: bool = False, file: str = "", field: str = ""
) -> Climate:
    """Read a year of weather, its rain scaled to the monthly values that come with moistwall.

    Parameters
    ----------
    name_or_path : str or Path
        Name of one that comes with moistwall, or the path of a file.
    rain_as_read : bool
        True to leave the rain of a typical year as the file gives it. Otherwise its months are
        scaled to those of the nearest place that comes with moistwall within 60 km, if there is
        one, and totals of several hours are taken apart; the notes of the year tell.
    file, field : str
        Where the name stands, for the message.

    Returns
    -------
    Climate
        The year.

    Raises
    ------
    ClimateError
        If there is neither such a name nor such a file, or with every mistake in the file.
    """
    rule = RainRule(as_read=rain_as_read, normals_at=nearest_normals)
    return read_climate(find_climate_path(name_or_path, file=file, field=field), rule)


def nearest_normals(
    latitude: float, longitude: float, within_km: float = 60.0
) -> MonthlyNormals | None:
    """Find the monthly values of the nearest place that comes with moistwall.

    Parameters
    ----------
    latitude, longitude : float
        Where they are wanted; north and east positive. [deg]
    within_km : float
        How far the place may be. [km]

    Returns
    -------
    MonthlyNormals or None
        Those of the nearest place; None if there is none so near.

    Raises
    ------
    ClimateError
        If one of the files that come with moistwall is wrong.
    """
    best, distance = None, within_km
    for path in _climate_files():
        if path.suffix == ".toml":
            normals = _read_normals(_signed([path])[0])
            here = _distance(latitude, longitude, normals.latitude, normals.longitude)
            if here <= distance:
                best, distance = normals, here
    return best


def _distance(latitude: float, longitude: float, to_latitude: float, to_longitude: float) -> float:
    """Distance on the sphere, by the haversine formula. [km]"""
    phi, to_phi = math.radians(latitude), math.radians(to_latitude)
    north = math.sin(0.5 * (to_phi - phi)) ** 2
    east = math.sin(0.5 * math.radians(to_longitude - longitude)) ** 2
    return (
        2.0 * EARTH_RADIUS * math.asin(math.sqrt(north + math.cos(phi) * math.cos(to_phi) * east))
    )


def _climate_files() -> list[Path]:
    folder = data_folder("climates")
    return [path for path in sorted(folder.iterdir()) if path.suffix.lower() in CLIMATE_SUFFIXES]


def material_files(folders: Folders = ()) -> list[Path]:
    """List the files of the library, of the caller and of the environment, each once.

    Parameters
    ----------
    folders : sequence of str or Path
        Folders or files to look into besides the library and MOISTWALL_MATERIALS.

    Returns
    -------
    list of Path
        TOML files, not yet read.

    Raises
    ------
    MaterialError
        If a folder or file is not there.
    """
    listed = [one for one in os.environ.get(MATERIALS_VARIABLE, "").split(os.pathsep) if one]
    files: dict[Path, None] = {}
    for place in (data_folder("materials"), *folders, *listed):
        path = Path(place)
        if path.is_dir():
            files.update((file.resolve(), None) for file in sorted(path.rglob("*.toml")))
        elif path.is_file():
            files[path.resolve()] = None
        else:
            origin = MATERIALS_VARIABLE if str(place) in listed else ""
            raise MaterialError(
                Fault(
                    origin,
                    "",
                    str(place),
                    "there is no such folder or file of materials",
                    GIVE_PATH,
                )
            )
    return list(files)


Signature = tuple[Path, int, int]


class _Named(NamedTuple):
    """A name or alias as its file gives it, the name proper, and the file."""

    given: str
    name: str
    file: Signature


def _signed(paths: list[Path]) -> tuple[Signature, ...]:
    """Pair each file with its time and size, so that what is kept of it is never stale."""
    stats = [(path, path.stat()) for path in paths]
    return tuple((path, stat.st_mtime_ns, stat.st_size) for path, stat in stats)


@lru_cache(maxsize=8)
def _index(files: tuple[Signature, ...]) -> dict[str, _Named]:
    """Map each name and alias, in its plain form, to its file."""
    index: dict[str, _Named] = {}
    faults: list[Fault] = []
    for signature in files:
        content = read_toml(signature[0], MaterialError)
        name, aliases = content.get("name"), content.get("aliases", [])
        if not isinstance(name, str) or not name.strip():
            faults.append(Fault(str(signature[0]), "name", "", "is missing"))
            continue
        for one in (name, *(aliases if isinstance(aliases, list) else ())):
            other = index.setdefault(plain_name(str(one)), _Named(str(one), name, signature))
            if other.file is not signature:
                faults.append(
                    Fault(
                        str(signature[0]),
                        "name",
                        str(one),
                        f"this name is taken by {other.file[0]}",
                        "give one of the two another name",
                    )
                )
    if faults:
        raise MaterialError(faults)
    return index


def _found(name: str, folders: Folders, file: str, field: str) -> Signature:
    index = _index(_signed(material_files(folders)))
    found = index.get(plain_name(name))
    if found is None:
        names = [entry.given for entry in index.values()]
        raise MaterialError(
            Fault(
                file,
                field,
                name,
                "no material, film or board has this name",
                did_you_mean(name, names) or LIST_THEM,
            )
        )
    return found.file


@lru_cache(maxsize=64)
def _read_normals(signature: Signature) -> MonthlyNormals:
    return read_monthly(signature[0])


@lru_cache(maxsize=512)
def _read(signature: Signature) -> MaterialRecord:
    return read_material_record(signature[0])


def _entry(signature: Signature, folders: Folders) -> Entry:
    record = _read(signature)
    if record.built is not None:
        return record.built
    read = record.entry
    assert isinstance(read, BoardFile)
    path = signature[0]
    films = {
        face: find_film(name, folders, file=str(path), field=face)
        for face, name in (("outside", read.outside), ("inside", read.inside))
        if name is not None
    }
    core = find_material(read.core, folders, file=str(path), field="core")
    return FacedBoard(read.name, path.parent.name, core, films.get("outside"), films.get("inside"))
