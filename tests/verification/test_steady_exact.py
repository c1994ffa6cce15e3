"""A layered wall at rest: half-cell resistances in series make its steady state exact, on any grid.

Source: series of resistances, which solves -k T'' = 0 in layers with films at both ends exactly; the
same for vapor pressure at one temperature.
"""

import numpy as np
import pytest
from driven import Air, Driven, bare_section, coat, plain_material, sealed

from moistwall.air import saturation_pressure
from moistwall.material_curves import storage_of_pore_air
from moistwall.section import Layer
from moistwall.solver.kernel.layout import HEAT_A, MOISTURE_A, VAPOR_A
from moistwall.solver.march import Accuracy

# thickness [m], conductivity [W/(m K)], permeability [kg/(m s Pa)]
LAYERS = {
    "board": (0.012, 0.2, 1e-11),
    "wool": (0.14, 0.037, 1.7e-10),
    "plaster": (0.02, 0.7, 2e-11),
}
FILM = 3e-10  # permeance of a sheet between board and wool [kg/(m2 s Pa)]
HEAT_FILMS, VAPOR_FILMS = (20.0, 8.0), (1.2e-7, 3e-8)
STEADY = Accuracy(tolerance=1e-4, fixed=1)
EXACT = 1e-10


def three_layers(conducting=1.0, permeable=1.0):
    storage = storage_of_pore_air(0.5, 10.0)
    parts = [
        Layer(
            name,
            plain_material(
                name,
                storage,
                conductivity=conducting * k,
                permeability=permeable * delta,
                density=50.0,
            ),
            thickness,
            0.5,
        )
        for name, (thickness, k, delta) in LAYERS.items()
    ]
    parts.insert(1, coat("sheet", FILM * permeable))
    return bare_section("three layers", parts)


def in_series(drive, resistances):
    """Flow through resistances in series, and the potential's fall up to the end of each."""
    flow = drive / sum(resistances)
    return flow, flow * np.cumsum(resistances)


@pytest.mark.parametrize("refine", [1, 2])
def test_heat_alone(refine):
    """Without vapor, flow and temperatures at all joints are exact."""
    outer, inner = 35.0, 21.0
    driven = Driven(
        three_layers(permeable=1e-12),
        sealed(outer, HEAT_FILMS[0]),
        sealed(inner, HEAT_FILMS[1]),
        400,
        refine=refine,
        accuracy=STEADY,
    )
    record = driven.run()
    films = [1.0 / film for film in HEAT_FILMS]
    resistances = [films[0], *(d / k for d, k, _ in LAYERS.values()), films[1]]
    flow, fall = in_series(outer - inner, resistances)
    np.testing.assert_allclose(record.flow[-1, :, HEAT_A, 0], 3600.0 * flow, rtol=EXACT)
    np.testing.assert_allclose(record.side_temperature[-1, 1:-1, 0], outer - fall[:-1], rtol=EXACT)


@pytest.mark.parametrize("refine", [1, 2])
def test_vapor_alone(refine):
    """At one temperature, flow and vapor pressures on both sides of all joints are exact."""
    t = 25.0
    saturated = float(saturation_pressure(t))
    outer, inner = 0.85 * saturated, 0.4 * saturated
    driven = Driven(
        three_layers(conducting=1e6),
        Air(t, outer, 1e9, VAPOR_FILMS[0]),
        Air(t, inner, 1e9, VAPOR_FILMS[1]),
        400,
        refine=refine,
        accuracy=STEADY,
        start_temperature=t,
    )
    record = driven.run()
    parts = [d / delta for d, _, delta in LAYERS.values()]
    films = [1.0 / film for film in VAPOR_FILMS]
    resistances = [films[0], parts[0], 1.0 / FILM, *parts[1:], films[1]]
    flow, fall = in_series(outer - inner, resistances)
    for column in (VAPOR_A, MOISTURE_A):
        np.testing.assert_allclose(record.flow[-1, :, column, 0], 3600.0 * flow, rtol=EXACT)
    pressure = record.side_humidity[-1, 1:-1, :, 0] * saturated
    # sides a and b of: surface, board | sheet | wool, wool | plaster, surface
    at = [[0, 0], [1, 2], [3, 3], [4, 4]]
    np.testing.assert_allclose(pressure, outer - fall[at], rtol=EXACT)


def test_exactness_is_told_from_nearly_so():
    """The same comparison fails where one resistance is a millionth off."""
    flow, _ = in_series(14.0, [0.05, 0.06, 3.8, 0.03, 0.125])
    near, _ = in_series(14.0, [0.05, 0.06, 3.8 * (1.0 + 1e-6), 0.03, 0.125])
    with pytest.raises(AssertionError):
        np.testing.assert_allclose(near, flow, rtol=EXACT)
