"""What to make of a pass and of a step: are the corrections small, is the step as exact as asked?

The loops over all cells are free of branches, so that they are turned into vector instructions; only where
they find something out of the ordinary are the cells looked at one by one.
"""

from __future__ import annotations

import numpy as np

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.joint import follow_joints
from moistwall.solver.kernel.layout import (
    Cells,
    Control,
    Faces,
    Floats,
    Ints,
    State,
    Tables,
    Topology,
    Work,
)
from moistwall.solver.kernel.lookup import Properties, content_at
from moistwall.solver.kernel.step import GAMMA

HOPELESS = 1e4
"""Correction, in units of m, from which no pass comes back; also stops at nan. [-]"""

LARGEST_RISE = 0.3
"""Rise of m in a pass, at most, where liquid moves. [-]"""

LARGEST_LOSS = 0.8
"""Share of its m that a cell gives up in a pass, at most. [-]"""

LARGEST_WARMING = 20.0
"""Change of a temperature in a pass, at most. [K]"""

LACKING = 0.0125
"""Share of the tolerance of a temperature that the linearised enthalpy may lack: 0.005 K by default. [-]"""

SMALLEST = 1e-7
"""Correction of m that is too small to care on which side of saturation it ends. [-]"""


@compiled
def out_of_bounds(cells: Cells, coordinate: Floats, change_t: Floats, change_m: Floats) -> int:
    """How many corrections leave the range of the linearisation, or are no numbers."""
    saturated, liquid = cells.saturated, cells.liquid
    count = 0
    for i in range(coordinate.size):
        m, new = coordinate[i], coordinate[i] + change_m[i]
        falls = not new >= (1.0 - LARGEST_LOSS) * m
        rises = (liquid[i] != 0) & (m < saturated[i]) & (new > m + LARGEST_RISE)
        crosses = ((m > saturated[i]) != (new > saturated[i])) & (abs(new - m) > SMALLEST)
        warms = not abs(change_t[i]) <= LARGEST_WARMING
        count += falls | rises | (crosses & (liquid[i] != 1)) | warms
    return count


@compiled
def hold(cells: Cells, coordinate: Floats, change_t: Floats, change_m: Floats) -> bool:
    """Hold corrections that leave the range of the linearisation; True if the pass must be repeated."""
    held = False
    for i in range(coordinate.size):
        m = coordinate[i]
        new = m + change_m[i]
        if new < (1.0 - LARGEST_LOSS) * m:
            new = (1.0 - LARGEST_LOSS) * m
            held = True
        saturated = cells.saturated[i]
        if cells.liquid[i] != 0 and m < saturated and new > m + LARGEST_RISE:
            # what is dry does not see how fast it would pass water on once it is wet, and Newton's
            # method comes back from too wet by only about 1/ln(1000) of m a pass
            new = m + LARGEST_RISE
            held = True
        crosses = (m > saturated) != (new > saturated) and abs(new - m) > SMALLEST
        if cells.liquid[i] != 1 and crosses:
            held = True  # storage has a kink there: the next pass takes the slopes beyond it
            if cells.liquid[i] == 2:
                # what is behind takes ever more from a skin towards saturation, and no more beyond:
                # only from the kink itself Newton's method is sure
                new = saturated + (1e-9 if new > saturated else -1e-9)
        change_m[i] = new - m
        if abs(change_t[i]) > LARGEST_WARMING:
            change_t[i] = LARGEST_WARMING if change_t[i] > 0 else -LARGEST_WARMING
            held = True
    return held


@compiled
def are_numbers(change_t: Floats, change_m: Floats) -> bool:
    """Whether all corrections are finite."""
    count = 0
    for i in range(change_t.size):
        count += (abs(change_t[i]) < np.inf) & (abs(change_m[i]) < np.inf)
    return count == change_t.size


@compiled
def largest_of(size: Floats, bits: Ints) -> float:
    """The largest of some positive numbers, none of them nan.

    Read as whole numbers (``bits`` is the same memory) they have the same order, and these may be compared
    in any order.
    """
    largest, at = 0, 0
    for i in range(bits.size):
        largest = max(largest, bits[i])
    for i in range(bits.size):
        if bits[i] == largest:
            at = i
    return size[at]  # type: ignore[no-any-return]


@compiled
def weighed(
    change_t: Floats, change_m: Floats, per_kelvin: float, per_m: float, size: Floats
) -> None:
    """Size of each correction in units of its tolerance."""
    for i in range(change_t.size):
        a, b = abs(change_t[i]) * per_kelvin, abs(change_m[i]) * per_m
        size[i] = a if a > b else b


@compiled
def largest_drift(
    cells: Cells,
    tables: Tables,
    coordinate: Floats,
    properties: Properties,
    control: Control,
    work: Work,
) -> float:
    """How far the linearised storage leads away from the true one, in units of its tolerance.

    Within its interval of the table a cell's storage is straight. Above the brim, where w rises steeply, the
    change of w itself must be small. So must be the product of both corrections, in light layers above all: it is
    what the linearised enthalpy lacks.
    """
    largest = 0.0
    for i in range(coordinate.size):
        d_m = work.change_m[i]
        end = properties.place[i] + d_m * cells.per_step[i]
        if end < 0.0 or end > 1.0:
            new = content_at(tables, cells.material[i], coordinate[i] + d_m)
            drift = properties.content[i] + properties.content_m[i] * d_m - new
            largest = max(largest, abs(drift) / (cells.full[i] * control.pass_drift))
        if cells.liquid[i] == 2:
            continue
        d_w = properties.content_m[i] * d_m
        if coordinate[i] > cells.brim[i]:
            largest = max(largest, abs(d_w) / (cells.full[i] * control.pass_coordinate))
        # the linearised enthalpy lacks c_w dw dT
        capacity = cells.heat_capacity[i] + WATER_HEAT_CAPACITY * properties.content[i]
        lacking = WATER_HEAT_CAPACITY * abs(d_w * work.change_t[i])
        if lacking > LACKING * control.pass_temperature * capacity:
            largest = 2.0
    return largest


@compiled
def correction_size(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    state: State,
    properties: Properties,
    control: Control,
    work: Work,
) -> float:
    """Largest correction in units of its tolerance, infinite if one is no number or the pass must be repeated.

    Finds the new sides of the joints on the way.
    """
    per_kelvin, per_m = 1.0 / control.pass_temperature, 1.0 / control.pass_coordinate
    change_t, change_m = work.change_t, work.change_m
    least = 0.0
    if out_of_bounds(cells, state.coordinate, change_t, change_m) > 0:
        if not are_numbers(change_t, change_m):
            return np.inf
        if hold(cells, state.coordinate, change_t, change_m):
            least = 2.0
    weighed(change_t, change_m, per_kelvin, per_m, work.size)
    largest = max(least, largest_of(work.size, work.bits))
    if largest <= 1.0:
        largest = max(
            largest, largest_drift(cells, tables, state.coordinate, properties, control, work)
        )
    return follow_joints(topology, cells, tables, faces, state, work, largest, 0.25 * per_m)


@compiled
def estimated_error(cells: Cells, control: Control, state: State, work: Work) -> float:
    """Error of the step in units of its tolerance.

    What the second stage found is compared with the straight line through start and first stage: a
    measure of dt^2 |Y''|. Skins are left out: they hold nothing and follow their neighbors; so is what is above
    the brim of a cell: it runs off at the end of the step.
    """
    per_kelvin, per_m = 1.0 / control.step_temperature, 1.0 / control.step_coordinate
    onward = 1.0 / GAMMA
    size, liquid = work.size, cells.liquid
    now, change, start, first = state.temperature, work.change_t, work.start_t, work.first_t
    for i in range(size.size):
        line = start[i] + (first[i] - start[i]) * onward
        size[i] = abs(now[i] + change[i] - line) * per_kelvin
    now, change, start, first = state.coordinate, work.change_m, work.start_m, work.first_m
    brim = cells.brim
    for i in range(size.size):
        line = start[i] + (first[i] - start[i]) * onward
        off = abs(min(now[i] + change[i], brim[i]) - min(line, brim[i])) * per_m
        off = off if off > size[i] else size[i]
        size[i] = off if liquid[i] != 2 else 0.0
    return largest_of(size, work.bits)
