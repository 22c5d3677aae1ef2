"""Needles: slender needles off the spine, forked where they crowd; their cones, and tufts in the gaps. Inches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import radians

import numpy as np
import shapely

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import LEVELS, Lean
from planner.fills.growing.outline import Outline, drawn
from planner.fills.growing.style import FlowStrips, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.cones import berries, crook_cone, hanging_cone, heart_cone, parting_cone
from planner.fills.styles.tufts import HAIR_IN, profile, small_needle, tuft
from planner.geometry.arrays import MEETING_IN, Mask, Numbers
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Needle:
    """The proportions of needles: shares, inches where a name says so. Common practice, no source."""

    most_hair: float = 0.2  # Of a strip's width: a narrow needle gives up no more, or it would close.
    least_strip_in: float = 1e-3  # A strip counts as no less, since its width and length divide.
    astray_in: float = 5e-3  # A needle that leaves its strip by more is drawn through more nodes.
    shorter: tuple[float, ...] = (0.85, 0.7, 0.55)  # Of its strip, where one would cross itself at its end.
    fork_in: float = 0.085  # A fan's every second needle begins only where its strip is so wide.
    forked: float = 0.1  # Of its length: if that is farther up than this, it begins on its neighbour.
    eased: float = 0.14  # Of the rest of its length: along so much it bends out of its neighbour.
    free_in: float = 0.01  # So far from where it begins it is clear of it; a flatter one might run into it.


_NEEDLE = _Needle()
_NODES = np.array([0, 10, 20, 30, 40])
_MORE_NODES = np.array([0, 5, 10, 15, 20, 25, 30, 35, 40])  # where so few would stray from its strip


def needles(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One needle a strip: from a point at the spine to a point at its end."""
    width, length = (
        np.maximum(one, _NEEDLE.least_strip_in)[:, None] for one in (strips.width, strips.length)
    )
    x = np.linspace(0, 1, 21)[None, :]
    hair = np.minimum(HAIR_IN / width, _NEEDLE.most_hair)
    side = (0.5 - hair) * profile(x)
    across = 0.5 + np.concatenate((-side, side[:, -2::-1]), axis=1)
    up = np.concatenate((x, x[:, -2::-1]), axis=1) * (1 - HAIR_IN / length)
    points = strips.points(across, up)
    outlines = _kept(strips, [Outline("needle", one, _NODES) for one in points])
    crossed = _crossed(outlines)
    for shorter in _NEEDLE.shorter:
        which = np.flatnonzero(crossed)
        for i in which.tolist():
            cut = strips.some(slice(i, i + 1)).points(across[i : i + 1], shorter * up[i : i + 1])
            outlines[i] = Outline("needle", cut[0], _MORE_NODES)
        crossed[which] = _crossed([outlines[i] for i in which.tolist()])
    grown = [[] if gone else [one] for one, gone in zip(outlines, crossed.tolist(), strict=True)]
    begun = _begun(strips)
    for i in range(1, len(outlines), 2):
        if _NEEDLE.forked < begun[i] < 1 and not crossed[i - 1]:  # at the very end nothing is left to draw
            fork = _fork(strips, i, across[i], up[i], float(begun[i]), outlines[i - 1])
            if fork:
                grown[i - 1].append(fork)
                grown[i] = []
    return grown


def _crossed(outlines: Sequence[Outline]) -> Mask:
    """Which needles cross themselves: where its strip all but closes, one's sides change places."""
    return np.asarray(~shapely.is_simple(drawn(outlines, 60).linestrings()), dtype=bool)


def _begun(strips: FlowStrips) -> Numbers:
    """The level from which each strip is wide enough for a needle of its own (m,); nought where none is."""
    level = np.linspace(0, 1, LEVELS + 1)
    both = strips.points(np.repeat([[0.0, 1.0]], LEVELS + 1, axis=1), np.concatenate((level, level))[None])
    gap = np.linalg.norm(both[:, : LEVELS + 1] - both[:, LEVELS + 1 :], axis=2)
    wide = gap >= _NEEDLE.fork_in
    return np.where(wide.any(axis=1), level[np.argmax(wide, axis=1)], 0.0)


def _fork(
    strips: FlowStrips, i: int, across: Numbers, up: Numbers, begun: float, host: Outline
) -> Outline | None:
    """The needle of a strip that is too narrow below: it leaves its neighbour where there is room for both."""
    up = begun + (1 - begun) * up
    points = strips.some(slice(i, i + 1)).points(across[None], up[None])[0]
    rim = drawn([host], 60).points
    foot = rim[np.argmin(np.hypot(*(rim - points[0]).T))]
    ease = np.maximum(1 - np.abs(up - begun) / (_NEEDLE.eased * (1 - begun)), 0.0) ** 2
    fork = Outline("needle", points + ease[:, None] * (foot - points[0]), _MORE_NODES)
    free = drawn([fork], 20).between_ends(_NEEDLE.free_in).linestrings()[0]
    if shapely.dwithin(free, drawn([host], 20).linestrings()[0], MEETING_IN) or _crossed([fork]).any():
        return None
    return fork


def _kept(strips: FlowStrips, outlines: list[Outline]) -> list[Outline]:
    """The outlines, with more nodes where so few would stray from their strips."""
    level = np.linspace(0, 1, LEVELS + 1)
    edges = strips.points(
        np.repeat([[0.0, 1.0]], LEVELS + 1, axis=1), np.concatenate((level, level[::-1]))[None]
    )
    grounds = shapely.buffer(shapely.polygons(edges), _NEEDLE.astray_in)
    keeps = np.asarray(shapely.covers(grounds, drawn(outlines, 10).linestrings()))
    return [one if ok else replace(one, nodes=_MORE_NODES) for one, ok in zip(outlines, keeps, strict=True)]


STYLE = Style(
    lean=Lean(radians(58), radians(24)),
    width=0.26,
    shortest=0.35,
    strips=needles,
    tip=hanging_cone,
    crook=crook_cone,
    crook_radius=0.9,
    parting=parting_cone,
    heart=heart_cone,
    drop=small_needle,
    covers=True,
    sweeps=True,
    fans=True,
    sprigs=berries,
    jump=2.0,
    bent=Bent(
        "needle",
        pointed=True,
        plump=0.26,
        foot=0.4,
        upright=1.5,
        bow=0.06,
        along=0.8,
        shuns=frozenset(("cone", "berry", "stem")),
        parts=tuft,
    ),
)
NEEDLES = FillRecord(
    kind="needles",
    parts=("main", "stems", "accents", "cones"),
    listed="needles and cones",
    spoken="needles and cones",
    by_hand="Each needle goes out to its point and back to the spine; a cone's outline first, then its scales; "
    "then out along the stem of its berries, round each of them, and home on the stem.",
    needs=NeedRange(
        least_room=0.375,
        comfortable_room=0.75,
        most_room=1.5,
        longest_ratio=3.0,
        longest_most=3.75,
        curl_share=5 / 6,
        smallest_feature=0.0625,
    ),
    thread=ThreadFigures(area=5.29, spine=10.86, feature=-6.81),
    style=STYLE,
    one="needle",
    many="needles",
    shapes={"needle": "a pine needle"},
)
