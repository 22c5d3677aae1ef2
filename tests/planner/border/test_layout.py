"""Every layout keeps the laws of DESIGN section 3: it lands, is smooth, stays inside and never overlaps."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count

import pytest

from planner.border.layout import Layout, place
from planner.errors import ChoiceError, PlanError
from planner.plan import SIDES, Choice, Counts, Plan
from planner.solver.rank import ranked
from tests import strategies
from tests.laws import broken, largest, overlaps
from tests.planner.landed import STYLES, example

ORDINARY, EASY, ASKED = 150, 25, 30
LONG_STRICT, LONG_EASY, LONG_ASKED = 95_000, 4_000, 1_000  # together 100,000 plans laid out and judged
LONG_FROM, LONG_PART = 1_000_000, 1000


def strict_layouts(first: int) -> Iterator[tuple[int, Layout | None]]:
    """Seed and layout of plans that were built to land; None where ``place`` found circles overlapping."""
    for seed in count(first):
        drawn = strategies.landing(seed)
        if drawn is None:
            continue
        plan, choice = drawn
        try:
            yield seed, place(plan, choice)
        except ChoiceError as error:
            alike = (
                plan.border_in.top == plan.border_in.bottom and plan.border_in.left == plan.border_in.right
            )
            # with opposite borders of two widths both sides may land and the picture between them not
            assert "overlap" in error.message or not alike, f"plan {seed}: {error}"
            yield seed, None


def judge_strict(first: int, number: int) -> int:
    """Judges so many plans that can be laid out, from a seed on; gives the seed to go on with."""
    placed = refused = 0
    for seed, layout in strict_layouts(first):
        if layout is None:
            refused += 1
            continue
        placed += 1
        assert broken(layout) == [], f"plan {seed}"
        if placed == number:
            break
    assert placed > 2 * refused
    return seed + 1


def judge_easy(first: int, number: int) -> int:
    """The same for easy-going corners."""
    return _judge(strategies.easy, first, number)


def judge_wandered(first: int, number: int) -> int:
    """The same for easy-going corners of the older form, which plans saved long ago still hold."""
    return _judge(strategies.wandered, first, number)


def _judge(plans: Callable[[int], tuple[Plan, Choice] | None], first: int, number: int) -> int:
    placed = 0
    for seed in count(first):
        drawn = plans(seed)
        if drawn is None:
            continue
        try:
            layout = place(*drawn)
        except ChoiceError:
            continue
        placed += 1
        assert broken(layout) == [], f"plan {seed}"
        if placed == number:
            break
    assert placed > (seed + 1 - first) / 20
    return seed + 1


def judge_asked(first: int, number: int) -> int:
    """The same for plans as she might type them, through the solver: a few proposals of each that has any."""
    asked = 0
    for seed in count(first):
        plan = strategies.asking(seed)
        try:
            found = ranked(plan)
        except PlanError:
            continue
        for proposal in found[:: max(1, len(found) // 4)]:
            layout = place(plan, proposal.choice)
            assert broken(layout) == [], f"plan {seed}: {proposal.choice}"
            steps = [layout.own[side].step for side in SIDES]
            assert max(steps) <= 1.03 * min(steps) * (1 + 1e-9), f"plan {seed}"
            assert proposal.level == all(_level(layout, s) for s in SIDES) or plan.corner == "easy_going"
            assert plan.run in ("any", "level" if proposal.level else "rolling")
        asked += bool(found)
        if asked == number:
            break
    return seed + 1


def _level(layout: Layout, side: str) -> bool:
    """A run counts as level while its rise is at most r/4 (DESIGN section 4)."""
    circles = layout.own[side].circles  # type: ignore[index]
    r = layout.choice.run_diameter_in / 2
    height = layout.quilt.own[side].height  # type: ignore[index]
    return abs(2 * circles[0].centre[1] - height) <= r / 4 + 1e-9


def test_strict_plans_keep_the_laws() -> None:
    judge_strict(0, ORDINARY)


def test_easy_going_plans_keep_the_laws() -> None:
    judge_easy(0, EASY)
    judge_wandered(0, EASY)


def test_proposals_keep_the_laws() -> None:
    judge_asked(0, ASKED)


@pytest.mark.long
def test_a_hundred_thousand_plans_keep_the_laws(capsys: pytest.CaptureFixture[str]) -> None:
    judged = 0
    for judge, number in ((judge_asked, LONG_ASKED), (judge_easy, LONG_EASY), (judge_strict, LONG_STRICT)):
        seed = LONG_FROM
        for _ in range(number // LONG_PART):
            seed = judge(seed, LONG_PART)
            judged += LONG_PART
            figures = ", ".join(f"{name} {value:.2g}" for name, value in largest.items())
            with capsys.disabled():
                print(f"{judged} plans kept the laws ({judge.__name__} before {seed}); largest: {figures}")
    assert judged == LONG_STRICT + LONG_EASY + LONG_ASKED


@pytest.mark.parametrize("style", range(len(STYLES)))
@pytest.mark.parametrize("tail", [30.0, 90.0, 150.0])
@pytest.mark.parametrize("allowance", [0.0, 0.25])
def test_the_examples_keep_the_laws(style: int, tail: float, allowance: float) -> None:
    layout = example(style, tail_deg=tail, binding_allowance_in=allowance)
    assert broken(layout) == []


def test_the_laws_notice_a_wrong_layout() -> None:
    """A judge that cannot condemn is none: the same layout under another tail length, ease limit, or doubled."""
    layout = example()
    shorter = layout.plan.model_copy(update={"tail_deg": 60.0, "binding_allowance_in": 0.5})
    wrong = Layout(**{**_fields(layout), "plan": shorter})
    assert any("outside the outer guide" in fault for fault in broken(wrong))
    more = Counts(**{side: layout.choice.counts.of(side) + 1 for side in SIDES})
    wrong = Layout(**{**_fields(layout), "choice": layout.choice.model_copy(update={"counts": more})})
    assert any("circles instead of" in fault for fault in broken(wrong))
    assert list(overlaps([layout.corners[0], layout.corners[0]]))


def _fields(layout: Layout) -> dict[str, object]:
    return {name: getattr(layout, name) for name in Layout.__dataclass_fields__}


def nonsense() -> Iterator[tuple[Plan, Choice, str]]:
    """Choices that nothing could be drawn from, each with the field it should be blamed on."""
    good = example()
    plan, choice = good.plan, good.choice

    def changed(**update: object) -> Choice:
        return Choice.model_validate({**choice.model_dump(), **update})

    yield plan, changed(corner_diameter_in=40.0), "choice.c"
    yield plan, changed(run_diameter_in=7.0, corner_diameter_in=7.0), "choice."
    yield plan, changed(run_diameter_in=0.01), "choice."
    yield plan, changed(corner_diameter_in=None), "choice.corner_diameter_in"
    yield plan, changed(meeting=None), "choice.meeting"
    yield plan, changed(meeting="wreath", middle_in=0.0), "choice."
    yield plan, changed(meeting="lattice", middle_in=200.0), "choice."
    yield plan, changed(counts={"top": 1000, "right": 1, "bottom": 1, "left": 1}), "choice.counts"
    yield plan.model_copy(update={"corner": "turning"}), choice, "choice.meeting"
    yield (
        plan.model_copy(update={"corner": "easy_going"}),
        changed(meeting=None, middle_in=0.0),
        "choice.counts",
    )


@pytest.mark.parametrize("case", list(nonsense()), ids=lambda case: case[2])
def test_a_choice_that_does_not_belong_is_refused(case: tuple[Plan, Choice, str]) -> None:
    plan, choice, field = case
    with pytest.raises(ChoiceError) as refused:
        place(plan, choice)
    assert refused.value.field.startswith(field)
    assert refused.value.cure
