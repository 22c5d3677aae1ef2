"""What a fill leaves open: the pockets share all of the border among them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills import fill
from planner.fills.backgrounds import pebbles
from planner.fills.backgrounds.open_ground import OpenGround, _within
from planner.fills.backgrounds.record import Lines
from planner.fills.growing.style import Needs
from planner.fills.pockets.pocket import SLIVER_IN
from planner.geometry.polylines import moved
from tests.outside.test_backgrounds import wide

SLIT_IN = 0.04  # two threads wide: nothing would lie in it


@pytest.mark.parametrize(("kind", "corner"), [("needles", "mirrored"), ("feathers", "easy_going")])
def test_pockets_share_the_border(kind: str, corner: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of it is two pockets', and nothing none's: at the corners of the seam .2 sq in were nobody's."""
    layout = wide("pebbles", kind, corner)
    grounds: dict[int, BaseGeometry] = {}

    def seen(open_: OpenGround, needs: Needs) -> Lines:
        grounds[needs.seed - layout.plan.seed] = open_.ground
        return []

    monkeypatch.setattr(pebbles, "pebbles_of", seen)
    laid = [copy for copy in fill(layout).copies if copy.cell in grounds]
    there = [
        shapely.make_valid(
            shapely.transform(grounds[copy.cell], lambda points, m=copy.motion: moved(points, m)),  # type: ignore[misc]
            method="structure",
            keep_collapsed=False,
        )
        for copy in laid
    ]
    quilt, off = layout.quilt, layout.plan.binding_allowance_in + SLIVER_IN
    in_ = {side: band.outside + band.edge - SLIVER_IN for side, band in quilt.bands.items()}
    inner = shapely.box(in_["left"], in_["top"], quilt.width - in_["right"], quilt.height - in_["bottom"])
    border = shapely.box(off, off, quilt.width - off, quilt.height - off).difference(inner)
    every = shapely.union_all(there, grid_size=1e-6)
    assert sum(ground.area for ground in there) == pytest.approx(every.area, abs=0.01), "two pockets'"
    assert shapely.buffer(border.difference(every), -SLIT_IN / 2).is_empty, "nobody's"
    assert every.difference(border).area < 0.01


def test_a_pocket_in_which_nothing_grew_has_no_cloth() -> None:
    """There the needle could begin anywhere along the spine; the page broke."""
    assert not _within(np.zeros((3, 2)), []).any()
    assert _within(np.full((1, 2), 0.5), [shapely.box(0, 0, 1, 1)]).all()
