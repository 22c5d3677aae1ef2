"""Threads in the form: every one survives it, whatever its buttons did; what is wrong stands beside its field."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.demo import demo_plan
from planner.fills import fill
from planner.fills.scattered import parts_of
from planner.fills.styles import FILLS
from planner.plan import Fill, Plan
from planner.threads import (
    MOST_COLOURS,
    MOST_THREADS,
    PART_WORDS,
    PARTS,
    PLACES,
    STARTING_POINTS,
    StartingPoint,
    part_of,
    parts_there,
    starting_points,
)
from server.pages.address import query_of
from server.pages.forms import in_units, look_of_form, read, values_of
from server.pages.thread_form import threads_view, with_thread_pressed
from server.store.links import pack, unpack
from tests.planner.landed import example

Ask = Callable[..., httpx.Response]

PARTS_THERE = parts_there(FILLS[demo_plan().fill.kind].parts)

colours = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}")
lengths = st.one_of(st.integers(1, 160).map(lambda n: n / 16), st.floats(0.1, 200).map(lambda x: round(x, 3)))


@st.composite
def threaded(draw: st.DrawFn) -> Plan:
    """The demo plan with any threads, parts, ways and machine."""
    threads: list[dict[str, Any]] = []
    for _ in range(draw(st.integers(0, MOST_THREADS))):
        shown = draw(st.lists(colours, min_size=1, max_size=MOST_COLOURS))
        repeat = draw(lengths) if len(shown) > 1 else None
        name = draw(st.sampled_from(("", "Holly green", "red, for berries", "30 % grey")))
        threads.append(
            {"name": name, "colours": shown, "repeat_in": repeat, "spool": draw(st.just("27 tex"))}
        )
    which = st.integers(0, max(1, len(threads)) - 1)
    way = draw(st.sampled_from(("whole_quilt", "border_by_border", "frame")))
    return Plan.model_validate(
        demo_plan().model_dump()
        | {
            "typed": {},
            "units": draw(st.sampled_from(("in", "cm", "mm"))),
            "threads": threads,
            "stitched_with": draw(st.dictionaries(st.sampled_from(list(PART_WORDS)), which)),
            "travels": draw(st.sampled_from(("own_lines", "lines_covered_later"))),
            "carry_in": draw(st.sampled_from((0.0, 0.25, 0.5, 1 / 3))),
            "spine": draw(st.sampled_from((None, "first", "on_the_way"))),
            "working": {
                "way": way,
                "reach_in": draw(lengths) if way == "frame" else None,
                "needle_down": draw(st.booleans()),
            },
        }
    )


@settings(max_examples=60, deadline=None)
@given(threaded())
def test_threads_survive_form_and_link(plan: Plan) -> None:
    again = read(query_of(plan)).plan
    assert again is not None
    assert again.model_dump(exclude={"typed"}) == plan.model_dump(exclude={"typed"})
    assert read(values_of(again)).plan == again
    assert unpack(pack(plan)) == plan


def test_a_plan_of_one_thread_has_no_word_of_threads_in_its_address() -> None:
    assert not [name for name in query_of(demo_plan()) if name.startswith(("threads", "stitched", "working"))]
    assert threads_view(values_of(demo_plan()), FILLS["leaves"].parts).folded


def test_units_turn_the_lengths_of_threads_and_back() -> None:
    form = values_of(demo_plan()) | {
        **{"threads.0.colours.0": "#112233", "threads.0.colours.1": "#445566", "threads.0.repeat_in": "5 in"},
        **{"carry_in": "3/8 in", "working.way": "frame", "working.reach_in": "18 in"},
    }
    plan = read(form).plan
    turned = read(in_units(form, "mm")).plan
    assert plan and turned
    assert (turned.threads, turned.carry_in, turned.working) == (plan.threads, plan.carry_in, plan.working)
    assert in_units(in_units(form, "mm"), "in")["threads.0.repeat_in"] == "5 in"


def test_buttons_add_and_take_away() -> None:
    form = values_of(demo_plan())
    two = with_thread_pressed(form, "add")
    plan = read(two).plan
    assert plan
    assert plan.threads[0].colours == (demo_plan().look.thread,), "the thread she had stays the first"
    assert len({thread.colours for thread in plan.threads}) == 2
    many = with_thread_pressed(two, "colour.1")
    plan = read(many).plan
    assert plan
    assert len(plan.threads[1].colours) == 2
    assert plan.threads[1].repeat_in == 5
    assert read(with_thread_pressed(many, "plain.1")).plan == read(two).plan
    six = many
    for _ in range(9):
        six = with_thread_pressed(six, "add")
    plan = read(six).plan
    assert plan
    assert len(plan.threads) == MOST_THREADS
    none = with_thread_pressed(with_thread_pressed(two, "away.0"), "away.0")
    plan = read(none).plan
    assert plan
    assert plan.threads == ()
    assert plan.look.thread == two["threads.1.colours.0"], "the last one left is the look's"


def test_parts_keep_their_threads_when_one_before_them_goes() -> None:
    form = values_of(demo_plan())
    for _ in range(2):
        form = with_thread_pressed(form, "add")
    form |= {"stitched_with.main": "1", "stitched_with.teardrops": "2", "threads.2.name": "Gold"}
    plan = read(with_thread_pressed(form, "away.1")).plan
    assert plan
    assert plan.stitched_with == {"teardrops": 1}
    assert plan.threads[1].name == "Gold"


@settings(max_examples=60, deadline=None)
@given(threaded(), st.integers(0, MOST_THREADS))
def test_earlier_changes_the_order_and_nothing_else(plan: Plan, n: int) -> None:
    """Whatever she gave: every shape, wherever it lies, keeps the thread that it had."""
    again = read(with_thread_pressed(values_of(plan), f"earlier.{n}")).plan
    assert again
    order = list(range(len(plan.threads)))
    if 0 < n < len(order):
        order[n - 1 : n + 1] = n, n - 1
    assert again.threads == tuple(plan.threads[was] for was in order)
    kinds = [kind for kind in ("spine", "leaf", *PARTS) if PARTS.get(kind, "main") in PARTS_THERE]
    for kind in kinds if order else ():
        for place in (None, *PLACES):
            had, has = (
                one.stitched_with.get(part_of(kind, place=place, stitched_with=one.stitched_with), 0)
                for one in (plan, again)
            )
            assert order[has] == had, (kind, place)
    rest = {"threads", "stitched_with", "typed"}
    assert again.model_dump(exclude=rest) == plan.model_dump(exclude=rest)


def test_earlier_without_scripts(ask: Ask) -> None:
    two = query_of(demo_plan()) | {"threads.0.name": "Rust", "threads.0.colours.0": "#a8502a"}
    two |= {"threads.1.name": "Green", "threads.1.colours.0": "#2f6b43"}
    page = ask("GET", "/", params=two).text
    assert 'name="thread" value="earlier.1"' in page
    assert 'value="earlier.0"' not in page
    after = ask("GET", "/", params=two | {"thread": "earlier.1"}).text
    assert re.search(r'name="threads.0.name" value="Green"', after)
    assert re.search(r'name="threads.1.name" value="Rust"', after)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"threads.0.colours.0": "#112233", "threads.0.colours.1": "#445566"}, "threads.0.repeat_in"),
        ({"threads.0.colours.0": "red"}, "threads.0.colours.0"),
        ({"threads.0.colours.0": "#112233", "threads.0.repeat_in": "wide"}, "threads.0.repeat_in"),
        ({"working.way": "frame"}, "working.reach_in"),
        ({"working.way": "table"}, "working.way"),
        ({"carry_in": "3 in"}, "carry_in"),
        ({"stitched_with.main": "4"}, "stitched_with.main"),
        ({"spine": "never"}, "spine"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(ask: Ask, wrong: dict[str, str], field: str) -> None:
    reading = read(values_of(demo_plan()) | wrong)
    assert reading.plan is None
    assert set(reading.troubles) == {field}
    page = ask("GET", "/", params=query_of(demo_plan()) | wrong)
    assert page.status_code == 200
    assert re.search(rf'<a href="#{re.escape(field)}"', page.text)


@pytest.mark.parametrize("units", ["in", "cm", "mm"])
def test_what_is_offered_for_a_repeat_and_a_reach_can_be_read(units: str) -> None:
    wrong = {"units": units, "working.way": "frame", "threads.0.colours.0": "#112233"}
    form = values_of(demo_plan()) | wrong | {"threads.0.colours.1": "#445566"}
    troubles = read(form).troubles
    offered = {name: trouble.instead for name, trouble in troubles.items()}
    plan = read(form | offered).plan
    assert plan
    assert plan.threads[0].repeat_in
    assert plan.working.reach_in


def test_a_missing_repeat_or_reach_is_mended_by_its_button(ask: Ask) -> None:
    form = query_of(demo_plan()) | {"working.way": "frame", "instead": "working.reach_in=18 in"}
    page = ask("GET", "/", params=form).text
    assert 'name="working.reach_in" value="18 in"' in page


def test_pages_wear_the_first_thread() -> None:
    two = with_thread_pressed(values_of(demo_plan()), "add") | {"threads.0.colours.0": "#123456"}
    assert look_of_form(two).thread == "#123456"
    assert look_of_form(values_of(demo_plan())).thread == demo_plan().look.thread


@pytest.mark.parametrize("kind", FILLS)
def test_a_fill_names_all_parts_that_it_draws(kind: str) -> None:
    drawn = {
        part_of(shape.kind, place=None, stitched_with=dict.fromkeys(PART_WORDS, 0))
        for shape in fill(example(4, fill=Fill(kind=kind))).shapes()
    }
    assert drawn <= {*FILLS[kind].parts, "background"}


@pytest.mark.parametrize("begin", STARTING_POINTS, ids=lambda one: one.key)
def test_a_starting_point_is_one_tap(begin: StartingPoint) -> None:
    before = with_thread_pressed(values_of(demo_plan()), "add") | {"stitched_with.corners": "1"}
    plan = read(with_thread_pressed(before, f"begin.{begin.key}")).plan
    assert plan
    assert plan.threads == begin.threads
    assert plan.stitched_with == dict(begin.stitched_with)
    assert plan.travels == begin.travels


def test_starting_points_are_offered_where_the_fill_has_their_parts() -> None:
    offered = {
        kind: {
            one.key
            for one in threads_view(values_of(demo_plan()) | {"fill.kind": kind}, FILLS[kind].parts).begins
        }
        for kind in FILLS
    }
    assert "garden" in offered["flowers"]
    assert "garden" not in offered["feathers"]
    assert "brown_cones" in offered["needles"]
    assert "brown_cones" not in offered["holly"]
    assert "cones_and_berries" not in offered["leaves"]
    mixed = {
        kind: {one.key for one in starting_points(kind, parts_of(FILLS[kind], "cones"))} for kind in FILLS
    }
    assert "cones_and_berries" in mixed["leaves"]
    assert "brown_cones" not in mixed["leaves"], "its stems are the leaves' veins: thousands of starts"
    assert "red_berries" not in mixed["leaves"], "cones would go with the berries"
    assert mixed["echo"] == offered["echo"]
    assert "red_berries" not in offered["needles"]
    assert all("variegated" in keys for keys in offered.values())


def test_starts_are_told_with_what_has_fewer(ask: Ask) -> None:
    """Every way offered has fewer starts than the plan, and leads to a plan that has just as many as it says."""
    small = {f"sides_in.{side}": "40" for side in ("top", "right", "bottom", "left")}
    form = query_of(demo_plan()) | small | {"choice": "", "fill.kind": "flowers"}
    form = with_thread_pressed(form, "begin.garden")
    page = ask("GET", "/threads", params=form).text
    told = [int(n.replace(",", "")) for n in re.findall(r"([\d,]+) starts?\b", page)]
    assert len(told) > 2
    assert all(n < told[0] for n in told[1:])
    way = html.unescape(re.findall(r'<a class="plain" href="(/\?[^"]+)"', page)[0])
    again = ask("GET", "/threads?" + way.partition("?")[2]).text
    assert int(re.findall(r"<strong>([\d,]+) starts?", again)[0].replace(",", "")) == told[1]


def test_starting_points_tell_their_starts_before_one_is_tapped(ask: Ask) -> None:
    """Each that the fill has parts for, with the starts that it has once it is taken."""
    small = {f"sides_in.{side}": "40" for side in ("top", "right", "bottom", "left")}
    form = query_of(demo_plan()) | small | {"choice": "", "fill.kind": "feathers"}
    assert 'formaction="/threads" name="begins"' in ask("GET", "/", params=form).text
    page = ask("GET", "/threads", params=form | {"begins": "on"}).text
    rows = re.findall(r'href="(/\?[^"]+)">([^<]+)</a> <span class="note">([\d,]+) starts?', page)
    offered = [one.name for one in starting_points("feathers", FILLS["feathers"].parts)]
    assert [name for _, name, _ in rows] == offered
    way, _, starts = rows[-1]
    again = ask("GET", "/threads?" + html.unescape(way).partition("?")[2]).text
    assert re.findall(r"<strong>([\d,]+) starts?", again) == [starts]


def test_a_thread_that_hardly_shows_is_named_and_one_that_stitches_nothing_is_not(ask: Ask) -> None:
    threads = {
        "threads.0.colours.0": "#3d5a6c",
        "threads.1.colours.0": "#3d5a6d",
        "threads.2.colours.0": "#3d5a6e",
    }
    form = query_of(demo_plan()) | {"look.border": "#3d5a6c", "stitched_with.spine": "1"} | threads
    page = ask("GET", "/", params=form).text
    advice = re.findall(r'<p class="advice">(.*?) hardly shows', page)
    assert advice == ["Thread 1", "Thread 2"]
