"""One material in the terminal: its numbers with their sources, its curves as tables."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.library import find_record
from moistwall.material import FilmMaterial, Material
from moistwall.material_file import MaterialFile, MaterialRecord
from moistwall.material_liquid import absorption_from_diffusivity
from moistwall.material_schema import PointStorage
from moistwall.show.material_facts import MaterialFacts, parts_of
from moistwall.show.material_list import short, usual_text
from moistwall.show.wrapping import wrapped
from moistwall.units import PERM, System, convert, format_quantity, unit_label

Array = NDArray[np.float64]

HUMIDITIES = np.array([0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98, 0.99, 1.0])
"""Rows of the table of curves."""

GROUPS = {
    "density": "density",
    "heat_capacity": "specific heat",
    "conductivity": "conductivity",
    "vapor": "vapor",
    "storage": "storage",
    "liquid": "liquid",
    "surface": "surface",
    "mold": "mold",
}
BESIDE = ("source", "quality", "valid")
CLASSES = {
    "I": "class I vapor retarder (dry cup up to 0.1 perm)",
    "II": "class II vapor retarder (dry cup up to 1 perm)",
    "III": "class III vapor retarder (dry cup up to 10 perm)",
    "open": "open: no vapor retarder (dry cup above 10 perm)",
}
CAUTION = (
    "A generic entry: the data sheet of what is really built in goes before it. Values from memory or "
    "estimated are marked so."
)


def material_text(facts: MaterialFacts, system: System) -> str:
    """One material, film or faced board, with all that its file says.

    Parameters
    ----------
    facts : MaterialFacts
        The material.
    system : {'ip', 'si'}
        Units of the tables; numbers of the file stand as their source gave them.

    Returns
    -------
    str
        Lines of at most 80 columns, but for long names.
    """
    told = facts.record.entry
    lines = wrapped(f"{told.name} ({facts.sort}, {facts.entry.kind})")
    if told.aliases:
        lines += wrapped("also: " + ", ".join(told.aliases), "  ")
    if told.note:
        lines += wrapped(told.note, "  ")
    if told.caution:
        lines += wrapped("Caution: " + told.caution, "  ")
    lines += ["", *_as_built(facts, system)]
    parts = parts_of(facts.entry)
    for part in parts:
        record = facts.record if len(parts) == 1 else find_record(part.name)
        if len(parts) > 1:
            lines += ["", f"--- {part.name}"]
        lines += ["", *_curves(part, system), *_derived(part, record, system)]
        lines += ["", *_numbers(record), *_unusual(record)]
    lines += ["", *wrapped(CAUTION, "", "")]
    return "\n".join(lines) + "\n"


def curve_points(part: Material | FilmMaterial, thickness: float | None) -> dict[str, Array]:
    """Curves of a part at `HUMIDITIES`, in SI.

    Parameters
    ----------
    part : Material or FilmMaterial
        The part.
    thickness : float or None
        Thickness at which permeance is told. [m]

    Returns
    -------
    dict of str to (n,) ndarray
        'rh'; 'content' [kg/m3]; 'permeability' [kg/(m s Pa)]; 'permeance' [kg/(m2 s Pa)];
        'conductivity' [W/(m K)]; 'diffusivity' [m2/s]. Those that the part has.
    """
    points = {"rh": HUMIDITIES}
    if isinstance(part, FilmMaterial):
        return {**points, "permeance": np.interp(HUMIDITIES, part.rh, part.permeance)}
    points["content"] = content = part.storage.content(np.log(HUMIDITIES))
    points["permeability"] = np.interp(HUMIDITIES, part.vapor_rh, part.vapor_permeability)
    if thickness is not None:
        points["permeance"] = points["permeability"] / thickness
    points["conductivity"] = np.interp(content, part.conductivity_content, part.conductivity)
    if part.diffusivity is not None:
        points["diffusivity"] = part.diffusivity(content)
    return points


def given_text(group: dict[str, Any]) -> str:
    """What a group of a file says beside source, quality and range, as it stands there."""
    texts = []
    for key, value in group.items():
        if key in BESIDE or key.endswith("spread"):
            continue
        name = key.replace("_", " ")
        if key == "points":
            texts.append("; ".join(f"{x}: {y}" for x, y in value))
        elif key in ("value", "transport", "sensitivity", "form"):
            texts.append(f"no {name}" if value == "none" else str(value))
        else:
            texts.append(f"{name} {value}")
    return ", ".join(texts)


def _as_built(facts: MaterialFacts, system: System) -> list[str]:
    perm = unit_label("permeance", system)
    dry, wet = (
        short(convert(value, "permeance", system))
        for value in (facts.permeance_dry, facts.permeance_wet)
    )
    at = f"At {usual_text(facts, system)}: " if facts.thickness is not None else ""
    thermal = ""
    if facts.thickness is not None and facts.conductivity is not None:
        resistance = facts.thickness / facts.conductivity
        thermal = format_quantity(resistance, "thermal_resistance", system) + ", "
    lines = wrapped(f"{at}{thermal}{dry} {perm} dry cup, {wet} {perm} wet cup")
    retarder = CLASSES[facts.vapor_class]
    if facts.vapor_class in ("I", "II") and facts.permeance_wet > PERM:
        retarder += "; above 1 perm when damp"
    lines += wrapped(retarder)
    mold = facts.mold_class or "not given"
    return [*lines, *wrapped(f"mold sensitivity of its surface: {mold}")]


def _curves(part: Material | FilmMaterial, system: System) -> list[str]:
    points = curve_points(part, None)
    heads, units, columns = ["RH"], ["%"], [[f"{100 * rh:.0f}" for rh in points["rh"]]]

    def column(head: str, unit: str, values: Array, form: str) -> None:
        heads.append(head)
        units.append(unit)
        columns.append([format(float(value), form) for value in values])

    def quantity(head: str, kind: str, values: Array, form: str = ".3g") -> None:
        column(head, unit_label(kind, system), convert(values, kind, system), form)

    if isinstance(part, FilmMaterial):
        quantity("permeance", "permeance", points["permeance"])
    else:
        quantity("water", "water_content", points["content"], ".4g")
        if part.wood:
            column("water", "%MC", 100.0 * points["content"] / part.density, ".1f")
        quantity("permeability", "permeability", points["permeability"])
        column("conductivity", "W/(m K)", points["conductivity"], ".3g")
        if system == "ip":
            per_inch = 1.0 / convert(points["conductivity"], "conductivity", "ip")
            heads[-1], units[-1] = "R per in", ""
            columns[-1] = [f"{value:.3g}" for value in per_inch]
        if part.diffusivity is not None:
            quantity("diffusivity", "diffusivity", points["diffusivity"], ".2e")
    widths = [
        max(map(len, (head, unit, *cells))) + 2
        for head, unit, cells in zip(heads, units, columns, strict=True)
    ]
    rows = [heads, units, *zip(*columns, strict=True)]
    return [
        "".join(f"{cell:>{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def _derived(part: Material | FilmMaterial, record: MaterialRecord, system: System) -> list[str]:
    if isinstance(part, FilmMaterial):
        return ["", *wrapped("Permeance over the mean humidity across it, as the cups are read.")]
    storage = part.storage
    held = [
        format_quantity(value, "water_content", system) for value in (storage.free, storage.holds)
    ]
    lines = wrapped(
        f"In saturated air it takes up {held[0]}; above that, up to {held[1]}, water stays in it, and "
        "what is more runs out. A face of it in air holds what the assembly says (100 g/m2 if it says "
        "nothing)."
    )
    if part.diffusivity is not None:
        drawn = absorption_from_diffusivity(part.diffusivity, storage.free)
        text = format_quantity(drawn, "absorption", "si")
        lines += wrapped(f"The diffusivity draws up {text} from a wet face.")
    entry = record.entry
    if isinstance(entry, MaterialFile) and isinstance(entry.storage, PointStorage):
        fit = entry.storage.fitted(entry.density.value)
        if fit is not None:
            numbers = ", ".join(f"{name} {value:.4g}" for name, value in fit.parameters.items())
            errors = ", ".join(f"{100 * error + 0.0:.1f}" for error in fit.error)
            lines += wrapped(
                f"Sorption is the formula of {fit.formula} through its points ({numbers}); it misses "
                f"them by {errors} %."
            )
        else:
            lines += wrapped("Sorption is a monotone cubic through its points.")
    return ["", *lines]


def _numbers(record: MaterialRecord) -> list[str]:
    lines = ["The numbers as their source gave them:"]
    for name, label in GROUPS.items():
        group = record.content.get(name)
        if not isinstance(group, dict):
            continue
        lines += wrapped(f"{label}: {given_text(group)}", "- ", "  ")
        lines += wrapped(f"[{group['quality']}] {group['source']}", "    ", "      ")
        if group.get("valid"):
            lines += wrapped("holds for " + "; ".join(group["valid"]), "    ", "      ")
        for key, spread in group.items():
            if key.endswith("spread"):
                what = key.removesuffix("spread").replace("_", " ").strip()
                lines += wrapped(
                    f"sources differ: {what} {spread}".replace("  ", " "), "    ", "      "
                )
    return lines


def _unusual(record: MaterialRecord) -> list[str]:
    lines = []
    for warning in record.warnings:
        told = f"{warning.field}: {warning.problem}" + (
            f" ({warning.value})" if warning.value else ""
        )
        lines += wrapped("Unusual: " + told, "", "  ")
    return ["", *lines] if lines else []
