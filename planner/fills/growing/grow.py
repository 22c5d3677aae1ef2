"""The growing engine: one pocket of bare spine in, its shapes in stitching order out.

Motifs stand first (at the tips, in the crooks, where the flow parts); flow lines divide what is left into
strips of even width; each strip gets its shape. A fill says only what each of these looks like (Style). Local
coordinates, inches.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import inf, pi

import numpy as np
import shapely

from planner.fills.growing.contour import FAN, Contour, sample
from planner.fills.growing.flow import HAIR_IN, SEED_IN, FlowLines, depths, flow_lines
from planner.fills.growing.ground import Ground, Place
from planner.fills.growing.grown import Grown
from planner.fills.growing.outline import CLOSE, Curves, Outline, crosses_host, nested, thinner
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.pockets.crook import crook
from planner.geometry.arrays import MEETING_IN, NOUGHT, Mask, Numbers
from planner.geometry.curves import Arc, mirror_at
from planner.geometry.polylines import even, moved

_VARIES = 0.07  # sizes differ from the even one by this share, on purpose: so that an odd one does not show
_SPACED = 0.06  # where strips are wider or narrower by this share
_LEANS = 0.4  # share of the room by which a flow line leans on its way through it
_LEANS_ROUND = 0.35  # radians round a circle, at most
_FOOT = 2  # levels up from the spine, where a drop on its other side is near too
_TOUCHED_IN = (
    0.01  # where the spine is so near its own image, shapes that begin there would meet their images
)
_TOUCHING_IN = 0.12  # so they begin at least so far from there
_CROOK_IN = 0.01  # a flow line that comes so near the drop in a crook is left out
_PARTING_IN = 0.9  # over this length the flow turns from one way to the other where it parts
_FAN_IN = 1.2  # of flank given to a tip where shapes grow round it
_SWEPT_IN = 0.16  # and over which the flow turns there: it leans on past the tip


def grow(ground: Ground, style: Style, needs: Needs) -> Grown:
    """The shapes of one pocket, in the order of their bases along the flank."""
    contour = _parted(sample(ground.flank, _FAN_IN if style.sweeps else FAN), ground, style)
    begin, end = (_cut(contour, ground, place, needs) for place in (ground.begin, ground.end))
    contour = _swayed(contour, begin, end, style.sways, needs)
    placed: list[tuple[float, Outline]] = []
    guards: list[Numbers] = []
    crooks: list[shapely.LineString] = []
    facing = _facing(contour, ground)
    for q, motif in _motifs(contour, ground, style, needs, facing):
        if begin <= q <= end:
            placed += [(q, outline) for outline in motif.outlines]
        if style.covers and q in contour.cusps:
            crooks.append(shapely.LineString(motif.guard))
        else:
            guards.append(even(motif.guard, 0.04))
    whole = depths(contour, ground.edges, guards, facing, sweeps=style.sweeps, fans=style.fans)
    lines = flow_lines(contour, np.minimum(whole, needs.reach), style.lean, begin, end)
    parting = [contour.q_at(*p) for p in ground.partings]
    for strips, draw in _divide(lines, style, needs, parting, crooks, _touching(contour, ground)):
        wide = strips.width > 1.35 * needs.smallest
        for q, outlines, ok in zip(_q(lines, strips), draw(strips, needs), wide, strict=True):
            placed += [(_row_q(lines, outline, q), outline) for outline in outlines if ok]
    return _grown(placed, lines, _ends(lines, whole), ground, needs)


def _ends(lines: FlowLines, whole: Numbers) -> Numbers:
    """Where the first and the last flow line come to the end of what may be filled, straight on. Shape (2, 2)."""
    q = lines.heads[[0, -1]]
    return lines.contour.at(q, np.interp(q, lines.contour.q, whole))


def _grown(
    placed: Sequence[tuple[float, Outline]], lines: FlowLines, ends: Numbers, ground: Ground, needs: Needs
) -> Grown:
    """Shapes of one base in one group.

    One that comes out too thin or would meet its mirror image goes, and with it what is nested in it and the stem
    that bears it; so does what crosses that in which it is nested.
    """
    placed = sorted(placed, key=lambda item: item[0])
    base = [q for q, _ in placed]
    whole = np.searchsorted(base, base)  # the first of its base
    outlines = [outline for _, outline in placed]
    curves = Curves.of(outlines)
    shapes = curves.rough()
    gone = thinner(shapes, needs.smallest)
    if ground.mirror is not None:
        # Nearer than the spine comes to it, where its circle touches its own image, nothing is.
        nearest = max(ground.mirror - HAIR_IN / 4, float(lines.contour.point[:, 0].max()))
        gone |= shapes.boxes()[1][:, 0] > nearest
    within = nested(outlines)
    host = np.maximum.accumulate(np.where(within, 0, np.arange(len(within))))[within]  # the shape before it
    if within.any():
        gone[within] |= gone[host] | crosses_host(curves, within, curves.chosen(~within).points(CLOSE))
    bears = np.array([_bears(one, other) for (_, one), (_, other) in pairwise(placed)], dtype=bool)
    gone[:-1] |= gone[1:] & bears
    stay = [None if bad else outline for (_, outline), bad in zip(placed, gone.tolist(), strict=True)]
    groups = tuple(
        (base[low], tuple(filter(None, stay[low:high])))
        for low, high in pairwise([*sorted(set(whole.tolist())), len(placed)])
        if stay[low]
    )
    some = int(needs.room / SEED_IN) + 1
    verges = lines.points[:some], lines.points[: -some - 1 : -1]
    rim = np.array(ground.rim).reshape(-1, 2)
    return Grown(
        groups,
        lines.contour,
        float(lines.q[0]),
        float(lines.q[-1]),
        rim,
        verges,
        ends,
        ground.edges,
        ground.mirror,
    )


def _bears(stem: Outline, other: Outline) -> bool:
    """Whether a shape is a stem, and another begins at its end."""
    ends = stem.kind == "stem" and not stem.within
    return ends and bool(np.hypot(*(other.points[0] - stem.points[-1])) < MEETING_IN)


def _cut(contour: Contour, ground: Ground, place: Place, needs: Needs) -> float:
    """Where the flow line stands that ends at a place: as far upstream as it leans on its way to the edge.

    Cut so, neighbouring pockets agree on the line between them, whatever stands beyond it.
    """
    stretch = ground.flank[place[0]]
    upstream = 0.0 if place in ground.still else _LEANS * needs.room
    if isinstance(stretch.curve, Arc):
        upstream = min(upstream, _LEANS_ROUND * stretch.curve.radius)
    return contour.q_at(*place) - stretch.flow * upstream


def _parted(contour: Contour, ground: Ground, style: Style) -> Contour:
    """The flow eased where it parts, so that the middle stands upright."""
    flow = contour.flow.copy()
    tips = {(i, 0.5) for i, stretch in enumerate(ground.flank) if stretch.label == "tip"}
    for tip, middle in tips if style.fans else ():
        there = contour.stretch == tip  # it is as on the tail before it, and behind it
        flow[there] = np.sign(contour.q_at(tip, middle) - contour.q[there])
    ends = [contour.q_at(*place) for place in (ground.begin, ground.end)]
    for place in (*ground.partings, *ground.still, *tips):
        q = contour.q_at(*place)
        # Where the pocket ends, the flow is what the next pocket has there too.
        longest = _SWEPT_IN if style.sweeps and place in tips else _PARTING_IN
        over = min([longest, *(0.6 * abs(q - end) for end in ends if end != q)])
        flow *= np.clip(np.abs(contour.q - q) / over - 0.25, 0, 1)
    for q in contour.cusps:
        off = (contour.q - q) / _PARTING_IN
        flow *= np.where(off * flow < 0, np.clip(np.abs(off), 0, 1), 1)
    return replace(contour, flow=flow)


def _swayed(contour: Contour, begin: float, end: float, sways: float, needs: Needs) -> Contour:
    """The flow of a variant: it leans now more, now less, but as ever where the pocket begins and ends."""
    share = np.clip((contour.q - begin) / (end - begin), 0, 1)
    wave = sum(
        needs.about(1.0, 1.0, f"sway {k}") * np.sin(k * pi * share) - np.sin(k * pi * share)
        for k in (1, 2, 3)
    )
    return replace(contour, flow=contour.flow * (1 + sways * np.sin(pi * share) * wave / 2))


def _facing(contour: Contour, ground: Ground) -> Numbers:
    """All spine that the pocket faces: its own first, and its image in the middle."""
    spine = contour.point
    if ground.mirror is None:
        return spine
    return np.concatenate((spine, moved(spine, mirror_at(ground.mirror))))


def _touching(contour: Contour, ground: Ground) -> Numbers:
    """q wherever the spine all but touches its own image."""
    if ground.mirror is None:
        return np.zeros(0)
    x = np.pad(contour.point[:, 0], 1, constant_values=-inf)
    return contour.q[(x[1:-1] > ground.mirror - _TOUCHED_IN) & (x[1:-1] >= np.maximum(x[:-2], x[2:]))]


def _motifs(
    contour: Contour, ground: Ground, style: Style, needs: Needs, facing: Numbers
) -> list[tuple[float, Motif]]:
    found: list[tuple[float, Motif]] = []
    for i, stretch in enumerate(ground.flank[:-1]):
        after = ground.flank[i + 1]
        if after.label == "tip":
            motif = style.tip(stretch.arc, needs)
            q = contour.q_at(i + 1, 0.5)
        elif contour.starts[i + 1] in contour.cusps:
            radius = stretch.curve.radius if isinstance(stretch.curve, Arc) else needs.room
            widest = style.crook_radius * min(needs.room, radius)
            wedge = crook(contour, i, ground.edges, facing, ground.mirror, widest)
            motif = style.crook(*wedge, needs) if wedge else None
            q = contour.q_at(i + 1, 0.0)
        else:
            continue
        if motif:
            found.append((q, motif))
    if ground.heart:
        arc = ground.flank[ground.heart[0]].arc
        heart = style.heart(arc.point(ground.heart[1]), arc.centre, needs)
        if heart:
            found.append((contour.q_at(*ground.heart), heart))
    return found


def _divide(
    lines: FlowLines,
    style: Style,
    needs: Needs,
    partings: Sequence[float],
    crooks: Sequence[shapely.LineString],
    touching: Numbers,
) -> list[tuple[FlowStrips, Callable[[FlowStrips, Needs], list[list[Outline]]]]]:
    """The flow lines cut into strips of even width; at a parting a wide strip of its own."""
    across = lines.widths()
    length = (lines.length[1:] + lines.length[:-1]) / 2
    wanted = needs.room * style.width * np.clip(0.5 + 0.5 * length / needs.room, 0.5, 1.35)
    shortest = style.shortest * needs.room
    grown = (length > shortest) & (np.minimum(lines.depth[1:], lines.depth[:-1]) > shortest / 2)
    grown &= np.abs(np.diff(lines.length)) < style.jump * needs.room
    every = shapely.linestrings(lines.points[:, _FOOT if style.sweeps else 0 :])
    for drop in crooks:
        near = np.asarray(shapely.dwithin(every, drop, _CROOK_IN))
        grown &= ~(near[1:] | near[:-1])
    wanted *= needs.about(1.0, _SPACED, "strips")
    random = np.random.default_rng((needs.seed, needs.variant) if needs.variant else needs.seed)
    stops = [0, len(across)]
    parts: list[tuple[FlowStrips, Callable[[FlowStrips, Needs], list[list[Outline]]]]] = []
    for q in partings:
        middle = float(np.interp(q, lines.q, np.arange(len(lines.q))))
        i = int(middle)
        half = 0
        while half < min(i, len(across) - i) - 2 and across[i - half : i + half].sum() < 2.0 * wanted[i]:
            half += 1
        stops += [i - half, i + half]
        cuts = i + half * np.linspace(-1, 1, style.partings + 1)
        parts.append((_strips(lines, cuts), style.parting))
        grown[i - half : i + half] = False
    for a, z in _runs(grown, sorted(set(stops))):
        share = np.concatenate(([0.0], np.cumsum(across[a:z] / wanted[a:z])))
        count = round(share[-1])
        if not count:
            continue
        spaced = np.arange(count + 1) + np.pad(random.uniform(-_VARIES, _VARIES, count - 1), 1)
        cuts = a + np.interp(spaced * share[-1] / count, share, np.arange(z - a + 1))
        for q in touching if style.sweeps else ():
            at = float(np.interp(q, lines.q, np.arange(len(lines.q))))
            aside = _TOUCHING_IN / (lines.q[1] - lines.q[0])
            inner = cuts[1:-1]
            inner[:] = np.where(np.abs(inner - at) < aside, at + np.where(inner < at, -aside, aside), inner)
        parts.append((_strips(lines, cuts), style.strips))
    return parts


def _runs(grown: Mask, stops: Sequence[int]) -> list[tuple[int, int]]:
    """Stretches of neighbouring True, cut at the stops as well."""
    runs = []
    for low, high in pairwise(stops):
        edge = np.flatnonzero(np.diff(np.concatenate(([0], grown[low:high].astype(int), [0]))))
        runs += [(low + int(a), low + int(z)) for a, z in zip(edge[::2], edge[1::2], strict=True)]
    return runs


def _strips(lines: FlowLines, cuts: Numbers) -> FlowStrips:
    left, right = cuts[:-1], cuts[1:]
    level = np.array([0.6, 0.7, 0.8])[None, :] * np.ones((len(left), 1))
    one, other = lines.at(left[:, None] + 0 * level, level), lines.at(right[:, None] + 0 * level, level)
    middle = (one + other) / 2
    ahead = middle[:, 2] - middle[:, 0]
    ahead = ahead / (np.linalg.norm(ahead, axis=1, keepdims=True) + NOUGHT)
    step = other - one
    width = np.abs(step[..., 0] * ahead[:, 1:] - step[..., 1] * ahead[:, :1]).max(axis=1)
    length = np.interp((left + right) / 2, np.arange(len(lines.q)), lines.length)
    return FlowStrips(lines, left, right, width, length)


def _row_q(lines: FlowLines, outline: Outline, q: float) -> float:
    """Where an outline comes in the order: with its strip, if it does not say otherwise."""
    if not outline.row:
        return q
    return float(np.interp(outline.row.seed, np.arange(len(lines.q)), lines.q))


def _q(lines: FlowLines, strips: FlowStrips) -> list[float]:
    return [float(q) for q in np.interp(strips.left, np.arange(len(lines.q)), lines.q)]
