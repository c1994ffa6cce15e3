"""Fields of an assembly file by path: which there are, and which entries of a file a path means.

Paths are those of messages, ``layer[2].thickness``. In brackets may stand, instead of the number, the
id or name of an entry, or words of it that only one entry has; ``[words,*]`` means all that have them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from typing import Any

from moistwall.assembly import assembly_json_schema
from moistwall.assembly.schema import entry_label
from moistwall.errors import Fault, InputError
from moistwall.names import did_you_mean, plain_name

Place = tuple[int | str, ...]

CALLED_BY = ("id", "name", "label", "material", "film", "gap", "kind")
"""Keys by which an entry of a list is called, best first."""

_STEP = re.compile(r"(?P<key>\w+)(?:\[(?P<which>[^\[\]]+)\])?")
_ALL = re.compile(r"(?P<words>.*?)\s*,\s*\*")


OF_MATERIALS = ("permeance", "permeability", "conductivity", "density", "resistance", "absorption")
"""Numbers that an assembly does not hold: they stand in the files of materials."""

HOW_TO_NAME = 'write its path, such as "layer[foam].thickness" or "room.humidity": docs/studies.md'
"""What to do where no field is near to what was written."""


@dataclass(frozen=True)
class Target:
    """What a path means in one file.

    Parameters
    ----------
    places : tuple of tuple
        Keys and indices (from 0) down to each field that is meant.
    shared : bool
        True if the path means all entries that have some words.
    added : str
        Table that the file has not and the path adds; empty if none.
    """

    places: tuple[Place, ...]
    shared: bool
    added: str


def examples_at(path: str, *, field: str = "--vary") -> tuple[str, ...]:
    """Texts that a field may hold, as the schema of the file shows them.

    Parameters
    ----------
    path : str
        Path of the field.
    field : str
        Where the path stands, for the message.

    Returns
    -------
    tuple of str
        Empty for a field of free words.

    Raises
    ------
    InputError
        If an assembly file has no such field; the nearest are offered.
    """
    bare = ".".join(
        f"{key}[]" if which is not None else key for key, which in _steps(path, field=field)
    )
    known = _known()
    if bare not in known:
        near = [one.replace("[]", "[...]") for one in known]
        remedy = did_you_mean(bare.replace("[]", "[...]"), near) or HOW_TO_NAME
        if bare.rpartition(".")[2] in OF_MATERIALS:
            remedy = (
                "it is a number of a material: write one of your own, docs/how-to/own-material.md"
            )
        raise InputError(Fault("", field, path, "names no field of an assembly file", remedy))
    return known[bare]


def find_fields(
    data: Mapping[str, Any], path: str, *, file: str = "", field: str = "--vary"
) -> Target:
    """Find the fields of a file that a path means.

    Parameters
    ----------
    data : mapping
        Content of the file.
    path : str
        Path of the field; the field itself need not be in the file.
    file : str
        Name for messages.
    field : str
        Where the path stands, for messages.

    Returns
    -------
    Target

    Raises
    ------
    InputError
        If it means none, or several without ``,*``.
    """
    examples_at(path, field=field)
    places: list[Place] = [()]
    shared, added = False, ""
    steps = _steps(path, field=field)
    for depth, (key, which) in enumerate(steps):
        holders = [_at(data, place) for place in places]
        if which is None:
            if depth < len(steps) - 1 and any(key not in holder for holder in holders):
                added = added or ".".join(name for name, _ in steps[: depth + 1])
            places = [(*place, key) for place in places]
            continue
        (place,) = places
        holder = holders[0]
        entries = holder.get(key) if isinstance(holder, dict) else None
        if not isinstance(entries, list) or not entries:
            whole = ".".join(name for name, _ in steps[: depth + 1])
            problem, remedy = f"there is no [[{whole}]] in this file", "write one into it first"
            raise InputError(Fault(file, path, "", problem, remedy))
        indices, all_of = _chosen(entries, which, path, key, file)
        shared = shared or all_of
        places = [(*place, key, k) for k in indices]
    return Target(tuple(places), shared, added)


def _at(data: Mapping[str, Any], place: Place) -> Any:
    """What stands at a place; an empty table if it is not there."""
    here: Any = data
    for part in place:
        if isinstance(part, int):
            here = here[part]
            continue
        here = here.get(part, {}) if isinstance(here, dict) else {}
    return here


def _steps(path: str, *, field: str = "--vary") -> list[tuple[str, str | None]]:
    """Take a path apart into keys, each with what stands in its brackets."""
    found = []
    for part in re.split(r"\.(?![^\[]*\])", path.strip()):
        step = _STEP.fullmatch(part.strip())
        if step is None:
            remedy = "write it as in layer[2].thickness, layer[foam].thickness or room.humidity"
            raise InputError(Fault("", field, path, "is no path of a field", remedy))
        found.append((step["key"], step["which"]))
    return found


def _chosen(
    entries: Sequence[Any], which: str, path: str, key: str, file: str
) -> tuple[list[int], bool]:
    """Find the entries that stand for what is in brackets."""
    every = _ALL.fullmatch(which.strip())
    words = every["words"] if every else which.strip().strip("\"'")
    if words.isdecimal() and every is None:
        number = int(words)
        if not 1 <= number <= len(entries):
            problem = f"there are {len(entries)} of [[{key}]]"
            raise InputError(Fault(file, path, words, problem, f"count from 1 to {len(entries)}"))
        return [number - 1], False
    found = _matching(entries, words)
    if not found:
        names = [name for entry in entries for name in _names(entry)[:1]]
        problem = f"names none of [[{key}]]"
        raise InputError(Fault(file, path, words, problem, did_you_mean(words, names)))
    if len(found) > 1 and every is None:
        could = " and ".join(f"{key}[{k + 1}] '{entry_label(entries[k])}'" for k in found)
        remedy = f"name one of them, or write {key}[{words},*] for all of them together"
        raise InputError(Fault(file, path, words, f"could be {could}", remedy))
    return found, every is not None


def _names(entry: Any) -> list[str]:
    if not isinstance(entry, dict):
        return []
    return [entry[key] for key in CALLED_BY if isinstance(entry.get(key), str)]


def _matching(entries: Sequence[Any], words: str) -> list[int]:
    """Entries by id, else by any of their names, else by a pattern or by words in them."""
    wanted = plain_name(words)
    names = [[plain_name(name) for name in _names(entry)] for entry in entries]
    own = [
        k
        for k, entry in enumerate(entries)
        if isinstance(entry, dict) and plain_name(str(entry.get("id", ""))) == wanted
    ]
    by_name = [k for k, ones in enumerate(names) if wanted in ones]
    pattern = wanted if any(sign in wanted for sign in "*?") else ""
    loose = [
        k
        for k, ones in enumerate(names)
        if any(
            fnmatchcase(name, pattern) if pattern else set(wanted.split()) <= set(name.split())
            for name in ones
        )
    ]
    return own or by_name or loose


@cache
def _known() -> dict[str, tuple[str, ...]]:
    """Every field of an assembly file that holds one value, with examples of it."""
    schema = assembly_json_schema()
    found: dict[str, tuple[str, ...]] = {}
    for path, examples in _walk(schema, schema["$defs"], ""):
        found[path] = (*found.get(path, ()), *examples)
    return found


def _walk(
    node: Mapping[str, Any], models: Mapping[str, Any], path: str
) -> Iterator[tuple[str, tuple[str, ...]]]:
    if "$ref" in node:
        node = {
            **models[node["$ref"].rpartition("/")[2]],
            **{k: node[k] for k in node if k != "$ref"},
        }
    several = [*node.get("anyOf", ()), *node.get("oneOf", ())]
    if several:
        for one in several:
            yield from _walk(
                {**one, "examples": one.get("examples", node.get("examples", ()))}, models, path
            )
    elif node.get("type") == "object":
        for key, field in node.get("properties", {}).items():
            yield from _walk(field, models, f"{path}.{key}" if path else key)
    elif node.get("type") == "array":
        if "$ref" in node["items"] or "anyOf" in node["items"] or "oneOf" in node["items"]:
            yield from _walk(node["items"], models, f"{path}[]")
    elif node.get("type") != "null":
        yield path, tuple(str(one) for one in node.get("examples", ()))
