"""What becomes of a lane after a pass: repeat it, go on, finish the step or cut it."""

from __future__ import annotations

import numpy as np

from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.joint import follow_joints
from moistwall.solver.kernel.layout import (
    FORCED,
    PASSES,
    Cells,
    Control,
    Faces,
    Record,
    State,
    Tables,
    Topology,
    Work,
)
from moistwall.solver.kernel.lookup import Properties, content_at
from moistwall.solver.kernel.step import GAMMA

REST, REPEAT, NEXT_STAGE, FINISH, CUT = range(5)

HOPELESS = 1e4
"""Correction, in units of m, from which no pass comes back; also stops at nan. [-]"""

LARGEST_RISE = 0.3
"""Rise of m in a pass, at most, where liquid moves. [-]"""

SMALLEST = 1e-7
"""Correction of m that is too small to care on which side of saturation it ends. [-]"""


@compiled
def bounded(
    topology: Topology, cells: Cells, tables: Tables, state: State, work: Work, lane: int
) -> bool:
    """Hold corrections that leave the range of the linearisation; True if the pass must be repeated.

    A cell gives up at most four fifths of its m in a pass, and no temperature moves by more than 20 K.
    """
    held = False
    for i in range(cells.width.shape[0]):
        m = state.coordinate[i, lane]
        new = m + work.change_m[i, lane]
        if new < 0.2 * m:
            new = 0.2 * m
            held = True
        material = cells.material[i, lane]
        saturated = tables.saturated[material]
        liquid = tables.capillary[material] == 1 or topology.is_skin[i] == 1
        if liquid and m < saturated and new > m + LARGEST_RISE:
            # what is dry does not see how fast it would pass water on once it is wet, and Newton's
            # method comes back from too wet by only about 1/ln(1000) of m a pass
            new = m + LARGEST_RISE
            held = True
        crosses = (m > saturated) != (new > saturated) and abs(new - m) > SMALLEST
        if tables.capillary[material] == 0 and crosses:
            held = True  # storage has a kink there: the next pass takes the slopes beyond it
            if topology.is_skin[i] == 1:
                # what is behind takes ever more from a skin towards saturation, and no more beyond:
                # only from the kink itself Newton's method is sure
                new = saturated + (1e-9 if new > saturated else -1e-9)
        work.change_m[i, lane] = new - m
        if abs(work.change_t[i, lane]) > 20.0:
            work.change_t[i, lane] = 20.0 if work.change_t[i, lane] > 0 else -20.0
            held = True
    return held


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
    lane: int,
) -> float:
    """Largest correction in units of its tolerance, infinite if one is no number; finds the joints' sides."""
    largest = 0.0
    per_kelvin, per_m = 1.0 / control.pass_temperature, 1.0 / control.pass_coordinate
    for i in range(cells.width.shape[0]):
        d_t, d_m = work.change_t[i, lane], work.change_m[i, lane]
        if not (abs(d_t) < np.inf and abs(d_m) < np.inf):
            work.failed[1, lane] = i
            return np.inf
        size = max(abs(d_t) * per_kelvin, abs(d_m) * per_m)
        # w rises by at most w_f a unit of m, so that below this the drift is within its limit anyway
        if not 2.0 * abs(d_m) < control.pass_drift:
            new = content_at(tables, cells.material[i, lane], state.coordinate[i, lane] + d_m)
            drift = properties.content[i, lane] + properties.content_m[i, lane] * d_m - new
            size = max(size, abs(drift) / (cells.full[i, lane] * control.pass_drift))
        if size > largest:
            largest = size
            work.failed[1, lane] = i
    return follow_joints(topology, cells, tables, faces, state, work, lane, largest, 0.25 * per_m)


@compiled
def estimated_error(
    topology: Topology, control: Control, state: State, work: Work, lane: int
) -> float:
    """Error of the step in units of its tolerance.

    What the second stage found is compared with the straight line through start and first stage: a
    measure of dt^2 |Y''|. Skins are left out: they hold nothing and follow their neighbors.
    """
    largest = 0.0
    per_kelvin, per_m = 1.0 / control.step_temperature, 1.0 / control.step_coordinate
    onward = 1.0 / GAMMA
    for i in range(state.temperature.shape[0]):
        if topology.is_skin[i] == 1:
            continue
        t = work.start_t[i, lane] + (work.first_t[i, lane] - work.start_t[i, lane]) * onward
        m = work.start_m[i, lane] + (work.first_m[i, lane] - work.start_m[i, lane]) * onward
        size = max(
            abs(state.temperature[i, lane] + work.change_t[i, lane] - t) * per_kelvin,
            abs(state.coordinate[i, lane] + work.change_m[i, lane] - m) * per_m,
        )
        if not size <= largest:
            largest = size
    return largest


@compiled
def decide(
    topology: Topology,
    cells: Cells,
    tables: Tables,
    faces: Faces,
    state: State,
    properties: Properties,
    control: Control,
    record: Record,
    work: Work,
    lane: int,
) -> tuple[int, float]:
    """What becomes of a lane after a pass, and the factor for its next step."""
    work.passes[lane] += 1
    record.counts[PASSES, lane] += 1
    held = bounded(topology, cells, tables, state, work, lane)
    size = correction_size(topology, cells, tables, faces, state, properties, control, work, lane)
    if not size <= 1.0 or held:
        if work.passes[lane] < control.most_passes and size * control.pass_coordinate < HOPELESS:
            return REPEAT, 1.0
        return CUT, 0.25
    if work.stage[lane] == 0:
        return NEXT_STAGE, 1.0
    error = estimated_error(topology, control, state, work, lane)
    factor = min(max(0.8 / (error + 1e-12) ** 0.5, 0.3), 2.5)
    if control.fixed > 0:
        return FINISH, 1.0
    if error > 1.0:
        if work.step[lane] > control.shortest * 1.001:
            return CUT, factor
        record.counts[FORCED, lane] += 1
    return FINISH, factor
