"""Reading a problem: a file, checked whole, and resolved."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from moistwall.errors import Fault, InputError
from moistwall.schema import (
    GIVE_FILE,
    LARGEST_FILE,
    MOST_NESTED,
    faults_from_validation,
    nested_deeper,
    read_toml,
)
from moistwall.verify.resolving import Resolver
from moistwall.verify.schema import ProblemFile
from moistwall.verify.stated import Problem, Start

__all__ = ["Problem", "Start", "problem_from_data", "read_problem"]

HOW_JSON = "give one object in UTF-8, as docs/bench.md shows"
"""What a problem in JSON looks like."""

_TAG = re.compile(r"\.~\w+")
_FORM = re.compile(r"^(material\.[^.]+\.(?:storage|vapor|liquid))\.[a-z ]+(\.|$)(?=.)")


def read_problem(path: Path | str) -> Problem:
    """Read a problem file.

    Parameters
    ----------
    path : Path or str
        TOML file, or JSON if its name ends so.

    Returns
    -------
    Problem

    Raises
    ------
    InputError
        With every mistake of the file and of its series.
    """
    path = Path(path)
    data = _read_json(path) if path.suffix.lower() == ".json" else read_toml(path, InputError)
    return problem_from_data(data, file=str(path), folder=path.parent)


def problem_from_data(data: Mapping[str, Any], *, file: str = "", folder: Path = Path()) -> Problem:
    """Check and resolve what a problem file says.

    Parameters
    ----------
    data : mapping
        Content of the file.
    file : str
        Its name, for messages.
    folder : Path
        Folder of its series file.

    Returns
    -------
    Problem

    Raises
    ------
    InputError
        With every mistake.
    """
    try:
        given = ProblemFile.model_validate(data)
    except ValidationError as error:
        found = faults_from_validation(error, file, ProblemFile)
        # the tag of a union, and the name of the form that was chosen, are no part of the file
        shown = [_FORM.sub(r"\1\2", _TAG.sub("", one.field)) for one in found]
        raise InputError(
            [replace(one, field=field) for one, field in zip(found, shown, strict=True)]
        ) from None
    return Resolver(given, file, folder).problem(_key(data, given, folder))


def _read_json(path: Path) -> dict[str, Any]:
    """Read a JSON file with the same limits as a TOML file; a key must not stand twice."""

    def refused(problem: str, remedy: str = "") -> InputError:
        return InputError(Fault(str(path), "", "", problem, remedy))

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [name for name, _ in pairs]
            twice = next(name for name in names if names.count(name) > 1)
            raise refused(f"is not a problem: the key '{twice}' stands there twice", "keep one")
        return found

    try:
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise refused("there is no such file", GIVE_FILE) from None
    except (OSError, ValueError) as problem:
        raise refused(f"cannot be read: {problem}", GIVE_FILE) from None
    if len(raw) > LARGEST_FILE:
        raise refused(f"is larger than {LARGEST_FILE / 1e6:g} MB", "put series into a CSV file")
    try:
        data = json.loads(raw.decode("utf-8-sig"), object_pairs_hook=once)
    except InputError:
        raise
    except (ValueError, RecursionError) as problem:
        raise refused(f"is not valid JSON: {str(problem).partition(';')[0]}", HOW_JSON) from None
    if not isinstance(data, dict):
        raise refused("is not a problem: must be one object", HOW_JSON)
    if nested_deeper(data, MOST_NESTED):
        raise refused("is not a problem: brackets are nested too deeply", HOW_JSON)
    return data


def _key(data: Mapping[str, Any], given: ProblemFile, folder: Path) -> str:
    """Hash of what defines the problem, whatever its layout or comments."""
    plain = {name: value for name, value in data.items() if name not in ("title", "source")}
    digest = hashlib.sha256(json.dumps(plain, sort_keys=True).encode("utf-8"))
    if given.series_file is not None and (folder / given.series_file).is_file():
        digest.update((folder / given.series_file).read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()
