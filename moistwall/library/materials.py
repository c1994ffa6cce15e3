"""Materials, films and faced boards by name.

Names are compared without regard to upper and lower case, spaces and hyphens. Besides the files
that come with moistwall, materials are found in folders and files that the caller names, and in
those that the environment variable MOISTWALL_MATERIALS lists.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple, TypeVar

from moistwall.errors import Fault, MaterialError
from moistwall.library.listing import toml_files
from moistwall.library.shipped import GIVE_PATH, Signature, data_folder, signed
from moistwall.material import FacedBoard, FilmMaterial, Material
from moistwall.material_file import BoardFile, MaterialRecord, read_material_record
from moistwall.names import did_you_mean, plain_name
from moistwall.schema import read_toml

Entry = Material | FilmMaterial | FacedBoard
Folders = Sequence[str | Path]
Found = TypeVar("Found", Material, FilmMaterial)


MATERIALS_VARIABLE = "MOISTWALL_MATERIALS"
"""Environment variable with more folders or files of materials, separated as PATH is."""


LIST_THEM = "see moistwall materials for all of them"
"""What to do about a name that nothing near has."""


_CALLED = {Material: "a material", FilmMaterial: "a film", FacedBoard: "a faced board"}


def material_names(folders: Folders = ()) -> list[str]:
    """List the names of all materials, films and faced boards, without their aliases."""
    return sorted({entry.name for entry in _index(signed(material_files(folders))).values()})


def material_kinds() -> list[str]:
    """List the kinds of materials: the folders of the library, and of MOISTWALL_MATERIALS."""
    return sorted({path.resolve().parent.name for path in material_files(())})


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
    return _of_kind(Material, name, folders, file, field)


def find_film(name: str, folders: Folders = (), *, file: str = "", field: str = "") -> FilmMaterial:
    """Find a film; as `find_entry`, but a material or a board of this name is an error."""
    return _of_kind(FilmMaterial, name, folders, file, field)


def _of_kind(wanted: type[Found], name: str, folders: Folders, file: str, field: str) -> Found:
    entry = find_entry(name, folders, file=file, field=field)
    if not isinstance(entry, wanted):
        problem = f"is {_CALLED[type(entry)]}, not {_CALLED[wanted]}"
        raise MaterialError(Fault(file, field, name, problem, LIST_THEM))
    return entry


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
            files.update(dict.fromkeys(toml_files(path.resolve())))
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


class _Named(NamedTuple):
    """A name or alias as its file gives it, the name proper, and the file."""

    given: str
    name: str
    file: Signature


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
    index = _index(signed(material_files(folders)))
    found = index.get(plain_name(name)) or _written_together(name, index)
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


def _written_together(name: str, index: dict[str, _Named]) -> _Named | None:
    """The one entry whose name is this but for where words are parted: "house wrap" for "housewrap"."""
    wanted = plain_name(name).replace(" ", "")
    found = {one.file: one for key, one in index.items() if key.replace(" ", "") == wanted}
    return next(iter(found.values())) if len(found) == 1 else None


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
