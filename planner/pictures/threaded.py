"""What is stitched, in the colours of its threads; a variegated thread as it falls along the way of the needle.

Its colours change by thread used, not by inches of seam: of a repeat of 5 in on the spool some 3 in are seen.
A dash follows the needle; every few inches it is begun anew where the thread has come to, so that no renderer's own
measure of a curve adds up (from afar one is half a percent out). Lengths are inches.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import accumulate, groupby, pairwise
from math import dist

from planner.border.layout import Layout
from planner.fills.pocket import Pocket
from planner.fills.shape import PER_IN, Cell, Copy, FillOfLayout
from planner.geometry.arrays import ROUNDING
from planner.geometry.curves import Bezier, Curve, Motion
from planner.geometry.svg import number, svg_path, whole_path
from planner.pictures.colour import mixed
from planner.plan import Plan
from planner.stitching.net import Strand
from planner.stitching.passes import place_of
from planner.stitching.segments import Segment, StitchPath
from planner.supplies.basis import usual
from planner.supplies.thread import needle_thread
from planner.threads import Thread, part_of

FILL_IN = 0.05  # wide: finer than the spine, so that the spine leads
SPINE_IN = 0.085  # a spine as wide as the page draws it in the view of one side
_RUN_IN = 15.0  # after which a dash is begun anew
_EVEN_IN = 1.0  # as long a curve is passed so unevenly that a colour would begin a tenth of an inch off
_CHORDS = 16  # by which it is measured
_OVER_IN = 0.02  # a dash goes on under the next colour, so that no cloth shows between the two


def mean_colour(thread: Thread) -> str:
    """What a thread looks like from afar."""
    colour = thread.colours[0]
    for n, other in enumerate(thread.colours[1:], 2):
        colour = mixed(colour, other, 1 / n)
    return colour


def spine_thread(plan: Plan) -> Thread:
    """The thread that stitches the spines."""
    return plan.every_thread[plan.stitched_with.get("spine", 0)]


def needs_path(plan: Plan) -> bool:
    """Whether the colours depend on the way of the needle: thread used, what stands at a tip, what is led to."""
    return (
        plan.accents != "all"
        or "tips" in plan.stitched_with
        or any(len(one.colours) > 1 for one in plan.threads)
    )


def thread_by_kind(plan: Plan, kind: str, pocket: Pocket | None) -> int:
    """The thread of a shape by what it is and where it lies; whether it stands at a tip is not known here."""
    its = plan.stitched_with
    place = place_of(pocket) if pocket else None
    return its.get(part_of(kind, place=place, stitched_with=its), 0)


def thread_of_shapes(layout: Layout, fill: FillOfLayout, path: StitchPath | None) -> list[int]:
    """The thread of each shape, in the order of ``fill.shapes``. path: needed where ``needs_path`` says so."""
    if path:
        found = {move.shape: move.thread for move in path.segments if move.shape is not None}
        return [found.get(n, 0) for n, _ in enumerate(fill.shapes())]
    return [
        thread_by_kind(layout.plan, shape.kind, copy.pocket)
        for copy in fill.copies
        for shape in fill.cells[copy.cell].shapes
    ]


def threaded(
    layout: Layout,
    fill: FillOfLayout,
    path: StitchPath | None,
    fill_in: float = FILL_IN,
    spine_in: float = SPINE_IN,
) -> str:
    """All of the fill in its threads, and with a variegated spine this too: SVG in quilt coordinates.

    fill_in, spine_in: how wide the lines of variegated threads are drawn; others take the width round them.
    """
    plan = layout.plan
    threads = thread_of_shapes(layout, fill, path)
    spine = plan.stitched_with.get("spine", 0)
    parts = []
    for n, thread in enumerate(plan.every_thread):
        if len(thread.colours) > 1 and path:
            parts.append(_variegated(plan, thread, n, path, fill.copies, fill_in))
            if n == spine:
                parts.append(_spine_cuts(plan, n, path, spine_in))
        else:
            parts.append(_plain(thread.colours[0], n, fill, threads))
    return "".join(parts)


def _plain(colour: str, n: int, fill: FillOfLayout, threads: list[int]) -> str:
    """What a thread of one colour stitches, cell by cell."""
    known: dict[tuple[int, tuple[int, ...]], int] = {}
    copies, begun = [], 0
    for copy in fill.copies:
        here = range(len(fill.cells[copy.cell].shapes))
        mine = tuple(i for i in here if threads[begun + i] == n)
        begun += len(here)
        if mine:
            copies.append(Copy(known.setdefault((copy.cell, mine), len(known)), copy.motion, copy.pocket))
    cells = tuple(Cell(tuple(fill.cells[cell].shapes[i] for i in mine)) for cell, mine in known)
    own, prefix = FillOfLayout(cells, tuple(copies)), f"thread{n}-"
    defs, uses = own.svg_defs(prefix), own.svg_uses(prefix)
    return f'<g stroke="{colour}"><defs>{defs}</defs><g id="way{n}">{uses}</g></g>'


def way_uses(plan: Plan) -> str:
    """All that ``threaded`` draws, of all threads, in no colour and in the fill's units."""
    return "".join(f'<use href="#way{n}"/>' for n, _ in enumerate(plan.every_thread))


def seam_before(plan: Plan, path: StitchPath) -> list[float]:
    """Of each move the inches of seam that its thread could have sewn with what is off the spool before it.

    What it has sewn, and at each start the two tails, which take as much thread as a longer seam.
    """
    basis = usual(plan.units)
    tails = 2 * basis.tail_in / needle_thread(basis.thickness_in, basis.stitches_per_inch)
    carried, gone, line = path.carried, dict[int, float](), -1
    before = []
    for move in path.segments:
        mine = gone.get(move.thread, 0.0)
        if move.line != line and move.line not in carried:
            mine += tails
        line = move.line
        before.append(mine)
        gone[move.thread] = mine + move.length
    return before


@dataclass(frozen=True, slots=True)
class _Run:
    """Moves that follow each other in one pocket, some inches of them. before: inches of seam, tails counted."""

    pocket: Pocket | None
    moves: list[Segment]
    before: float


def _runs(plan: Plan, n: int, path: StitchPath) -> list[_Run]:
    """The way of one thread, in runs."""
    runs: list[_Run] = []
    line, length = -1, 0.0
    for move, before in zip(path.segments, seam_before(plan, path), strict=True):
        if move.thread != n:
            continue
        if move.line != line or move.pocket != runs[-1].pocket or length >= _RUN_IN:
            runs.append(_Run(move.pocket, [], before))
            line, length = move.line, 0.0
        runs[-1].moves.append(move)
        length += move.length
    return runs


@dataclass(frozen=True, slots=True)
class _Band:
    """One colour of a variegated thread: from where in its repeat, and how long, in inches of seam."""

    colour: str
    begin: float
    length: float


def bands(plan: Plan, thread: Thread) -> tuple[list[_Band], float]:
    """The colours of a thread in turn, each running into the next, and the repeat; in inches of seam.

    A thread of one colour has no repeat.
    """
    if len(thread.colours) == 1:
        return [_Band(thread.colours[0], 0.0, 0.0)], 0.0
    basis = usual(plan.units)
    repeat = (thread.repeat_in or 0.0) / needle_thread(basis.thickness_in, basis.stitches_per_inch)
    nexts = (*thread.colours[1:], thread.colours[0])
    colours = [
        colour
        for one, other in zip(thread.colours, nexts, strict=True)
        for colour in (one, mixed(one, other, 0.5))
    ]
    length = repeat / len(colours)
    return [_Band(colour, n * length, length) for n, colour in enumerate(colours)], repeat


def _variegated(
    plan: Plan, thread: Thread, n: int, path: StitchPath, copies: Iterable[Copy], wide_in: float
) -> str:
    """The way of a variegated thread: drawn once, then shown in each colour, which dashes it."""
    motions: Mapping[Pocket | None, Motion] = {copy.pocket: copy.motion for copy in copies}
    its, repeat = bands(plan, thread)
    numbers: dict[str, int] = {}
    defs: list[str] = []
    uses: list[str] = []
    for pocket, runs in groupby(_runs(plan, n, path), key=lambda run: run.pocket):
        motion = motions.get(pocket, Motion())
        back = motion.undone()
        uses.append(f'<g transform="matrix({_matrix(motion)})">')
        for run in runs:
            d = whole_path((curve.moved(back) for move in run.moves for curve in move.curves), PER_IN)
            if d not in numbers:
                numbers[d] = len(numbers)
                length = sum(move.length for move in run.moves)
                defs.append(f'<path id="w{n}-{numbers[d]}" pathLength="{number(length)}" d="{d}"/>')
            at = f"{run.before % repeat:.2f}".rstrip("0").rstrip(".")
            uses.append(f'<use href="#w{n}-{numbers[d]}" stroke-dashoffset="{at}"/>')
        uses.append("</g>")
    return (
        f'<defs>{"".join(defs)}<g id="way{n}">{"".join(uses)}</g></defs>'
        f'<g stroke-width="{PER_IN * wide_in:g}" stroke-linecap="butt">'
        + "".join(
            f'<use href="#way{n}" stroke="{band.colour}" '
            f'stroke-dasharray="0 {number(band.begin)} {number(end - band.begin)} {number(repeat - end)}"/>'
            for band in its
            for end in [min(repeat, band.begin + band.length + _OVER_IN)]
        )
        + "</g>"
    )


def _matrix(m: Motion) -> str:
    turn = (f"{v / PER_IN:.7f}".rstrip("0").rstrip(".") for v in (m.a, m.b, m.c, m.d))
    return " ".join((*turn, number(m.e), number(m.f)))


def _spine_cuts(plan: Plan, n: int, path: StitchPath, wide_in: float) -> str:
    """The spines over the fill, wider, each cut where the colour changes."""
    pieces: dict[str, list[Curve]] = {band.colour: [] for band in bands(plan, plan.every_thread[n])[0]}
    for move, colour, curves in as_it_falls(plan, path):
        if move.kind == "spine" and move.thread == n:
            pieces[colour] += curves
    return (
        f'<g stroke-width="{wide_in}">'
        + "".join(
            f'<path stroke="{colour}" d="{svg_path(curves)}"/>' for colour, curves in pieces.items() if curves
        )
        + "</g>"
    )


def as_it_falls(
    plan: Plan, path: StitchPath, least_in: float = 0.0
) -> Iterator[tuple[Segment, str, tuple[Curve, ...]]]:
    """All that is new along the way of the needle, move by move, each in pieces of one colour.

    least_in: no piece is shorter, unless its move is; where colours change sooner, a piece has that of its middle.
    """
    colours = [bands(plan, thread) for thread in plan.every_thread]
    for move, before in zip(path.segments, seam_before(plan, path), strict=True):
        if not move.again:
            for colour, curves in _cut(move, before, *colours[move.thread], least_in):
                yield move, colour, curves


def _cut(
    move: Segment, gone: float, its: list[_Band], repeat: float, least_in: float
) -> Iterator[tuple[str, tuple[Curve, ...]]]:
    """A move in pieces of one colour. gone: inches of seam before it, by thread used."""
    if not repeat:
        yield its[0].colour, move.curves
        return
    (begun, ended), length, done = move.span, move.length, 0.0
    while done < length - ROUNDING:
        at = (gone + done) % repeat
        left = next((end - at for b in its if (end := b.begin + b.length) > at + ROUNDING), its[0].length)
        more = min(length - done, max(left, least_in))
        middle = (gone + done + more / 2) % repeat
        colour = next((band.colour for band in its if middle < band.begin + band.length), its[0].colour)
        p, q = (begun + (ended - begun) * share / length for share in (done, done + more))
        yield colour, move.strand.between(_place(move.strand, p), _place(move.strand, q))
        done += more


def _place(strand: Strand, along_in: float) -> float:
    """The place so far along a strand; within a short curve as if that were passed evenly."""
    n = len(strand.curves)
    i = max(bisect_right(range(n), along_in, key=lambda whole: strand.known[whole]) - 1, 0)
    curve, begin, end = strand.curves[i], strand.known[i], strand.known[i + 1]
    if end <= begin:
        return float(i)
    share = min(max((along_in - begin) / (end - begin), 0.0), 1.0)
    if end - begin > _EVEN_IN and isinstance(curve, Bezier) and 0 < share < 1:
        points = [curve.point(n / _CHORDS) for n in range(_CHORDS + 1)]
        passed = list(accumulate((dist(a, b) for a, b in pairwise(points)), initial=0.0))
        n = bisect_right(passed, share * passed[-1]) - 1
        share = (n + (share * passed[-1] - passed[n]) / (passed[n + 1] - passed[n])) / _CHORDS
    return i + share
