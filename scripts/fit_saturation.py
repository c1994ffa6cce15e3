"""Fit the two polynomials of `moistwall.air` to the Hyland-Wexler equations and print them.

The compiled kernel evaluates saturation pressure some hundred million times a year of walls, so
it is defined as the eighth power of a polynomial: no exponential, no division, and a derivative for
almost nothing. This script is where the numbers come from; ``python scripts/fit_saturation.py``
prints the tuples that stand in ``moistwall/air.py``, and the errors that they leave.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import chebyshev, polynomial

KELVIN = 273.15
TRIPLE_POINT = 0.01
DEGREE = 6
DIGITS = 13

# Hyland and Wexler 1983, as printed in the ASHRAE Handbook of Fundamentals, ch. 1, eq. 5 and 6.
ICE = (
    -5.6745359e3,
    6.3925247,
    -9.677843e-3,
    6.2215701e-7,
    2.0747825e-9,
    -9.484024e-13,
    4.1635019,
)
WATER = (
    -5.8002206e3,
    1.3914993,
    -4.8640239e-2,
    4.1764768e-5,
    -1.4452093e-8,
    0.0,
    6.5459673,
)


def hyland_wexler(temperature: np.ndarray, coefficients: tuple[float, ...]) -> np.ndarray:
    """Saturation pressure [Pa] over temperature [degC] by the equations of 1983."""
    T = np.asarray(temperature, float) + KELVIN
    inverse, *powers, logarithm = coefficients
    return np.exp(inverse / T + polynomial.polyval(T, powers) + logarithm * np.log(T))


def minimax_fit(
    low: float,
    high: float,
    coefficients: tuple[float, ...],
    at_triple_point: float | None = None,
) -> np.ndarray:
    """Polynomial in t/100 whose eighth power has the least largest relative error on [low, high].

    Lawson's iteration: least squares whose weights grow where the error is large. With
    ``at_triple_point`` the value there is imposed, by fitting (t - 0.01) times a polynomial.
    """
    t = 0.5 * (low + high) - 0.5 * (high - low) * np.cos(np.linspace(0.0, np.pi, 2001))
    x = t / 100.0
    root = hyland_wexler(t, coefficients) ** 0.125
    basis = chebyshev.chebvander((t - 0.5 * (low + high)) / (0.5 * (high - low)), DEGREE)
    target = root.copy()
    if at_triple_point is not None:
        basis = basis[:, :DEGREE] * (t - TRIPLE_POINT)[:, None]
        target -= at_triple_point
    weight = np.full(t.size, 1.0 / t.size)
    for _ in range(500):
        scale = np.sqrt(weight) / root
        solution = np.linalg.lstsq(basis * scale[:, None], target * scale, rcond=None)[0]
        error = np.abs(basis @ solution - target) / root
        weight *= error + 1e-3 * error.max()
        weight /= weight.sum()
    fitted = basis @ solution + (0.0 if at_triple_point is None else at_triple_point)
    # The same polynomial in powers of x: exact, as it has the same degree.
    return np.polynomial.Polynomial.fit(x, fitted, DEGREE).convert().coef[::-1]


def rounded(coefficients: np.ndarray) -> list[float]:
    """Each coefficient to the digits that are printed."""
    return [float(f"{value:.{DIGITS - 1}e}") for value in coefficients]


def report(
    name: str, low: float, high: float, fit: list[float], equation: tuple[float, ...]
) -> None:
    """Print one tuple and the largest relative error that it leaves."""
    t = np.linspace(low, high, 100_001)
    error = np.polyval(fit, t / 100.0) ** 8 / hyland_wexler(t, equation) - 1.0
    print(f"{name} = (")
    for value in fit:
        print(f"    {value!r},")
    print(f")  # largest relative error {np.abs(error).max():.2e} from {low:g} to {high:g} degC")


def main() -> None:
    """Print both tuples, and how far apart they are at the triple point."""
    water = rounded(minimax_fit(TRIPLE_POINT, 110.0, WATER))
    meeting = float(np.polyval(water, TRIPLE_POINT / 100.0))
    ice = rounded(minimax_fit(-60.0, TRIPLE_POINT, ICE, at_triple_point=meeting))
    report("SATURATION_WATER", TRIPLE_POINT, 110.0, water, WATER)
    report("SATURATION_ICE", -60.0, TRIPLE_POINT, ice, ICE)
    jump = (np.polyval(ice, TRIPLE_POINT / 100.0) / meeting) ** 8 - 1.0
    print(f"# relative jump at the triple point: {jump:.1e}")
    print(
        "# of the equations themselves: "
        f"{hyland_wexler(TRIPLE_POINT, ICE) / hyland_wexler(TRIPLE_POINT, WATER) - 1.0:.1e}"
    )


if __name__ == "__main__":
    main()
