"""Proposals and refusals as they leave the program."""

from __future__ import annotations

from planner.plan import Choice, Counts, RunKind
from planner.solver import Proposal, Proposals, Refusal
from server.api.wire import EaseOut, Pair, PerSide, Wire

Value = bool | float | str | list[float] | None  # what a field of a plan can be changed to


class ForgivesOut(Wire):
    """How much shorter and how much longer a measure may be before circles or counts change (inches)."""

    one_side: Pair
    all_sides: Pair


class ProposalOut(Wire):
    """One layout that lands. reach_in: the longest plume it needs anywhere, reach_run_in: along its runs.

    room_in: the least room of the four sides; needs_circle_in: the one circle in it that she lacks, if any.
    """

    stamp: str
    choice: Choice
    corner_diameter_in: float | None
    run_diameter_in: float
    meeting: str | None
    middle_in: float
    run: RunKind
    counts: Counts
    room_in: float | None
    forgives_in: ForgivesOut
    needs_circle_in: float | None
    ease_in: PerSide[EaseOut]
    step_in: PerSide[float]
    reach_in: float
    reach_run_in: float
    step_mismatch: float
    score: float
    why: str

    @classmethod
    def of(cls, p: Proposal, stamp: str) -> ProposalOut:
        """A proposal as it leaves, with its stamp."""
        return cls(
            stamp=stamp,
            choice=p.choice,
            corner_diameter_in=p.choice.corner_diameter_in,
            run_diameter_in=p.choice.run_diameter_in,
            meeting=p.choice.meeting,
            middle_in=p.choice.middle_in,
            run="level" if p.level else "rolling",
            counts=p.choice.counts,
            room_in=p.choice.room_in,
            forgives_in=ForgivesOut(
                one_side=(p.one_side.short, p.one_side.long), all_sides=(p.all_sides.short, p.all_sides.long)
            ),
            needs_circle_in=p.needs_circle,
            ease_in=PerSide[EaseOut].each(lambda side: EaseOut.of(p.ease[side])),
            step_in=PerSide[float].each(lambda side: p.step[side]),
            reach_in=max(p.reach, p.reach_ends),
            reach_run_in=p.reach,
            step_mismatch=p.mismatch,
            score=p.score,
            why=p.why,
        )


class RefusalOut(Wire):
    """One limit in the way. change: dotted fields of the plan and the values that cure it, already solved."""

    limit: str
    field: str
    message: str
    by_in: float | None
    cure: str
    change: dict[str, Value] | None

    @classmethod
    def of(cls, r: Refusal) -> RefusalOut:
        """A refusal as it leaves."""
        return cls(
            limit=r.limit, field=r.field, message=r.message, by_in=r.by_in, cure=r.cure, change=r.change
        )


class ProposalsOut(Wire):
    """Every layout worth having, best first; without any, what is in the way; and advice that stops nothing.

    Where her circles leave gaps, the last proposal may be one that needs a circle she lacks.
    """

    proposals: list[ProposalOut]
    refusals: list[RefusalOut]
    advice: list[str]

    @classmethod
    def of(cls, found: Proposals, stamps: list[str]) -> ProposalsOut:
        """What the solver found as it leaves."""
        return cls(
            proposals=[ProposalOut.of(p, stamp) for p, stamp in zip(found.every, stamps, strict=True)],
            refusals=[RefusalOut.of(r) for r in found.refusals],
            advice=list(found.advice),
        )
