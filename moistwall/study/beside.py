"""Paths of a roof or wall beside the air of a zone that another run has left: through studs, along a ridge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from moistwall.air import saturation_pressure
from moistwall.assess.zone_air import WATER_NAMES
from moistwall.loads.leakage import FAN_AIR_DENSITY
from moistwall.result import Result
from moistwall.section import Section
from moistwall.zone import Zone


def beside_zone(section: Section, clear: Result) -> Section:
    """The path through the studs beside the air that the clear path left in the zone at its inner end.

    Parameters
    ----------
    section : Section
        The path through the studs.
    clear : Result
        What was found for the clear path.

    Returns
    -------
    Section
        Unchanged without a zone, or with one at the outer end, where this path has its own.
    """
    if section.zone is None or clear.zone is None or clear.zone.outer:
        return section
    rh = clear.room_vapor / saturation_pressure(clear.room_temperature)
    return replace(
        section,
        room_temperature=clear.room_temperature,
        room_rh=np.minimum(rh, 1.0),
        room=None,
        zone=None,
    )


def ridge_strip(section: Section, clear: Result) -> Section | None:
    """The strip of a roof along its ridge, whose air takes up what the roof of the attic has given off.

    Water rises to the ridge in the hours in which the roof gives any to the attic, and mixes with the attic's
    air from there; in the hours in which the roof takes water, it takes it from the air beside it. So the ridge is
    damper than the attic although the roof gives off no more than it takes up. The attic's own balance, in which
    all of this is mixed at once, stays as it is.

    Parameters
    ----------
    section : Section
        The clear path of a roof.
    clear : Result
        What was found for it and its attic.

    Returns
    -------
    Section or None
        With the air below the ridge as its zone, beside the attic as a room; None where it is not told apart.
    """
    if section.zone is None or section.zone.ridge is None:
        return None
    ridge = section.zone.ridge
    given_off = np.maximum(clear.zone_flow[:, WATER_NAMES.index("section")], 0.0) / 3600.0
    rises = ridge.rising * given_off
    zone = Zone(
        "attic",
        ridge.area,
        ridge.volume,
        ridge.contents,
        np.zeros(given_off.size),
        rises,
        conductance_room=ridge.conductance,
        room_air=np.maximum(ridge.exchange, rises / (FAN_AIR_DENSITY * ridge.excess)),
        diffusion_vent=ridge.diffusion_vent,
    )
    return replace(beside_zone(section, clear), zone=zone)
