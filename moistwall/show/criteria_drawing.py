"""How far each criterion is from its limit: rulers on a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from moistwall.assess.criteria import Criterion
from moistwall.assess.verdict import Finding
from moistwall.show.drawing import Drawing

if TYPE_CHECKING:
    from markupsafe import Markup

LIMIT = 70.0
"""Where the limit stands. [%]"""


def ruler_place(criterion: Criterion, value: float) -> float:
    """Where a value stands on its ruler.

    Parameters
    ----------
    criterion : Criterion
        Gives the limit.
    value : float
        In the quantity's unit.

    Returns
    -------
    float
        0 at nothing, `LIMIT` at the limit, never above 100. [%]
    """
    if criterion.comparison == "above":
        value = 2.0 * criterion.limit - value
    return min(max(LIMIT * value / criterion.limit, 0.0), 100.0)


def ruler(finding: Finding, found: str, limit: str) -> Markup:
    """Draw where a finding stands between nothing and its limit.

    Parameters
    ----------
    finding : Finding
        What was found, with its bracket.
    found, limit : str
        The number and its limit in words.

    Returns
    -------
    Markup
        SVG: the marginal band hatched, the limit a thick line, the bracket a bar with the number's lozenge.
    """
    criterion, at = finding.criterion, finding.at
    drawing = Drawing(30.0, f"{criterion.name}: {found}, limit {limit}", f"It {finding.word}.")
    side = -1.0 if criterion.comparison == "below" else 1.0
    edge = ruler_place(criterion, criterion.limit + side * criterion.marginal)
    drawing.rect("panel-fill", 0.0, 10.0, 100.0, 12.0)
    drawing.rect("soak-soft", edge, 10.0, LIMIT - edge, 12.0)
    drawing.line("limit", LIMIT, 4.0, LIMIT, 28.0)
    low, high = sorted(ruler_place(criterion, one) for one in (at.low, at.high))
    place = ruler_place(criterion, at.value)
    drawing.rect("ink-fill", low, 14.0, max(high - low, 0.0), 4.0)
    drawing.glyph("lozenge", min(max(place, 0.8), 99.2), 16.0, "M0 -7L5 0L0 7L-5 0Z")
    return drawing.svg()
