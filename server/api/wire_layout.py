"""One layout as it leaves the program."""

from __future__ import annotations

from math import degrees
from typing import Literal

from pydantic import Field

from planner.border.band import CORNERS, Band
from planner.border.layout import GuideKind, Layout, PlacedCircle, RunName, SpinePart
from planner.border.reach import Reach, measure
from planner.border.spine import PartName, Row
from planner.geometry.curves import Arc
from planner.geometry.svg import svg_path
from planner.plan import SIDES, Choice, SideName
from planner.solver import Chosen
from planner.solver.choose import Standing
from server.api.wire import EaseOut, Pair, PerSide, Wire


class CornerOut(Wire):
    corner: str
    x_in: float
    y_in: float
    r_in: float


class CircleOut(Wire):
    """A run circle; index 0 is nearest the corner of its run."""

    side: SideName
    run: RunName
    index: int
    x_in: float
    y_in: float
    r_in: float
    row: Row
    turn: Literal["cw", "ccw"]

    @classmethod
    def of(cls, placed: PlacedCircle) -> CircleOut:
        """A run circle as it leaves."""
        circle = placed.circle
        return cls(
            side=placed.side,
            run=placed.run,
            index=placed.index,
            x_in=circle.centre[0],
            y_in=circle.centre[1],
            r_in=circle.radius,
            row=circle.row,
            turn="cw" if circle.turn > 0 else "ccw",
        )


class RingOut(Wire):
    side: SideName
    x_in: float
    y_in: float
    r_in: float


class SpineOut(Wire):
    """One arc (with centre, r_in and sweep_deg) or line of the spine."""

    id: str
    part: PartName
    start: Pair
    end: Pair
    centre: Pair | None
    r_in: float | None
    sweep_deg: float
    svg: str

    @classmethod
    def of(cls, part: SpinePart) -> SpineOut:
        """A piece of the spine as it leaves."""
        curve = part.piece.curve
        arc = curve if isinstance(curve, Arc) else None
        return cls(
            id=part.id,
            part=part.piece.part,
            start=curve.start,
            end=curve.end,
            centre=arc.centre if arc else None,
            r_in=arc.radius if arc else None,
            sweep_deg=degrees(arc.sweep) if arc else 0.0,
            svg=svg_path([curve]),
        )


class GuideOut(Wire):
    kind: GuideKind
    side: SideName
    start: Pair
    end: Pair


class SideCircleOut(Wire):
    """A circle of one side, in its band: u along the outer guide line, h inward from it."""

    u_in: float
    h_in: float
    r_in: float
    row: Row


class SideOut(Wire):
    """One side as measured: the drawing uses the mean of opposite sides, chalk this."""

    span_in: float
    height_in: float
    ease_in: EaseOut
    circles: list[SideCircleOut]

    @classmethod
    def of(cls, layout: Layout, side: SideName) -> SideOut:
        """One side, as measured, as it leaves."""
        band, chain = layout.quilt.own[side], layout.own[side]
        return cls(
            span_in=band.span,
            height_in=band.height,
            ease_in=EaseOut.of(chain.ease),
            circles=[
                SideCircleOut(u_in=c.centre[0], h_in=c.centre[1], r_in=c.radius, row=c.row)
                for c in chain.circles
            ],
        )


class RoomOut(Wire):
    """Clear width of one side beyond either guide line, and of its seam strip (inches)."""

    outer: float
    inner: float
    strip: float

    @classmethod
    def of(cls, band: Band) -> RoomOut:
        """The rooms of a layout as they leave."""
        return cls(outer=band.room, inner=band.room, strip=band.strip)


class RoomsOut(PerSide[RoomOut]):
    """The room of each side, and the least of them (inches)."""

    least: float


class ReachOut(Wire):
    """The farthest any point lies from a spine, in three zones, and where (inches)."""

    run: float
    corner: float
    middle: float
    worst_at: Pair

    @classmethod
    def of(cls, reach: Reach) -> ReachOut:
        """The reach as it leaves."""
        return cls(run=reach.run, corner=reach.corner, middle=reach.middle, worst_at=reach.worst_at)


class FiguresOut(Wire):
    """The figures that decide, each in the unit of its name."""

    curls: int
    spine_length_in: float
    reach_in: float
    quilt_width_in: float
    quilt_height_in: float
    ease_in: PerSide[EaseOut]
    step_in: PerSide[float]

    @classmethod
    def of(cls, layout: Layout, reach: Reach) -> FiguresOut:
        """The figures of a layout as they leave."""
        chains = layout.own
        return cls(
            curls=len(layout.circles),
            spine_length_in=sum(part.piece.curve.length for part in layout.spines),
            reach_in=reach.worst,
            quilt_width_in=layout.quilt.width,
            quilt_height_in=layout.quilt.height,
            ease_in=PerSide[EaseOut].each(lambda side: EaseOut.of(chains[side].ease)),
            step_in=PerSide[float].each(lambda side: chains[side].step),
        )


class PlacedOut(Wire):
    """One layout as far as it is placed. standing: how it stands to the choice in the plan."""

    stamp: str = Field(description="Same stamp, same drawing.", examples=["3D7TMN"])
    choice: Choice
    standing: Standing
    corners: list[CornerOut]
    circles: list[CircleOut]
    rings: list[RingOut]
    spines: list[SpineOut]
    guides: list[GuideOut]
    room_in: RoomsOut
    drawn_ease_in: PerSide[EaseOut]
    as_measured: PerSide[SideOut]
    reach_in: ReachOut
    figures: FiguresOut


def placed_out(chosen: Chosen) -> PlacedOut:
    """A layout without its fill as it leaves."""
    layout = chosen.layout
    reach = measure(layout)
    return PlacedOut(
        stamp=layout.stamp,
        choice=chosen.choice,
        standing=chosen.standing,
        corners=[
            CornerOut(corner=name, x_in=c.centre[0], y_in=c.centre[1], r_in=c.radius)
            for name, c in zip(
                CORNERS, layout.corners, strict=False
            )  # none where no large circles stand there
        ],
        circles=[CircleOut.of(placed) for placed in layout.circles],
        rings=[
            RingOut(side=side, x_in=ring.centre[0], y_in=ring.centre[1], r_in=ring.radius)
            for side, ring in layout.rings
        ],
        spines=[SpineOut.of(part) for part in layout.spines],
        guides=[
            GuideOut(kind=g.kind, side=g.side, start=g.line.start, end=g.line.end) for g in layout.guides
        ],
        room_in=RoomsOut(least=layout.room, **{side: RoomOut.of(layout.quilt.own[side]) for side in SIDES}),
        drawn_ease_in=PerSide[EaseOut].each(lambda side: EaseOut.of(layout.chains[side].ease)),
        as_measured=PerSide[SideOut].each(lambda side: SideOut.of(layout, side)),
        reach_in=ReachOut.of(reach),
        figures=FiguresOut.of(layout, reach),
    )
