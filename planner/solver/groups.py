"""Proposals that differ: those that an eye across the room takes for the same border are one group.

At its head stands the best of them; all others are its variants. What an eye tells apart: what stands in the
middle, level or rolling, how large the circles are, how close they stand, how far from the edges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from planner.geometry.arrays import ROUNDING_IN
from planner.plan import SIDES
from planner.solver.proposal import Proposal

SEEN = {  # the share by which figures must differ to be seen across the room (common practice, no source)
    "run": 0.08,  # circles side by side in one border
    "corner": 0.15,  # one circle a corner, a whole side apart from the next
    "step": 0.1,  # how close the curls stand
    "room": 0.3,  # the air along the edges, where the fill's plumes end
}
LEVEL_AMONG = 6  # the first so many looks hold a level one, where any lands: the calmest border there is

Sorting = Literal["best", "curls", "circle", "ease", "hours"]
SORTS: dict[Sorting, Callable[[Proposal], float]] = {
    "curls": lambda one: sum(one.choice.counts.of(side) for side in SIDES),
    "circle": lambda one: -one.choice.run_diameter_in,
    "ease": lambda one: one.largest_ease,
}


@dataclass(frozen=True, slots=True)
class Group:
    """The best proposal of one look, and the others that look the same, best first."""

    head: Proposal
    variants: tuple[Proposal, ...] = ()

    @property
    def every(self) -> tuple[Proposal, ...]:
        """All its proposals, best first."""
        return (self.head, *self.variants)


def grouped(proposals: Iterable[Proposal]) -> tuple[Group, ...]:
    """Ranked proposals in groups, best first; a level one among the first six, where there is one."""
    alike: list[list[Proposal]] = []
    for proposal in proposals:
        some = next((some for some in alike if same_look(some[0], proposal)), None)
        if some is None:
            alike.append([proposal])
        else:
            some.append(proposal)
    groups = [Group(head, tuple(others)) for head, *others in alike]
    level = next((i for i, group in enumerate(groups) if group.head.level), 0)
    if level >= LEVEL_AMONG:
        groups.insert(LEVEL_AMONG - 1, groups.pop(level))
    return tuple(groups)


def in_order(
    groups: Sequence[Group], sorting: Sorting, hours: Callable[[Proposal], float]
) -> tuple[Group, ...]:
    """The groups in the order she asks for, each behind its variant that is first in it; ties stay best first.

    hours: how long one takes, which its own figures do not say; it is asked only where she sorts by it.
    """
    if sorting == "best":
        return tuple(groups)
    figure = hours if sorting == "hours" else SORTS[sorting]

    def turned(group: Group) -> Group:
        head, *others = sorted(group.every, key=figure)
        return Group(head, tuple(others))

    return tuple(sorted(map(turned, groups), key=lambda group: figure(group.head)))


def same_look(one: Proposal, other: Proposal) -> bool:
    """Whether an eye across the room takes two proposals for the same border."""
    a, b = one.choice, other.choice
    return (
        (a.meeting, one.level, a.strip_in > ROUNDING_IN) == (b.meeting, other.level, b.strip_in > ROUNDING_IN)
        and _near("run", a.run_diameter_in, b.run_diameter_in)
        and _near("corner", a.corner_radius, b.corner_radius)
        and _near("step", min(one.step.values()), min(other.step.values()))
        and _near("room", a.room_in or 0.0, b.room_in or 0.0)
    )


def _near(figure: str, x: float, y: float) -> bool:
    return abs(x - y) <= SEEN[figure] * max(x, y)
