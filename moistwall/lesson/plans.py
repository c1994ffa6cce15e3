"""What each lesson runs: two designs to look at, and the variants that can be asked for offline.

All of them are examples of Heron Point with some fields changed, so that whoever teaches can run the same
files.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Any

from moistwall.assembly import Assembly, assembly_from_data, read_assembly
from moistwall.errors import Fault, InputError
from moistwall.library import data_folder
from moistwall.names import did_you_mean
from moistwall.study.changing import changed

Change = tuple[str, str]

FINISH = "layer[inside finish].film"
SETPOINT = "room.temperature"
FOAM = "layer[foam].thickness"
PAINT, VINYL = "latex paint", "vinyl wallcovering"
MILD, COLD = "75 degF", "70 degF"
NONE = "0 in"


@dataclass(frozen=True)
class Option:
    """One choice of a what-if.

    Parameters
    ----------
    shown : str
        In words, or as the file holds it.
    changes : tuple of (str, str)
        Path and value of each field that it sets.
    """

    shown: str
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Factor:
    """What the what-ifs vary.

    Parameters
    ----------
    words : str
        What it is.
    options : tuple of Option
        What may be chosen.
    """

    words: str
    options: tuple[Option, ...]


@dataclass(frozen=True)
class Design:
    """One of the two sections that are shown side by side.

    Parameters
    ----------
    label : str
        What the lesson calls it.
    assembly : Assembly
        Its file, with the lesson's changes.
    example : str
        The shipped example that it starts from.
    """

    label: str
    assembly: Assembly
    example: str


@dataclass(frozen=True)
class Plan:
    """What a lesson runs.

    Parameters
    ----------
    name : str
        One of `LESSONS`.
    designs : tuple of Design
        The one that does better in a hot-humid climate, then the one that is asked about.
    factors : tuple of Factor
        What the what-ifs vary.
    base : Assembly
        What they vary it in.
    start : tuple of int
        Choice of each factor that the page starts with.
    """

    name: str
    designs: tuple[Design, Design]
    factors: tuple[Factor, ...]
    base: Assembly
    start: tuple[int, ...]

    def variants(self) -> list[tuple[tuple[int, ...], Assembly]]:
        """Every choice of the factors' values by number, and the assembly that it gives."""
        found = []
        for choice in product(*(range(len(factor.options)) for factor in self.factors)):
            chosen = [one.options[k] for one, k in zip(self.factors, choice, strict=True)]
            changes = tuple(change for option in chosen for change in option.changes)
            found.append((choice, _with(self.base, changes)))
        return found


def plan(name: str) -> Plan:
    """Plan of a lesson.

    Parameters
    ----------
    name : str
        One of `LESSONS`.

    Returns
    -------
    Plan

    Raises
    ------
    InputError
        If there is no such lesson.
    """
    if name not in _PLANS:
        remedy = did_you_mean(name, LESSONS) or f"one of {', '.join(LESSONS)}"
        raise InputError(Fault("", "lesson", name, "is no lesson", remedy))
    return _PLANS[name]()


def _example(name: str, edit: Callable[[dict[str, Any]], None] | None = None) -> Assembly:
    read = read_assembly(data_folder("examples") / f"{name}.toml")
    if edit is None:
        return read
    data = copy.deepcopy(dict(read.data))
    edit(data)
    return assembly_from_data(data, file=read.file, folder=read.folder)


def _with(base: Assembly, changes: tuple[Change, ...]) -> Assembly:
    data, _ = changed(base, changes)
    return assembly_from_data(data, file=base.file, folder=base.folder)


def _one_foam(data: dict[str, Any]) -> None:
    """Turn two sheets of foam into one, which can be taken out."""
    entries = data["layer"]
    outer = next(entry for entry in entries if entry.get("id") == "outer foam")
    inner = next(entry for entry in entries if entry.get("id") == "inner foam")
    outer["id"] = "foam"
    entries.remove(inner)
    if data["water_control"]["layer"] == "outer foam":
        data["water_control"]["layer"] = "foam"


def _foam_on_sheathing(data: dict[str, Any]) -> None:
    """Put a sheet of foam behind the wrap of the brick wall."""
    entries: list[dict[str, Any]] = data["layer"]
    wrap = next(k for k, entry in enumerate(entries) if entry.get("film") == "housewrap")
    sheet = {"id": "foam", "material": "foil-faced polyiso", "thickness": "1 in"}
    entries.insert(wrap + 1, sheet)


def _one_test(data: dict[str, Any]) -> None:
    """Let the last blower-door test stand alone, and its air meet the back of the inside board."""
    _one_foam(data)
    leakage = data["leakage"]
    leakage["ach50"] = leakage.pop("test")[0]["ach50"]
    leakage["meets"] = ["cavity wool", "inside board"]


def _storm(data: dict[str, Any]) -> None:
    """Let a storm in September wet the sheathing from behind."""
    _one_foam(data)
    data["event"] = [
        {
            "kind": "storm leak",
            "name": "storm",
            "date": "Sep 10",
            "amount": "1 kg/m2",
            "between": ["sheathing", "cavity wool"],
        }
    ]


def _factor(words: str, path: str, *values: str, shown: tuple[str, ...] = ()) -> Factor:
    options = zip(values, shown or values, strict=True)
    return Factor(words, tuple(Option(name, ((path, value),)) for value, name in options))


def _foams(*values: str) -> Factor:
    shown = tuple("none" if value == NONE else value for value in values)
    return _factor("foam outside", FOAM, *values, shown=shown)


_FINISHES = _factor("inside finish", FINISH, PAINT, VINYL)
_ROOMS = _factor("room", SETPOINT, MILD, COLD)
_INSIDES = Factor(
    "inside finish and room",
    tuple(
        Option(f"{finish}, {room}", ((FINISH, finish), (SETPOINT, room)))
        for finish, room in ((PAINT, MILD), (VINYL, MILD), (VINYL, COLD))
    ),
)


def _vapor_drive() -> Plan:
    example = "heron-point-wall-brick"
    base = _example(example, _foam_on_sheathing)
    return Plan(
        "vapor-drive",
        (
            Design("painted inside", _with(base, ((FOAM, NONE), (FINISH, PAINT), (SETPOINT, MILD))), example),
            Design("vinyl inside", _with(base, ((FOAM, NONE), (FINISH, VINYL), (SETPOINT, MILD))), example),
        ),
        (_foams(NONE, "1 in"), _FINISHES, _ROOMS),
        base,
        (0, 1, 0),
    )  # fmt: skip


def _foam() -> Plan:
    example = "heron-point-wall-vinyl"
    base = _example(example, _one_foam)
    return Plan(
        "foam",
        (
            Design("with foam outside", _with(base, ((FOAM, "2 in"), (FINISH, VINYL), (SETPOINT, MILD))), example),
            Design("without foam", _with(base, ((FOAM, NONE), (FINISH, VINYL), (SETPOINT, MILD))), example),
        ),
        (_foams(NONE, "1 in", "2 in"), _INSIDES),
        base,
        (0, 1),
    )  # fmt: skip


def _roof() -> Plan:
    example = "heron-point-roof-over"
    base = _example(example)
    total = "layer[foam,*].thickness"
    return Plan(
        "roof",
        (
            Design("foam above the deck", base, example),
            Design("vented attic", _example("heron-point-attic"), "heron-point-attic"),
        ),
        (
            _factor("foam above the deck", total, "2 in", "4 in"),
            _factor("outside color", "outside.color", "light", "dark"),
            _ROOMS,
        ),
        base,
        (1, 0, 0),
    )  # fmt: skip


def _leaks() -> Plan:
    example = "heron-point-wall-blower-door"
    base = _example(example, _one_test)
    fan, still = base.data["leakage"]["exhaust"], "0 cfm"
    leaky, tight = base.data["leakage"]["ach50"], "2.8 1/h"
    return Plan(
        "leaks",
        (
            Design("fan off", _with(base, (("leakage.exhaust", still),)), example),
            Design("fan always on", base, example),
        ),
        (
            _factor("blower-door test", "leakage.ach50", leaky, tight),
            _factor("exhaust fan", "leakage.exhaust", still, fan, shown=("off", fan)),
            _ROOMS,
        ),
        base,
        (0, 1, 0),
    )


def _dry_out() -> Plan:
    example = "heron-point-wall"
    base = _example(example, _storm)
    return Plan(
        "dry-out",
        (
            Design("painted inside", _with(base, ((FOAM, "2 in"), (FINISH, PAINT), (SETPOINT, MILD))), example),
            Design("vinyl inside", _with(base, ((FOAM, "2 in"), (FINISH, VINYL), (SETPOINT, MILD))), example),
        ),
        (_foams(NONE, "2 in"), _FINISHES, _ROOMS),
        base,
        (1, 1, 0),
    )  # fmt: skip


_PLANS: Mapping[str, Callable[[], Plan]] = {
    "vapor-drive": _vapor_drive,
    "foam": _foam,
    "roof": _roof,
    "leaks": _leaks,
    "dry-out": _dry_out,
}

LESSONS = tuple(_PLANS)
"""Names of the lessons."""
