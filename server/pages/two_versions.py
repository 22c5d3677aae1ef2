"""Two versions of a plan beside each other: what differs, in her words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fastapi.responses import HTMLResponse

from planner.border.corners.styles import CORNER_STYLES
from planner.border.drift import standing
from planner.border.said import curl_words
from planner.fills.styles import FILLS
from planner.lengths import finer_length
from planner.pictures.colour import plain_word
from planner.plan import SIDES, Plan, Units
from planner.supplies.figures import label_of
from server.html import render
from server.pages.forms import BASIS, LABELS, LENGTH_FIELDS, values_of
from server.pages.measures import BEFORE
from server.pages.offered import offered
from server.pages.stamps import stamp_on
from server.pages.words import circle_in_words, counts_in_words, middle_in_words
from server.store.versions import Saved, Version

MOST_TOLD = 3  # changes of a version in one line
NAMED: dict[str, dict[str, str]] = {  # as one says them in a sentence
    "fill.kind": {kind: one.spoken for kind, one in FILLS.items()},
    "corner": {kind: f"{one.name} corners" for kind, one in CORNER_STYLES.items()},
}
TICKS = ("cut_own", "travels", "working.threads_by", "working.needle_down")
_TOGETHER = {  # fields that are told as one, by what their names begin with
    "threads": "other threads",
    "stitched_with": "other threads",
    "working": "another way of stitching",
    "look.": "other colours",
    "seed": "another variation",
    BASIS: "answers on what it takes",
    BEFORE: "numbers",
}


@dataclass(frozen=True)
class Difference:
    """A measure in which two versions differ, in her words; the colours, where it is one."""

    label: str
    one: str
    other: str
    colours: tuple[str, str] = ("", "")


def words(line: Version | Saved, plan: Plan, base: Plan | None) -> str:
    """How a version came to be; plan: what it holds, base: what it was made from."""
    by = f" by {line.by}" if line.by else ""
    if line.why == "saved" and base and (news := drifts_since(base, plan)):
        return f"{news}; saved{by}, from version {line.base}"
    told: dict[Literal["made", "saved", "restored", "aside"], str] = {
        "made": f"put on the shelf{by}",
        "saved": f"saved{by}, from version {line.base}",
        "restored": f"version {line.base} taken up again{by}",
        "aside": f"kept beside{by}, from version {line.base}: somebody else had saved first",
    }
    return told[line.why]


def drifts_since(base: Plan, plan: Plan) -> str:
    """``top spread anew from curl 4`` where she stood off since; '' where she did not."""
    was, now = (one.choice.drifts if one.choice else () for one in (base, plan))
    if now[: len(was)] != was:
        return ""
    return ", ".join(f"{one.side} spread anew from {curl_words(one)}" for one in now[len(was) :])


def differences(one: Plan, other: Plan) -> list[Difference]:
    """Everything the workbench would show differently."""
    told = [
        Difference(
            _label(name, one.units),
            _said(name, was, one) or "–",
            _said(name, now, other) or "–",
            (was, now) if _is_colour(name) else ("", ""),
        )
        for name, was, now in _differing(one, other)
    ]
    return told + ([] if one.choice == other.choice else _choices(one, other))


def _said(name: str, text: str, plan: Plan) -> str:
    """What stands in a field of a plan's form, as the form says it."""
    if name in TICKS:
        return "yes" if text else "no"
    if _is_colour(name):
        return text and plain_word(text)
    if name == "tail_deg":
        return f"{text}°"
    if name.startswith("stitched_with.") and text:
        return plan.threads[int(text)].name or f"thread {int(text) + 1}"
    if name in (listed := offered()):
        return listed[name].words.get(text, text)
    return text.replace("|", " ") if name.startswith(BEFORE) else text


def _is_colour(name: str) -> bool:
    """Whether a field holds a colour of cloth or thread."""
    return name.startswith("look.") or ".colours." in name


def changes_in_words(base: Plan, plan: Plan) -> str:
    """``Border width 6 → 6 1/2 in; leaves instead of feathers``: what a version changed of the one it was made
    from, the first few of it; '' for nothing that the workbench shows.

    Other curls are told where nothing else is: they follow from all else.
    """
    told = list(dict.fromkeys(_told(*one, plan.units) for one in _differing(base, plan)))
    if base.units != plan.units:  # every length is written anew
        told = ["numbers in " + offered()["units"].words[plan.units]]
    if (
        not told
        and base.choice
        and plan.choice
        and base.choice != plan.choice
        and not drifts_since(base, plan)
    ):
        one, other = _choice(base), _choice(plan)
        told = [f"{other} instead of {one}" if one != other else "other curls"]
    more = len(told) - MOST_TOLD
    words = "; ".join(told[:MOST_TOLD]) + (f"; and {more} more" if more > 0 else "")
    return words[:1].upper() + words[1:]


def _told(name: str, was: str, now: str, units: Units) -> str:
    """One change of a form's field, as one says it."""
    for beginning, words in _TOGETHER.items():
        if name.startswith(beginning):
            return words
    if name in NAMED:
        return f"{NAMED[name].get(now, now)} instead of {NAMED[name].get(was, was)}"
    label = _label(name, units).lower()
    if name == "tags":
        return f"{label} {now or 'taken off'}"
    if name in (listed := offered()):
        of = {
            text: words.partition(":")[0] for text, words in listed[name].words.items()
        }  # what it means aside
        return f"{label} {of.get(was, was)} → {of.get(now, now)}"
    if not was or not now:
        return label if now else f"no {label} of its own"
    if was == "on" or now == "on":
        return label
    unit = f" {units}" if name in LENGTH_FIELDS and now[-1].isdigit() else ""
    return f"{label} {was} → {now}{unit}"


def _differing(one: Plan, other: Plan) -> list[tuple[str, str, str]]:
    """The fields of the form in which two plans differ, with the text of each; their choices apart."""
    here, there = values_of(one), values_of(other)
    here["tags"], there["tags"] = ", ".join(one.tags), ", ".join(other.tags)
    return [
        (name, here.get(name, ""), there.get(name, ""))
        for name in {**here, **there}
        if here.get(name, "") != there.get(name, "") and name != "choice"
    ]


def _choices(one: Plan, other: Plan) -> list[Difference]:
    """How the layouts that two versions keep differ; nothing that reads alike on both sides."""
    here, there = _kept(one, one.units), _kept(other, one.units)
    return [
        Difference(label, here.get(label, "–"), there.get(label, "–"))
        for label in {**here, **there}
        if here.get(label) != there.get(label)
    ]


def _kept(plan: Plan, units: Units) -> dict[str, str]:
    """What the layout that a plan keeps says of its own, by what it is called."""
    told, choice = {"The curls": _choice(plan)}, plan.choice
    if choice is None:
        return told
    lengths: dict[str, list[float | None]] = {
        "Corner circle": [choice.corner_diameter_in],
        "Across the middle": [choice.middle_of(side) for side in SIDES],
        "Room": [choice.room_in],
        "Straight lines along the seam": [choice.strip_in],
    }
    return told | {
        label: ", ".join(dict.fromkeys(finer_length(one, units) for one in found if one))
        for label, found in lengths.items()
        if any(found)
    }


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


def _label(name: str, units: Units) -> str:
    if name.startswith(BASIS):
        return label_of(name.removeprefix(BASIS), units)
    if name.startswith(BEFORE):
        return f"{_label(name.removeprefix(BEFORE), units)}, as it was written"
    plain = {field: one.label for field, one in offered().items()}
    plain |= {"seed": "Variation", "cut_own": "Cuts own templates", "tags": "Tags"}
    plain |= {"travels": "Travels over what is covered later", "working.needle_down": "Needle stays down"}
    plain |= {"working.threads_by": "One thread through all strips"}
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
