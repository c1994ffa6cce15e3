"""The files that a study reads again for every variant, held to what they were when it began.

Years, criteria and the assembly are read once. Materials and hourly files are looked up by each variant, so that
one that is saved anew in the middle would make a study of two halves: it is stopped instead, with the file's name.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError
from moistwall.library import data_folder, material_files
from moistwall.study.job import bytes_of_year, own_materials

SHIPPED = "materials that are shipped"
"""What the files of the library are called together."""


@dataclass(frozen=True)
class Pins:
    """Files as they were, and years by what they hold.

    Parameters
    ----------
    files : dict of Path to str
        Hash of the content of each file.
    years : dict of str to str
        Hash of what each year holds, by label.
    """

    files: dict[Path, str] = field(default_factory=dict)
    years: dict[str, str] = field(default_factory=dict)
    _seen: dict[Path, tuple[int, int]] = field(default_factory=dict)

    def named(self) -> dict[str, str]:
        """Hashes by names for people: each file of one's own and each year by itself, the library as a whole."""
        shipped = data_folder("materials").resolve()
        whole = hashlib.sha256()
        found: dict[str, str] = {}
        for path, content in sorted(self.files.items()):
            if path.is_relative_to(shipped):
                whole.update(content.encode())
            else:
                found[str(path)] = content
        found |= {f"climate {label}": content for label, content in self.years.items()}
        return found | {SHIPPED: whole.hexdigest()}

    def add(self, paths: Iterable[Path]) -> str:
        """Note what more files hold, each when it is first seen.

        Parameters
        ----------
        paths : iterable of Path
            Files.

        Returns
        -------
        str
            Their hashes, one after the other; nothing for none.

        Raises
        ------
        InputError
            If one cannot be read.
        """
        found = ""
        for path in paths:
            if path not in self.files:
                try:
                    self.files[path] = _hash(path)
                except OSError as error:
                    problem, remedy = f"cannot be read: {error.strerror}", "give a file that can"
                    raise InputError(Fault(str(path), "", "", problem, remedy)) from None
            found += self.files[path]
        return found

    def refuse_changed(self) -> None:
        """See that every file is what it was.

        Raises
        ------
        InputError
            With each that has changed, or is gone.
        """
        faults = []
        for path, content in self.files.items():
            try:
                stat = path.stat()
                signature = (stat.st_mtime_ns, stat.st_size)
                if self._seen.get(path) == signature or _hash(path) == content:
                    self._seen[path] = signature
                    continue
                problem = "has changed since the study began"
            except OSError as error:
                problem = f"cannot be read any more ({error.strerror})"
            remedy = (
                "put back what it was and go on with --resume, or begin a study in another folder"
            )
            faults.append(Fault(str(path), "", "", problem, remedy))
        if faults:
            raise InputError(faults)


def pin(
    climates: Mapping[str, Climate],
    assemblies: Iterable[tuple[Mapping[str, Any], Path]],
) -> Pins:
    """Note what the files of a study hold.

    Parameters
    ----------
    climates : mapping of str to Climate
        Years by label.
    assemblies : iterable of (mapping, Path)
        Content of each assembly file, and the folder that its paths start from.

    Returns
    -------
    Pins

    Raises
    ------
    InputError
        If a file cannot be read.
    """
    paths: dict[Path, None] = {}
    for data, folder in assemblies:
        paths.update(dict.fromkeys(material_files(own_materials(data, folder))))
        paths.update(dict.fromkeys(hourly_files(data, folder)))
    pins = Pins(years={label: _digest(bytes_of_year(year)) for label, year in climates.items()})
    pins.add(paths)
    return pins


def hourly_files(data: Mapping[str, Any], folder: Path) -> list[Path]:
    """Files of hourly values that an assembly names: the air of its room and of its gaps.

    Parameters
    ----------
    data : mapping
        Content of the assembly file.
    folder : Path
        Folder that its paths start from.
    """
    room = data.get("room")
    named = [room.get("file")] if isinstance(room, dict) else []
    named += [one.get("air_changes_file") for one in data.get("layer", ()) if isinstance(one, dict)]
    return [(folder / one).resolve() for one in named if isinstance(one, str)]


def _hash(path: Path) -> str:
    return _digest(path.read_bytes())


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
