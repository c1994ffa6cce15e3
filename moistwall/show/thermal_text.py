"""Resistances of a section in words, and as plain data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from moistwall.assess.thermal import Thermal
from moistwall.show.wrapping import wrapped
from moistwall.units import System, convert, format_quantity, unit_label

LABEL = 50


def _row(label: str, value: str) -> str:
    return f"  {label:{LABEL}}{value}"


def thermal_lines(found: Thermal, system: System) -> list[str]:
    """Tell resistances and U.

    Parameters
    ----------
    found : Thermal
        Resistances of a section.
    system : {'ip', 'si'}
        Units of the resistances; U is told in both.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """

    def shown(value: float) -> str:
        if system == "ip":
            return f"R-{convert(value, 'thermal_resistance', 'ip'):.1f}"
        return f"{value:.2f} {unit_label('thermal_resistance', 'si')}"

    lines = ["Thermal resistance"]
    if found.labelled_parts:
        lines.append(_row("insulation as labelled, added up", shown(found.labelled)))
    lines.append(_row("clear section, air to air", shown(found.clear)))
    if found.stud is not None:
        lines += [
            _row("through a stud", shown(found.stud)),
            _row(
                f"with {100.0 * found.stud_share:.0f} % studs, parallel paths", shown(found.upper)
            ),
            _row("  the same, layers joined (lower limit)", shown(found.lower)),
            _row(
                "  ISO 6946, mean of the two",
                f"{shown(found.combined)} within {100.0 * found.combined_error:.1f} %",
            ),
        ]
    if found.fastener_transmittance > 0.0:
        added = _transmittance(found.fastener_transmittance)
        lines.append(_row("U that fasteners through the foam add", added[0]))
        lines.append(_row("", added[1]))
    both = _transmittance(found.transmittance)
    lines += [_row("U", both[0]), _row("", both[1])]
    wave = found.wave
    lines += wrapped(
        f"A day's swing of outdoor air reaches the room {wave.lag:.1f} h later, at {100.0 * wave.decrement:.0f} "
        "% of what would come without storage (ISO 13786, from memory).",
        first="  ",
        other="  ",
    )
    if not found.within_method:
        lines += wrapped(
            "The two limits are further apart than the mean is meant for (ratio 1.5): studs of metal need a "
            "method of their own.",
            first="  ",
            other="  ",
        )
    if found.left_out:
        lines += wrapped(
            "Left out, as outdoor air moves behind it: " + ", ".join(found.left_out) + ".",
            first="  ",
            other="  ",
        )
    lines += wrapped(
        f"Surfaces: {found.surfaces.source}, from memory; layers as at 50 % humidity.",
        first="  ",
        other="  ",
    )
    return lines


def _transmittance(value: float) -> tuple[str, str]:
    """U in both units."""
    return (
        f"{convert(value, 'heat_transfer', 'ip'):.4f} {unit_label('heat_transfer', 'ip')}",
        format_quantity(value, "heat_transfer", "si"),
    )


def thermal_data(found: Thermal, names: list[str]) -> dict[str, Any]:
    """Resistances as plain data, in SI.

    Parameters
    ----------
    found : Thermal
        Resistances of a section.
    names : list of str
        Names of its parts.

    Returns
    -------
    dict
        Fit for JSON.
    """
    return {
        "surfaces": asdict(found.surfaces),
        "left_out": list(found.left_out),
        "parts": [
            {"name": name, "resistance_m2K_W": float(value)}
            for name, value in zip(names, found.part_resistance, strict=True)
        ],
        "labelled_parts": list(found.labelled_parts),
        "labelled_m2K_W": found.labelled,
        "clear_m2K_W": found.clear,
        "stud_m2K_W": found.stud,
        "stud_share": found.stud_share,
        "parallel_paths_m2K_W": found.upper,
        "joined_layers_m2K_W": found.lower,
        "combined_m2K_W": found.combined,
        "combined_error": found.combined_error,
        "within_method": found.within_method,
        "fasteners_W_m2K": found.fastener_transmittance,
        "transmittance_W_m2K": found.transmittance,
        "decrement": found.wave.decrement,
        "lag_h": found.wave.lag,
        "periodic_transmittance_W_m2K": found.wave.periodic_transmittance,
        "inner_capacity_J_m2K": found.wave.inner_capacity,
    }
