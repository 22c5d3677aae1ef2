"""The words of the steps and of the tables: every circle of every side is rebuilt from them alone."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from math import hypot

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.border.layout import Layout
from planner.border.spine import Circle
from planner.chalk.marking import WITHIN_IN, SideMarks, Stance, side_marks
from planner.chalk.measured import measured_side
from planner.chalk.steps import first_curl, steps
from planner.demo import demo_plan
from planner.plan import SIDES, Drift, EaseLimits, SideLengths, SideName
from planner.sheets.chalk_pdf import row_words
from planner.solver import choose, propose
from planner.solver.drifting import spread_anew
from tests.planner.landed import STYLES, example, landed, layouts

LENGTH = r"(\d+(?:\.\d)? \d+/\d+\+?|\d+/\d+\+?|\d+(?:\.\d+)?\+?) ?(in|cm|mm)"
SIDE_NAMES = re.compile(r"\b(top|right|bottom|left)\b(?! hand)", re.IGNORECASE)
SLACK = 1e-9
stances = st.builds(Stance, left_handed=st.booleans(), from_middle=st.booleans())
quilts = settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))


def inches(text: str, unit: str) -> float:
    """A printed length as she reads it off: a + is half a mark more."""
    value = float(sum(Fraction(part) for part in text.rstrip("+").split()))
    half = (1 / 32 if unit == "in" else 0.05 if unit == "cm" else 0.5) if text.endswith("+") else 0.0
    return (value + half) / {"in": 1.0, "cm": 2.54, "mm": 25.4}[unit]


def lengths(words: str) -> list[float]:
    return [inches(*found) for found in re.findall(LENGTH, words)]


def of_each_side(words: str) -> dict[SideName, str]:
    """What a step says of each side: the sentence that begins with its name, or all of it where none does."""
    said: dict[SideName, str] = {}
    for names, sentence in re.findall(r"((?:[A-Z]\w+)(?:, \w+)*(?: and \w+)?): (.+?)\.(?=\s|$)", words):
        named = [side for side in SIDES if side in re.findall(r"\w+", names.lower())]
        for side in named:
            assert side not in said, f"{side} is spoken of twice"
            said[side] = sentence
    assert not said or set(said) == set(SIDES), f"only {sorted(said)} are spoken of"
    return said or dict.fromkeys(SIDES, words)


def steps_of(layout: Layout, stance: Stance) -> dict[str, str]:
    return {step.figure: step.words for step in steps(layout, side_marks(layout, stance))}


def table_of(layout: Layout, stance: Stance, side: SideName) -> SideMarks:
    return next(table for table in side_marks(layout, stance) if side in table.sides)


def along_of(layout: Layout, side: SideName, stance: Stance, along: float, half: str) -> float:
    """x on the side's ruler of a reading along."""
    length = layout.plan.sides_in.of(side)
    if stance.from_middle:
        return measured_side(layout, side).middle + (along if half == "left" else -along)
    return along if stance.left_handed else length - along


def off(circle: Circle, x: float, depth: float) -> float:
    return hypot(x - circle.centre[0], depth - circle.centre[1])


@pytest.mark.parametrize("style", range(len(STYLES)))
@quilts
@given(st.data(), stances)
def test_the_steps_tell_the_lines_and_the_circles_of_every_side(
    style: int, data: st.DataObject, stance: Stance
) -> None:
    layout = data.draw(layouts(style))
    told = {
        figure: of_each_side(words)
        for figure, words in steps_of(layout, stance).items()
        if figure != "middle"
    }
    mark = 1 / 16 if layout.plan.units == "in" else 1 / 25.4
    for side in SIDES:
        true = measured_side(layout, side)
        outer, inner = lengths(told["guides"][side].split("Room")[0])
        assert abs(outer - true.outer) <= WITHIN_IN + SLACK and abs(inner - true.inner) <= WITHIN_IN + SLACK
        middle = true.middle if stance.left_handed else true.length - true.middle
        assert abs(lengths(told["miter"][side])[-1] - middle) <= mark / 2 + SLACK
        _check_corners(layout, side, stance, told["corner"][side].split("centre")[-1])
        words = told["first"][side].split("centre")[-1]
        along, depth = lengths(words)[:2]
        half = "left" if "to your left" in words else "right"
        first = first_curl(table_of(layout, stance, side)).name
        x = along_of(layout, side, stance, along, half)
        nearest = min(off(c, x, depth) for run in true.runs for c in run.circles)
        assert nearest <= WITHIN_IN + SLACK, (side, first, words)


def _check_corners(layout: Layout, side: SideName, stance: Stance, words: str) -> None:
    """A large corner circle stands alike at both ends of a side; a run circle has its own place in each corner."""
    true = measured_side(layout, side)
    *along, depth = lengths(words.split(" from ")[0])
    corners = (true.corner, true.far_corner)
    if not along:
        assert all(abs(depth - circle.centre[1]) <= WITHIN_IN + SLACK for circle in corners)
        return
    half = "left" if "to your left" in words else "right"
    x = along_of(layout, side, stance, along[0], half)
    assert min(off(circle, x, depth) for circle in corners) <= WITHIN_IN + SLACK


@pytest.mark.parametrize("style", range(len(STYLES)))
@quilts
@given(st.data(), stances)
def test_rows_and_the_way_from_centre_to_centre_are_each_sides_own(
    style: int, data: st.DataObject, stance: Stance
) -> None:
    layout = data.draw(layouts(style))
    told = of_each_side(steps_of(layout, stance)["each"])
    for side in SIDES:
        circles = measured_side(layout, side).runs[0].circles
        if "its row of the table" in told[side]:
            assert len({round(c.centre[1], 3) for c in circles}) > 2
            continue
        depths = lengths(told[side].split("from the edge")[0])
        assert 1 <= len(depths) <= 2
        for circle in circles:
            assert min(abs(depth - circle.centre[1]) for depth in depths) <= WITHIN_IN + SLACK
        if len(circles) > 1:
            apart = hypot(*(a - b for a, b in zip(circles[0].centre, circles[1].centre, strict=True)))
            found = re.search(f"{LENGTH} from centre to centre", told[side])
            assert found and abs(inches(*found.groups()) - apart) <= 1 / 16 + SLACK


@pytest.mark.parametrize("style", range(len(STYLES)))
@quilts
@given(st.data(), stances)
def test_every_circle_of_every_side_is_rebuilt_from_its_rows(
    style: int, data: st.DataObject, stance: Stance
) -> None:
    """From the text of the cells alone, against the side's own measures, not those of a side that reads alike."""
    layout = data.draw(layouts(style))
    unit = layout.plan.units
    for side in SIDES:
        table, true = table_of(layout, stance, side), measured_side(layout, side)
        circles = [true.corner, true.far_corner, *(c for run in true.runs for c in run.circles)]
        circles += [true.ring] if true.ring else []
        pins = true.lattice.arcs if true.lattice else ()
        circles += [Circle(arc.centre, arc.radius, "ring", 1) for arc in pins]
        left = list(circles)
        for mark in table.marks:
            _, along, depth, *_ = row_words(layout, table, mark)
            reading, _, half = along.partition(" l" if along.endswith("left") else " r")
            for way in (
                ("left", "right") if table.mirror_half else (f"l{half}" if half == "eft" else f"r{half}",)
            ):
                x = along_of(layout, side, stance, inches(reading, unit), way)
                if mark.kind == "hook":
                    continue
                nearest = min(circles, key=lambda c: off(c, x, inches(depth, unit)))
                assert off(nearest, x, inches(depth, unit)) <= WITHIN_IN + SLACK
                assert nearest.radius == pytest.approx(mark.circle.radius, abs=1e-9)
                left = [c for c in left if c is not nearest]
        assert not left, f"{len(left)} circles of the {side} side have no row"


@pytest.mark.parametrize("style", range(len(STYLES)))
def test_a_step_that_names_sides_names_all_four(style: int) -> None:
    """Four sides and two widths, all different: two readings that round alike must not hide each other."""
    for sides in ((61.5, 74.375, 61.125, 74.75), (60.0, 60 + 1 / 16, 60.0, 60 + 1 / 32)):
        layout = landed(*STYLES[style], sides=sides, widths=(8.0, 8.25, 8.0, 8.25))
        for words in steps_of(layout, Stance()).values() if layout else ():
            plain = re.sub(r"(at|to) your (left|right)|to your left and right", "", words)
            named = {name.lower() for name in SIDE_NAMES.findall(plain)}
            assert named in (set(), set(SIDES)), words


def test_a_hook_is_read_not_guessed() -> None:
    layout = example(2)
    words = steps_of(layout, Stance())["middle"]
    hook = next(mark for mark in side_marks(layout, Stance())[0].marks if mark.kind == "hook")
    assert f"{hook.along} in along" in words
    assert f"{hook.depth} in from the edge" in words
    assert "by eye" not in words


def test_circles_that_are_not_hers_are_told_once() -> None:
    """Open middles of several widths, so hooks of several sizes: each with its sides, one word for all."""
    twin = demo_plan().model_copy(
        update={
            "sides_in": SideLengths(top=68.25, right=88.125, bottom=68, left=88.375),
            "border_in": SideLengths(top=6, right=6, bottom=6, left=6),
            "tin_in": (2.5, 3.5),
            "meeting": "little_spines",
            "choice": None,
        }
    )
    words = steps_of(choose(twin).layout, Stance())["middle"]
    assert len(re.findall(r"in circle \(", words)) > 1
    assert words.count("cut or print") == 1, words


def test_a_corner_is_chalked_once() -> None:
    """The second side that reads a corner finds it chalked; two sides with one table read all four corners."""
    for sides in ((60.0, 70.0, 60.0, 70.0), (61.5, 74.375, 61.125, 74.75)):
        layout = landed(*STYLES[0], sides=sides)
        assert layout
        tables = side_marks(layout, Stance())
        rows = [
            row_words(layout, table, mark)
            for table in tables
            for mark in table.marks
            if mark.kind == "corner"
        ]
        again = [row[3] == "already chalked" for row in rows]
        assert again == [False, False, True, True] if len(tables) == 2 else [False, False, True, False, True]


@pytest.mark.parametrize("style", range(len(STYLES)))
def test_a_short_line_is_spoken_of_where_circles_do_not_touch(style: int) -> None:
    layout = example(style)
    tables = side_marks(layout, Stance())
    words = next(step.words for step in steps(layout, tables) if step.figure == "each")
    gaps = [chain.ease.gap for chain in layout.own.values()]
    assert ("a short line joins" in words) == (max(gaps) > 1 / 64), gaps


def test_after_a_drift_each_stretch_of_the_run_has_its_spacing() -> None:
    plan = demo_plan().model_copy(
        update={"choice": None, "meeting": "butted", "ease_limits": EaseLimits(lift_in=0.0, gap_in=0.25)}
    )
    best = max(propose(plan).proposals, key=lambda one: min(ease.gap for ease in one.ease.values()))
    layout = spread_anew(plan, best.choice, Drift(side="top", curl=4, by_in=0.3))
    words = of_each_side(steps_of(layout, Stance())["each"])["top"]
    told = re.findall(r"from curl (\d+) (?:to (\d+)|on) (.*?) from centre to centre", words)
    assert [(low, high) for low, high, _ in told] == [("1", "4"), ("4", "")]
    circles = layout.own["top"].circles
    for (low, high, spaced), last in zip(told, (4, len(circles)), strict=True):
        apart = lengths(spaced)[-1]
        for one, other in pairwise(circles[int(low) - 1 : int(high or last)]):
            between = hypot(one.centre[0] - other.centre[0], one.centre[1] - other.centre[1])
            assert abs(between - apart) <= 1 / 32
