"""Numbers used beyond the range of their source, in words and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from moistwall.assess.validity import BeyondRange
from moistwall.show.wrapping import wrapped


def beyond_lines(found: Sequence[BeyondRange]) -> list[str]:
    """Tell, a layer at a time, for how many hours each number was used where its source says nothing.

    Parameters
    ----------
    found : sequence of BeyondRange
        What was found.

    Returns
    -------
    list of str
        Lines of at most 80 columns; none if there is nothing to tell.
    """
    if not found:
        return []
    hours: dict[str, dict[str, int]] = {}
    for one in found:
        layer = hours.setdefault(one.layer, {})
        name = one.number.replace("_", " ")
        layer[name] = max(layer.get(name, 0), one.hours)
    lines = wrapped(
        "Used beyond the range of its source, hours of the year at a face of the layer (the end of the range "
        "goes on, or the formula; `moistwall materials NAME` has the ranges):",
        other="  ",
    )
    for name, numbers in hours.items():
        told = ", ".join(f"{number} {count}" for number, count in numbers.items())
        lines += wrapped(f"{name}: {told}", "- ", "  ")
    return [*lines, ""]


def beyond_data(found: Sequence[BeyondRange]) -> list[dict[str, Any]]:
    """The same as plain data.

    Parameters
    ----------
    found : sequence of BeyondRange
        What was found.

    Returns
    -------
    list of dict
        Fit for JSON; temperatures in degC, humidities as shares.
    """
    return [
        {
            "layer": one.layer,
            "number": one.number,
            "quantity": {"share": "humidity"}.get(one.given.kind, one.given.kind),
            "range": [one.given.low, one.given.high],
            "reached": [one.low, one.high],
            "hours": one.hours,
        }
        for one in found
    ]
