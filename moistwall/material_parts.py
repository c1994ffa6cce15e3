"""What the groups of a material file become in SI, each as far as it could be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np

from moistwall.errors import Fault, InputError
from moistwall.material import DRY_CUP_RH, WET_CUP_RH, Range
from moistwall.material_checks import Subject
from moistwall.material_liquid import absorption_from_diffusivity
from moistwall.material_schema import (
    Conductivity,
    Density,
    HeatCapacity,
    Held,
    Liquid,
    Mold,
    PointStorage,
    PoreAirStorage,
    Sourced,
    Surface,
    Vapor,
    WoodStorage,
)
from moistwall.material_spread import Spread
from moistwall.material_texts import Content

Built = TypeVar("Built")
Group = TypeVar("Group", bound=Sourced)


class Faults(list[Fault]):
    """Faults of one file; builds its parts and keeps what is wrong with each.

    Parameters
    ----------
    file : str
        The file, as messages name it.
    """

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file

    def building(self, group: str, build: Callable[[], Built]) -> Built | None:
        """Build a part, or keep its faults with their place and return None."""
        try:
            return build()
        except InputError as error:
            for fault in error.faults:
                place = ".".join(part for part in (group, fault.field) if part)
                self.append(Fault(self.file, place, fault.value, fault.problem, fault.remedy))
            return None


def parts_of(groups: dict[str, Any], kind: str, film: bool, faults: Faults) -> Subject:
    """Turn the groups of a file into what the rules look at.

    Parameters
    ----------
    groups : dict
        Groups of the schema by name, those that could be read.
    kind : str
        Folder of the file.
    film : bool
        Whether it is a sheet or coat.
    faults : Faults
        Takes what does not fit together.

    Returns
    -------
    Subject
        Numbers in SI; None where something is missing.
    """
    density, heat = (
        _group(groups, "density", Density),
        _group(groups, "heat_capacity", HeatCapacity),
    )
    vapor, liquid = _group(groups, "vapor", Vapor), _group(groups, "liquid", Liquid)
    conductivity, mold = _group(groups, "conductivity", Conductivity), _group(groups, "mold", Mold)
    stored = groups.get("storage")
    cubic = isinstance(stored, PointStorage) and stored.fit is None
    subject = Subject(
        name=str(groups.get("name", "")),
        kind=kind,
        film=film,
        wood=bool(groups.get("wood", False)),
        panel=bool(groups.get("panel", False)),
        density=density.value if density else None,
        heat_capacity=heat.value if heat else None,
        falls=(vapor.falls or "") if vapor else "",
        sorbs=not isinstance(stored, PoreAirStorage),
        porosity=stored.porosity if isinstance(stored, (Held, PoreAirStorage)) else None,
        sorption_points=len(stored.points) if cubic and isinstance(stored, PointStorage) else None,
        absorption=liquid.absorption if liquid else None,
        mold_class=mold.sensitivity if mold else "",
        without_range=tuple(
            name for name, one in groups.items() if isinstance(one, Sourced) and not one.valid
        ),
    )
    if vapor:
        passage = vapor.permeance if film else vapor.permeability
        subject = replace(subject, vapor=faults.building("vapor", passage))
    subject = _of_content(subject, stored, conductivity, liquid, faults)
    return replace(subject, spreads=tuple(_spreads(groups, subject, faults)))


def _of_content(
    subject: Subject,
    stored: Any,
    conductivity: Conductivity | None,
    liquid: Liquid | None,
    faults: Faults,
) -> Subject:
    """Add what is told over water contents; those in percent of dry mass need the density."""

    def known(group: Sourced | None) -> bool:
        return group is not None and (subject.density is not None or not _needs_density(group))

    density = subject.density or 1.0
    if conductivity and known(conductivity):
        over = faults.building("conductivity", lambda: conductivity.over_content(density))
        subject = replace(subject, conductivity=over)
    storage = faults.building("storage", lambda: stored.build(density)) if known(stored) else None
    if storage is None:
        return subject
    fit = stored.fitted(density) if isinstance(stored, PointStorage) else None
    diffusivity = None
    if liquid and known(liquid):
        free = storage.free
        diffusivity = faults.building("liquid", lambda: liquid.build(density, free))
    return replace(
        subject, storage=storage, diffusivity=diffusivity, fit_error=fit.worst if fit else None
    )


def _needs_density(group: Sourced) -> bool:
    """Whether a group gives a water content in percent of dry mass, or that of wood."""
    points = getattr(group, "points", None) or ()
    given = [getattr(group, "free", None), getattr(group, "holds", None)]
    contents = (*given, *(part for point in points for part in point))
    in_dry_mass = any(isinstance(one, Content) and one.in_dry_mass for one in contents)
    return in_dry_mass or isinstance(group, WoodStorage)


def _group(groups: dict[str, Any], name: str, of: type[Group]) -> Group | None:
    found = groups.get(name)
    return found if isinstance(found, of) else None


def _spreads(groups: dict[str, Any], subject: Subject, faults: Faults) -> list[Spread]:
    """Give how far sources lie apart beside the values that are used, of all groups."""
    found = []
    for name, group in groups.items():
        for key, given in group.given_spreads().items() if isinstance(group, Sourced) else ():
            used = _used(subject, group, name, key)
            if used is None:
                continue
            place = f"{name}.{key}" if key else name
            ends = faults.building(
                f"{place}_spread" if key else f"{place}.spread",
                lambda group=group, given=given: _ends(subject, group, given),  # type: ignore[misc]
            )
            if ends is not None:
                low, high = ends
                found.append(Spread(place, low, used, high, given.text, group.origin()))
    return found


def _used(subject: Subject, group: Sourced, name: str, key: str) -> float | None:
    """Give the value that a spread is about."""
    if name == "conductivity":
        return float(subject.conductivity[1][0]) if subject.conductivity else None
    if name == "vapor":
        rh = {"dry_cup": DRY_CUP_RH, "wet_cup": WET_CUP_RH}[key]
        return float(np.interp(rh, *subject.vapor)) if subject.vapor else None
    if name == "storage":
        storage = subject.storage
        return float(storage.content(np.log(np.array([0.8])))[0]) if storage else None
    if name == "liquid":
        if subject.absorption is None and subject.diffusivity and subject.storage:
            return absorption_from_diffusivity(subject.diffusivity, subject.storage.free)
        return subject.absorption
    if isinstance(group, Surface):
        return group.emittance if key == "emittance" else group.absorptance
    return subject.density if name == "density" else subject.heat_capacity


def _ends(subject: Subject, group: Sourced, given: Range) -> tuple[float, float]:
    """Give the ends of a spread in the unit of the value that it is about."""
    low, high = given.low, given.high
    if isinstance(group, Vapor):
        turned = group.of_sheet if subject.film else group.of_thickness
        of_sample = given.kind == "permeance"
        return turned(low, of_sample), turned(high, of_sample)
    if given.kind == "moisture_content" and subject.density is not None:
        return low * subject.density, high * subject.density
    return low, high
