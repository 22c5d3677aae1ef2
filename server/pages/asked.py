"""What an address of a sheet asks: which plan, on the shelf or in the link itself, and how she wants it made."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Depends, Query, Request

from planner.chalk.marking import Stance
from planner.lengths import parse_length
from planner.plan import Plan
from planner.sheets.paper import USUAL, Paper, paper
from server.access.rights import Which, look, store_of, visitor_of
from server.pages.address import origin
from server.solving import layout_ready
from server.store.links import FORM, unpack

CARRIED = f"c{FORM}."


@dataclass(frozen=True)
class Wanted:
    """How she wants a sheet; texts as in the address."""

    paper: str = ""
    roll: str = ""
    side: str = ""
    fill: bool = False
    left: bool = False
    middle: bool = False
    all: bool = False

    def on(self, plan: Plan) -> Paper:
        """The paper, which is what her units suggest when she names none. Raises PlanError."""
        width = parse_length(self.roll, plan.units, field="roll") if self.roll.strip() else None
        return paper(self.paper or USUAL[plan.units], width, plan.units)

    @property
    def stance(self) -> Stance:
        """Where she stands to measure."""
        return Stance(self.left, self.middle)

    @property
    def query(self) -> str:
        """The same wishes as an address carries them."""
        return urlencode(
            {name: "1" if value is True else value for name, value in asdict(self).items() if value}
        )


def wanted_of(
    paper: Annotated[
        str, Query(max_length=40, description="letter, a4, a3 or roll; by the plan's units")
    ] = "",
    roll: Annotated[str, Query(max_length=60, description="Width of the roll, such as 24 in")] = "",
    side: Annotated[str, Query(max_length=40, description="top, right, bottom, left or all")] = "",
    fill: Annotated[bool, Query(description="With the fill, not the spines alone")] = False,
    left: Annotated[bool, Query(description="Readings for a left-handed chalker")] = False,
    middle: Annotated[bool, Query(description="Readings from the middle of each side")] = False,
    all: Annotated[bool, Query(description="Templates of all circles, not only those she lacks")] = False,
) -> Wanted:
    """The wishes that came with an address."""
    return Wanted(paper, roll, side, fill, left, middle, all)


def saved_of(plan_id: str, request: Request, version: Which = None) -> tuple[Plan, float | None]:
    """The plan that an address names, and when it was saved (never, where a link carries it).

    Raises NotFound, LinkError.
    """
    if plan_id.startswith(CARRIED):
        return unpack(plan_id), None
    saved = look(plan_id, store_of(request), visitor_of(request), version)
    return saved.plan, saved.saved_at


ASaved = Annotated[tuple[Plan, float | None], Depends(saved_of)]


def plan_of(saved: ASaved) -> Plan:
    """The plan that an address names."""
    return saved[0]


def saved_at_of(saved: ASaved) -> float | None:
    """When that plan was saved, seconds since 1970."""
    return saved[1]


def origin_of(plan_id: str, request: Request) -> dict[str, str]:
    """Which saved plan the words of a carrying link were changed from: it goes there and back with them."""
    return origin(request.query_params) if plan_id.startswith(CARRIED) else {}


APlan = Annotated[Plan, Depends(plan_of)]


async def solved_plan(request: Request, plan: APlan) -> Plan:
    """The same, when it has been solved."""
    await layout_ready(request, plan)
    return plan


ASolvedPlan = Annotated[Plan, Depends(solved_plan)]
AMoment = Annotated[float | None, Depends(saved_at_of)]
AWanted = Annotated[Wanted, Depends(wanted_of)]
AnOrigin = Annotated[dict[str, str], Depends(origin_of)]
