"""Bars of water on pages: what each cause brought and took, what a gap could dry and what it did."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.drying import GapDrying
from moistwall.show.drawing import Drawing
from moistwall.show.names import MONTHS

if TYPE_CHECKING:
    from markupsafe import Markup

Array = NDArray[np.float64]

ROW = 40.0
"""Height of a row of bars. [px]"""

MIDDLE, REACH = 50.0, 32.0
"""Where bars start, and how far the longest goes. [%]"""


def cause_bars(rows: Sequence[tuple[str, float, float]], unit: str, decimals: int) -> Markup:
    """Draw what each cause brought (to the right) and took (to the left).

    Parameters
    ----------
    rows : sequence of (str, float, float)
        Cause, what it brought, and what it took, in the unit.
    unit : str
        For the title.
    decimals : int
        Of the numbers.

    Returns
    -------
    Markup
        SVG.
    """
    most = max([value for _, *values in rows for value in values] + [1e-12])
    told = "; ".join(
        f"{name} brought {came:.{decimals}f} and took {went:.{decimals}f}"
        for name, came, went in rows
    )
    drawing = Drawing(ROW * len(rows) + 22.0, f"Water by cause, {unit}", told + ".")
    drawing.text("soft end", MIDDLE, 12.0, "took out", dx=-8.0)
    drawing.text("soft", MIDDLE, 12.0, "brought in", dx=8.0)
    for k, (name, came, went) in enumerate(rows):
        y = 22.0 + k * ROW
        drawing.text("", 0.0, y + 11.0, name)
        bar = y + 17.0
        drawing.line("axis", MIDDLE, bar - 2.0, MIDDLE, bar + 15.0)
        took, brought = REACH * went / most, REACH * came / most
        if went > 0.0:
            drawing.rect("soak", MIDDLE - took, bar, took, 13.0)
            drawing.text("end", MIDDLE - took, bar + 11.0, f"{went:.{decimals}f}", dx=-5.0)
        if came > 0.0:
            drawing.rect("dew-fill", MIDDLE, bar, brought, 13.0)
            drawing.text("", MIDDLE + brought, bar + 11.0, f"{came:.{decimals}f}", dx=5.0)
    return drawing.svg()


def gap_bars(gap: GapDrying, factor: float, unit: str, decimals: int) -> Markup:
    """Draw the drying potential of a gap and what its air carried off, month by month.

    Parameters
    ----------
    gap : GapDrying
        Of the year.
    factor : float
        From kg/m2 to the unit.
    unit : str
        For the title.
    decimals : int
        Of the numbers.

    Returns
    -------
    Markup
        SVG: hollow bars for the potential, full ones for what was carried off; downward where the air
        wets.
    """
    could, did = gap.potential_month * factor, gap.removed_month * factor
    high = max(float(could.max()), float(did.max()), 0.0)
    low = min(float(could.min()), float(did.min()), 0.0)
    span = max(high - low, 1e-12)
    tall, top = 130.0, 34.0
    told = "; ".join(
        f"{month}: could {one:.{decimals}f}, did {two:.{decimals}f}"
        for month, one, two in zip(MONTHS, could, did, strict=True)
    )
    drawing = Drawing(top + tall + 34.0, f"Drying in {gap.name} by month, {unit}", told + ".")
    zero = top + tall * high / span
    step = 100.0 / 12.0
    for k, month in enumerate(MONTHS):
        x = k * step
        for values, shift, kind in ((could, 0.12, "soak"), (did, 0.52, "dew-fill")):
            height = tall * float(values[k]) / span
            y = zero - max(height, 0.0)
            drawing.rect(kind, x + shift * step, y, 0.34 * step, max(abs(height), 0.5))
        drawing.text("small soft middle", x + 0.5 * step, 12.0, month)
        drawing.text(
            "small middle roomy",
            x + 0.5 * step,
            top + tall + 14.0,
            f"{could[k] + 0.0:.{decimals}f}",
        )
        drawing.text(
            "small dew-text middle roomy", x + 0.5 * step, top + tall + 30.0,
            f"{did[k] + 0.0:.{decimals}f}",
        )  # fmt: skip
    drawing.line("axis", 0.0, zero, 100.0, zero)
    return drawing.svg()
