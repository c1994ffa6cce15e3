"""Numbers of the gaps for the kernel: depth, transfer, emittance of the faces, openings."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from moistwall.air import vapor_film_from_convection
from moistwall.section import Film, Gap, Layer, Section

Array = NDArray[np.float64]


def surface_emittance(section: Section, gap: Gap, step: int) -> float:
    """Emittance of a gap's outer (step -1) or inner (step 1) face: the nearest part that gives one.

    Parameters
    ----------
    section : Section
        The section that holds the gap.
    gap : Gap
        The gap.
    step : int
        -1 looks outward from the gap, 1 inward.

    Returns
    -------
    float
        [-]
    """
    k = section.parts.index(gap) + step
    while True:
        part = section.parts[k]
        if isinstance(part, Layer):
            return part.material.emittance
        if isinstance(part, Film) and part.emittance is not None:
            return part.emittance
        k += step


def _effective_emittance(section: Section, gap: Gap) -> float:
    """Effective emittance of two parallel faces: 1 / (1/e1 + 1/e2 - 1)."""
    outer, inner = surface_emittance(section, gap, -1), surface_emittance(section, gap, 1)
    return 1.0 / (1.0 / outer + 1.0 / inner - 1.0)


def gap_arrays(section: Section, gaps: Sequence[Gap | None]) -> dict[str, Array]:
    """Arrays of `Faces` that tell of gaps.

    Parameters
    ----------
    section : Section
        The section that holds the gaps.
    gaps : sequence of Gap or None
        The gap at each special face; None where there is none.

    Returns
    -------
    dict of str to (n_special, 1) ndarray
        By the names of the fields; 0 where there is no gap, or none with openings.
    """

    def each(value: Callable[[Gap], float]) -> Array:
        return np.array([0.0 if gap is None else float(value(gap)) for gap in gaps])[:, None]

    def opening(name: str) -> Array:
        return each(lambda gap: 0.0 if gap.openings is None else getattr(gap.openings, name))

    return {
        "gap_depth": each(lambda gap: gap.depth),
        "gap_convection": each(lambda gap: gap.convection),
        "gap_vapor_film": each(lambda gap: float(vapor_film_from_convection(gap.convection))),
        "gap_emittance": each(lambda gap: _effective_emittance(section, gap)),
        **{f"gap_{name}": opening(name) for name in ("rise", "length", "loss", "friction")},
    }
