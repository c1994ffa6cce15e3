"""Sorption where few points are known: a formula through them by least squares, and its error.

A monotone cubic through three points says little about what lies between them; a formula that has
the shape of sorption says more. How far it misses the points is kept and shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from moistwall.material import Array, Storage
from moistwall.material_curves import (
    storage_from_table,
    storage_over_humidity,
    storage_over_suction,
)

Formula = Literal["Guggenheim-Anderson-de Boer", "Hansen", "van Genuchten"]


@dataclass(frozen=True)
class SorptionFit:
    """A formula through points of sorption.

    Parameters
    ----------
    formula : str
        Named after its authors.
    parameters : dict of str to float
        What was fitted, in SI.
    content : (n,) ndarray
        Water content of the formula at the points. [kg/m3]
    error : (n,) ndarray
        Relative error at the points, content / given - 1. [-]
    storage : Storage
        The curve.
    """

    formula: Formula
    parameters: dict[str, float]
    content: Array
    error: Array
    storage: Storage

    @property
    def worst(self) -> float:
        """Largest relative error at a point. [-]"""
        return float(np.max(np.abs(self.error)))


def sorption_gab(rh: Array, monolayer: float, c: float, k: float) -> Array:
    """Water content by the equation of Guggenheim, Anderson and de Boer.

    Parameters
    ----------
    rh : ndarray
        Relative humidity, 0 to 1. [-]
    monolayer : float
        Content of the first layer of molecules. [kg/m3]
    c, k : float
        Constants of the heats of sorption; k below 1. [-]

    Returns
    -------
    ndarray
        w = m c k rh / ((1 - k rh) (1 - k rh + c k rh)). [kg/m3]

    References
    ----------
    Van den Berg and Bruin 1981, in Water Activity, Academic Press (from memory).
    """
    x = k * np.asarray(rh, float)
    return np.asarray(monolayer * c * x / ((1.0 - x) * (1.0 - x + c * x)))


def fit_sorption(
    rh: Array, content: Array, formula: Formula, free: float, holds: float
) -> SorptionFit:
    """Fit a formula to points of sorption.

    Parameters
    ----------
    rh : (n,) ndarray
        Relative humidities between 0 and 1, rising. [-]
    content : (n,) ndarray
        Water contents at them, rising. [kg/m3]
    formula : {'Guggenheim-Anderson-de Boer', 'Hansen', 'van Genuchten'}
        The first two are fitted with three parameters up to the last point, above which content
        rises to ``free`` as in `storage_from_table`. The last is a function of suction that ends at
        ``free`` by itself, fitted with two (a, n; m = 1 - 1/n).
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]

    Returns
    -------
    SorptionFit
        The curve with the least sum of squared relative errors, and its error at the points.

    Raises
    ------
    ValueError
        If there are fewer points than parameters.

    References
    ----------
    van Genuchten 1980, Soil Sci. Soc. Am. J. 44; Hansen 1986, DTU TR 162/86.
    """
    from scipy.optimize import least_squares

    rh, content = np.asarray(rh, float), np.asarray(content, float)
    last = float(content[-1])
    if formula == "van Genuchten":
        start, low, high = [-16.0, np.log(0.5)], [-30.0, -6.0], [-2.0, 2.0]
    elif formula == "Hansen":
        start = [np.log(1.5 * last), np.log(0.1), 0.0]
        low, high = [np.log(0.5 * last), -14.0, -4.0], [np.log(100.0 * last), 3.0, 3.0]
    else:
        start = [np.log(0.4 * float(content[0]) + 0.1 * last), np.log(8.0), -0.2]
        low, high = [np.log(1e-3 * last), np.log(0.5), -3.0], [np.log(2.0 * last), 7.0, -0.005]

    def curve(p: Array, at: Array) -> Array:
        if formula == "van Genuchten":
            return _over_suction(p, free, holds).content(np.log(at))
        if formula == "Hansen":
            return _over_humidity(p).content(np.log(at))
        return sorption_gab(at, *(float(value) for value in np.exp(p)))

    if rh.size < len(start):
        raise ValueError(f"{formula} needs at least {len(start)} points, got {rh.size}")
    inside = np.clip(start, np.add(low, 1e-6), np.subtract(high, 1e-6))

    def apart(p: Array) -> Array:
        ratio: Array = np.log(curve(p, rh) / content)
        return ratio

    found = least_squares(apart, inside, bounds=(low, high), xtol=1e-12).x
    fitted = curve(found, rh)
    parameters: dict[str, float]
    if formula == "van Genuchten":
        storage = _over_suction(found, free, holds)
        n = 1.0 + float(np.exp(found[1]))
        parameters = {"a [1/Pa]": float(np.exp(found[0])), "n": n, "m": 1.0 - 1.0 / n}
    else:
        at = np.unique(np.concatenate((np.arange(0.01, rh[-1], 0.01), rh[-1:])))
        storage = storage_from_table(at, curve(found, at), free, holds)
        names = ("w [kg/m3]", "A", "n") if formula == "Hansen" else ("m [kg/m3]", "c", "k")
        values = (float(value) for value in np.exp(found))
        parameters = dict(zip(names, values, strict=True))
    return SorptionFit(formula, parameters, fitted, fitted / content - 1.0, storage)


def _over_suction(p: Array, free: float, holds: float) -> Storage:
    n = 1.0 + float(np.exp(p[1]))
    return storage_over_suction(free, holds, float(np.exp(p[0])), n, 1.0 - 1.0 / n)


def _over_humidity(p: Array) -> Storage:
    at_one, scale, power = (float(value) for value in np.exp(p))
    return storage_over_humidity(at_one, at_one, scale, power)
