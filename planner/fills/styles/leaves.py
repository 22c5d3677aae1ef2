"""Leaves: pointed leaves with a vein on short stems, a curled leaf at every tip, single leaves in the crooks."""

from __future__ import annotations

from math import radians

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.gaps import Hole
from planner.fills.growing.grow import FlowStrips, Motif, Needs, Style
from planner.fills.growing.outline import Outline
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis, small_drop
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.kinds import NeedRange

_HAIR_IN = 0.012  # from a leaf's edge to the middle of the line between it and its neighbour
_STEM = 5 / 32  # share of the length that is stem
_SLENDER = 0.24  # half width of a leaf, at most this share of its length
_NODES = np.array([0, 5, 11, 17, 24, 32, 40, 47, 53, 59, 64])
_CORNERS = (5, 32, 59)  # where the stem ends, and the point
_VEIN_NODES = np.array([0, 10, 21])


def leaves(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One leaf a strip, with its vein."""
    return [[leaf, vein] for leaf, vein in zip(*leaf_and_vein(strips), strict=True)]


def leaf_and_vein(strips: FlowStrips) -> tuple[list[Outline], list[Outline]]:
    """A leaf on its stem for each strip, as wide as the strip lets it be, and the vein that the stem runs into."""
    x = np.linspace(0, 1, 33)[None, :] * (1 - 0.012 / np.maximum(strips.length, 0.1))[:, None]
    share = np.repeat((0.5, 0.0, 1.0), 33)[None]
    middle, left, right = np.split(strips.points(share, np.tile(x, 3)), 3, axis=1)
    along = np.gradient(middle, axis=1)
    along /= np.linalg.norm(along, axis=2, keepdims=True) + 1e-12
    across = np.stack((along[..., 1], -along[..., 0]), axis=2)
    free = np.minimum(
        np.abs(((left - middle) * across).sum(axis=2)), np.abs(((right - middle) * across).sum(axis=2))
    )
    body = np.clip((np.linspace(0, 1, 33) - _STEM) / (1 - _STEM), 0, 1)
    shape = np.sin(np.pi * body**0.82) ** 0.8
    inner = (body > 0.12) & (body < 0.9)
    width = (np.maximum(free[:, inner] - _HAIR_IN, 0) / shape[inner]).min(axis=1)
    width = np.minimum(width, _SLENDER * strips.length)
    side = (width[:, None] * shape)[..., None] * across
    outlines = np.concatenate((middle + side, (middle - side)[:, -2::-1]), axis=1)
    return (
        [Outline("leaf", one, _NODES, corners=_CORNERS) for one in outlines],
        [Outline("stem", one[5:27], _VEIN_NODES, within=True) for one in middle],
    )


def blade(axis: Numbers, width: float, kind: str, needs: Needs) -> Motif:
    """A leaf of the given half width along an axis (n, 2), with its vein."""
    along = np.gradient(axis, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    left = np.stack((along[:, 1], -along[:, 0]), axis=1)
    x = np.linspace(0, 1, len(axis))
    side = (width * np.sin(np.pi * x**1.1))[:, None] * left
    whole = np.concatenate((axis + side, (axis - side)[-2::-1]))
    vein = Outline.of("stem", axis[: int(0.8 * len(axis))], 4, within=True)
    return Motif((Outline.of(kind, whole, 10), vein), whole)


def curled_leaf(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on into a leaf that curls into the heart of its curl."""
    return blade(curl_axis(tail, 1.9, 1.06), min(0.27 * tail.radius, 0.5 * needs.room), "leaf", needs)


def crook_leaf(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A leaf in the wedge between neighbouring curls, with its point outwards."""
    if width[-1] < needs.smallest / 2:
        return None
    ahead = axis[-1] - axis[-2]
    ahead = ahead / np.linalg.norm(ahead) * width[-1]
    longer = np.concatenate((axis, axis[-1] + ahead * np.linspace(0.1, 0.9, 10)[:, None]))
    t = np.linspace(0, 1, len(longer))
    room = np.concatenate((width, width[-1] * np.sqrt(1 - np.linspace(0.1, 0.9, 10) ** 2)))
    shape = np.sin(np.pi * t**1.1)
    inner = (t > 0.1) & (t < 0.95)
    return blade(longer, float(np.min(room[inner] / shape[inner])), "leaf", needs)


def parting_leaf(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One large leaf where the flow parts."""
    return leaves(strips, needs)


def heart_leaf(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A straight leaf from the spine to past the middle of its circle."""
    t = np.linspace(0, 1.2, 50)[:, None]
    axis = np.array(base) + t * (np.array(centre) - np.array(base))
    reach = float(np.linalg.norm(axis[-1] - axis[0]))
    return blade(axis, min(0.25 * reach, 0.6 * needs.room), "leaf", needs)


def berry(hole: Hole, needs: Needs) -> list[Outline]:
    """A berry hung into a hole."""
    return small_drop(hole, needs, "berry")


STYLE = Style(
    lean=Lean(radians(50), radians(18)),
    width=0.6,
    shortest=0.35,
    strips=leaves,
    tip=curled_leaf,
    crook=crook_leaf,
    crook_radius=0.36,
    parting=parting_leaf,
    heart=heart_leaf,
    drop=berry,
    bent=Bent("leaf", pointed=True),
)
LEAVES = FillRecord(
    kind="leaves",
    listed="leaves",
    spoken="leaves",
    by_hand="Each leaf: out along one edge to the point, back along the other, then the vein and back.",
    needs=NeedRange(
        least_room=0.4375,
        comfortable_room=0.875,
        most_room=1.5,
        longest_ratio=18 / 7,
        longest_most=3.5,
        curl_share=6 / 7,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=4.21, spine=11.78, feature=-3.45),
    style=STYLE,
)
