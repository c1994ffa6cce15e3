"""What a model code asks for, as information beside an answer: never a verdict.

Editions differ, states amend them, and local code decides. Each row names its edition, and says whether
its number was seen in a publication or is known from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Subject = Literal["insulation", "transmittance", "vapor retarder", "unvented roof"]


@dataclass(frozen=True)
class CodeRow:
    """One requirement.

    Parameters
    ----------
    subject : {'insulation', 'transmittance', 'vapor retarder', 'unvented roof'}
        What it is about.
    kinds : tuple of str
        Kinds of section that it is for: wall, roof, floor.
    edition : str
        Code, year and place in it.
    zones : str
        Climate zones.
    says : str
        In the words of the trade; R in h ft2 degF/Btu, U in Btu/(h ft2 degF).
    from_memory : bool
        True if the number was not seen in a publication.
    """

    subject: Subject
    kinds: tuple[str, ...]
    edition: str
    zones: str
    says: str
    from_memory: bool = False


_WALL, _ROOF, _FLOOR = ("wall",), ("roof",), ("floor",)
_IECC, _TABLE_U = "2021 IECC R402.1.3", "2021 IECC R402.1.2"
_RETARDER, _UNVENTED = "2021 IRC R702.7", "2021 IRC R806.5"

ROWS = (
    CodeRow("insulation", _WALL, _IECC, "1-2", "wood frame: R-13 or R-10 continuous"),
    CodeRow(
        "insulation",
        _WALL,
        _IECC,
        "3",
        "wood frame: R-20, or R-13 + 5 continuous, or R-15 continuous",
    ),
    CodeRow("transmittance", _WALL, _TABLE_U, "1-2", "wood frame: U-0.084", from_memory=True),
    CodeRow("transmittance", _WALL, _TABLE_U, "3", "wood frame: U-0.060", from_memory=True),
    CodeRow("insulation", _ROOF, _IECC, "1", "ceiling: R-30"),
    CodeRow("insulation", _ROOF, _IECC, "2-3", "ceiling: R-49"),
    CodeRow("transmittance", _ROOF, _TABLE_U, "1", "ceiling: U-0.035", from_memory=True),
    CodeRow("transmittance", _ROOF, _TABLE_U, "2-3", "ceiling: U-0.026", from_memory=True),
    CodeRow(
        "unvented roof",
        _ROOF,
        _UNVENTED,
        "1A-3A",
        "R-5 of rigid or air-impermeable insulation, and at least 10 % of the total",
    ),
    CodeRow("insulation", _FLOOR, _IECC, "1-2", "floor: R-13"),
    CodeRow("insulation", _FLOOR, _IECC, "3", "floor: R-19"),
    CodeRow(
        "vapor retarder",
        _WALL,
        _RETARDER,
        "1A",
        "on the room side: class I no, class II no, class III yes; none is required",
    ),
    CodeRow(
        "vapor retarder",
        _WALL,
        _RETARDER,
        "2",
        "on the room side: class I no, class II no, class III yes",
        from_memory=True,
    ),
    CodeRow(
        "vapor retarder",
        _WALL,
        _RETARDER,
        "3",
        "on the room side: class I no, class II yes, class III yes",
        from_memory=True,
    ),
    CodeRow(
        "vapor retarder",
        _WALL,
        _RETARDER,
        "any",
        "a responsive retarder (over 1 perm at wet cup) is exempt",
        from_memory=True,
    ),
)
"""Rows for climate zones 1 to 3: hot and humid."""


def code_rows(kind: str) -> tuple[CodeRow, ...]:
    """Rows for one kind of section.

    Parameters
    ----------
    kind : {'wall', 'roof', 'floor'}
        What the section is.

    Returns
    -------
    tuple of CodeRow
    """
    return tuple(row for row in ROWS if kind in row.kinds)


def kind_of_section(tilt: float) -> str:
    """Kind of a section by the tilt of its outer face [deg], as `code_rows` wants it."""
    if tilt < 60.0:
        return "roof"
    return "wall" if tilt <= 120.0 else "floor"
