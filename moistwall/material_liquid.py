"""Water absorption coefficient and liquid diffusivity: one follows from the other."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from moistwall.material import Array


def absorption_from_diffusivity(diffusivity: Callable[[Array], Array], free: float) -> float:
    """Water absorption coefficient of a dry material with this liquid diffusivity.

    Parameters
    ----------
    diffusivity : callable
        Liquid diffusivity over water content. [m2/s over kg/m3]
    free : float
        Water content at free saturation, which its wet face has. [kg/m3]

    Returns
    -------
    float
        A, with which the material draws up A sqrt(t) in the time t. [kg/(m2 s^0.5)]

    Notes
    -----
    A^2 = integral from 0 to w_f of (w_f + w) D dw, which holds within some percent for any
    diffusivity and exactly for a sharp front: Parlange 1975, Soil Science 119, 158-161 (from memory).
    With D = 3.8 (A / w_f)^2 1000^(w / w_f - 1) it gives 1.01 A.
    """
    # closer towards free saturation, where the diffusivity of most materials lies
    share = np.concatenate((np.linspace(0.0, 0.9, 2001), np.linspace(0.9, 1.0, 2001)[1:]))
    content = share * free
    return float(np.sqrt(np.trapezoid((free + content) * diffusivity(content), content)))
