"""How far sources lie apart about one number of a material."""

from __future__ import annotations

import math
from dataclasses import dataclass

from moistwall.material import Source


@dataclass(frozen=True)
class Spread:
    """Lowest and highest value that sources give for a number, and the one that is used.

    Parameters
    ----------
    field : str
        The number, such as 'vapor.dry_cup', 'storage.at_80' (water content at 80 % relative
        humidity), 'liquid.absorption', 'conductivity'.
    low, given, high : float
        In SI: density [kg/m3], specific heat [J/(kg K)], conductivity [W/(m K)], permeability of a
        material [kg/(m s Pa)] or permeance of a film [kg/(m2 s Pa)], water content [kg/m3], absorption
        coefficient [kg/(m2 s^0.5)], emittance and absorptance [-].
    text : str
        The range as the file gives it, in the units of its source.
    source : Source
        Source of the group that the number stands in.
    """

    field: str
    low: float
    given: float
    high: float
    text: str
    source: Source

    @property
    def factors(self) -> tuple[float, float]:
        """Lowest and highest value over the one that is used; infinite where that is 0. [-]"""
        if self.given == 0.0:
            return math.inf, math.inf
        return self.low / self.given, self.high / self.given

    @property
    def holds_given(self) -> bool:
        """Whether the value that is used lies within, but for rounding."""
        slack = 1e-6 * abs(self.given)
        return self.low - slack <= self.given <= self.high + slack
