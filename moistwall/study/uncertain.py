"""What of a section is not known well, and how it may be spread: by the library, by kind, or as asked.

Materials are spread as far as their sources lie apart. Fields of the file that nobody knows to the last
digit have a default spread by their kind, which is a judgement and told as such. Each distribution is a
triangle over the number or over its logarithm, with its peak at the value that is used, or flat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from moistwall.assembly import Assembly, resolve
from moistwall.assembly.gaps import AIR_CHANGES
from moistwall.assembly.room_resolving import ROOM_HUMIDITY, ROOM_TEMPERATURE
from moistwall.assembly.schema import GapEntry
from moistwall.errors import Fault, InputError
from moistwall.library import find_record
from moistwall.section import Film, Layer
from moistwall.study.fields import find_fields
from moistwall.study.job import own_materials
from moistwall.study.scaling import Scale
from moistwall.study.vary import read_between, text_of
from moistwall.units import quantity

JUDGEMENT = "judgement"

ROOM_KELVIN, ROOM_POINTS = 1.5, 10.0
"""Spread of the room about what the file says: thermostats and cooling that idles; judgement. [K], [% RH]"""

LEAK_FACTOR, AIR_FACTOR, DOOR_FACTOR = 3.0, 3.0, 1.3
"""Factors down and up: shares of rain that leak in, air through a gap that nobody has measured, and what a
blower-door test says of another day; judgement. [-]"""

SPREADS = {
    "conductivity": "conductivity",
    "vapor.dry_cup": "vapor",
    "vapor.wet_cup": "vapor",
    "liquid.absorption": "liquid",
}
"""Numbers of the library whose spread is drawn from, and what is scaled for each."""


@dataclass(frozen=True)
class Uncertain:
    """One number that is not known well.

    Parameters
    ----------
    name : str
        Path of a field; or material and property.
    low, mode, high : float
        Ends and peak, in ``unit``; a flat distribution has no peak.
    unit : str
        Unit of a field; empty for the factor on a material's property.
    logarithmic : bool
        True if the triangle stands over the logarithm.
    source : str
        Where the spread is from.
    material, field : str
        What is scaled; empty for a field of the file.
    """

    name: str
    low: float
    mode: float | None
    high: float
    unit: str
    logarithmic: bool
    source: str
    material: str = ""
    field: str = ""

    def at(self, chance: float) -> float:
        """Value that is not passed with this chance.

        Parameters
        ----------
        chance : float
            From 0 to 1. [-]

        Returns
        -------
        float
            In ``unit``.
        """
        ends = (self.low, self.high if self.mode is None else self.mode, self.high)
        low, mode, high = map(math.log, ends) if self.logarithmic else ends
        if self.mode is None:
            found = low + chance * (high - low)
        elif chance * (high - low) < mode - low:
            found = low + math.sqrt(chance * (high - low) * (mode - low))
        else:
            found = high - math.sqrt((1.0 - chance) * (high - low) * (high - mode))
        return math.exp(found) if self.logarithmic else found

    def change(self, chance: float) -> tuple[str, str]:
        """Field and its value as the file would hold it."""
        return self.name, text_of(self.at(chance), self.unit)

    def scale(self, chance: float) -> Scale:
        """What is done to the material."""
        return Scale(self.material, self.field, float(f"{self.at(chance):.10g}"))


def read_uncertain(text: str, *, field: str = "--uncertain") -> Uncertain:
    """Read a distribution: "PATH = LOW .. HIGH" is flat, "PATH = LOW .. PEAK .. HIGH" a triangle.

    Parameters
    ----------
    text : str
        Such as "room.humidity = 45 % .. 50 % .. 65 %".
    field : str
        Where it stands, for messages.

    Returns
    -------
    Uncertain

    Raises
    ------
    InputError
        If it is not of this form, or its ends are wrong.
    """
    path, equals, wanted = (part.strip() for part in text.partition("="))
    if not equals or not path:
        remedy = 'write "PATH = LOW .. HIGH" or "PATH = LOW .. PEAK .. HIGH"'
        raise InputError(Fault("", field, text, "is no distribution", remedy))
    return _spread(path, wanted, field, "as asked")


def _spread(path: str, text: str, field: str, source: str) -> Uncertain:
    """Return the distribution of a field from two ends, or two ends with a peak between."""
    ends = [part.strip() for part in text.split("..")]
    if len(ends) not in (2, 3) or not all(ends):
        remedy = 'write "LOW .. HIGH" or "LOW .. PEAK .. HIGH"'
        raise InputError(Fault("", field, text, "is no distribution", remedy))
    unit, low, high = read_between(path, ends[0], ends[-1], field=field)
    mode = None
    if len(ends) == 3:
        _, _, mode = read_between(path, ends[0], ends[1], field=field)
        read_between(path, ends[1], ends[2], field=field)
    return Uncertain(path, low, mode, high, unit, False, source)


def stated_inputs(base: Assembly) -> tuple[Uncertain, ...]:
    """Distributions that the file states under ``[uncertain]``.

    Parameters
    ----------
    base : Assembly
        The assembly.

    Returns
    -------
    tuple of Uncertain

    Raises
    ------
    InputError
        With every mistake: a path that means no field or two, ends of two kinds or in the wrong order.
    """
    found: list[Uncertain] = []
    faults: list[Fault] = []
    for path, text in base.given.uncertain.items():
        field = f'uncertain."{path}"'
        try:
            find_fields(base.data, path, file=base.file)
            found.append(_spread(path, text, field, "as the file says"))
        except InputError as error:
            faults += [
                Fault(base.file, field, text, one.problem, one.remedy) for one in error.faults
            ]
    if faults:
        raise InputError(faults)
    return tuple(found)


def uncertain_inputs(base: Assembly, asked: tuple[Uncertain, ...] = ()) -> list[Uncertain]:
    """All that is taken as uncertain of an assembly.

    Parameters
    ----------
    base : Assembly
        The assembly.
    asked : tuple of Uncertain
        Distributions that were asked for; they take the place of what the file states of the same field,
        as that takes the place of defaults.

    Returns
    -------
    list of Uncertain
        Fields first, then materials.

    Raises
    ------
    InputError
        If one of them means no field of this file, or two that stand together mean the same one.
    """
    taken: set[tuple[int | str, ...]] = set()
    found: list[Uncertain] = []
    for given in (asked, stated_inputs(base), _of_fields(base)):
        here: set[tuple[int | str, ...]] = set()
        for one in given:
            places = set(find_fields(base.data, one.name, file=base.file).places)
            if places & here:
                problem = "has two distributions"
                raise InputError(Fault(base.file, one.name, "", problem, "give one"))
            here |= places
            if not places & taken:
                found.append(one)
        taken |= here
    return [*found, *_of_materials(base)]


def _times(name: str, value: float, unit: str, factor: float, what: str) -> Uncertain:
    return Uncertain(
        name, value / factor, value, value * factor, unit, True, f"{JUDGEMENT}: {what}"
    )


def _of_fields(base: Assembly) -> list[Uncertain]:
    given = base.given
    room = given.room
    warm = room.temperature
    if warm is None:
        warm = quantity(ROOM_TEMPERATURE, "temperature")
    damp = room.humidity
    if damp is None:
        damp = quantity(ROOM_HUMIDITY, "share")
    damp *= 100.0
    found = [] if room.form not in (None, "constant") else [
        Uncertain(
            "room.temperature", warm - ROOM_KELVIN, warm, warm + ROOM_KELVIN, "degC", False,
            f"{JUDGEMENT}: thermostats",
        ),
        Uncertain(
            "room.humidity", max(damp - ROOM_POINTS, 1.0), damp, min(damp + ROOM_POINTS, 99.0), "%",
            False, f"{JUDGEMENT}: cooling that idles",
        ),
    ]  # fmt: skip
    if given.rain is not None:
        what = "nobody measures leaks"
        if given.rain.leak_share:
            share = 100.0 * given.rain.leak_share
            found.append(_times("rain.leak_share", share, "%", LEAK_FACTOR, what))
        for k, one in enumerate(given.rain.behind, start=1):
            if one.share > 0.0:
                name = f"rain.behind[{k}].share"
                found.append(_times(name, 100.0 * one.share, "%", LEAK_FACTOR, what))
    if given.leakage is not None:
        what = "a test on another day"
        if given.leakage.ach50:
            value = given.leakage.ach50
            found.append(_times("leakage.ach50", value, "1/h", DOOR_FACTOR, what))
        for k, test in enumerate(given.leakage.test, start=1):
            if test.ach50 and k == len(given.leakage.test):
                name = f"leakage.test[{k}].ach50"
                found.append(_times(name, test.ach50, "1/h", DOOR_FACTOR, what))
    for k, entry in enumerate(given.layer, start=1):
        if not isinstance(entry, GapEntry) or entry.gap == "sealed" or entry.air_changes_file:
            continue
        if entry.inlet is not None or entry.outlet is not None or entry.net_free_area is not None:
            continue
        rate = entry.air_changes
        rate = AIR_CHANGES[entry.gap][0] if rate is None else rate
        if rate > 0.0:
            name = f"layer[{k}].air_changes"
            found.append(_times(name, rate, "1/h", AIR_FACTOR, "not measured"))
    return found


def _of_materials(base: Assembly) -> list[Uncertain]:
    """Spreads of the library for all that the section is made of."""
    folders = own_materials(base.data, base.folder)
    names: dict[str, None] = {}
    for part in resolve(base).parts:
        if isinstance(part, Layer):
            names.setdefault(part.material.name)
        elif isinstance(part, Film) and part.made_of:
            names.setdefault(part.made_of)
    found = []
    for name in names:
        ends: dict[str, tuple[float, float, str]] = {}
        for spread in find_record(name, folders).spreads:
            field = SPREADS.get(spread.field)
            if field is None:
                continue
            low, high = spread.factors
            known = ends.get(field, (1.0, 1.0, ""))
            source = known[2] or f"library: {spread.text}"
            ends[field] = (min(known[0], low), max(known[1], high), source)
        for field, (low, high, source) in ends.items():
            if low < high:
                label = f"{name}: {field}"
                found.append(Uncertain(label, low, 1.0, high, "", True, source, name, field))
    return found
