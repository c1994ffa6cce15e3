"""The library in the terminal: one line a material, film or board."""

from __future__ import annotations

from moistwall.show.material_facts import MaterialFacts
from moistwall.units import System, convert, format_quantity, unit_label

NAME = 28
MOLD = {"very sensitive": "very sens.", "medium resistant": "medium"}
LEGEND = (
    "perm dry, wet: dry and wet cup at the usual thickness, facers and all; class: I, II, III by the dry",
    "cup (0.1, 1, 10 perm), open above; ng: ng/(Pa s m2). at 80 %: water held in air of 80 % relative",
    "humidity, of wood in dry mass. mold: its surface is very sensitive, sensitive, medium resistant or",
    "resistant. quality: the least of conductivity, permeability and sorption; memory: the source is named",
    "but was not seen. moistwall materials NAME tells the source of every number. The data sheet of what is",
    "really built in goes before any of this.",
)


def list_text(materials: list[MaterialFacts], system: System) -> str:
    """The list of materials.

    Parameters
    ----------
    materials : list of MaterialFacts
        What is listed.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        One line each below a head, and a legend.
    """
    thermal = "R per in" if system == "ip" else unit_label("conductivity", system)
    perm = unit_label("permeance", system) if system == "ip" else "ng"
    water = unit_label("water_content", system)
    head = ("name", "kind", "usual", thermal, "dry", "wet", "class", "at 80 %", "mold", "quality")
    lines = [_line(head), _line(("", "", "", "", perm, perm, "", water, "", ""))]
    lines += [_line(_cells(one, system)) for one in sorted(materials, key=_place)]
    return "\n".join([*lines, "", *LEGEND]) + "\n"


def _place(one: MaterialFacts) -> tuple[str, str]:
    return one.entry.kind, one.entry.name.casefold()


def _line(cells: tuple[str, ...]) -> str:
    name, kind, usual, thermal, dry, wet, retarder, held, mold, quality = cells
    line = f"{name:{NAME}} {kind:10}{usual:>8}{thermal:>9}{dry:>7}{wet:>7}"
    return f"{line}  {retarder:5}{held:>10}  {mold:11}{quality}".rstrip()


def _cells(one: MaterialFacts, system: System) -> tuple[str, ...]:
    usual = thermal = held = "-"
    if one.thickness is not None:
        usual = usual_text(one, system)
    if one.conductivity is not None:
        value = convert(one.conductivity, "conductivity", system)
        thermal = short(1.0 / value) if system == "ip" else f"{value:.3g}"
    if one.moisture_80 is not None:
        held = f"{100 * one.moisture_80:.1f} %MC"
    elif one.content_80 is not None:
        content = convert(one.content_80, "water_content", system)
        held = short(content)
    dry, wet = (
        short(convert(value, "permeance", system))
        for value in (one.permeance_dry, one.permeance_wet)
    )
    mold = MOLD.get(one.mold_class, one.mold_class) or "-"
    return (
        one.entry.name, one.entry.kind, usual, thermal, dry, wet, one.vapor_class, held, mold,
        one.quality,
    )  # fmt: skip


def usual_text(one: MaterialFacts, system: System) -> str:
    """Usual thickness, in inch-pound as the file gives it."""
    given = one.record.content.get("usual_thickness")
    if system == "ip" and given:
        return str(given)
    return format_quantity(one.thickness or 0.0, "length", system)


def short(value: float) -> str:
    """A number in two significant digits, without an exponent in the range of permeances."""
    if value >= 100.0:
        return f"{value:.0f}"
    return f"{value:.2g}"
