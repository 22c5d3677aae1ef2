"""The figures of a layout that the supplies need: from its whole stitching path, or estimated before it is filled.

Filling a large quilt and ordering its stitches takes seconds. So the estimate adds up the spines and reckons the
fill from their length, the area to cover, the room and the smallest feature.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from math import pi
from typing import Any

from planner.border.layout import Layout
from planner.border.meetings import MEETINGS
from planner.border.room import smallest_feature
from planner.fills.backgrounds import background_of
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.pockets.hatched import hatched_thread
from planner.fills.strip import strips
from planner.fills.styles import FILLS
from planner.geometry.curves import Curve
from planner.plan import SIDES, Plan
from planner.stitching.net import Nodes
from planner.stitching.postman import connected_components
from planner.stitching.segments import StitchPath, ThreadPath

LATTICE = 5.0  # for each square inch of a lattice where the room is an inch, whatever fills the rest
ESTIMATE_USUALLY = 0.05  # of the whole way: how far an estimate is off, as the root of the mean square
ESTIMATE_WITHIN = 0.13  # and at most, on layouts it was not fitted to


def starts_need_counting(plan: Plan) -> bool:
    """Whether starts cannot be told before every stitch is counted: with several threads, or in several pieces."""
    return len(plan.threads) > 1 or plan.working.way != "whole_quilt"


@dataclass(frozen=True, slots=True)
class Work:
    """What there is to chalk and to stitch. Lengths in inches.

    stitching_in: the needle's whole way, retraced_in of it over what is stitched already; starts: pieces of
    thread; carries: lines that it is carried to instead; circles and guide_lines: what is chalked with a template
    and a ruler; spine_in: what is chalked by hand between; open_in: the widest place left open in the border.
    threads: each of several; changes of thread, advances of the quilt: where these were counted. estimated: the
    fill's share is a guess.
    """

    stitching_in: float
    starts: int
    circles: int
    guide_lines: int
    spine_in: float
    open_in: float
    retraced_in: float = 0.0
    carries: int = 0
    threads: tuple[ThreadPath, ...] = ()
    changes: int = 0
    advances: int = 0
    estimated: bool = False


def work_of(layout: Layout, path: StitchPath) -> Work:
    """From the path of the spines and the whole fill."""
    return Work(
        stitching_in=path.length,
        starts=path.starts,
        retraced_in=path.retraced,
        carries=len(path.carried),
        changes=path.changes,
        advances=path.advances,
        threads=path.threads if len(layout.plan.threads) > 1 else (),
        estimated=False,
        **_drawn(layout),
    )


def estimated_work(layout: Layout) -> Work:
    """From the lengths of the spines, and what there is to fill."""
    lines = _lines(layout)
    spines = _stitched_spines(layout, lines)
    terms, known = _filling_terms(layout, spines)
    own, behind = FILLS[layout.plan.fill.kind].thread, background_of(layout.plan)
    figures = [
        behind.fill_kept * one + other
        for one, other in zip(astuple(own), astuple(behind.thread), strict=True)
    ]
    drawn = _drawn(layout)
    return Work(
        stitching_in=known + sum(each * term for each, term in zip(figures, terms, strict=True)),
        starts=lines + _pieces(_strip_lines(layout)),  # nothing leads from the spines to a seam strip
        retraced_in=spines - drawn["spine_in"],
        estimated=True,
        **drawn,
    )


def filling_terms(layout: Layout) -> tuple[tuple[float, float, float], float]:
    """What the figures of a fill are multiplied by, and what is known without them: spines and lattices, inches."""
    return _filling_terms(layout, _stitched_spines(layout, _lines(layout)))


def _filling_terms(layout: Layout, spines: float) -> tuple[tuple[float, float, float], float]:
    room, feature = layout.room, smallest_feature(layout.plan.fill)
    latticed = _latticed_area(layout)
    hatched = CORNER_MOTIFS[layout.plan.corner_motif].hatched
    circles = [corner.radius for corner in layout.corners if hatched]
    known = spines + LATTICE * latticed / room + sum(hatched_thread(r, room) for r in circles)
    known += sum(line.length for line in _strip_lines(layout))
    grain = FILLS[layout.plan.fill.kind].grain(room, layout.choice.run_diameter_in / 2, feature)
    filled = (fillable_area(layout) - latticed - sum(pi * r * r for r in circles)) / grain
    crowded = filled * spines / (filled + spines)
    return (filled, crowded, filled * feature / grain), known


def _stitched_spines(layout: Layout, lines: int) -> float:
    """Inches that the needle goes along the spines, which are so many lines, before it fills.

    Along every tail and back, and once along all else; but a line begins and ends in a tip, so that two of its
    tails are passed once. Of a full circle's two arcs the shorter is passed twice, since three ways meet at both
    its ends. (Within 1/100 of what ``path_of`` finds.)
    """
    tails = [part.piece.curve.length for part in layout.spines if part.piece.part == "tail"]
    retraced = sum(sorted(tails)[: -2 * lines])
    for side in SIDES:
        ring = [p.piece.curve for p in layout.spines if p.place == side and p.piece.part == "ring"]
        if len(ring) > 1:
            retraced += min(arc.length for arc in ring)
    return sum(part.piece.curve.length for part in layout.spines) + retraced


def _lines(layout: Layout) -> int:
    """How many lines the spines are; a ring joins all."""
    return 1 if layout.rings else _pieces([part.piece.curve for part in layout.spines])


def _strip_lines(layout: Layout) -> list[Curve]:
    """All seam strips, in quilt coordinates."""
    return [
        curve.moved(motion)
        for _, cell, motion in strips(layout)
        for shape in cell.shapes
        for curve in shape.curves
    ]


def _pieces(curves: Sequence[Curve]) -> int:
    """Into how many pieces curves fall that meet at their ends."""
    nodes = Nodes()
    return len(connected_components([(nodes.at(one.start), nodes.at(one.end), 0.0) for one in curves]))


def _drawn(layout: Layout) -> dict[str, Any]:
    """What there is to chalk, and what the fill leaves open."""
    return {
        "circles": len(layout.corners) + len(layout.circles) + len(layout.rings),
        "guide_lines": len(layout.guides),
        "spine_in": sum(part.piece.curve.length for part in layout.spines),
        # the fill leaves no empty circle wider than that: each fill sees to that
        "open_in": layout.room / 2,
    }


def _latticed_area(layout: Layout) -> float:
    """What lattices cover of the border, square inches."""
    meeting = layout.choice.meeting
    if not (meeting and MEETINGS[meeting].woven):
        return 0.0
    bands, chains = layout.quilt.bands, layout.chains
    return sum(chains[side].middle * (bands[side].edge + bands[side].room) for side in SIDES)


def fillable_area(layout: Layout) -> float:
    """The border without what the binding covers and without its seam strip, square inches."""
    quilt, allowance = layout.quilt, layout.plan.binding_allowance_in
    top, right, bottom, left = (quilt.bands[side].outside + quilt.bands[side].edge for side in SIDES)
    outer = (quilt.width - 2 * allowance) * (quilt.height - 2 * allowance)
    return outer - (quilt.width - left - right) * (quilt.height - top - bottom)
