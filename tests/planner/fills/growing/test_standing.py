"""What may stand in a gap: nothing that goes round the end of the line it hangs on."""

from __future__ import annotations

import shapely

from planner.fills.growing.outline import drawn
from planner.fills.growing.standing import A_CURVE, Among, crosses_nothing, drop


def test_no_drop_goes_round_the_end_of_a_spine() -> None:
    """The tail of a little spine ran in by a leaf's point: neither side crossed it, but the vein inside did."""
    lines = drawn([drop((0.7, 0.0), (1.5, 0.0), 0.5, "leaf")], A_CURVE)

    def stands(end: float) -> bool:
        (spine,) = shapely.linestrings([[(0.0, 0.0), (end, 0.0)]])
        side = shapely.LineString(lines.points[1:-1])  # without the foot
        assert not spine.intersects(side)
        return crosses_nothing(lines, Among(shapely.STRtree([spine]), shapely.box(-5, -5, 5, 5)))

    assert stands(0.7)
    assert not stands(1.0)
