"""The chalk companion: one circle at a time, to be read from across the table. All of it is in the page, so that
it goes on when the network does not."""

from __future__ import annotations

from contextlib import suppress
from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from planner.border.layout import Layout
from planner.chalk.companion import ToChalk, brushed_out, counted_from, still_stands, to_chalk
from planner.chalk.marking import mark_size, side_marks
from planner.chalk.steps import datum_words, spoken
from planner.errors import PlanError
from planner.pictures.companion import near_view, side_drawings, side_strip
from planner.solver import Chosen, choose
from planner.stamp import LENGTH
from server.access.rights import Visitor, look, store_of, visitor_of
from server.html import render
from server.pages.asked import CARRIED, ASolvedPlan, AWanted, Wanted
from server.pages.words import STANDING
from server.store.database import NotFound
from server.store.versions import Store

router = APIRouter(include_in_schema=False)
VERSIONS_BACK = 8  # in which the layout is looked for that she may have chalked by

NAMES = {"corner": "Corner circle", "ring": "Ring", "hook": "Hook", "string": "Curved line"}


@router.get("/plans/{plan_id}/companion")
def companion_page(
    request: Request,
    plan_id: str,
    plan: ASolvedPlan,
    wanted: AWanted,
    before: Annotated[str, Query(max_length=LENGTH, pattern="^[A-Z0-9]*$")] = "",
    at: Annotated[int, Query(ge=0)] = 0,
    kept: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0,
    base: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0,
) -> HTMLResponse:
    """Every circle as a panel of its own; without scripts they follow one another down the page.

    before: the stamp of the same circles before a run was spread anew, so that what is chalked stays ticked.
    at: the panel she stood at then. kept, base: the version that keeps it, and the one it was made from.
    """
    chosen = choose(plan)
    circles = to_chalk(side_marks(chosen.layout, wanted.stance))
    moved = _moved(chosen, wanted, before, at - 1)
    anew = None
    if moved is None and not plan_id.startswith(CARRIED):
        anew = _before(plan_id, chosen, store_of(request), visitor_of(request))
    if anew:  # a measure has changed since: what is chalked may still hold
        was = to_chalk(side_marks(anew, wanted.stance))
        before, stands = anew.stamp, still_stands(was, circles)
    else:
        was, stands = circles, {n: n for n in range(len(circles)) if n not in (moved or ())}
    held = urlencode({name: "1" for name in ("left", "middle") if getattr(wanted, name)})
    return render(
        "companion.html",
        plan=plan,
        back=f"/plans/{quote(plan_id)}/chalk" + (f"?{held}" if held else ""),
        truescale=f"/plans/{quote(plan_id)}/truescale",
        standing=STANDING[chosen.standing],
        stamp=chosen.layout.stamp,
        drawings=Markup(side_drawings(circles)),
        panels=[
            {**_panel(chosen.layout, one, n, len(circles)), "off": _off(plan_id, one, n, held)}
            for n, one in enumerate(circles, 1)
        ],
        versions=f"/plans/{quote(plan_id)}/versions" if kept else "",
        held=held,
        before=before,
        holds={f"c{n + 1}": f"c{k + 1}" for n, k in stands.items()},
        gone={f"c{n + 1}": (_where(one), _name(one)) for n, one in enumerate(was) if n not in stands},
        at=f"c{at}" if moved is not None else "",
        news=[] if moved is None else _news(circles, circles[at - 1].side, moved, before, kept, base),
    )


def _before(plan_id: str, chosen: Chosen, store: Store, visitor: Visitor) -> Layout | None:
    """The last layout before this one of a saved plan; None where there is none that she may look at."""
    with suppress(NotFound, PlanError):
        saved = look(plan_id, store, visitor)
        for _ in range(VERSIONS_BACK):
            if not saved.base:
                return None
            saved = look(plan_id, store, visitor, saved.base)
            layout = choose(saved.plan).layout
            if layout.stamp != chosen.layout.stamp:
                return layout
    return None


def _moved(chosen: Chosen, wanted: Wanted, before: str, at: int) -> list[int] | None:
    """What the last drift has moved of what she may have chalked; None where it came from another layout."""
    drifts = chosen.choice.drifts
    if not (before and drifts):
        return None
    if not chosen.layout.mirrored and drifts[-1].from_far_end == wanted.left:
        return None  # read from the other end now, the circles have other numbers
    choice = chosen.choice.model_copy(update={"drifts": drifts[:-1]})
    layout = choose(chosen.plan.model_copy(update={"choice": choice})).layout
    was, now = (to_chalk(side_marks(one, wanted.stance)) for one in (layout, chosen.layout))
    if layout.stamp != before or not 0 <= at < len(now):
        return None
    return brushed_out(was, now, at, drifts[-1].curl)


def _news(
    circles: tuple[ToChalk, ...], side: str, moved: list[int], before: str, kept: int, base: int
) -> list[str]:
    """What has happened since she said that she stands off."""
    curls: dict[str, list[int]] = {}  # by the corner they are counted from
    for one in (circles[n] for n in moved):
        if one.side == side and one.mark.name.isdigit():
            curls.setdefault(counted_from(one), []).append(int(one.mark.name))
    ranges = {corner: _range(numbers) for corner, numbers in sorted(curls.items())}
    if not ranges:
        which = "no curl has moved by more than a chalk line"
    elif len(ranges) == 2 and len(set(ranges.values())) == 1:
        which = f"{ranges['left']} moved, on both halves"
    else:
        which = " and ".join(
            f"{words} moved" + (f" on the half at its {corner} corner" if corner else "")
            for corner, words in ranges.items()
        )
    back = (
        f"Version {kept} is kept; version {base} can be taken up again."
        if kept
        else "The address you came from still holds the plan as it was."
    )
    return [
        f"The {side} side is spread anew: {which}. Sheets printed before (stamp {before}) no longer hold.",
        back,
    ]


def _range(numbers: list[int]) -> str:
    low, high = min(numbers), max(numbers)
    return f"curl {low} has" if low == high else f"curls {low} to {high} have"


def _off(plan_id: str, one: ToChalk, number: int, held: str) -> str:
    """Where she says that she stands off at a curl; '' at what is none."""
    if one.mark.kind != "curl":
        return ""
    asked = urlencode({"side": one.side, "curl": one.mark.name, "panel": number})
    return f"/plans/{quote(plan_id)}/drift?{asked}" + (f"&{held}" if held else "")


def _side(one: ToChalk) -> str:
    return f"{one.side} side".capitalize() if one.side in ("left", "right") else one.side.capitalize()


def _name(one: ToChalk) -> str:
    return f"Curl {one.mark.name}" if one.mark.name.isdigit() else NAMES[one.mark.kind]


def _where(one: ToChalk) -> str:
    """Top, from the left corner: where a circle is looked for."""
    corner = counted_from(one)
    return _side(one) + (f", from the {corner} corner" if corner else "")


def _panel(layout: Layout, one: ToChalk, number: int, of: int) -> dict[str, object]:
    """One circle as its template wants it: everything in words."""
    mark = one.mark
    way = f", to your {mark.half}" if mark.half else ""
    return {
        "id": f"c{number}",
        "number": number,
        "of": of,
        "side": _side(one),
        "name": _name(one),
        "along": spoken(mark.along),
        "from": datum_words(one.table).replace(", to your left and right", "") + way,
        "depth": spoken(mark.depth),
        "plus": mark.along.half_marks % 2 or mark.depth.half_marks % 2,
        "tool": "From a pin there" if mark.kind == "string" else "Template",
        "circle": mark_size(layout, mark),
        "clock": mark.from_to,
        "far": mark.how_far,
        "turn": mark.turn,
        "strip": Markup(side_strip(one)),
        "near": Markup(near_view(one)),
    }
