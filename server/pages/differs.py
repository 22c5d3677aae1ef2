"""What tells one proposal from another, in plain words: from the card before, and within a card."""

from __future__ import annotations

from collections.abc import Callable

from planner.border.meetings import MEETINGS
from planner.geometry.arrays import ROUNDING_IN
from planner.lengths import format_length
from planner.plan import Plan
from planner.solver import Proposal
from planner.solver.groups import SEEN, Group
from server.pages.words import counts_in_words

Said = Callable[[Plan, Proposal], str]
# What those of one look may differ in: the figure, said for one of them; several of these.
FIGURES: tuple[tuple[Said, str], ...] = (
    (lambda plan, one: f"{format_length(2 * one.choice.corner_radius, plan.units)} corner", "corner circles"),
    (lambda plan, one: f"{format_length(one.choice.run_diameter_in, plan.units)} circle", "circles"),
    (lambda plan, one: counts_in_words(plan, one.choice), "numbers of curls"),
    (lambda plan, one: _middle(plan, one), "sizes of middle"),
    (lambda plan, one: f"{format_length(one.choice.room_in or 0.0, plan.units)} of room", "widths of room"),
)
TOLD = 2  # differences that a folded line names: more are not read
COUNTED = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def from_before(before: Proposal | None, one: Proposal) -> str:
    """What an eye sees change from the card before; of the first one, what it is."""
    if before is None:
        return "The calmest kind: level." if one.level else "The rows roll from guide line to guide line."
    a, b = before.choice, one.choice
    found = [
        _more("run", a.run_diameter_in, b.run_diameter_in, "larger circles", "smaller circles"),
        _more("corner", a.corner_radius, b.corner_radius, "larger corners", "smaller corners"),
        _more("step", min(before.step.values()), min(one.step.values()), "farther apart", "closer together"),
        _more("room", a.room_in or 0.0, b.room_in or 0.0, "more room at the edges", "less room at the edges"),
    ]
    if one.level != before.level:
        found.insert(0, "level" if one.level else "rolling")
    if b.meeting and a.meeting != b.meeting:
        found.append(MEETINGS[b.meeting].spoken)
    if (a.strip_in > ROUNDING_IN) != (b.strip_in > ROUNDING_IN):
        found.append("lines along the seam" if b.strip_in > ROUNDING_IN else "no lines along the seam")
    return ", ".join(words for words in found if words).capitalize()


def _more(figure: str, was: float, now: float, more: str, less: str) -> str:
    if abs(now - was) <= SEEN[figure] * max(now, was):
        return ""
    return more if now > was else less


def folded(plan: Plan, group: Group) -> str:
    """How many more look the same, and in what they differ; '' for none."""
    if not group.variants:
        return ""
    parts = []
    for said, several in FIGURES:
        many = len({said(plan, one) for one in group.every})
        if many > 1:
            parts.append(f"{_counted(many)} {several}")
    count = len(group.variants)
    return f"{_counted(count).capitalize()} more like it: {', '.join(parts[:TOLD])}"


def variant(plan: Plan, group: Group, other: Proposal) -> str:
    """One variant, by the figures in which those of its look differ."""
    told = [said for said, _ in FIGURES if len({said(plan, one) for one in group.every}) > 1]
    return ", ".join(said(plan, other) for said in told)


def _counted(number: int) -> str:
    return COUNTED[number] if number < len(COUNTED) else str(number)


def _middle(plan: Plan, one: Proposal) -> str:
    middle = max(one.choice.middle_of(side) for side in ("top", "right"))
    return f"{format_length(middle, plan.units)} middle" if middle else ""
