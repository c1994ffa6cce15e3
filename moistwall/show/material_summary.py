"""Materials as numbers for other programs: always SI, the unit in each name."""

from __future__ import annotations

from typing import Any

from moistwall.library import find_record
from moistwall.material import FilmMaterial
from moistwall.show.material_facts import MaterialFacts, parts_of
from moistwall.show.material_text import curve_points

UNITS = {
    "rh": "rh",
    "content": "water_content_kg_m3",
    "permeability": "permeability_kg_m_s_Pa",
    "permeance": "permeance_kg_m2_s_Pa",
    "conductivity": "conductivity_W_mK",
    "diffusivity": "diffusivity_m2_s",
}


def short_summary(facts: MaterialFacts) -> dict[str, Any]:
    """What the list says of a material.

    Parameters
    ----------
    facts : MaterialFacts
        The material.

    Returns
    -------
    dict
        Numbers in SI; None where there is none.
    """
    told = facts.record.entry
    return {
        "name": told.name,
        "type": facts.sort,
        "kind": facts.entry.kind,
        "aliases": list(told.aliases),
        "usual_thickness_m": facts.thickness,
        "conductivity_W_mK": facts.conductivity,
        "dry_cup_kg_m2_s_Pa": facts.permeance_dry,
        "wet_cup_kg_m2_s_Pa": facts.permeance_wet,
        "vapor_class": facts.vapor_class,
        "water_content_at_80_percent_kg_m3": facts.content_80,
        "moisture_content_at_80_percent": facts.moisture_80,
        "mold_class": facts.mold_class or None,
        "quality": facts.quality,
    }


def list_summary(materials: list[MaterialFacts]) -> dict[str, Any]:
    """The list of materials; see `short_summary`."""
    return {"materials": [short_summary(one) for one in materials]}


def material_summary(facts: MaterialFacts) -> dict[str, Any]:
    """All that is known of a material, film or board.

    Parameters
    ----------
    facts : MaterialFacts
        The material.

    Returns
    -------
    dict
        Its short summary, note and caution; for each part the curves in SI, the spreads in SI with
        their factors, and ``as_given``: the tables of its file, with units as their source gave them.
    """
    told = facts.record.entry
    parts = parts_of(facts.entry)
    found = []
    for part in parts:
        record = facts.record if len(parts) == 1 else find_record(part.name)
        thickness = None if isinstance(part, FilmMaterial) else facts.thickness
        curves = curve_points(part, thickness)
        found.append(
            {
                "name": part.name,
                "curves": {UNITS[name]: values.tolist() for name, values in curves.items()},
                "spreads": [
                    {
                        "field": one.field,
                        "low": one.low,
                        "given": one.given,
                        "high": one.high,
                        "source": one.source.text,
                        "quality": one.source.quality,
                    }
                    for one in record.spreads
                ],
                "as_given": record.content,
            }
        )
    return {**short_summary(facts), "note": told.note, "caution": told.caution, "parts": found}
