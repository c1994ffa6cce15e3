"""What else might decide, where the field that was varied does not: one thing changed at a time."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from moistwall.assembly import Assembly, assembly_from_data
from moistwall.errors import InputError

ROOM_COLDER, ROOM_DAMPER = "70 degF", "65 %"
"""A room set colder, and one that cooling leaves damp: the pairs that verdicts are given for."""

TIGHT, OPEN = "polyethylene", "latex paint"
"""An inside finish that lets next to nothing pass, and one that lets vapor pass."""


@dataclass(frozen=True)
class Lever:
    """One thing that could be other than it is.

    Parameters
    ----------
    words : str
        What it is.
    change : str
        What was changed to see.
    data : dict
        The file with the change.
    """

    words: str
    change: str
    data: dict[str, Any]


def levers(base: Assembly) -> list[Lever]:
    """Changes that are worth a try, those that this file allows.

    Parameters
    ----------
    base : Assembly
        The file.

    Returns
    -------
    list of Lever
        The inside finish, the room, the leaks, the air, the gap; never the field that was varied.
    """
    found = []
    for words, change, data in _tries(base.data):
        try:
            assembly_from_data(copy.deepcopy(data), file=base.file, folder=base.folder)
        except InputError:
            continue
        found.append(Lever(words, change, data))
    return found


def _tries(given: Mapping[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    tries = []

    def start() -> dict[str, Any]:
        return copy.deepcopy(dict(given))

    data = start()
    last = data["layer"][-1]
    if "film" in last:
        other = OPEN if last["film"] == TIGHT else TIGHT
        last["film"] = other
    else:
        other = TIGHT
        data["layer"].append({"film": TIGHT})
    tries.append(("the inside finish", f"{other} inside", data))
    data = start()
    data.setdefault("room", {})["temperature"] = ROOM_COLDER
    tries.append(("the setpoint", f"the room at {ROOM_COLDER}", data))
    data = start()
    data.setdefault("room", {})["humidity"] = ROOM_DAMPER
    tries.append(("the damp of the room", f"the room at {ROOM_DAMPER}", data))
    if "rain" in given and isinstance(given["rain"], dict):
        data = start()
        data["rain"].pop("behind", None)
        data["rain"]["leak_share"] = "0 %"
        data["event"] = [one for one in data.get("event", ()) if one.get("kind") != "storm leak"]
        tries.append(("the leak of rain", "no water behind the cladding", data))
    if "leakage" in given:
        data = start()
        del data["leakage"]
        tries.append(("the leak of air", "no air through the section", data))
    if any("gap" in entry and entry["gap"] != "sealed" for entry in given["layer"]):
        data = start()
        for k, entry in enumerate(data["layer"]):
            if "gap" in entry:
                kept = {key: entry[key] for key in ("id", "depth") if key in entry}
                data["layer"][k] = {"gap": "sealed", **kept}
        tries.append(("the air of the gap", "gaps sealed", data))
    return tries
