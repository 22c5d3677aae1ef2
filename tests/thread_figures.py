"""Fits the figures by which thread is estimated.

``.venv/bin/python -m tests.thread_figures``, of one fill ``... leaves``, of what lies behind fills ``... pebbles``.
What it prints goes into the record of the fill (planner/fills/styles) or of the background, before which a
fill keeps the share of its thread that stands first. Least squares over layouts really filled and
stitched, every whole way weighed alike; how far the figures are off on other layouts stands beside them.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterable, Iterator
from dataclasses import astuple
from itertools import islice, product

import numpy as np
from numpy.typing import NDArray

from planner.border.layout import Layout, place
from planner.errors import PlanError
from planner.fills import fill
from planner.fills.backgrounds import BACKGROUNDS
from planner.fills.growing.style import Style
from planner.fills.styles import FILLS
from planner.plan import SIDES, Choice, FillKind, Plan
from planner.solver.rank import ranked
from planner.stitching.order import path_of
from planner.supplies.work import filling_terms

FITTED, HELD_OUT = 1, 2  # what the layouts are drawn from
MANY, FEWER = 60, 30  # layouts of a fill: to fit to, to see how far it is off
LONGEST_BEHIND_IN = 45.0  # of those with something behind: it takes most of the time
DRAWN = tuple(kind for kind, one in BACKGROUNDS.items() if one.draw)
WIDTHS_IN = (4.0, 5.0, 6.0, 8.0, 10.0)
CORNERS = (
    ("mirrored", "butted"),
    ("mirrored", "full_circle"),
    ("mirrored", "little_spines"),
    ("mirrored", "wreath"),
    ("mirrored", "lattice"),
    ("turning", "any"),
    ("easy_going", "any"),
)


def layouts(
    kind: FillKind, seed: int, longest_in: float = 110.0, background: str = "none"
) -> Iterator[Layout]:
    """Layouts without end: each width with each corner once in thirty, sides, room and feature as they fall."""
    chance = random.Random(f"{kind} {seed}")
    needs = FILLS[kind].needs
    while True:
        for width, (corner, meeting) in chance.sample(list(product(WIDTHS_IN, CORNERS)), 30):
            across, down = (chance.uniform(4 * width, max(5 * width, longest_in)) for _ in range(2))
            border = width + chance.choice((0.0, chance.uniform(-0.5, 0.5)))
            fill_needs = {
                "kind": kind,
                "room_in": needs.comfortable_room * chance.choice((1.0, chance.uniform(0.65, 1.6))),
                "smallest_feature_in": needs.smallest_feature
                * chance.choice((1.0, chance.uniform(0.5, 1.6))),
            }
            plan = Plan.model_validate(
                {
                    "sides_in": {side: across if side in ("top", "bottom") else down for side in SIDES},
                    "border_in": dict.fromkeys(SIDES, border),
                    "cut_own": True,
                    "corner": corner,
                    "meeting": meeting,
                    "background": background,
                    "fill": fill_needs,
                }
            )
            if choices := _choices(plan):
                yield place(plan, chance.choice((choices[0], chance.choice(choices))))


def _choices(plan: Plan) -> list[Choice]:
    try:
        return [proposal.choice for proposal in ranked(plan)]
    except PlanError:
        return []


def _measured(some: Iterable[Layout]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Of each layout the terms of its fill, and the fill itself, both as shares of the needle's whole way."""
    rows = []
    for layout in some:
        terms, known = filling_terms(layout)
        whole = path_of(layout, fill(layout)).length
        rows.append(np.array([*terms, whole - known]) / whole)
    table = np.array(rows)
    return table[:, :-1], table[:, -1]


def _behind_all(background: str, seed: int) -> Iterator[Layout]:
    """Layouts of every fill in turn that something may lie behind."""
    every = [kind for kind, fill in FILLS.items() if isinstance(fill.style, Style)]
    some = [layouts(kind, seed, LONGEST_BEHIND_IN, background) for kind in every]
    while True:
        for one in some:
            yield next(one)


def _measured_behind(some: Iterable[Layout]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The same as ``_measured``, with what the fill alone would take as the first term."""
    rows = []
    for layout in some:
        terms, known = filling_terms(layout)
        own = float(np.dot(terms, astuple(FILLS[layout.plan.fill.kind].thread)))
        whole = path_of(layout, fill(layout)).length
        rows.append(np.array([own, *terms, whole - known]) / whole)
    table = np.array(rows)
    return table[:, :-1], table[:, -1]


def _fit_background(background: str) -> None:
    terms, shares = _measured_behind(islice(_behind_all(background, FITTED), MANY))
    (kept, area, spine, feature), *_ = np.linalg.lstsq(terms, shares, rcond=None)
    terms, shares = _measured_behind(islice(_behind_all(background, HELD_OUT), FEWER))
    off = terms @ (kept, area, spine, feature) - shares
    usually, most = float(np.sqrt(np.mean(off**2))), float(np.max(np.abs(off)))
    print(
        f"{background:<10}{kept:7.2f}{area:7.2f}{spine:7.2f}{feature:9.2f}   {usually:.1%}, {most:.1%}",
        flush=True,
    )


def main(kinds: Iterable[str]) -> None:
    print(f"{'fill':<10}{'area':>7}{'spine':>7}{'feature':>9}   off on others: usually, at most")
    for kind in kinds:
        if kind in BACKGROUNDS:
            _fit_background(kind)
            continue
        terms, shares = _measured(islice(layouts(kind, FITTED), MANY))
        figures, *_ = np.linalg.lstsq(terms, shares, rcond=None)
        terms, shares = _measured(islice(layouts(kind, HELD_OUT), FEWER))
        off = terms @ figures - shares
        area, spine, feature = figures
        usually, most = float(np.sqrt(np.mean(off**2))), float(np.max(np.abs(off)))
        print(f"{kind:<10}{area:7.2f}{spine:7.2f}{feature:9.2f}   {usually:.1%}, {most:.1%}", flush=True)


if __name__ == "__main__":
    reading = argparse.ArgumentParser(
        prog="python -m tests.thread_figures", description="Fits the thread figures of fills anew."
    )
    reading.add_argument(
        "kinds", nargs="*", choices=[[], *FILLS, *DRAWN], help="which (all when none is named)"
    )
    main(reading.parse_args().kinds or [*FILLS, *DRAWN])
