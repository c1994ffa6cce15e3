"""What every report ends with."""

from __future__ import annotations

TYPICAL_YEAR = "A typical year holds no hurricane, no flood and no extreme."
"""Said wherever a year of weather is shown or used."""

CAUTIONS = (
    "One dimension, as drawn: no workmanship, no air loops inside insulation; rain, leaks and studs only as "
    "far as the file names them. Nothing here speaks of structure or of fire.",
    TYPICAL_YEAR,
    "Mold and rot can harm health and bring down structure. Foam needs the fire protection and the termite "
    "details that local code asks for.",
    "This is a screening result. Local code and a licensed design professional decide.",
)
"""Sentences in the order in which they are shown."""
