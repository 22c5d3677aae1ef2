"""What is too thin to stitch goes, by however little; so does what leaves the shape in which it is nested."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.fills.pocket import Pocket
from planner.fills.shape import FillOfLayout
from planner.plan import SIDES, Plan
from planner.solver import propose
from tests.outside.fill_judge import Drawing, crossings, thin


def _drawing(
    kind: str, width: float, only: Callable[[Pocket], bool], **style: str
) -> tuple[Drawing, FillOfLayout]:
    """Some pockets of a quilt of 90 by 108 in, borders included."""
    plan = Plan.model_validate(
        {
            "sides_in": {side: (90 if side in ("top", "bottom") else 108) - 2 * width for side in SIDES},
            "border_in": dict.fromkeys(SIDES, width),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "fill": {"kind": kind},
            **style,
        }
    )
    layout = place(plan, propose(plan).proposals[0].choice)
    found = fill(layout, only=only)
    return Drawing(layout, found), found


@pytest.mark.parametrize(
    ("kind", "pocket", "style"),
    [
        ("ribbon", ("curl", "top", "start", 5), {"corner": "easy_going"}),
        ("flowers", ("inside", "top", None, 0), {"meeting": "wreath"}),
    ],
)
def test_nothing_a_little_too_thin_is_left(
    kind: str, pocket: tuple[object, ...], style: dict[str, str]
) -> None:
    """A streamer and a berry in a gap were two hundredths narrower than the smallest feature."""
    d, found = _drawing(kind, 4, lambda p: (p.kind, p.side, p.run, p.curl) == pocket, **style)
    assert len(d.points) > 5
    assert not list(thin(d, found))


def test_a_fold_keeps_within_its_ribbon() -> None:
    """In a gap a streamer is bent so much that a fold ran along its edge, and across it."""
    d, _ = _drawing("ribbon", 11, lambda p: (p.kind, p.side) == ("inside", "right"), meeting="wreath")
    assert sum(shape.kind == "fold" for shape, *_ in d.shapes) > 5
    assert not list(crossings(d))
