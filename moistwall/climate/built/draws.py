"""Draws from a seed: uniform and normal numbers, and series that remember and close upon the year.

Only uniform numbers are drawn; normal ones come from them by the inverse of the distribution, so
that a seed means the same year wherever it is drawn.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

Array = NDArray[np.float64]


class Draws:
    """Numbers drawn one after the other from a seed.

    Parameters
    ----------
    seed : int
        0 or a positive whole number.
    """

    def __init__(self, seed: int) -> None:
        self._generator = np.random.Generator(np.random.PCG64(seed))

    def uniform(self, count: int) -> Array:
        """Draw numbers evenly between 0 and 1, neither of which occurs.

        Parameters
        ----------
        count : int
            How many.

        Returns
        -------
        (count,) ndarray
            The numbers. [-]
        """
        return self._generator.random(count) + 2.0**-54  # the generator has steps of 2^-53

    def normal(self, count: int) -> Array:
        """Draw normal numbers of mean 0 and variance 1.

        Parameters
        ----------
        count : int
            How many.

        Returns
        -------
        (count,) ndarray
            The numbers. [-]
        """
        drawn: Array = ndtri(self.uniform(count))
        return drawn

    def persistent(self, count: int, first: float, second: float = 0.0) -> Array:
        """Draw a series of mean 0 and variance 1 in which each number remembers those before it.

        Parameters
        ----------
        count : int
            Length of the series, which is closed: its end leads into its start.
        first, second : float
            Correlation of numbers that are one and two steps apart; with ``second`` 0 the series
            is of the first order, and that correlation is the square of ``first``.

        Returns
        -------
        (count,) ndarray
            The series. [-]

        Notes
        -----
        An autoregressive series x[k] = a x[k-1] + b x[k-2] + e[k] whose coefficients follow from
        the correlations by the equations of Yule and Walker. On a circle it is a product of
        Fourier transforms, so that no start has to be forgotten.
        """
        b = (second - first**2) / (1.0 - first**2) if second else 0.0
        a = first * (1.0 - b)
        back = np.exp(-2j * np.pi * np.arange(count // 2 + 1) / count)  # one step back
        transfer = 1.0 / (1.0 - a * back - b * back**2)
        series = np.fft.irfft(np.fft.rfft(self.normal(count)) * transfer, count)
        variance = (1.0 - b) / ((1.0 + b) * ((1.0 - b) ** 2 - a**2))
        scaled: Array = series / np.sqrt(variance)
        return scaled
