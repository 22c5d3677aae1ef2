"""How many quilts land: ``python -m tests.landing_shares [QUILTS]``; some minutes.

Draws quilts as they come to a machine quilter (sides 36 to 110 in, none quite square; borders 3 1/2 to 12 in, alike
or of two widths; every fill with its needs left open) and solves each with three tins of common circles and with
circles she cuts herself. Prints the shares that land by width, fill and tin, whether every other one gets a cure
that leaves the cloth alone, and the times.
"""

from __future__ import annotations

import argparse
import time
from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.plan import Fill, Plan, SideLengths
from planner.solver.propose import Proposals
from planner.solver.propose import kept as solved

TINS: dict[str, tuple[float, ...]] = {
    "3 circles": (3.0, 4.0, 5.0),
    "6 circles": (2.0, 3.0, 4.0, 5.0, 6.0, 7.0),
    "12 circles": (2.0, 2.5, 3.0, 3.25, 3.5, 3.75, 4.0, 4.5, 5.0, 6.0, 6.5, 7.0),
    "cut own": (),
}
WIDTHS_IN = (3.5, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0)
MANY = 300
_CLOTH = "border"  # the refusal whose cure changes the cloth


def quilts(number: int, *, unequal: bool, seed: int) -> Iterator[Plan]:
    """So many quilts, without a tin."""
    rng = np.random.default_rng([seed, int(unequal)])
    while number:
        width = float(rng.choice(WIDTHS_IN))
        other = width + float(rng.choice([-1.0, -0.5, 0.25, 0.5, 1.0, 2.0])) if unequal else width
        across, down = (round(float(side) * 8) / 8 for side in rng.uniform(36, 110, size=2))
        off = rng.integers(-3, 4, size=2) / 8
        if not 3.5 <= other <= 12 or 2 * max(width, other) > min(across, down) - 8:
            continue
        number -= 1
        yield Plan(
            sides_in=SideLengths(top=across, bottom=across + off[0], left=down, right=down + off[1]),
            border_in=SideLengths(top=width, bottom=width, left=other, right=other),
            fill=Fill(kind=str(rng.choice(list(FILLS)))),
        )


def answered(plan: Plan) -> tuple[Proposals | None, float]:
    """What comes of a plan, and in how many seconds of processor time."""
    begin = time.process_time()
    try:
        found = solved(plan.model_dump_json())
    except PlanError:
        found = None
    return found, time.process_time() - begin


def main(many: int = MANY, seed: int = 1) -> None:
    """Draw, solve, count, print: so many quilts with borders alike, and half as many of two widths."""
    landed: dict[tuple[str, str], list[bool]] = defaultdict(list)
    seconds: dict[str, list[float]] = defaultdict(list)
    cured: list[bool] = []
    groups = ((many, False, "equal widths"), (max(1, many // 2), True, "two widths"))
    for number, unequal, group in groups:
        for plan in quilts(number, unequal=unequal, seed=seed):
            for tin, circles in TINS.items():
                own = plan.model_copy(update={"tin_in": circles, "cut_own": not circles})
                found, took = answered(own)
                lands = bool(found and found.proposals)
                seconds[tin].append(took)
                narrow = f"{min(own.border_in.top, own.border_in.left):g} in"
                for name in (group, f"{group}, from {narrow}", own.fill.kind):
                    landed[name, tin].append(lands)
                if not lands:
                    cures = [r for r in found.refusals if r.change] if found else []
                    cured.append(any(cure.limit != _CLOTH for cure in cures))
    print(f"{'':28}" + "".join(f"{tin:>14}" for tin in TINS))
    for name in sorted({name for name, _ in landed}, key=_by_name):
        cells = (landed[name, tin] for tin in TINS)
        print(f"{name:28}" + "".join(f"{100 * np.mean(cell):9.0f} % {len(cell):3}" for cell in cells))
    print(f"of {len(cured)} that do not land, {sum(cured)} get a cure that leaves the cloth alone")
    for tin, took in seconds.items():
        half, most, worst = (1000 * np.percentile(took, p) for p in (50, 95, 100))
        print(
            f"{tin:12} processor time: median {half:.0f} ms, 95 % within {most:.0f} ms, worst {worst:.0f} ms"
        )


def _by_name(name: str) -> tuple[str, float]:
    group, _, width = name.partition(", from ")
    return group, float(width.removesuffix(" in") or 0)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        prog="python -m tests.landing_shares", description="How many quilts land."
    )
    parser.add_argument(
        "quilts", nargs="?", type=int, default=MANY, help=f"how many to draw (default {MANY})"
    )
    main(parser.parse_args().quilts)
