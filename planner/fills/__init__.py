"""Fills: real geometry grown from the spine, one file a fill (``styles``) over one growing engine."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from planner.border.band import next_side
from planner.border.layout import Layout
from planner.border.room import smallest_feature
from planner.fills.backgrounds import background_of
from planner.fills.corner_motifs import CORNER_MOTIFS, CornerMotif
from planner.fills.echoing.shares import Share, shares_of
from planner.fills.growing.contour import points_along
from planner.fills.growing.finish import filled, settled
from planner.fills.growing.ground import Ground
from planner.fills.growing.grow import grow
from planner.fills.growing.grown import Halves
from planner.fills.growing.outline import curves_through
from planner.fills.growing.style import Needs, Style
from planner.fills.pocket import Pocket
from planner.fills.pockets.corner_pockets import corner_pockets
from planner.fills.pockets.hatched import hatch
from planner.fills.pockets.lattice import Frame, weave
from planner.fills.pockets.pocket import PocketGround, key
from planner.fills.pockets.side_pockets import side_pockets
from planner.fills.scattered import Scattered, scattered_of, stands_in
from planner.fills.shape import Cell, Copy, FillOfLayout, Shape
from planner.fills.strip import strips
from planner.fills.styles import FILLS
from planner.fills.variants import variants_of
from planner.geometry.arrays import SPINE_CHORD_IN, Numbers
from planner.geometry.curves import Curve
from planner.geometry.polylines import Polylines
from planner.plan import SIDES, Plan, SideName

_NEAR_BANDS = 3.0  # as far as the first curls of the next side lie, so high the band is


def fill(
    layout: Layout, side: SideName | None = None, only: Callable[[Pocket], bool] | None = None
) -> FillOfLayout:
    """The fill of a layout: each kind of pocket grown once or in a few variants, copied wherever it comes again.

    side: only this side and its first corner, for its pattern, with nothing grown that lies far from it; only: no
    pocket but these is grown at all.
    """
    plan = layout.plan
    style = FILLS[plan.fill.kind].style
    background = background_of(plan)
    smallest = smallest_feature(plan.fill)
    room = FILLS[plan.fill.kind].grain(layout.room, layout.choice.run_diameter_in / 2, smallest)
    needs = Needs(room, smallest, plan.seed, background.reach * layout.room)
    motif = CORNER_MOTIFS[plan.corner_motif]
    off = background.edge * layout.room
    pockets = list(_pockets(layout, off, hatched=motif.hatched and bool(layout.corners)))
    shares = [(Share(), ())] * len(pockets) if isinstance(style, Style) else shares_of(pockets, _reach(plan))
    kept = [n for n, one in enumerate(pockets) if only is None or only(one.pocket)]
    accent = scattered_of(plan)
    borne = [bool(accent.tip) and stands_in(pockets[n].pocket, plan.seed) for n in kept]
    kinds, taken, copies = _kinds([pockets[n] for n in kept], [shares[n][0] for n in kept], borne)
    grounds = [k.ground if isinstance(k.ground, Ground) else None for k in kinds]
    woven = [_woven(k, layout.room) for k in kinds]
    frames = [s.moved(copy.motion, None) for copy in copies for s in woven[copy.cell]]
    # Easy-going curls are alike on all sides: what one of them crosses far away counts here too.
    near = _near(layout, side) if side and layout.corners else None
    own: list[list[tuple[str, tuple[Curve, ...]]]]
    between: dict[int, Halves] = {}
    parts: list[list[list[tuple[Curve, ...]]]] = []
    if isinstance(style, Style):
        styles = [_style(kind.pocket, style, motif, accent, plan.seed) for kind in kinds]
        grown = [
            grow(g, own_style, needs) if g else None for g, own_style in zip(grounds, styles, strict=True)
        ]
        sizes = [len(cell.groups) if cell else 0 for cell in grown]
        more, copies = variants_of(copies, sizes, style.work)
        counts = Counter(copy.cell for copy in copies)
        if near:
            copies = [copy for copy in copies if near(copy.pocket)]
        asked = {copy.cell for copy in copies}
        grown = [cell if n in asked else None for n, cell in enumerate(grown)]
        for n, variant in more:
            ground = grounds[n] if len(grown) in asked else None
            grown.append(grow(ground, styles[n], replace(needs, variant=variant)) if ground else None)
            kinds.append(kinds[n])
            grounds.append(ground)
            woven.append(woven[n])
        stay = settled(grown, copies, _lines(layout, frames), needs)
        outlines, between = (
            filled(stay, _in_turn(kinds, counts), accent.among(style), needs)
            if background.reach == inf
            else (stay.outlines, {})
        )
        shown = {copy.cell for copy in copies if side is None or copy.pocket.side == side}
        outlines = [cell if n in shown else [] for n, cell in enumerate(outlines)]
        between = {n: standing for n, standing in between.items() if n in shown}
        own = [[(o.kind, c) for o, c in zip(cell, curves_through(cell), strict=True)] for cell in outlines]
        if background.draw:
            behind = background.draw(stay, grounds, shown, replace(needs, room=layout.room))
            own = [
                o + [(background.shape, line) for line in lines] for o, lines in zip(own, behind, strict=True)
            ]
    else:
        parts = [
            style(ground, needs, share) if ground else [[]]
            for ground, share in zip(grounds, taken, strict=True)
        ]
        own = [[(plan.fill.kind, line) for line in lines] for *_, lines in parts]
    cells = [
        Cell(
            tuple(replace(s, pocket=kind.pocket) for s in lattice)
            + tuple(Shape(k, kind.pocket, c) for k, c in o)
        )
        for kind, lattice, o in zip(kinds, woven, own, strict=True)
    ]
    copies = _with_what_stands_between(cells, copies, between)
    if parts:
        copies = _with_what_is_given(cells, copies, parts, [shares[n][1] for n in kept], plan.fill.kind)
    for pocket, cell, motion in strips(layout):
        copies.append(Copy(len(cells), motion, pocket))
        cells.append(cell)
    if side:
        copies = [copy for copy in copies if copy.pocket.side == side]
    return FillOfLayout(tuple(cells), tuple(copies))


def _in_turn(kinds: Sequence[PocketGround], counts: Mapping[int, int]) -> list[int]:
    """The order in which the gaps of cells are filled: those of the corners first, then what comes often.

    In a corner of the border little of a pocket is near to hang on: what it leaves its neighbours fill. What stands
    in the few places where something else lies beside a pocket that comes often fits in with that.
    """
    return sorted(range(len(kinds)), key=lambda n: (not kinds[n].pocket.corner, -counts.get(n, 0)))


def _reach(plan: Plan) -> float:
    """How deep down the quilt she can stitch in one go."""
    return plan.working.reach_in or inf if plan.working.way == "frame" else inf


def _style(pocket: Pocket, style: Style, motif: CornerMotif, accent: Scattered, seed: int) -> Style:
    """The style in which a pocket grows: with what stands in the corners, and what is scattered."""
    if stands_in(pocket, seed):
        style = accent.among(style)
    return replace(style, heart=motif.heart) if motif.heart and pocket.corner else style


def _near(layout: Layout, side: SideName) -> Callable[[Pocket], bool]:
    """Whether a pocket is one of a side, or may meet one: of a corner at its ends, or of a curl near these."""
    band, back = layout.quilt.bands[side], layout.quilt.motion(side).undone()
    curls = {
        (one.side, one.run, one.index + 1)
        for one in layout.circles
        if back.point(one.circle.centre)[1] < _NEAR_BANDS * band.height
    }
    ends = (side, next_side(side))

    def near(pocket: Pocket) -> bool:
        if pocket.corner:
            return pocket.side in ends
        return pocket.side == side or (pocket.side, pocket.run, pocket.curl) in curls

    return near


def _with_what_stands_between(
    cells: list[Cell], copies: Iterable[Copy], between: dict[int, Halves]
) -> list[Copy]:
    """The copies laid anew: what stands between a run and its image is stitched with the run that comes first.

    And with either of them what fills a gap that is open in this one only. The cells that it makes come last.
    """
    with_it: dict[tuple[int, str | None], int] = {}
    for n, halves in between.items():
        whole = cells[n].shapes
        for run, outlines in zip(("start", "end"), halves, strict=True):
            if outlines:
                with_it[n, run] = len(cells)
                standing = zip(outlines, curves_through(outlines), strict=True)
                more = (Shape(o.kind, whole[0].pocket, c) for o, c in standing)
                cells.append(Cell((*whole, *more), begins=n))
    return [replace(copy, cell=with_it.get((copy.cell, copy.pocket.run), copy.cell)) for copy in copies]


def _with_what_is_given(
    cells: list[Cell],
    copies: Iterable[Copy],
    parts: Sequence[Sequence[Sequence[tuple[Curve, ...]]]],
    takers: Iterable[Sequence[Pocket]],
    kind: str,
) -> list[Copy]:
    """The copies with what each gives other pockets before it, if it does, in cells that come after the others."""
    cells_of = []
    for *given, _ in parts:
        cells_of.append(range(len(cells), len(cells) + len(given)))
        cells += [Cell(tuple(Shape(kind, None, line) for line in lines)) for lines in given]
    return [
        laid
        for copy, pockets in zip(copies, takers, strict=True)
        for laid in (
            *(Copy(n, copy.motion, pocket) for n, pocket in zip(cells_of[copy.cell], pockets, strict=False)),
            copy,
        )
    ]


def _woven(pocket: PocketGround, room: float) -> tuple[Shape, ...]:
    """What is cross-hatched of a pocket: the frame in the middle of a side, or the circle in a corner."""
    if isinstance(pocket.ground, Frame):
        return weave(pocket.ground, room).shapes
    return tuple(hatch(pocket.mouth, room)) if pocket.mouth else ()


def _pockets(layout: Layout, off: float, *, hatched: bool) -> Iterator[PocketGround]:
    """Every pocket, corner by corner and side by side, clockwise. off: how far it stays off the border's edges."""
    for side in SIDES:
        yield from corner_pockets(layout, side, off, hatched=hatched)
        yield from side_pockets(layout, side, off)


def _kinds(
    pockets: Iterable[PocketGround], shares: Iterable[Share], borne: Iterable[bool]
) -> tuple[list[PocketGround], list[Share], list[Copy]]:
    """The pockets that differ, each with its share, and for every pocket which of them it is a copy of."""
    kinds: list[PocketGround] = []
    taken: list[Share] = []
    known: dict[tuple[object, ...], int] = {}
    copies = []
    for bare, share, bears in zip(pockets, shares, borne, strict=True):
        alike = (*key(bare.ground), share, bears)
        if alike not in known:
            known[alike] = len(kinds)
            kinds.append(bare)
            taken.append(share)
        copies.append(Copy(known[alike], bare.motion, bare.pocket))
    return kinds, taken, copies


def _lines(layout: Layout, frames: Sequence[Shape]) -> Numbers:
    """What no shape may cross: the spines, and the lattices."""
    curves = [s.piece.curve for s in layout.spines] + [c for shape in frames for c in shape.curves]
    return Polylines.of([points_along(curve, SPINE_CHORD_IN) for curve in curves]).linestrings()
