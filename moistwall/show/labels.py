"""Labels that do not lie upon each other."""

from __future__ import annotations

import textwrap

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def spread(wanted: Array, least: float, low: float, high: float) -> Array:
    """Positions of labels, as near as can be to where they are wanted.

    Parameters
    ----------
    wanted : (n,) ndarray
        Where each label is wanted, rising.
    least : float
        Distance that neighbors keep; less if there is not room enough for all.
    low, high : float
        The room that they share.

    Returns
    -------
    (n,) ndarray
        Rising positions from ``low`` to ``high``, with the least sum of squared shifts before they
        are kept within that room.

    Notes
    -----
    With z_k = x_k - k ``least`` the distances turn into an order, z_k <= z_(k+1), and the best z is
    the isotonic regression of what is wanted: neighbors in the wrong order share their mean.
    """
    n = len(wanted)
    if n < 2:
        alone: Array = np.clip(wanted, low, high)
        return alone
    least = min(least, (high - low) / (n - 1))
    shift = least * np.arange(n)
    means: list[float] = []
    counts: list[int] = []
    for value in wanted - shift:
        means.append(float(value))
        counts.append(1)
        while len(means) > 1 and means[-2] > means[-1]:
            count = counts[-2] + counts[-1]
            mean = (means[-2] * counts[-2] + means[-1] * counts[-1]) / count
            means[-2:], counts[-2:] = [mean], [count]
    settled: Array = np.clip(np.repeat(means, counts), low, high - shift[-1]) + shift
    return settled


def folded(text: str, width: int, most: int = 2) -> str:
    """A text in at most so many lines; what does not fit ends in dots.

    Parameters
    ----------
    text : str
        The text.
    width : int
        Characters in a line.
    most : int
        Lines.
    """
    return "\n".join(textwrap.wrap(text, width, max_lines=most, placeholder=" ..."))
