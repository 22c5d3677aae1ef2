"""The layout: a plan and a choice, placed. Circles, spines and guide lines in quilt coordinates (inches).

The picture uses the mean of opposite sides; ``own`` holds each side's chain as measured, for chalk and
patterns.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2
from typing import Literal

from planner.border import clear, meetings
from planner.border.band import CORNERS, Band, Quilt, next_side, previous_side, quilt_of
from planner.border.corners import Chain
from planner.border.corners.styles import CORNER_STYLES
from planner.border.spine import Circle, Piece, curls, link_between, turned
from planner.errors import ChoiceError
from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Arc, Line, Motion, Point, mirror_at
from planner.lengths import format_length
from planner.plan import SIDES, Choice, Plan, SideName
from planner.stamp import stamp_of

RunName = Literal["start", "end", "corner", "middle"]
GuideKind = Literal["outer", "inner", "miter", "middle"]


@dataclass(frozen=True, slots=True)
class PlacedCircle:
    """A run circle in quilt coordinates, with where it belongs (index 0 is nearest the run's corner).

    One that stands in the first corner of its side has the run ``corner``, one that both runs end in ``middle``.
    """

    side: SideName
    run: RunName
    index: int
    circle: Circle


@dataclass(frozen=True, slots=True)
class SpinePart:
    """One piece of the spine in quilt coordinates. place: the side, or the corner it goes round."""

    place: str
    run: RunName | None
    number: int
    piece: Piece

    @property
    def id(self) -> str:
        """Its name in what leaves the program: the place, the run, the number."""
        run = f"-{self.run}" if self.run else ""
        return f"{self.place}{run}-{self.number}"


@dataclass(frozen=True, slots=True)
class Guide:
    """A chalk line that is not stitched."""

    kind: GuideKind
    side: SideName
    line: Line


@dataclass(frozen=True, slots=True)
class Layout:
    """Everything placed. chains and own: per side, in band coordinates of quilt.bands and quilt.own.

    corners: the large circles in the corners, where they are the large ones of the border.
    """

    plan: Plan
    choice: Choice
    quilt: Quilt
    chains: dict[SideName, Chain]
    own: dict[SideName, Chain]
    corners: tuple[Circle, ...]
    circles: tuple[PlacedCircle, ...]
    rings: tuple[tuple[SideName, Circle], ...]
    spines: tuple[SpinePart, ...]
    guides: tuple[Guide, ...]

    @property
    def room(self) -> float:
        """The least room of the four sides: what the fill is scaled to."""
        return min(band.room for band in self.quilt.own.values())

    @property
    def mirrored(self) -> bool:
        """Whether two runs of each side meet in its middle."""
        return CORNER_STYLES[self.plan.corner].meets

    @property
    def stamp(self) -> str:
        """Six signs that stand for this drawing."""
        circles = [circle for side in SIDES for circle in self.own[side].circles]
        named = self.choice.run_diameter_in
        return stamp_of(self.plan, self.choice, [2 * c.radius for c in circles if 2 * c.radius != named])


def place(plan: Plan, choice: Choice) -> Layout:
    """Place a choice. Raises PlanError for an impossible plan, ChoiceError where it does not land or overlaps."""
    quilt = quilt_of(plan, choice)
    chains, own = chains_of(plan, choice.averaged, quilt.bands), chains_of(plan, choice, quilt.own)
    return placed(plan, choice, quilt, chains, own)


def as_measured(layout: Layout, side: SideName) -> Layout:
    """The layout with every side as measured, laid out true round the first corner of ``side``.

    That corner, ``side`` and the end of the side before it stand where she measured them; the far corners
    need not close, because opposite sides differ.
    """
    plan, own = layout.plan, layout.quilt.own
    before = previous_side(side)
    across, down = (side, before) if side in ("top", "bottom") else (before, side)
    quilt = Quilt(plan.sides_in.of(across), plan.sides_in.of(down), own, own)
    return _placed(plan, layout.choice, quilt, layout.own, layout.own)


def undrawn(
    plan: Plan, choice: Choice, quilt: Quilt, chains: dict[SideName, Chain], own: dict[SideName, Chain]
) -> Layout:
    """The layout of chains that have landed, with no circle or spine placed in the quilt yet.

    Raises ChoiceError where circles overlap or leave their guides.
    """
    clear.check(quilt, quilt.bands, chains, choice, plan.units)
    if quilt.own != quilt.bands:
        clear.check(quilt, quilt.own, own, choice, plan.units)
    return Layout(plan, choice, quilt, chains, own, (), (), (), (), ())


def placed(
    plan: Plan, choice: Choice, quilt: Quilt, chains: dict[SideName, Chain], own: dict[SideName, Chain]
) -> Layout:
    """The layout of chains that have landed. Raises ChoiceError where circles overlap or leave their guides."""
    undrawn(plan, choice, quilt, chains, own)
    return _placed(plan, choice, quilt, chains, own)


def _placed(
    plan: Plan, choice: Choice, quilt: Quilt, chains: dict[SideName, Chain], own: dict[SideName, Chain]
) -> Layout:
    corners = tuple(chains[side].near.moved(quilt.motion(side)) for side in SIDES)
    large = choice.corner_diameter_in is not None
    return Layout(
        plan,
        choice,
        quilt,
        chains,
        own,
        corners if large else (),
        tuple(_circles(plan, quilt, chains, corners=not large)),
        tuple((s, c.moved(quilt.motion(s))) for s in SIDES if (c := chains[s].ring) and c.row == "ring"),
        tuple(_spines(plan, choice, quilt, chains, corners)),
        tuple(_guides(quilt)),
    )


def chains_of(plan: Plan, choice: Choice, bands: dict[SideName, Band]) -> dict[SideName, Chain]:
    """The chain of each side; ChoiceError where one cannot land within the ease limits."""
    if CORNER_STYLES[plan.corner].meets != (choice.meeting is not None):
        raise ChoiceError(
            "Mirrored corners need a meeting in the middle; where one run goes round the quilt there is none.",
            field="choice.meeting",
            cure="Ask for proposals with this corner style and take one of them.",
        )
    if choice.corner_diameter_in is None and CORNER_STYLES[plan.corner].large_circle:
        raise ChoiceError(
            "Corners of this style need a large circle in each corner.",
            field="choice.corner_diameter_in",
            cure="Ask for proposals with this corner style and take one of them.",
        )
    if choice.meeting:
        _check_middle(plan, choice, bands)
    chains: dict[SideName, Chain] = CORNER_STYLES[plan.corner].chains(bands, plan, choice)
    for side in SIDES:
        if side not in chains:
            raise ChoiceError(
                f"{choice.counts.of(side)} curls of {format_length(choice.run_diameter_in, plan.units)} do not "
                f"come out right on the {side} side within the ease allowed.",
                field=f"choice.counts.{side}",
                cure="Ask for proposals again: the measurements have changed since this one was solved.",
            )
    return chains


def _check_middle(plan: Plan, choice: Choice, bands: dict[SideName, Band]) -> None:
    """ChoiceError where the middle is smaller or larger than its meeting can fill."""
    assert choice.meeting is not None

    def say(length: float) -> str:
        return format_length(length, plan.units)

    for side in SIDES:
        least, most = meetings.MEETINGS[choice.meeting].limits(plan, bands[side])
        middle = choice.middle_of(side)
        if not least - ROUNDING_IN <= middle <= most + ROUNDING_IN:
            raise ChoiceError(
                f"A middle of {say(middle)} does not suit “{meetings.MEETINGS[choice.meeting].listed}”.",
                field=f"choice.middles_in.{side}" if choice.middles_in else "choice.middle_in",
                cure=f"Give it from {say(least)} to {say(most)}."
                if least <= most
                else "Take another meeting.",
            )


def mirror(band: Band) -> Motion:
    """The mirror in the middle of a side, in its band coordinates."""
    return mirror_at(band.span / 2)


def run_pieces(plan: Plan, choice: Choice, band: Band, chain: Chain) -> list[Piece]:
    """The spine of a side in band coordinates: the start run with its meeting, or the whole turning side."""
    if CORNER_STYLES[plan.corner].meets:
        extra = meetings.MEETINGS[choice.meeting].pieces(chain, band, choice) if choice.meeting else []
        return curls(chain.near, chain.circles, chain.ring, plan.tail_deg) + extra
    link = link_between(chain.circles[-1], chain.far)
    on = [Piece("link", len(chain.circles), link)] if link else []
    return curls(chain.near, chain.circles, chain.far, plan.tail_deg) + on


def corner_arc(layout: Layout, pieces: dict[SideName, list[Piece]], side: SideName) -> Arc:
    """The C in a side's first corner as measured, from the pieces of each side, in band coordinates of the side."""
    before = previous_side(side)
    if layout.mirrored:  # the run behind is its side's start run, seen across the miter
        along, depth = pieces[before][0].curve.start
        behind = (depth, along)
    else:
        along, depth = next(p for p in reversed(pieces[before]) if p.part != "tail").curve.end
        behind = (depth, layout.quilt.own[before].span - along)
    return _c_of(layout.own[side].near, behind, pieces[side][0].curve.start)


def pieces_as_measured(layout: Layout) -> dict[SideName, list[Piece]]:
    """The spine of each side as measured, in its band coordinates."""
    return {
        side: run_pieces(layout.plan, layout.choice, layout.quilt.own[side], layout.own[side])
        for side in SIDES
    }


def _circles(
    plan: Plan, quilt: Quilt, chains: dict[SideName, Chain], *, corners: bool
) -> Iterator[PlacedCircle]:
    for side in SIDES:
        motion = quilt.motion(side)
        if corners:
            yield PlacedCircle(side, "corner", 0, chains[side].near.moved(motion))
        for i, circle in enumerate(chains[side].circles):
            yield PlacedCircle(side, "start", i, circle.moved(motion))
        if CORNER_STYLES[plan.corner].meets:
            back = motion.after(mirror(quilt.bands[side]))
            if (last := chains[side].ring) and last.row != "ring":
                yield PlacedCircle(side, "middle", len(chains[side].circles), last.moved(motion))
            for i, circle in enumerate(chains[side].circles):
                yield PlacedCircle(side, "end", i, circle.moved(back))


def _spines(
    plan: Plan, choice: Choice, quilt: Quilt, chains: dict[SideName, Chain], corners: tuple[Circle, ...]
) -> Iterator[SpinePart]:
    """Corner by corner, clockwise: the corner C, the run ahead of it, the run back from it."""
    in_band = {side: run_pieces(plan, choice, quilt.bands[side], chains[side]) for side in SIDES}
    for i, side in enumerate(SIDES):
        motion = quilt.motion(side)
        before = previous_side(side)
        onward = [piece.moved(motion) for piece in in_band[side]]
        if CORNER_STYLES[plan.corner].meets:
            back_motion = quilt.motion(before).after(mirror(quilt.bands[before]))
            back = [piece.moved(back_motion) for piece in in_band[before] if piece.part != "ring"]
            arrival = back[0].curve.start
        else:
            back = []
            arrival = (
                [p for p in in_band[before] if p.part != "tail"][-1].moved(quilt.motion(before)).curve.end
            )
        yield SpinePart(
            CORNERS[i], None, 0, Piece("corner", -1, _c_of(corners[i], arrival, onward[0].curve.start))
        )
        for n, piece in enumerate(onward):
            yield SpinePart(side, "start", n, piece)
        for n, piece in enumerate(back):
            yield SpinePart(before, "end", n, piece)


def _c_of(corner: Circle, arrival: Point, departure: Point) -> Arc:
    """The corner C, from the joint of the run behind clockwise round the outside to the run ahead."""
    cx, cy = corner.centre
    begin = atan2(arrival[1] - cy, arrival[0] - cx)
    end = atan2(departure[1] - cy, departure[0] - cx)
    return Arc(corner.centre, corner.radius, begin, turned(begin, end, 1))


def _guides(quilt: Quilt) -> Iterator[Guide]:
    """Outer and inner guide lines from corner to corner, the miters, and the middle of each side."""
    for side in SIDES:
        band, motion = quilt.bands[side], quilt.motion(side)
        near = quilt.bands[previous_side(side)]
        far = quilt.bands[next_side(side)]
        lines: tuple[tuple[GuideKind, Line], ...] = (
            ("outer", Line((0, 0), (band.span, 0))),
            ("inner", Line((near.height, band.height), (band.span - far.height, band.height))),
            ("miter", Line((-near.outside, -band.outside), (near.seam, band.seam))),
            ("middle", Line((band.span / 2, -band.outside), (band.span / 2, band.seam))),
        )
        for kind, line in lines:
            yield Guide(kind, side, line.moved(motion))
