"""What leaves the program: proposals and layouts as plain dicts of the service contract (DESIGN section 7).

Field names carry their unit: ``_in`` inches, ``_deg`` degrees. Points are [x, y] in quilt coordinates.
"""

from __future__ import annotations

from math import degrees
from typing import Any

from planner.border.band import CORNERS
from planner.border.corners import Ease
from planner.border.layout import Layout, SpinePart
from planner.border.reach import Reach, measure
from planner.fills.shape import FillOfLayout
from planner.geometry.curves import Arc, Point, svg_path
from planner.plan import SIDES, SideName
from planner.solver import Proposal, Proposals, Refusal
from planner.stitching.segments import Segment, StitchPath


def proposals_dict(found: Proposals, stamps: list[str]) -> dict[str, Any]:
    """The answer to POST /api/proposals, each with its stamp."""
    return {
        "proposals": [
            {"stamp": stamp, **proposal_dict(p)} for p, stamp in zip(found.proposals, stamps, strict=True)
        ],
        "refusals": [refusal_dict(r) for r in found.refusals],
        "advice": list(found.advice),
    }


def proposal_dict(p: Proposal) -> dict[str, Any]:
    return {
        "choice": p.choice.model_dump(mode="json"),
        "corner_diameter_in": p.choice.corner_diameter_in,
        "run_diameter_in": p.choice.run_diameter_in,
        "meeting": p.choice.meeting,
        "middle_in": p.choice.middle_in,
        "run": "level" if p.level else "rolling",
        "counts": p.choice.counts.model_dump(),
        "ease_in": {side: ease_dict(p.ease[side]) for side in SIDES},
        "step_in": dict(p.step),
        "reach_in": max(p.reach, p.reach_ends),
        "reach_run_in": p.reach,
        "step_mismatch": p.mismatch,
        "score": p.score,
        "why": p.why,
    }


def refusal_dict(r: Refusal) -> dict[str, Any]:
    return {
        "limit": r.limit,
        "field": r.field,
        "message": r.message,
        "by_in": r.by_in,
        "cure": r.cure,
        "change": r.change,
    }


def ease_dict(ease: Ease) -> dict[str, float]:
    return {"lift": ease.lift, "gap": ease.gap}


def layout_dict(layout: Layout) -> dict[str, Any]:
    """The answer to POST /api/layout as far as it is placed: all but fill, pockets and path."""
    reach = measure(layout)
    return {
        "corners": [
            {"corner": name, "x_in": c.centre[0], "y_in": c.centre[1], "r_in": c.radius}
            for name, c in zip(CORNERS, layout.corners, strict=True)
        ],
        "circles": [
            {
                "side": placed.side,
                "run": placed.run,
                "index": placed.index,
                "x_in": placed.circle.centre[0],
                "y_in": placed.circle.centre[1],
                "r_in": placed.circle.radius,
                "row": placed.circle.row,
                "turn": "cw" if placed.circle.turn > 0 else "ccw",
            }
            for placed in layout.circles
        ],
        "rings": [
            {"side": side, "x_in": ring.centre[0], "y_in": ring.centre[1], "r_in": ring.radius}
            for side, ring in layout.rings
        ],
        "spines": [spine_dict(part) for part in layout.spines],
        "guides": [
            {"kind": g.kind, "side": g.side, "start": list(g.line.start), "end": list(g.line.end)}
            for g in layout.guides
        ],
        "drawn_ease_in": {side: ease_dict(layout.chains[side].ease) for side in SIDES},
        "as_measured": {side: side_dict(layout, side) for side in SIDES},
        "reach_in": reach_dict(reach),
        "figures": figures(layout, reach),
    }


def stitching_dict(grown: FillOfLayout, path: StitchPath) -> dict[str, Any]:
    """The rest of the answer: the fill, its pockets in the order of filling, the stitching path.

    A segment along a shape names it by its place in ``fill`` and says from where to where along it (``span_in``;
    the first is the greater when it is stitched from its end); any other carries its curves as ``svg``.
    """
    return {
        "fill": [
            {"kind": shape.kind, "pocket": shape.pocket, "svg": svg_path(shape.curves)}
            for shape in grown.shapes()
        ],
        "pockets": [{"pocket": pocket, "number": n} for n, pocket in enumerate(path.pockets, 1)],
        "path": {
            "segments": [segment_dict(segment) for segment in path.segments],
            "length_in": path.length,
            "retraced_in": path.retraced,
            "least_retraced_in": path.least_retraced,
            "retraced_spine_in": path.retraced_spine,
            "least_retraced_spine_in": path.least_retraced_spine,
            "starts": path.starts,
            "stops": path.starts,
        },
    }


def segment_dict(segment: Segment) -> dict[str, Any]:
    follows = (
        {"svg": svg_path(segment.curves)}
        if segment.shape is None
        else {"shape": segment.shape, "span_in": [round(end, 4) for end in segment.span]}
    )
    return {
        "kind": segment.kind,
        "what": segment.what,
        "pocket": segment.pocket,
        "line": segment.line,
        "length_in": round(segment.length, 4),
        **follows,
    }


def spine_dict(part: SpinePart) -> dict[str, Any]:
    curve = part.piece.curve
    arc = curve if isinstance(curve, Arc) else None
    return {
        "id": part.id,
        "part": part.piece.part,
        "start": _pair(curve.start),
        "end": _pair(curve.end),
        "centre": _pair(arc.centre) if arc else None,
        "r_in": arc.radius if arc else None,
        "sweep_deg": degrees(arc.sweep) if arc else 0.0,
        "svg": svg_path([curve]),
    }


def side_dict(layout: Layout, side: SideName) -> dict[str, Any]:
    """One side as measured, in band coordinates: the drawing uses the mean of opposite sides, chalk this."""
    band, chain = layout.quilt.own[side], layout.own[side]
    return {
        "span_in": band.span,
        "height_in": band.height,
        "ease_in": ease_dict(chain.ease),
        "circles": [
            {"u_in": c.centre[0], "h_in": c.centre[1], "r_in": c.radius, "row": c.row} for c in chain.circles
        ],
    }


def reach_dict(reach: Reach) -> dict[str, Any]:
    return {
        "run": reach.run,
        "corner": reach.corner,
        "middle": reach.middle,
        "worst_at": _pair(reach.worst_at),
    }


def figures(layout: Layout, reach: Reach) -> dict[str, Any]:
    """The figures that decide, each in the unit of its name."""
    chains = layout.own
    return {
        "curls": len(layout.circles),
        "spine_length_in": sum(part.piece.curve.length for part in layout.spines),
        "reach_in": reach.worst,
        "quilt_width_in": layout.quilt.width,
        "quilt_height_in": layout.quilt.height,
        "ease_in": {side: ease_dict(chains[side].ease) for side in SIDES},
        "step_in": {side: chains[side].step for side in SIDES},
    }


def _pair(point: Point) -> list[float]:
    return [point[0], point[1]]
