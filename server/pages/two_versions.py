"""Two versions of a plan beside each other: what differs, in her words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fastapi.responses import HTMLResponse

from planner.border.drift import standing
from planner.border.said import curl_words
from planner.plan import SIDES, Plan
from server.html import render
from server.pages.forms import LABELS, values_of
from server.pages.stamps import stamp_on
from server.pages.words import circle_in_words, counts_in_words, middle_in_words
from server.store.versions import Saved, Version


@dataclass(frozen=True)
class Difference:
    """A measure in which two versions differ, in her words."""

    label: str
    one: str
    other: str


def words(line: Version | Saved, plan: Plan, base: Plan | None) -> str:
    """How a version came to be; plan: what it holds, base: what it was made from."""
    if line.why == "saved" and base and (news := drifts_since(base, plan)):
        return f"{news}; saved, from version {line.base}"
    by: dict[Literal["made", "saved", "restored", "aside"], str] = {
        "made": "put on the shelf",
        "saved": f"saved, from version {line.base}",
        "restored": f"version {line.base} taken up again",
        "aside": f"kept beside, from version {line.base}: somebody else had saved first",
    }
    return by[line.why]


def drifts_since(base: Plan, plan: Plan) -> str:
    """``top spread anew from curl 4`` where she stood off since; '' where she did not."""
    was, now = (one.choice.drifts if one.choice else () for one in (base, plan))
    if now[: len(was)] != was:
        return ""
    return ", ".join(f"{one.side} spread anew from {curl_words(one)}" for one in now[len(was) :])


def differences(one: Plan, other: Plan) -> list[Difference]:
    """Everything the workbench would show differently."""
    here, there = values_of(one), values_of(other)
    here["tags"], there["tags"] = ", ".join(one.tags), ", ".join(other.tags)
    return [
        Difference(_label(name), here[name] or "–", there[name] or "–")
        for name in here
        if here[name] != there[name] and name != "choice"
    ] + ([] if one.choice == other.choice else [_choices(one, other)])


def _choices(one: Plan, other: Plan) -> Difference:
    return Difference("The curls", _choice(one), _choice(other))


def _choice(plan: Plan) -> str:
    if plan.choice is None:
        return "none chosen"
    choice = plan.choice
    told = [
        counts_in_words(plan, choice),
        circle_in_words(choice, plan.units),
        middle_in_words(choice),
        *(
            f"{side} spread anew from {curl_words(d)}"
            for side in SIDES
            for d in standing(choice.drifts, side)
        ),
    ]
    return ", ".join(told)


def _label(name: str) -> str:
    plain = {
        "units": "Numbers are",
        "fill.kind": "Fill",
        "fill.density": "Quilting",
        "corner": "Corners",
        "corner_motif": "In the corners",
        "background": "Behind the fill",
        "run": "Curls",
    }
    plain |= {
        "meeting": "Middle of a side",
        "seed": "Variation",
        "cut_own": "Cuts own templates",
        "tags": "Tags",
    }
    plain |= {"look.cloth": "Centre cloth", "look.border": "Border cloth", "look.thread": "Thread"}
    return plain.get(name) or LABELS.get(name, name).removeprefix("the ").capitalize()


def two_versions_page(left: Saved, right: Saved, head: int, may_change: bool, second: bool) -> HTMLResponse:
    """The page of two versions. second: the left is hers, and somebody had saved first: nothing is lost, hers to
    choose."""
    return render(
        "two_versions.html",
        left=left,
        right=right,
        head=head,
        may_change=may_change,
        second=second,
        words={
            saved.version: words(saved, saved.plan, other.plan if other.version == saved.base else None)
            for saved, other in ((left, right), (right, left))
        },
        stamps={saved.version: stamp_on(saved.plan) for saved in (left, right)},
        differences=differences(left.plan, right.plan),
    )
