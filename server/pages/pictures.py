"""The picture of a saved version, drawn once and remembered: versions never change."""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from planner.errors import PlanError
from planner.pictures import picture
from planner.pictures.card import card_fill, card_picture
from planner.plan import Plan
from planner.solver import choose
from planner.stamp import svg_metadata
from server.store.planfile import canonical

View = Literal["small", "whole", "filled"]
FINE = "<style>.thread{stroke-width:1.1}.stitch{stroke-width:.9}.pucker,.tip{stroke-width:2}</style>"
REMEMBERED = 600  # small ones are some 5 kB


def picture_of(plan: Plan, view: View) -> str:
    """An SVG file: one corner and the way to the middle, the whole quilt, or corner and middle with their fill."""
    return _drawn(canonical(plan), view)


@lru_cache(maxsize=REMEMBERED)
def _drawn(body: str, view: View) -> str:
    plan = Plan.model_validate_json(body)
    try:
        layout = choose(plan).layout
    except PlanError:
        return _blank(plan)  # nothing lands yet
    if view == "filled":
        drawn = card_picture(plan, layout.choice).removesuffix("</svg>") + card_fill(layout) + "</svg>"
        return _alone(drawn, svg_metadata(layout.stamp))
    if view == "small":
        return _alone(picture.small_picture(plan, layout.choice), svg_metadata(layout.stamp))
    return _alone(picture.picture(layout, picture.whole_quilt(layout), title=plan.name), FINE)


def _alone(svg: str, more: str) -> str:
    """A piece of a page as a file of its own, with more at its head: metadata, or the widths of a page's lines."""
    start, inside = svg.split(">", 1)
    if "xmlns=" not in start:
        start = start.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
    return f"{start}>{more}{inside}"


def _blank(plan: Plan) -> str:
    """Cloth without curls: a plan that does not land yet."""
    look = plan.look
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 14">'
        f'<rect width="60" height="14" fill="{look.border}"/>'
        f'<rect x="7" y="7" width="53" height="7" fill="{look.cloth}"/></svg>'
    )
