"""A case of verification: what it proves, against what, and how far off moistwall may be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

PROBLEMS = Path(__file__).parent / "problems"
REFERENCES = Path(__file__).parent / "references"


@dataclass(frozen=True)
class Comparison:
    """One quantity, ours beside the reference: of many points the one that is furthest off.

    Parameters
    ----------
    what : str
        Quantity and place.
    unit : str
        Unit of both values; empty if they have none.
    reference, ours : float
        Values at the point that is furthest off.
    deviation : float
        Ours less reference there; of the reference if ``relative``. For a root mean square, that.
    tolerance : float
        Largest absolute deviation that passes.
    relative : bool
        True if deviation and tolerance are shares of the reference.
    whose : str
        Who set the tolerance.
    points : int
        Number of points compared.
    """

    what: str
    unit: str
    reference: float
    ours: float
    deviation: float
    tolerance: float
    relative: bool
    whose: str
    points: int = 1

    @property
    def passes(self) -> bool:
        """True if it is within its tolerance; nothing passes that is not a number."""
        return bool(abs(self.deviation) <= self.tolerance)


def compare(
    what: str,
    unit: str,
    reference: ArrayLike,
    ours: ArrayLike,
    tolerance: float,
    whose: str,
    *,
    relative: bool = False,
) -> Comparison:
    """Compare one or many values; the furthest off stands for all.

    Parameters
    ----------
    what, unit, tolerance, whose, relative
        See `Comparison`.
    reference, ours : array_like
        Values of the same shape.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        If the shapes differ or there is nothing to compare.
    """
    a, b = np.asarray(reference, float).ravel(), np.asarray(ours, float).ravel()
    if a.shape != b.shape or a.size == 0:
        raise ValueError(f"{what}: {b.size} values against {a.size} of the reference")
    with np.errstate(divide="ignore", invalid="ignore"):
        deviation = (b - a) / np.abs(a) if relative else b - a
    worst = int(np.argmax(np.where(np.isfinite(deviation), np.abs(deviation), np.inf)))
    return Comparison(
        what,
        unit,
        float(a[worst]),
        float(b[worst]),
        float(deviation[worst]),
        tolerance,
        relative,
        whose,
        int(a.size),
    )


def compare_rms(
    what: str, unit: str, reference: ArrayLike, ours: ArrayLike, tolerance: float, whose: str
) -> Comparison:
    """Compare two series by the root mean square of their difference.

    Parameters
    ----------
    what, unit, reference, ours, tolerance, whose
        See `compare`.

    Returns
    -------
    Comparison
        Holds the means of both series and the root mean square as the deviation.
    """
    a, b = np.asarray(reference, float).ravel(), np.asarray(ours, float).ravel()
    if a.shape != b.shape or a.size == 0:
        raise ValueError(f"{what}: {b.size} values against {a.size} of the reference")
    rms = float(np.sqrt(np.mean((b - a) ** 2)))
    return Comparison(
        f"{what}, root mean square",
        unit,
        float(a.mean()),
        float(b.mean()),
        rms,
        tolerance,
        False,
        whose,
        int(a.size),
    )


@dataclass(frozen=True)
class Curve:
    """A picture of one case: ours as lines, the reference as marks.

    Parameters
    ----------
    title, x_label, y_label : str
        Labels, units in them.
    ours, reference : dict of str to (x, y)
        Curves by label.
    """

    title: str
    x_label: str
    y_label: str
    ours: dict[str, tuple[Array, Array]]
    reference: dict[str, tuple[Array, Array]]


@dataclass(frozen=True)
class Outcome:
    """What a case gave.

    Parameters
    ----------
    comparisons : list of Comparison
        Every value beside its reference.
    curves : list of Curve
        Pictures.
    error : str
        Why it could not be judged; empty if it could.
    """

    comparisons: list[Comparison] = field(default_factory=list)
    curves: list[Curve] = field(default_factory=list)
    error: str = ""

    @property
    def passes(self) -> bool:
        """True if there is something to judge and all of it is within its tolerance."""
        judged = bool(self.comparisons) and not self.error
        return judged and all(one.passes for one in self.comparisons)


@dataclass(frozen=True)
class Case:
    """A case of verification.

    Parameters
    ----------
    name : str
        Name by which it is chosen.
    proves : str
        What its passing shows.
    source : str
        Where the problem and its reference come from: a publication, 'exact' or 'from memory'.
    run : callable
        Solves and compares.
    """

    name: str
    proves: str
    source: str
    run: Callable[[], Outcome]
