"""Compositions in a corner's circle: alike on both sides of the miter; nothing crosses, or leaves the circle."""

from __future__ import annotations

from math import hypot, sqrt

import pytest
import shapely

from planner.fills.growing.outline import drawn, thinner
from planner.fills.growing.style import Needs, Style
from planner.fills.styles import FILLS
from planner.geometry.arrays import MEETING_IN

SPRAYED = tuple(kind for kind, one in FILLS.items() if isinstance(one.style, Style))


@pytest.mark.parametrize("kind", SPRAYED)
@pytest.mark.parametrize("radius", [1.1, 1.5, 2.2, 3.6])
def test_a_composition_is_sound_whatever_its_circle(kind: str, radius: float) -> None:
    """About a circle at the origin whose spine is at x = y on the side of the corner."""
    fill = FILLS[kind]
    assert isinstance(fill.style, Style)
    needs = Needs(fill.needs.comfortable_room, fill.needs.smallest_feature, 1)
    foot = -radius / sqrt(2)
    motif = fill.style.heart((foot, foot), (0.0, 0.0), needs)
    assert motif
    shapes = drawn(motif.outlines, 40)
    assert hypot(*shapes.points[0]) == pytest.approx(radius)
    assert max(hypot(*point) for point in shapes.points.tolist()) < radius + 1e-6
    lines = shapes.between_ends(2 * MEETING_IN).linestrings()
    assert not [
        (one.kind, other.kind)
        for i, one in enumerate(motif.outlines)
        for j, other in enumerate(motif.outlines[:i])
        if shapely.intersects(lines[i], lines[j])
    ]


@pytest.mark.parametrize("kind", SPRAYED)
@pytest.mark.parametrize("radius", [0.45, 0.6, 0.8, 1.1, 2.2])
def test_nothing_of_a_composition_is_too_thin_to_stay(kind: str, radius: float) -> None:
    """A leaf that is left out would leave its vein in the air."""
    fill = FILLS[kind]
    assert isinstance(fill.style, Style)
    smallest = fill.needs.smallest_feature
    for room in (fill.needs.least_room, fill.needs.comfortable_room, fill.needs.most_room):
        motif = fill.style.heart((0.0, -radius), (0.0, 0.0), Needs(room, smallest, 1))
        bare = [one for one in motif.outlines if not one.within] if motif else []
        assert not thinner(drawn(bare), smallest).any()


@pytest.mark.parametrize("kind", [kind for kind in SPRAYED if kind not in ("feathers", "flowers")])
def test_what_grows_to_one_side_grows_to_the_other(kind: str) -> None:
    """A bloom's petals are five, and turn: all else is its own mirror image to a hair."""
    fill = FILLS[kind]
    assert isinstance(fill.style, Style)
    motif = fill.style.heart((-2.0, 0.0), (0.0, 0.0), Needs(1.0, fill.needs.smallest_feature, 1))
    assert motif and len(motif.outlines) > 3
    points = shapely.MultiLineString([o.points for o in motif.outlines])
    image = shapely.transform(points, lambda at: at * (1, -1))
    assert shapely.hausdorff_distance(points, image) < 0.04
