"""The border as quilted, on the workbench: where its pictures are fetched, and how thread shows on the cloth."""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.layout import Layout
from planner.pictures import picture
from planner.pictures.colour import Showing, contrast, showing
from planner.pictures.quilted import quilted
from planner.pictures.threaded import mean_colour
from planner.plan import SIDES, Plan, SideName
from planner.solver import choose
from planner.supplies.called import parts_in_words
from server.drawn import grown, path_for_colours
from server.store.links import unpack

SHOWN: dict[Showing, str] = {
    "clearly": "shows clearly on this cloth",
    "softly": "shows softly on this cloth",
    "hardly": "hardly shows on this cloth: you see the relief, and few see a wobble",
}


@dataclass(frozen=True)
class AsQuilted:
    """Addresses of its pictures (one side, the whole quilt), and what is said of the thread."""

    side: str
    whole: str
    shows: tuple[str, ...]


def as_quilted(plan: Plan, packed: str, side: SideName) -> AsQuilted:
    """What the workbench shows of a settled plan. packed: all of it that the pictures are drawn from."""
    return AsQuilted(
        f"/quilted.svg?plan={packed}&side={side}",
        f"/quilted.svg?plan={packed}",
        tuple(_shows(plan, n, mean_colour(one)) for n, one in enumerate(plan.every_thread)),
    )


def vanishing(plan: Plan) -> tuple[str, ...]:
    """What is said of each thread that stitches something and hardly shows on the border's cloth."""
    return tuple(
        _shows(plan, n, mean_colour(one))
        for n, one in enumerate(plan.every_thread)
        if parts_in_words(plan, n) and showing(mean_colour(one), plan.look.border) == "hardly"
    )


def quilted_picture(packed: str, side: str, own_cloth: bool = False) -> str:
    """One side of a packed plan as quilted, or for no side the whole of it, as an SVG.

    own_cloth: of it what lies over hers.

    Raises PlanError when the plan is damaged or nothing lands.
    """
    layout = choose(unpack(packed)).layout
    window, path = _window(layout, side), path_for_colours(layout)
    return quilted(
        layout, grown(layout), window, title="The border as quilted", path=path, own_cloth=own_cloth
    )


def _window(layout: Layout, side: str) -> picture.Window:
    known = next((one for one in SIDES if one == side), None)
    return picture.one_run(layout, known) if known else picture.whole_quilt(layout)


def _shows(plan: Plan, number: int, colour: str) -> str:
    """The thread shows clearly on this cloth (contrast 7.5 to 1)."""
    name, cloth = plan.every_thread[number].name, plan.look.border
    who = f"“{name}”" if name else f"Thread {number + 1}" if len(plan.threads) > 1 else "The thread"
    return f"{who} {SHOWN[showing(colour, cloth)]} (contrast {contrast(colour, cloth):.1f} to 1)."
