"""Typical depths for kinds of rain, by the codes of TMY2, EPW and of synoptic weather.

A light, moderate or heavy rain is at most 2.5, from 2.8 to 7.6 and more than 7.6 mm/h; drizzle at
most 0.3, up to 0.5 and more than 0.5 mm/h (from memory, classes of the surface weather observer).
The depth that stands for a class is a choice within it (common practice, no source); what it is
worth is seen once months are scaled to normals.

References
----------
Marion and Urban 1995, User's Manual for TMY2s, NREL/SP-463-7668, appendix B, doi:10.2172/87130
(digits of present weather); World Meteorological Organization, Manual on Codes, WMO-No. 306, code
table 4677 (present weather ww).
"""

from __future__ import annotations

LIGHT, MODERATE, HEAVY = 1.0, 5.0, 12.0
"""Depths of an hour of rain or of showers, frozen or not. [mm]"""

LIGHT_DRIZZLE, MODERATE_DRIZZLE, HEAVY_DRIZZLE = 0.2, 0.4, 0.8
"""Depths of an hour of drizzle. [mm]"""

DEPTHS_SAID = (
    f"depths from kinds of rain (light {LIGHT:g}, moderate {MODERATE:g}, heavy {HEAVY:g} mm/h, "
    f"drizzle {LIGHT_DRIZZLE:g} to {HEAVY_DRIZZLE:g})"
)
"""The depths in words, for notes."""

_RAIN = {str(digit): (LIGHT, MODERATE, HEAVY)[digit % 3] for digit in range(9)}
_DRIZZLE = {
    "0": LIGHT,  # squalls of rain
    "1": MODERATE,
    **{
        str(digit): (LIGHT_DRIZZLE, MODERATE_DRIZZLE, HEAVY_DRIZZLE)[digit % 3]
        for digit in range(3, 9)
    },
}

_SYNOPTIC: dict[int, float] = {
    # light, moderate, heavy by pairs: intermittent, continuous
    **dict.fromkeys((50, 51, 56), LIGHT_DRIZZLE),
    **dict.fromkeys((52, 53, 57), MODERATE_DRIZZLE),
    **dict.fromkeys((54, 55), HEAVY_DRIZZLE),
    # rain, drizzle and rain, freezing rain, rain and snow, showers, after and with thunder
    **dict.fromkeys((58, 60, 61, 66, 68, 80, 83, 91), LIGHT),
    **dict.fromkeys((59, 62, 63, 67, 69, 81, 84, 92, 95, 96), MODERATE),
    **dict.fromkeys((64, 65, 82, 97, 99), HEAVY),
}


def depth_of_digits(digits: str) -> float:
    """Typical depth of an hour by its digits of present weather.

    Parameters
    ----------
    digits : str
        Nine digits: the second to the tenth of TMY2, which are those of EPW. The second of them is
        rain, showers or freezing rain, the third squalls or drizzle.

    Returns
    -------
    float
        The depth, 0 without rain; snow, hail and fog are no rain. [mm]
    """
    return max(_RAIN.get(digits[1], 0.0), _DRIZZLE.get(digits[2], 0.0))


def depth_of_synoptic(code: int) -> float:
    """Typical depth of an hour by its synoptic code of present weather, 0 without rain. [mm]"""
    return _SYNOPTIC.get(code, 0.0)
