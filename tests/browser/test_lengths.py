"""Lengths without typing: steps of an eighth or two millimetres by tap and arrow keys, the width by a slider; and
the picture stays in view meanwhile."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import Mouse

pytestmark = pytest.mark.browser


def test_a_tap_is_an_eighth_and_all_taps_one_step(sized: Page, address: str) -> None:
    sized.goto(address, wait_until="domcontentloaded")
    field = sized.get_by_label("Top", exact=True)
    more = sized.get_by_label("Top: a little more")
    for wanted in ("90 1/4", "90 3/8", "90 1/2"):
        more.click()
        expect(field).to_have_value(wanted)
    expect(sized.locator("#whole-view")).to_contain_text("90 1/2 in")
    sized.get_by_label("Top: a little less").click()  # the other way: a step of its own
    expect(field).to_have_value("90 3/8")
    sized.get_by_label("Name of the quilt").focus()
    sized.get_by_role("button", name="Undo").click()
    expect(field).to_have_value("90 1/2")
    sized.get_by_role("button", name="Undo").click()
    expect(field).to_have_value("90 1/8")


@pytest.mark.parametrize(
    ("written", "up", "down"),
    [
        ("6", "6 1/8", "5 7/8"),
        ("6 1/3", "6 3/8", "6 1/4"),
        ("5.3 in", "5 3/8 in", "5 1/4 in"),
        ("20 cm", "20.2 cm", "19.8 cm"),
        ("203 mm", "204 mm", "202 mm"),
        ("0 1/8", "1/4", "0 1/8"),
        ("7' 6\"", "7' 6\"", "7' 6\""),
    ],
)
def test_arrow_keys_step_in_the_way_she_wrote(
    watched: Page, address: str, written: str, up: str, down: str
) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    field = watched.get_by_label("Border width", exact=True)
    for key, wanted in (("ArrowUp", up), ("ArrowDown", down)):
        field.fill(written)
        field.press(key)
        expect(field).to_have_value(wanted)


def test_the_slider_goes_with_the_width(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    slide, field = (
        watched.get_by_label("Slide the border wider"),
        watched.get_by_label("Border width", exact=True),
    )
    expect(slide).to_have_value("8")
    slide.fill("7.25")
    expect(field).to_have_value("7 1/4")
    expect(watched).to_have_url(re.compile(r"border=7\+1%2F4&"))
    field.fill("9")
    expect(slide).to_have_value("9")


def test_the_slider_is_marked_where_circles_touch(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    assert watched.locator("#touching option").count() == 0
    watched.get_by_label("Border width", exact=True).focus()
    expect(watched.get_by_text("Marked: the widths near yours")).to_be_visible()
    marks = watched.locator("#touching option").evaluate_all("all => all.map(one => Number(one.value))")
    assert marks == sorted(marks)
    assert all(6.5 <= mark <= 9.5 and mark % 0.125 == 0 for mark in marks)
    watched.get_by_label("Slide the border wider").fill(str(marks[0]))
    expect(watched.locator("h1")).to_contain_text("touching")


def test_the_picture_stays_in_view_while_she_looks_through_the_ways(sized: Page, address: str) -> None:
    sized.goto(address, wait_until="domcontentloaded")
    sized.locator("#way-5").scroll_into_view_if_needed()
    sized.get_by_label("Tail, degrees round").evaluate("e => e.closest('details').open = true")
    for seen in ("#way-5", "[id='tail_deg']"):
        sized.locator(seen).scroll_into_view_if_needed()
        expect(sized.locator("#run-view")).to_be_in_viewport(ratio=0.5)


def test_enter_in_a_field_draws_and_presses_nothing_else(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    Mouse(watched).write("Top", "89")
    watched.keyboard.press("Enter")
    expect(watched.locator("#whole-view")).to_contain_text("89 in")
    expect(watched.get_by_label("Call it")).to_have_count(0)
