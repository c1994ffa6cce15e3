"""The openings of a gap: what may stand beside what, and what is assumed of the rest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from pydantic import ValidationError

from moistwall.assembly.notes import Notes, percent
from moistwall.assembly.schema import AssemblyKind, GapEntry, entry_kind, labeled
from moistwall.errors import Fault
from moistwall.exposure import Openings
from moistwall.loads.gap_air import (
    ATTIC_UPPER_SHARE,
    ATTIC_WIND_COEFFICIENT,
    ONE_OPENING_SHARE,
    WIND_COEFFICIENT,
    attic_openings,
    openings,
)
from moistwall.loads.wind import SURFACE_WIND
from moistwall.units import quantity

LENGTH: dict[AssemblyKind, str] = {"wall": "8 ft", "roof": "12 ft", "floor": "12 ft"}
"""Path of the air through a gap where none is given: a story, or from eaves to ridge of a cabin
(common practice, no source)."""

SCREEN_FREE_AREA = "50 %"
"""Free area of insect screens where none is given: common practice, no source."""

OPEN = ("inlet", "outlet", "net_free_area")
"""Keys of a gap that call for the flow of stack and wind."""

SHAPE = ("screen_free_area", "length", "rise", "furring")
"""Keys that have a meaning only beside one of `OPEN`."""


def faults_of_openings(entries: Sequence[object]) -> list[Fault]:
    """Find what the openings of the gaps of a file say and should not.

    Parameters
    ----------
    entries : sequence
        Entries of ``[[layer]]`` as the file has them.

    Returns
    -------
    list of Fault
        Those that the schema of a single value does not find.
    """
    faults: list[Fault] = []
    for number, raw in enumerate(entries, start=1):
        if not isinstance(raw, dict) or entry_kind(raw) != "gap":
            continue
        try:
            gap = GapEntry.model_validate(raw)
        except ValidationError:
            continue
        place = f"layer[{number}]"
        faults += [
            labeled(Fault("", f"{place}.{key}", str(raw.get(key, "")), problem, remedy), raw)
            for key, problem, remedy in _mistakes(gap, raw)
        ]
    return faults


def has_openings(gap: GapEntry) -> bool:
    """Tell whether a gap is given openings, so that stack and wind drive its air."""
    return any(getattr(gap, key) is not None for key in OPEN)


def _mistakes(gap: GapEntry, raw: Mapping[str, object]) -> list[tuple[str, str, str]]:
    """List the wrong keys of one gap: key, problem, remedy."""
    given = [key for key in (*OPEN, *SHAPE) if key in raw]
    if not given:
        return []
    if gap.gap == "sealed":
        remedy = "leave it out, or name another gap"
        return [(key, "a sealed gap has no outdoor air", remedy) for key in given]
    for rate in ("air_changes", "air_changes_file"):
        if rate in raw:
            problem = f"is given beside {rate}: the flow is either stated or follows from openings"
            return [(given[0], problem, "give one of them")]
    if not has_openings(gap):
        remedy = 'write for instance inlet = "3/4 in"'
        return [(key, "has no meaning without openings", remedy) for key in given]
    if gap.net_free_area is not None:
        return _mistakes_of_attic(gap, raw)
    return _mistakes_of_slots(gap, raw)


def _mistakes_of_attic(gap: GapEntry, raw: Mapping[str, object]) -> list[tuple[str, str, str]]:
    found = [
        (key, "is given beside net_free_area", "give slots, or the area ratio of an attic")
        for key in ("inlet", "outlet", "screen_free_area", "furring")
        if key in raw
    ]
    if gap.gap != "ventilated":
        problem = "is the vent area of an attic that is open low and high"
        found.append(("net_free_area", problem, 'write gap = "ventilated"'))
    if gap.rise is None:
        problem = "is missing: how high the ridge vents lie above those at the eaves"
        found.append(("rise", problem, 'write for instance rise = "4 ft"'))
    elif gap.rise == 0.0:
        found.append(("rise", "is 0: vents at one height", "give the slots of a level gap instead"))
    return found


def _mistakes_of_slots(gap: GapEntry, raw: Mapping[str, object]) -> list[tuple[str, str, str]]:
    found = []
    for key, size in (("inlet", gap.inlet), ("outlet", gap.outlet)):
        if size is not None and size > gap.depth:
            problem = f"is larger than the gap, which is {raw['depth']} deep"
            found.append((key, problem, "give the height of the slot, at most the depth"))
    low, high = gap.inlet, gap.outlet
    if gap.gap == "ventilated":
        for key, size in (("inlet", low), ("outlet", high)):
            if size == 0.0:
                problem = "is closed: a ventilated gap is open low and high"
                found.append((key, problem, 'write gap = "vented", which has one opening'))
    elif low and high:
        problem = f"is a second opening: a {gap.gap} gap has one"
        found.append(("outlet", problem, 'leave it out, or write gap = "ventilated"'))
    elif not low and not high:
        found.append(("inlet" if "inlet" in raw else "outlet", "leaves no opening", "open one"))
    if gap.rise is not None and gap.furring == "horizontal":
        found.append(("rise", "is given beside level furring, which has none", "leave it out"))
    elif gap.rise is not None and gap.length is not None and gap.rise > gap.length:
        problem = f"is more than the length of the path, {raw['length']}"
        found.append(("rise", problem, "give the height between the openings"))
    return found


def resolve_openings(
    gap: GapEntry, name: str, kind: AssemblyKind, tilt: float, notes: Notes
) -> Openings | None:
    """Resolve the openings of a gap that has been checked.

    Parameters
    ----------
    gap : GapEntry
        The gap.
    name : str
        Its name, for what is assumed.
    kind : {'wall', 'roof', 'floor'}
        What the section is.
    tilt : float
        Angle between the outer face and the ground. [deg]
    notes : Notes
        Takes what is assumed.

    Returns
    -------
    Openings or None
        None if the gap is given no openings.
    """
    if not has_openings(gap):
        return None

    def assume(text: str) -> None:
        notes.defaults.append(f"{name}: {text}")

    length = gap.length
    if length is None:
        length = max(quantity(LENGTH[kind], "length"), gap.rise or 0.0)
        assume(
            f"{length / 0.3048:.3g} ft from opening to opening, along the gap (common practice, no "
            "source)"
        )
    if gap.net_free_area is not None:
        assert gap.rise is not None, "an attic without a rise was not refused"
        assume(
            f"{percent(ATTIC_UPPER_SHARE)} of the vent area in the upper part (IRC R806.2, from "
            "memory)"
        )
        assume(
            f"wind pressure between eaves and ridge {ATTIC_WIND_COEFFICIENT:g} of the wind's "
            "dynamic pressure at 10 m (estimate)"
        )
        return attic_openings(gap.net_free_area, gap.rise, depth=gap.depth, length=length)
    free = gap.screen_free_area
    if free is None:
        free = quantity(SCREEN_FREE_AREA, "share")
        assume(f"insect screens with {SCREEN_FREE_AREA} free area (common practice, no source)")
    inlet, outlet = gap.inlet, gap.outlet
    if gap.gap == "ventilated":
        for known, other in ((inlet, "upper"), (outlet, "lower")):
            if known is not None and (inlet is None or outlet is None):
                assume(f"{other} opening as large as the one that is given")
        inlet, outlet = (inlet or outlet or 0.0), (outlet or inlet or 0.0)
    else:
        inlet, outlet = inlet or 0.0, outlet or 0.0
        assume(
            f"one opening: {percent(ONE_OPENING_SHARE)} of the speed with two (British Columbia "
            "field hut, 2021)"
        )
    assume(
        f"wind pressure between its openings {WIND_COEFFICIENT:g} of the wind's dynamic pressure "
        f"at 10 m (0.1 of that of the wind that arrives, {percent(SURFACE_WIND)} of the speed at "
        "10 m; 0.05 to 0.2, from memory)"
    )
    return openings(gap.depth, length, _rise(gap, length, tilt, assume), inlet, outlet, free)


def _rise(gap: GapEntry, length: float, tilt: float, assume: object) -> float:
    """Return the height between the openings. [m]"""
    assert callable(assume)
    if gap.furring == "horizontal":
        return 0.0
    if gap.furring is None:
        assume("vertical furring: air runs up the slope")
    if gap.rise is not None:
        return gap.rise
    return 0.0 if tilt >= 180.0 else length * min(math.sin(math.radians(tilt)), 1.0)
