"""Where a run used numbers of a material beyond the range that their source gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.material import Range
from moistwall.result import Result
from moistwall.section import Layer, Section

Array = NDArray[np.float64]


@dataclass(frozen=True)
class BeyondRange:
    """One number of one layer, used where its source says nothing.

    Parameters
    ----------
    layer : str
        Name of the layer.
    number : str
        What is known in a range only: 'vapor', 'conductivity', 'storage' and the like.
    given : Range
        Range of the source; of temperature or of relative humidity.
    low, high : float
        What the faces of the layer reached in the year, in the unit of the range.
    hours : int
        Hours of the year in which a face lay beyond the range. [h]
    """

    layer: str
    number: str
    given: Range
    low: float
    high: float
    hours: int


def beyond_ranges(section: Section, result: Result) -> list[BeyondRange]:
    """Find the numbers that a run used beyond the ranges of their sources.

    Ranges of temperature and of relative humidity are compared with the two faces of the layer; ranges of water
    content are not, and neither are films, whose state is that of their neighbors.

    Parameters
    ----------
    section : Section
        The section that was run.
    result : Result
        Its year.

    Returns
    -------
    list of BeyondRange
        From outside to inside; empty if every number was used where it is known.
    """
    found: list[BeyondRange] = []
    for part in section.parts:
        if not isinstance(part, Layer):
            continue
        faces = [k for k, place in enumerate(result.places) if place.part == part.name]
        if not faces:
            continue
        reached = {
            "temperature": result.temperature_place[:, faces],
            "share": result.rh_place[:, faces],
        }
        for number, source in part.material.sources.items():
            for given in source.valid:
                if given.kind in reached:
                    found += _beyond(part.name, number, given, reached[given.kind])
    return found


def _beyond(layer: str, number: str, given: Range, face: Array) -> list[BeyondRange]:
    """Compare hourly values at the faces of a layer, (n_hours, n_faces), with a range."""
    hours = int(((face < given.low) | (face > given.high)).any(axis=1).sum())
    if not hours:
        return []
    return [BeyondRange(layer, number, given, float(face.min()), float(face.max()), hours)]
