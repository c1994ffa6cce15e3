"""Variants of an assembly file: fields set by path, layers of no thickness taken out, and what follows.

A layer that is taken out is gone with its facers: a section of another topology, not one with a very
thin layer. What the file says by its name moves to the neighbor that takes its place, and is told.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from typing import Any

from moistwall.assembly import Assembly
from moistwall.assembly.laying import names_of_entries
from moistwall.assembly.places import ENDS, find_entry_place
from moistwall.assembly.schema import entry_kind
from moistwall.errors import Fault, InputError
from moistwall.material import FacedBoard
from moistwall.names import plain_name
from moistwall.study.fields import find_fields
from moistwall.study.vary import is_zero, split_evenly

SIZES = {"material": "thickness", "gap": "depth"}
"""The key by which an entry of each kind may vanish."""


def changed(
    base: Assembly, changes: Sequence[tuple[str, str]], *, field: str = "--vary"
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Set fields of an assembly file.

    Parameters
    ----------
    base : Assembly
        The file as it stands.
    changes : sequence of (str, str)
        Path and value of each field.
    field : str
        Where the paths stand, for messages.

    Returns
    -------
    data : dict
        Content of the file with the changes, not yet checked.
    notes : tuple of str
        What followed from them beyond the values themselves.

    Raises
    ------
    InputError
        If a path means no field of this file, or several, or one that another change sets too.
    """
    data = copy.deepcopy(dict(base.data))
    notes: list[str] = []
    taken: dict[tuple[int | str, ...], str] = {}
    for path, text in changes:
        target = find_fields(base.data, path, file=base.file, field=field)
        for place in target.places:
            other = taken.setdefault(place, path)
            if other != path:
                problem = f"is the same field as {other}"
                raise InputError(Fault(base.file, path, text, problem, "vary it once"))
        if target.added:
            notes.append(f"{path}: the file has no [{target.added}], which is added")
        value = text
        key = target.places[0][-1]
        if target.shared and key in SIZES.values():
            value = split_evenly(text, len(target.places), path)
            if len(target.places) > 1:
                notes.append(f"{path} = {text}: {value} for each of {len(target.places)}")
        for place in target.places:
            _set(data, place, value)
    _take_out(data, base, notes)
    return data, tuple(notes)


def _set(data: dict[str, Any], place: tuple[int | str, ...], value: str) -> None:
    here: Any = data
    for part in place[:-1]:
        here = here[part] if isinstance(part, int) else here.setdefault(part, {})
    here[place[-1]] = value


def _take_out(data: dict[str, Any], base: Assembly, notes: list[str]) -> None:
    """Take out the entries of no thickness, and move what is said by their names."""
    entries = data["layer"]
    gone = [k for k, entry in enumerate(entries) if _vanishes(entry)]
    if not gone:
        return
    names = names_of_entries(base)
    for k in gone:
        found = base.found[k]
        facers = isinstance(found, FacedBoard) and (found.outside or found.inside)
        what = "its core and its facers are gone" if facers else "it is gone"
        notes.append(f"{names[k]}: no thickness, so {what}")
    _move_water_control(data, base, gone, names, notes)
    for field, pair in _pairs(data):
        _move_pair(pair, field, base, gone, names, entries, notes)
    data["layer"] = [entry for k, entry in enumerate(entries) if k not in gone]


def _vanishes(entry: Mapping[str, Any]) -> bool:
    key = SIZES.get(entry_kind(entry) or "")
    text = entry.get(key) if key else None
    return isinstance(text, str) and is_zero(text)


def _called(entries: list[dict[str, Any]], place: int, names: Sequence[str]) -> str:
    """Give an entry an id, so that it can be named without doubt, and return it."""
    own: str = entries[place].setdefault("id", names[place])
    return own


def _named(base: Assembly, wanted: str) -> int | None:
    return find_entry_place(wanted, base.data["layer"], base.found, "", [])


def _move_water_control(
    data: dict[str, Any],
    base: Assembly,
    gone: Sequence[int],
    names: Sequence[str],
    notes: list[str],
) -> None:
    """Let the next layer or film inward keep the rain out, if what did is gone."""
    control = data.get("water_control")
    if not isinstance(control, dict) or base.water_control is None:
        return
    if base.water_control not in gone:
        return
    entries = data["layer"]
    for k in range(base.water_control + 1, len(entries)):
        if k not in gone and entry_kind(entries[k]) != "gap":
            control["layer"] = _called(entries, k, names)
            notes.append(f"water control: now {names[k]}, the next one inward, seams as they were")
            return
    del data["water_control"]
    notes.append("water control: nothing is left that could keep the rain out")


def _pairs(data: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    """Find the places between two neighbors that a file names."""
    rain, leakage = data.get("rain", {}), data.get("leakage", {})
    found = [
        (f"rain.behind[{k}].between", one.get("between"))
        for k, one in enumerate(rain.get("behind", ()), start=1)
    ]
    found.append(("leakage.meets", leakage.get("meets")))
    found += [
        (f"event[{k}].between", one.get("between"))
        for k, one in enumerate(data.get("event", ()), start=1)
    ]
    return [(field, pair) for field, pair in found if isinstance(pair, list) and len(pair) == 2]


def _move_pair(
    pair: list[str],
    field: str,
    base: Assembly,
    gone: Sequence[int],
    names: Sequence[str],
    entries: list[dict[str, Any]],
    notes: list[str],
) -> None:
    """Put what is left on either side in place of neighbors that are gone."""
    for at, (step, end) in enumerate(((-1, "outside"), (1, "room"))):
        if plain_name(pair[at]) in ENDS:
            continue
        place = _named(base, pair[at])
        if place is None or place not in gone:
            continue
        while place in gone:
            place += step
        pair[at] = _called(entries, place, names) if 0 <= place < len(entries) else end
        notes.append(f"{field}: {pair[at]} takes the place of what is gone")
