"""The same section beside other rooms: setpoint often decides more than thickness does.

Each verdict is also given for a room that is kept cold and dry, and for one that is damp in spring and fall, when
cooling idles and takes no water out of the air.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.climate.record import Climate
from moistwall.loads.rooms import prescribed_room
from moistwall.section import Section

COLD = (70.0 - 32.0) / 1.8
"""Setpoint of a room kept cold: 70 degF, common practice, no source. [degC]"""

COLD_RH = 0.50
"""Its humidity. [-]"""

DAMP = (75.0 - 32.0) / 1.8
"""Setpoint of a room that turns damp: 75 degF. [degC]"""

DAMP_RH = 0.70
"""Its humidity while cooling idles: the upper end of 65 to 70 %, common practice, no source. [-]"""

DAMP_MONTHS = (3, 4, 10, 11)
"""Months in which cooling idles on the Gulf coast: common practice, no source."""

COLD_NAME = "70 degF (21 degC), 50 % RH"
DAMP_NAME = "75 degF (24 degC), 70 % RH in spring and fall"


def room_pairs(section: Section, climate: Climate) -> list[tuple[str, Section]]:
    """The section beside a cold, dry room and beside a damp one.

    Parameters
    ----------
    section : Section
        As its file has it.
    climate : Climate
        The year, which the section's own room may follow.

    Returns
    -------
    list of (str, Section)
        The room in words, and the section. In the months in which cooling works the damp room has the humidity
        that the section's own room has.
    """
    _, own = prescribed_room(section, climate)
    damp = np.where(np.isin(MONTH_OF_HOUR, DAMP_MONTHS), np.maximum(DAMP_RH, own), own)
    beyond = section.zone is not None and section.zone.kind != "room"
    cold = dataclasses.replace(
        section,
        room_temperature=COLD,
        room_rh=COLD_RH,
        room=None,
        zone=section.zone if beyond else None,
    )
    return [
        (COLD_NAME, cold),
        (DAMP_NAME, dataclasses.replace(cold, room_temperature=DAMP, room_rh=damp)),
    ]
