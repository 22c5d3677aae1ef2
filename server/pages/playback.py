"""The play-back page: the order of stitching, drawn as it goes; without scripts a numbered picture and a list.

It takes some seconds to find the order: the head of the page is sent before, and says so.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import StreamingResponse
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from planner.errors import PlanError
from planner.pictures.numbered import many_begin, numbered
from planner.pictures.playback import play_data
from planner.pictures.stages import Stage, legs, order_in_words, stages, strips_in_words, where_in_words
from planner.plan import Plan, Units
from planner.solver import choose
from planner.stitching.segments import StitchPath
from planner.supplies.called import parts_in_words, thread_name
from server.drawn import grown, stitched
from server.html import render_waiting
from server.pages.address import plan_address
from server.pages.forms import look_of_form
from server.pages.stamps import stamp_on
from server.pages.words import STANDING
from server.problems import Trouble
from server.solving import layout_ready
from server.workers import Gone, workers_of

router = APIRouter(include_in_schema=False)
log = logging.getLogger("cornerwise.playback")


@dataclass(frozen=True)
class Section:
    """What one thread stitches in one strip. title: the two in words, '' where there is but one of each."""

    title: str
    colours: tuple[str, ...]
    stages: tuple[Stage, ...]
    starts: int
    carries: int

    @property
    def spines(self) -> tuple[Stage, ...]:
        """The stages in which it stitches nothing but spines."""
        return tuple(
            one for one in self.stages if not one.number and any(move.kind == "spine" for move in one.moves)
        )

    @property
    def tips(self) -> bool:
        """Whether it stitches what hangs at the tips as it comes to them along the spines."""
        return any(move.kind == "tip" for one in self.spines for move in one.moves)

    @property
    def counted(self) -> bool:
        """Whether pockets come in the order of their numbers; a later thread comes to them in another."""
        numbers = [stage.number for stage in self.stages if stage.number]
        return numbers == sorted(numbers)

    @property
    def length(self) -> float:
        """Inches, ways back counted."""
        return sum(stage.length for stage in self.stages)


@dataclass(frozen=True)
class Order:
    """What the page shows. words: how spines and pockets follow each other; many: whether more lines begin than
    the picture has dots for; ahead: whether a thread goes where a later one covers it. Lengths in words."""

    standing: str
    sections: tuple[Section, ...]
    lines: int
    starts: int
    carries: int
    pockets: int
    words: str
    many: bool
    ahead: bool
    whole: str
    again: str
    picture: Markup
    data: Markup


@router.get("/playback")
async def playback(request: Request) -> StreamingResponse:
    """The order of stitching of the plan in the address."""
    found = await run_in_threadpool(plan_address, dict(request.query_params))
    units = found.plan.units if found.plan else "in"
    if found.plan:
        await layout_ready(request, found.plan)
    return render_waiting(
        "playback.html",
        lambda: _found(request, found.plan),
        {"order": None, "more": ()},
        address=found,
        stamp=await run_in_threadpool(stamp_on, found.plan),
        troubles=tuple(found.troubles.values()),
        look=look_of_form(found.texts),
        units=units,
        legs=legs,
        places=places_in_words,
        way=lambda length: way_in_words(length, units),
    )


async def _found(request: Request, plan: Plan | None) -> dict[str, Any]:
    """The order, or why there is none: the page has begun, so that nothing may be raised any more."""
    order, more = None, list[Trouble]()
    try:
        if plan:
            order = await workers_of(request).answer(request, order_of, plan.model_dump_json())
    except PlanError as error:
        more = [Trouble.of(error)]
    except Gone:
        pass
    except Exception:
        log.exception("No order of stitching for %s", plan)
        more = [Trouble("", "Something went wrong on our side; your plan is unharmed.", "Try again.")]
    return {"order": order, "more": more}


def order_of(plan_json: str) -> Order:
    """The whole order: a second or two of work."""
    plan = Plan.model_validate_json(plan_json)
    chosen = choose(plan)
    layout = chosen.layout
    filled, path = grown(layout), stitched(layout)
    in_stages = stages(layout, path)
    data = json.dumps(play_data(layout, filled, in_stages, path), separators=(",", ":")).replace(
        "<", "\\u003c"
    )
    return Order(
        standing=STANDING[chosen.standing],
        sections=_sections(plan, path, in_stages),
        lines=path.lines,
        starts=path.starts,
        carries=len(path.carried),
        pockets=len(path.pockets),
        words=order_in_words(plan, path),
        many=many_begin(path),
        ahead=any(path.ahead),
        whole=way_in_words(path.length, plan.units),
        again=way_in_words(path.retraced, plan.units),
        picture=Markup(numbered(layout, filled, in_stages, path)),
        data=Markup(data),
    )


def _sections(plan: Plan, path: StitchPath, told: Iterable[Stage]) -> tuple[Section, ...]:
    """The order by thread and by strip."""
    strips, several = strips_in_words(path, plan.units), len(path.threads) > 1
    found, known = [], set[int]()
    for (thread, strip), group in groupby(told, key=lambda stage: (stage.thread, stage.strip)):
        here = tuple(group)
        begun = {stage.line for stage in here} - known
        known |= begun
        parts = parts_in_words(plan, thread)
        words = [f"{thread_name(plan, thread)}{f' ({parts})' if parts else ''}"] if several else []
        title = ": ".join([*([strips[strip]] if strips else []), *words])
        carries = len(begun & path.carried)
        colours = plan.every_thread[thread].colours if several else ()
        found.append(Section(title[:1].upper() + title[1:], colours, here, len(begun) - carries, carries))
    return tuple(found)


def places_in_words(spines: Iterable[Stage]) -> list[str]:
    """Where some stages lie, each place once."""
    return [where_in_words(where) for where in dict.fromkeys(stage.where for stage in spines)]


def way_in_words(length_in: float, units: Units) -> str:
    """A way of the needle, in the measure that thread is sold in."""
    return f"{length_in / 36:,.1f} yd" if units == "in" else f"{length_in * 0.0254:,.1f} m"
