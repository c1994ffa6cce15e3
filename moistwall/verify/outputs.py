"""What a problem asks for: a quantity at a place, checked against its layers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from moistwall.errors import Fault
from moistwall.names import did_you_mean
from moistwall.verify.schema import LayerPart, Output, Part

UNITS: dict[str, str] = {
    "temperature": "degC",
    "relative humidity": "",
    "vapor pressure": "Pa",
    "water content": "kg_m3",
    "stored water": "kg_m2",
    "drained water": "kg_m2",
    "heat flow": "W_m2",
    "moisture flow": "kg_m2s",
    "vapor flow": "kg_m2s",
    "heat passed": "J_m2",
    "moisture passed": "kg_m2",
    "vapor passed": "kg_m2",
    "film heat flow": "W_m2",
    "film vapor flow": "kg_m2s",
}
"""Unit of each quantity, as it stands in the name of a column."""

STATES = ("temperature", "relative humidity", "vapor pressure", "water content")
AMOUNTS = ("stored water", "drained water")
FILM_FLOWS = ("film heat flow", "film vapor flow")
IN_LAYER = ("cell", "layer", "outer side", "inner side")
SURFACES = ("outer surface", "inner surface")
SIDES = ("outer side", "inner side")


@dataclass(frozen=True)
class Wanted:
    """One column of the answer.

    Parameters
    ----------
    name : str
        Name given in the file.
    quantity, at : str
        What is wanted, and where.
    layer : str
        The layer that the place belongs to; empty if it belongs to none.
    depth : float
        Depth from the outer surface where ``at`` is 'depth'. [m]
    cell : int
        Cell of the layer, counted from 1, where ``at`` is 'cell'.
    """

    name: str
    quantity: str
    at: str
    layer: str = ""
    depth: float = 0.0
    cell: int = 0

    @property
    def column(self) -> str:
        """Heading of its column, with the unit."""
        unit = UNITS[self.quantity]
        return f"{self.name}_{unit}" if unit else self.name


def _places(quantity: str) -> tuple[str, ...]:
    if quantity == "water content":
        return ("depth", *IN_LAYER)
    if quantity in STATES:
        return ("depth", *IN_LAYER, *SURFACES)
    if quantity in AMOUNTS:
        return ("layer", "section")
    if quantity in FILM_FLOWS:
        return SURFACES
    return (*SIDES, *SURFACES)


def wanted_outputs(
    outputs: Sequence[Output],
    layers: Sequence[LayerPart],
    parts: Sequence[Part],
    dry: bool,
    faults: list[Fault],
    file: str,
) -> tuple[Wanted, ...]:
    """Check the outputs of a file against its layers.

    Parameters
    ----------
    outputs : sequence of Output
        As given.
    layers, parts : sequence
        Layers, and all parts, from outside to inside.
    dry : bool
        True if moisture is left out.
    faults : list of Fault
        Filled with every mistake.
    file : str
        The problem file, for messages.

    Returns
    -------
    tuple of Wanted
        Those that are right.
    """
    found: list[Wanted] = []
    by_name = {layer.name: layer for layer in layers}
    edges = _edges(parts)
    names: set[str] = set()
    for number, output in enumerate(outputs, start=1):
        before = len(faults)

        def fault(
            field: str, value: object, problem: str, remedy: str = "", number: int = number
        ) -> None:
            place = f"output[{number}].{field}"
            faults.append(Fault(file, place, str(value), problem, remedy))

        one = Wanted(
            output.name,
            output.quantity,
            output.at,
            output.layer or "",
            output.depth_m or 0.0,
            output.cell or 0,
        )
        if one.column in names or one.column == "hour":
            fault("name", output.name, "would name two columns alike")
        names.add(one.column)
        allowed = _places(output.quantity)
        if output.at not in allowed:
            fault(
                "at",
                output.at,
                f"is no place for '{output.quantity}'",
                "known: " + ", ".join(allowed),
            )
        if dry and output.quantity not in (
            "temperature",
            "heat flow",
            "heat passed",
            "film heat flow",
        ):
            fault("quantity", output.quantity, "is not solved where moisture is left out")
        for field, needed in (
            ("layer", output.at in IN_LAYER),
            ("depth_m", output.at == "depth"),
            ("cell", output.at == "cell"),
        ):
            value = getattr(output, field)
            if needed and value is None:
                fault(field, "", f"is missing for the place '{output.at}'")
            if not needed and value is not None:
                fault(field, value, f"has no place beside '{output.at}'")
        layer = by_name.get(output.layer or "")
        if output.layer is not None and layer is None:
            fault("layer", output.layer, "is no layer", did_you_mean(output.layer, by_name))
        if output.cell is not None and layer is not None:
            cells = layer.cells or len(layer.cell_widths_m or ())
            if cells == 0:
                fault("cell", output.cell, "needs a layer with cells or cell_widths_m")
            elif output.cell > cells:
                fault("cell", output.cell, f"'{layer.name}' has {cells} cells")
        if output.at == "depth" and output.depth_m is not None:
            one = _placed(one, edges, fault)
        if len(faults) == before:
            found.append(one)
    return tuple(found)


def _edges(parts: Sequence[Part]) -> list[tuple[str, float, float]]:
    """Give name, outer and inner depth of every layer; gaps take depth, films none."""
    depth, edges = 0.0, []
    for part in parts:
        if part.type == "layer":
            edges.append((part.name, depth, depth + part.thickness_m))
            depth += part.thickness_m
        elif part.type == "gap":
            depth += part.depth_m
    return edges


def _placed(one: Wanted, edges: list[tuple[str, float, float]], fault: object) -> Wanted:
    """Find the layer that holds a depth; between two layers the depth is two places."""
    inside = [name for name, low, high in edges if low + 1e-9 < one.depth < high - 1e-9]
    if inside:
        return Wanted(one.name, one.quantity, one.at, inside[0], one.depth)
    assert callable(fault)
    if edges:
        touching = any(abs(one.depth - x) <= 1e-9 for _, low, high in edges for x in (low, high))
        if touching:
            remedy = "name the layer and its 'outer side' or 'inner side'"
            fault("depth_m", one.depth, "lies on the face of a layer", remedy)
        else:
            fault("depth_m", one.depth, "lies in no layer", f"they end at {edges[-1][2]:g} m")
    return one
