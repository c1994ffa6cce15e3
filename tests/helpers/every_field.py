"""Whole documents with every key that a schema knows, and values that are wrong in each of them."""

from __future__ import annotations

import copy
import datetime
from collections.abc import Iterator
from typing import Any

Path = tuple[str | int, ...]

LOOKALIKES = str.maketrans(
    "0123456789", "\u0660\u0661\uff12\u0663\uff14\uff15\u0666\uff17\uff18\u0669"
)
"""Digits of other scripts that look like ours, or are read like them."""


def leaves(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Walk to every value that is no table and no list of tables: its path and the value."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list) and data and isinstance(data[0], dict | list):
        for place, value in enumerate(data):
            yield from leaves(value, (*path, place))
    else:
        yield path, data


def tables(data: Any, path: Path = ()) -> Iterator[Path]:
    """Walk to every table and list of tables below the whole."""
    if isinstance(data, dict):
        if path:
            yield path
        for key, value in data.items():
            yield from tables(value, (*path, key))
    elif isinstance(data, list) and data and isinstance(data[0], dict):
        yield path
        for place, value in enumerate(data):
            yield from tables(value, (*path, place))


def shown(path: Path) -> str:
    """Write a path as messages do: ``layer[2].thickness``, counted from 1."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def put(data: dict[str, Any], path: Path, value: Any) -> dict[str, Any]:
    """Give a copy of a document in which one value is another."""
    found = copy.deepcopy(data)
    here: Any = found
    for part in path[:-1]:
        here = here[part]
    here[path[-1]] = value
    return found


def wrong_kinds(value: Any) -> list[Any]:
    """Values of another type than a text; for a number or a flag, of another type than that."""
    date = datetime.date(1979, 5, 27)
    if isinstance(value, bool):
        return ["yes", 1, [], {}, date]
    if isinstance(value, int | float):
        return [
            "5",
            "",
            True,
            [],
            {},
            date,
            float("nan"),
            float("inf"),
            -float("inf"),
            1e308,
            -1e308,
        ]
    if isinstance(value, list):
        return ["text", 5, True, {}, date, [5], [[]], [{}], [True]]
    return [5, 5.5, True, [value], {"value": value}, date, [], {}]


def wrong_texts(value: str) -> list[str]:
    """Texts that are never a quantity, a word or a name that could be meant."""
    return ["", "   ", "\t", value + "\x1b[31m", value + "\n# more", value + "\u202e", "x" * 5000]


def wrong_quantities(value: str) -> list[str]:
    """What is never right where a text with a number and a unit stands."""
    _, _, unit = value.rpartition(" ")
    other = "perm" if unit not in ("perm", "perm-in") else "kg/m3"
    return [
        f"nan {unit}",
        f"inf {unit}",
        f"-inf {unit}",
        f"1e308 {unit}",
        f"-1e308 {unit}",
        f"1e999 {unit}",
        f"{'9' * 400} {unit}",
        f"1/0 {unit}",
        f"5 {other}",
        "5 bananas",
        f"5 5 {unit}",
        f"5,5 {unit}",
        f"0x5 {unit}",
        f"5__0 {unit}",
        f"five {unit}",
        *([unit] if not unit[:1].isdigit() else []),
        value.translate(LOOKALIKES) if any(one.isdigit() for one in value) else f"\u0661 {unit}",
        f"5 {unit}\u0000",
        f"5 {unit[0]}\u200b{unit[1:]}",
    ]


def perhaps_wrong(value: str) -> list[str]:
    """What may be right or wrong where a text with a number and a unit stands."""
    _, _, unit = value.rpartition(" ")
    return [f"0 {unit}", f"-5 {unit}", f"1e-300 {unit}", f"-0 {unit}", f"1e6 {unit}"]
