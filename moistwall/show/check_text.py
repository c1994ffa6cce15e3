"""What can be said of an assembly without simulating it, as text and as plain data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from moistwall import __version__
from moistwall.assess.check import Check
from moistwall.assess.code_rows import CodeRow
from moistwall.assess.drying_paths import LEAST_DRYING, DryingPaths, Path
from moistwall.show.cautions import CAUTIONS
from moistwall.show.section_text import part_lines, permeance_text, section_drawing
from moistwall.show.steady_text import steady_data, steady_lines
from moistwall.show.thermal_text import thermal_data, thermal_lines
from moistwall.show.wrapping import WIDTH, listed, wrapped
from moistwall.units import System, format_quantity, unit_label

WAYS = {
    "both ways": "open both ways",
    "inward only": "inward only",
    "outward only": "outward only",
    "neither way": "CANNOT DRY EITHER WAY",
}


def check_text(check: Check, system: System) -> str:
    """Everything that was found, as text.

    Parameters
    ----------
    check : Check
        What was found.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        Lines of at most 80 columns, plain ASCII but for names from the input.
    """
    section, found = check.section, check.thermal
    lines = wrapped(f"{section.name}: checked, not simulated", other="  ")
    lines += ["", *section_drawing(section), ""]
    lines += part_lines(section, found.part_resistance, found.left_out, system)
    lines += ["", *drying_lines(check.drying, system)]
    lines += ["", *thermal_lines(found, system)]
    if check.steady is not None:
        lines += ["", *steady_lines(check.steady, system)]
    lines += ["", *_codes(check.codes), ""]
    for title, entries in (
        ("Assumed, because the file does not say", section.defaults),
        ("From memory, not from a source that was seen", section.from_memory),
        ("Cautions", CAUTIONS),
    ):
        lines += listed(title, entries)
    return "\n".join(lines).rstrip() + "\n"


def drying_lines(rows: tuple[DryingPaths, ...], system: System) -> list[str]:
    """Tell which way each layer that moisture harms can dry.

    Parameters
    ----------
    rows : tuple of DryingPaths
        Ways out of each such layer.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    unit = unit_label("permeance", system)
    title = f"Can it dry? Wet-cup permeance to air on either side, {unit} (class)"
    if not rows:
        return [title, "  No layer of this section is one that moisture harms."]
    lines = [title, f"  {'':20}{'outward':>14}{'inward':>14}"]
    for row in rows:
        name = row.layer if len(row.layer) <= 19 else row.layer[:17] + ".."
        sides = "".join(f"{_side(path, system):>14}" for path in (row.outward, row.inward))
        near = ", near the limit" if row.near else ""
        lines.append(f"  {name:20}{sides}  {WAYS[row.ways]}{near}"[:WIDTH])
    for row in rows:
        if row.cannot_dry:
            lines += wrapped(
                f"{row.layer}: {row.outward.tightest} outward and {row.inward.tightest} inward make a "
                "double barrier; what gets in between stays.",
                "  ",
                other="  ",
            )
    one = format_quantity(LEAST_DRYING, "permeance", system) if system == "si" else "1 perm"
    lines += wrapped(
        f"A side with less than about {one} hardly dries (common practice, no source). Outward ends at "
        "outdoor air or at the first ventilated gap, inward at the room or such a gap; 'open': nothing "
        "lies between. Classes I, II, III end at 0.1, 1 and 10 perm, which codes apply to the dry cup.",
        "  ",
        other="  ",
    )
    return lines


def _side(path: Path, system: System) -> str:
    if path.permeance is None:
        return "open"
    return f"{permeance_text(path.permeance, system, 2)} ({path.vapor_class})"


def _codes(rows: tuple[CodeRow, ...]) -> list[str]:
    lines = ["What a model code asks for, as information (local code decides)"]
    for row in rows:
        memory = ", from memory" if row.from_memory else ""
        zones = "any zone" if row.zones == "any" else f"zone {row.zones}"
        text = f"{row.edition}, {zones}: {row.subject}: {row.says}{memory}"
        lines += wrapped(text, "  ", "    ")
    return lines


def check_data(check: Check) -> dict[str, Any]:
    """Everything that was found, as plain data in SI.

    Parameters
    ----------
    check : Check
        What was found.

    Returns
    -------
    dict
        Fit for JSON.
    """
    section = check.section
    return {
        "moistwall": __version__,
        "section": {
            "name": section.name,
            "tilt_deg": section.tilt,
            "azimuth_deg": section.azimuth,
            "water_control": section.water_control,
            "seams": section.seams or "",
        },
        **check_answers(check),
        "defaults": list(section.defaults),
        "from_memory": list(section.from_memory),
        "cautions": list(CAUTIONS),
    }


def check_answers(check: Check) -> dict[str, Any]:
    """What was found of the section, without what it is and what it rests on.

    Parameters
    ----------
    check : Check
        What was found.

    Returns
    -------
    dict
        Fit for JSON.
    """
    names = [part.name for part in check.section.parts]
    return {
        "drying": [_paths(row) for row in check.drying],
        "cannot_dry": [row.layer for row in check.drying if row.cannot_dry],
        "thermal": thermal_data(check.thermal, names),
        "code_rows": [asdict(row) for row in check.codes],
        "steady": None if check.steady is None else steady_data(check.steady),
    }


def _paths(row: DryingPaths) -> dict[str, Any]:
    return {
        "layer": row.layer,
        "material": row.material,
        "own_permeance_kg_m2sPa": row.own_permeance,
        "outward": _way(row.outward),
        "inward": _way(row.inward),
        "ways": row.ways,
        "cannot_dry": row.cannot_dry,
        "near": row.near,
    }


def _way(path: Path) -> dict[str, Any]:
    return {
        "to": path.to,
        "parts": list(path.parts),
        "permeance_kg_m2sPa": path.permeance,
        "tightest": path.tightest,
        "class": path.vapor_class,
    }
