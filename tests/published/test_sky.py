"""Clear-sky radiation against the formulas of Berdahl and Martin 1984 and Swinbank 1963.

Sources: Berdahl and Martin 1984, Solar Energy 32(5), 663-664, in the form T_sky = T_air (0.711 +
0.0056 t_dp + 0.000073 t_dp^2 + 0.013 cos 15 t)^(1/4) of Duffie and Beckman; Swinbank 1963, Q. J.
R. Meteorol. Soc. 89, 339-348: T_sky = 0.0552 T_air^1.5. The numbers of the table are computed from
these two formulas, so they are met to their last digit.
"""

import numpy as np
import pytest

from moistwall.loads.sky import clear_sky_emissivity

SIGMA = 5.670374e-8

# Air and dew point [degC]; Swinbank's sky [degC]; emissivity and sky temperature without the hour
# term, sky temperature at midnight [degC]; net loss of a black horizontal plane at air temperature
# at midnight [W/m2].
ROWS = [
    (25.0, 20.0, 11.03, 0.8522, 13.31, 14.40, 60.4),
    (25.0, 23.0, 11.03, 0.8784, 15.49, 16.55, 48.7),
    (30.0, 24.0, 18.21, 0.8874, 21.08, 22.16, 47.7),
    (20.0, 15.0, 3.91, 0.8114, 5.08, 6.19, 73.5),
    (10.0, 5.0, -10.15, 0.7408, -10.46, -9.31, 89.7),
]


def sky_temperature(air, emissivity):
    """Temperature of a black sky that sends as much. [degC]"""
    return (air + 273.15) * emissivity**0.25 - 273.15


def swinbank_sky_temperature(air):
    """Sky temperature that knows nothing of humidity. [degC]"""
    return 0.0552 * (air + 273.15) ** 1.5 - 273.15


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:g}/{row[1]:g}")
def test_clear_sky(row):
    """Emissivity, sky temperature, sky temperature at midnight and net loss of each row."""
    air, dew_point, _, emissivity, sky, sky_at_midnight, loss = row
    # The hour term vanishes at 6 and 18 o'clock.
    assert clear_sky_emissivity(dew_point, 6.0) == pytest.approx(emissivity, abs=0.51e-4)
    assert sky_temperature(air, clear_sky_emissivity(dew_point, 18.0)) == pytest.approx(
        sky, abs=0.0051
    )
    at_midnight = clear_sky_emissivity(dew_point, 0.0)
    assert sky_temperature(air, at_midnight) == pytest.approx(sky_at_midnight, abs=0.0051)
    assert (1.0 - at_midnight) * SIGMA * (air + 273.15) ** 4 == pytest.approx(loss, abs=0.051)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:g}/{row[1]:g}")
def test_swinbank_is_colder_on_humid_nights(row):
    """Swinbank's dry sky is 1 to 6 K colder than the humid one over 10 degC, and close at 10."""
    air, dew_point, swinbank, *_ = row
    assert swinbank_sky_temperature(air) == pytest.approx(swinbank, abs=0.0051)
    warmer = sky_temperature(air, clear_sky_emissivity(dew_point, 0.0)) - swinbank
    assert 0.5 < warmer < 6.0


def test_swinbank_loss_on_a_humid_night():
    """On a night of 25 degC with a dew point of 23 a black roof would lose 78 W/m2, not 49."""
    black = SIGMA * 298.15**4
    swinbank = black - SIGMA * (swinbank_sky_temperature(25.0) + 273.15) ** 4
    assert swinbank == pytest.approx(78.0, abs=0.5)
    assert (1.0 - clear_sky_emissivity(23.0, 0.0)) * black == pytest.approx(49.0, abs=0.5)


def test_emissivity_rises_with_humidity():
    """Over the whole range of the formula a more humid sky is a brighter one, never above 1."""
    emissivity = clear_sky_emissivity(np.linspace(-38.0, 34.0, 200), 0.0)
    assert np.all(np.diff(emissivity) > 0.0)
    assert emissivity[-1] < 1.0
