"""Comparison of several assemblies in one year or several, and what their files say differently."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from moistwall.assembly import Assembly
from moistwall.assembly.laying import names_of_entries
from moistwall.assess.criteria import Criteria
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError
from moistwall.names import plain_name
from moistwall.study.job import Job, fingerprint, own_materials
from moistwall.study.pinned import Pins, pin
from moistwall.study.store import FILES, digest


@dataclass(frozen=True)
class Comparison:
    """What is to be run.

    Parameters
    ----------
    assemblies : tuple of Assembly
        Two or more.
    climates : dict of str to Climate
        Years by label.
    around : str
        Fingerprint of the years, the materials and this version.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.
    pins : Pins
        What its files held when it was planned.
    """

    assemblies: tuple[Assembly, ...]
    climates: Mapping[str, Climate]
    around: str = field(default="", repr=False)
    rules: Criteria | None = None
    pins: Pins = field(default_factory=Pins, repr=False)

    @property
    def total(self) -> int:
        """Variants in all."""
        return len(self.assemblies) * len(self.climates)

    @property
    def head(self) -> dict[str, Any]:
        """What tells this study from another."""
        return {
            "kind": "compare",
            "assemblies": [one.name for one in self.assemblies],
            "content": [digest(one.data) for one in self.assemblies],
            "climates": list(self.climates),
            "around": self.around,
            FILES: self.pins.named(),
        }

    def jobs(self) -> Iterator[Job]:
        """Every assembly in every year."""
        number = 0
        for climate in self.climates:
            for one in self.assemblies:
                data = dict(one.data)
                yield Job(number, one.name, data, one.file, one.folder, climate)
                number += 1


def plan_comparison(
    assemblies: Sequence[Assembly],
    climates: Mapping[str, Climate],
    rules: Criteria | None = None,
) -> Comparison:
    """Plan a comparison.

    Parameters
    ----------
    assemblies : sequence of Assembly
        Two or more.
    climates : mapping of str to Climate
        Years by label.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        If there are fewer than two, one is given twice, or two share a name.
    """
    faults = []
    if len(assemblies) < 2:
        problem, remedy = "a comparison needs two assemblies or more", "name another file"
        faults.append(Fault("", "assembly", str(len(assemblies)), problem, remedy))
    for k, one in enumerate(assemblies):
        for other in assemblies[:k]:
            if one.data == other.data:
                faults.append(Fault(one.file, "", "", f"says the same as {other.file}"))
            elif plain_name(one.name) == plain_name(other.name):
                problem = f"has the same name as {other.file}"
                faults.append(Fault(one.file, "name", one.name, problem, "give each its own"))
    if faults:
        raise InputError(faults)
    folders = tuple(path for one in assemblies for path in own_materials(one.data, one.folder))
    pins = pin(climates, [(one.data, one.folder) for one in assemblies])
    around = fingerprint(climates, folders, rules)
    return Comparison(tuple(assemblies), climates, around, rules, pins)


def differences(assemblies: Sequence[Assembly]) -> list[tuple[str, tuple[str, ...]]]:
    """What the files of some assemblies say differently.

    Parameters
    ----------
    assemblies : sequence of Assembly
        Two or more.

    Returns
    -------
    list of (str, tuple of str)
        Field, and what each file has there; '-' where it has nothing. Layers are told apart by name,
        not by number, so that one more layer moves none of the others.
    """
    told = [_flat(one) for one in assemblies]
    keys = list(dict.fromkeys(key for one in told for key in one))
    rows = [(key, tuple(one.get(key, "-") for one in told)) for key in keys]
    return [row for row in rows if len(set(row[1])) > 1]


def _flat(assembly: Assembly) -> dict[str, str]:
    """Every field of a file with its value, layers by their names."""
    found: dict[str, str] = {}

    def walk(value: Any, path: str) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                walk(inner, f"{path}.{key}" if path else key)
        elif isinstance(value, list):
            if all(isinstance(one, str) for one in value):
                found[path] = " | ".join(value)
                return
            for k, inner in enumerate(value, start=1):
                walk(inner, f"{path}[{k}]")
        else:
            found[path] = str(value)

    data = dict(assembly.data)
    layers = data.pop("layer")
    data.pop("name", None)
    walk(data, "")
    for name, entry in zip(names_of_entries(assembly), layers, strict=True):
        walk({key: value for key, value in entry.items() if key != "id"}, f"layer[{name}]")
    return found
