"""Sweep: one assembly with one or two of its fields over all their values, in one year or several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from moistwall.assembly import Assembly, assembly_from_data, resolve
from moistwall.assess.criteria import Criteria
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError
from moistwall.study.changing import changed
from moistwall.study.job import Job, fingerprint, own_materials
from moistwall.study.pinned import Pins, pin
from moistwall.study.store import FILES, digest
from moistwall.study.vary import Vary

MOST_FIELDS = 2
"""Fields that are varied together at most: more of them make a table that nobody reads."""


@dataclass(frozen=True)
class Sweep:
    """What is to be run.

    Parameters
    ----------
    base : Assembly
        The assembly as its file has it.
    varied : tuple of Vary
        One field or two.
    climates : dict of str to Climate
        Years by label.
    around : str
        Fingerprint of the years, the materials and this version.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.
    pins : Pins
        What its files held when it was planned.
    """

    base: Assembly
    varied: tuple[Vary, ...]
    climates: Mapping[str, Climate]
    around: str = field(default="", repr=False)
    rules: Criteria | None = None
    pins: Pins = field(default_factory=Pins, repr=False)

    @property
    def total(self) -> int:
        """Variants in all."""
        count = len(self.climates)
        for one in self.varied:
            count *= len(one.values)
        return count

    @property
    def head(self) -> dict[str, Any]:
        """What tells this study from another."""
        return {
            "kind": "sweep",
            "assembly": self.base.name,
            "content": digest(self.base.data),
            "vary": [[one.path, one.text] for one in self.varied],
            "climates": list(self.climates),
            "around": self.around,
            FILES: self.pins.named(),
        }

    def jobs(self) -> Iterator[Job]:
        """Every variant, the last field fastest, year by year."""
        number = 0
        for changes in _combined(self.varied):
            data, notes = changed(self.base, changes)
            for climate in self.climates:
                title = ", ".join(f"{path} = {value}" for path, value in changes)
                if len(self.climates) > 1:
                    title = f"{title}, {climate}" if title else climate
                yield Job(
                    number,
                    title or self.base.name,
                    data,
                    self.base.file,
                    self.base.folder,
                    climate,
                    changes,
                    notes,
                )
                number += 1


def _combined(varied: Sequence[Vary]) -> Iterator[tuple[tuple[str, str], ...]]:
    """Every combination of values, written out one at a time."""
    if not varied:
        yield ()
        return
    for value in varied[0].values:
        for others in _combined(varied[1:]):
            yield ((varied[0].path, value), *others)


def plan_sweep(
    base: Assembly,
    varied: Sequence[Vary],
    climates: Mapping[str, Climate],
    rules: Criteria | None = None,
) -> Sweep:
    """Plan a sweep, once every value of every field has been found to be one that the file may hold.

    Parameters
    ----------
    base : Assembly
        The assembly.
    varied : sequence of Vary
        One field or two.
    climates : mapping of str to Climate
        Years by label.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.

    Returns
    -------
    Sweep

    Raises
    ------
    InputError
        With every mistake: more fields than two, a path that means none or several fields of this file,
        a value that it cannot hold.
    """
    if not 1 <= len(varied) <= MOST_FIELDS:
        problem, remedy = f"{len(varied)} fields", f"vary one field, or {MOST_FIELDS}"
        raise InputError(Fault("", "--vary", "", problem, remedy))
    faults: list[Fault] = []
    changed(base, [(one.path, one.values[-1]) for one in varied])
    for one in varied:
        for value in one.values[:100]:
            faults += faults_of(base, [(one.path, value)])
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    around = fingerprint(climates, own_materials(base.data, base.folder), rules)
    pins = pin(climates, [(base.data, base.folder)])
    return Sweep(base, tuple(varied), climates, around, rules, pins)


def faults_of(base: Assembly, changes: Sequence[tuple[str, str]]) -> tuple[Fault, ...]:
    """What is wrong with a variant; nothing if it can be run.

    Parameters
    ----------
    base : Assembly
        The assembly.
    changes : sequence of (str, str)
        Path and value of each field that differs.
    """
    try:
        data, _ = changed(base, changes)
        resolve(assembly_from_data(data, file=base.file, folder=base.folder))
    except InputError as error:
        return error.faults
    return ()
