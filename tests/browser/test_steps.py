"""Every settled change can be undone and done again, by button, key and the browser's Back; also after a reload."""

from __future__ import annotations

import re
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Dialog, Page, expect

from tests.browser.hands import later

pytestmark = pytest.mark.browser


@pytest.fixture
def bench(sized: Page, address: str) -> Page:
    sized.goto(address)
    expect(sized.get_by_role("button", name="Undo")).to_be_disabled()
    return sized


def settled(page: Page, label: str, text: str) -> None:
    page.get_by_label(label, exact=True).fill(text)
    page.get_by_label(label, exact=True).blur()
    expect(page).to_have_url(re.compile("choice="))


def test_each_settled_change_is_one_step_back_and_on(bench: Page) -> None:
    field, whole = bench.get_by_label("Top", exact=True), bench.locator("#whole-view")
    field.click()
    bench.keyboard.press("ControlOrMeta+a")
    bench.keyboard.type("89 1/2")  # six keys, one step
    bench.get_by_label("Bottom", exact=True).focus()
    expect(whole).to_contain_text("89 1/2 in")
    settled(bench, "Bottom", "89 3/4")
    expect(whole).to_contain_text("89 3/4 in")

    bench.get_by_role("button", name="Undo").click()
    expect(bench.get_by_label("Bottom", exact=True)).to_have_value("90")
    expect(whole).to_contain_text("89 1/2 in")
    bench.keyboard.press("ControlOrMeta+z")
    expect(field).to_have_value("90 1/8")
    expect(whole).to_contain_text("90 1/8 in")
    expect(bench.get_by_role("button", name="Undo")).to_be_disabled()
    bench.keyboard.press("ControlOrMeta+y")
    expect(field).to_have_value("89 1/2")
    bench.get_by_role("button", name="Redo").click()
    expect(bench.get_by_label("Bottom", exact=True)).to_have_value("89 3/4")
    expect(bench.get_by_role("button", name="Redo")).to_be_disabled()


def test_back_and_a_reload_keep_the_steps(bench: Page) -> None:
    bench.on("dialog", lambda dialog: dialog.accept())
    settled(bench, "Border width", "7")
    settled(bench, "Border width", "7 1/2")
    bench.reload()
    expect(bench.get_by_label("Border width", exact=True)).to_have_value("7 1/2")
    bench.go_back()
    expect(bench.get_by_label("Border width", exact=True)).to_have_value("7")
    bench.go_back()
    expect(bench.get_by_label("Border width", exact=True)).to_have_value("8")
    bench.get_by_role("button", name="Redo").click()
    expect(bench.get_by_label("Border width", exact=True)).to_have_value("7")


def test_steps_outlast_a_walk_to_another_page(bench: Page) -> None:
    """By the page's own way back, which is another entry in the browser's history."""
    bench.on("dialog", lambda dialog: dialog.accept())
    width, undo = bench.get_by_label("Border width", exact=True), bench.get_by_role("button", name="Undo")
    settled(bench, "Border width", "7")
    settled(bench, "Border width", "7 1/2")
    bench.get_by_role("button", name="What it takes").click()
    bench.get_by_role("link", name="Back to the plan").click()
    expect(width).to_have_value("7 1/2")
    undo.click()
    expect(width).to_have_value("7")
    undo.click()
    expect(width).to_have_value("8")
    expect(undo).to_be_disabled()
    bench.get_by_role("button", name="Redo").click()
    expect(width).to_have_value("7")
    settled(bench, "Border width", "9")
    expect(bench.get_by_role("button", name="Redo")).to_be_disabled()
    undo.click()
    expect(width).to_have_value("7")
    undo.click()
    expect(width).to_have_value("8")
    bench.goto(bench.url.split("?")[0] + "new")
    expect(undo).to_be_disabled()  # of another quilt


def test_choosing_a_way_and_pressing_a_cure_are_steps(bench: Page) -> None:
    way = bench.locator(".way:not([aria-current])").first
    before = bench.locator("h1").inner_text()
    way.click()
    expect(bench.locator("h1")).not_to_have_text(before)
    bench.get_by_role("button", name="Undo").click()
    expect(bench.locator("h1")).to_have_text(before)
    bench.get_by_label("Numbers are").select_option("cm")
    expect(bench.get_by_label("Bottom", exact=True)).to_have_value("228.6 cm")
    bench.get_by_role("button", name="Undo").click()
    expect(bench.get_by_label("Bottom", exact=True)).to_have_value("90")
    expect(bench.get_by_label("Numbers are")).to_have_value("in")


def test_a_button_on_a_saved_plan_is_a_step_too(watched: Page, address: str) -> None:
    """Pressed first of all, while the page's address is still the plan's own."""
    quilt = {
        "sides_in.top": "68 1/4",
        "sides_in.bottom": "68",
        "border": "7",
        "tin_in": "2 1/2; 3; 3 1/2; 4; 6",
    }
    quilt |= {"sides_in.left": "88 1/2", "sides_in.right": "88 1/4"}
    watched.goto(f"{address}/?{urlencode(quilt)}")
    watched.get_by_role("button", name="Save to the shelf").click()
    watched.wait_for_url(re.compile("/plans/"))
    tin = watched.get_by_label("Diameters in your tin")
    before = tin.input_value()
    watched.get_by_role("button", name="Add it to the tin").click()
    expect(tin).not_to_have_value(before)
    watched.get_by_role("button", name="Undo").click()
    expect(tin).to_have_value(before)


def test_what_she_types_in_a_field_the_field_undoes(watched: Page, address: str) -> None:
    watched.goto(address)
    watched.get_by_label("Name of the quilt").click()
    watched.keyboard.press("End")
    watched.keyboard.type("!")
    watched.keyboard.press("ControlOrMeta+z")
    expect(watched.get_by_label("Name of the quilt")).to_have_value("Harbour Lights (invented)")


def test_half_a_fraction_is_no_error_until_she_leaves_the_field(watched: Page, address: str) -> None:
    watched.goto(address)
    field, spoken = watched.get_by_label("Border width", exact=True), watched.locator("#spoken")
    field.click()
    watched.keyboard.press("ControlOrMeta+a")
    with watched.expect_response(lambda answer: "border=7+1%2F&" in answer.url and "/?" in answer.url):
        watched.keyboard.type("7 1/")
    later(watched)
    expect(spoken).to_contain_text("curls")
    expect(watched.locator("#trouble-border")).to_be_empty()
    watched.keyboard.type("2")
    expect(watched).to_have_url(re.compile(r"border=7\+1%2F2&"))
    watched.keyboard.press("Backspace")
    field.blur()
    expect(watched.locator("#trouble-border")).to_contain_text("7 1/")


def test_leaving_with_something_unsaved_asks_once(watched: Page, address: str) -> None:
    asked: list[str] = []

    def stay(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    watched.goto(address)
    watched.on("dialog", stay)
    settled(watched, "Border width", "7")
    watched.get_by_role("link", name="Shelf").click()
    expect(watched.get_by_label("Border width", exact=True)).to_have_value("7")
    assert asked == ["beforeunload"]
    watched.get_by_role("button", name="What it takes").click()
    expect(watched.locator("h1")).to_contain_text("What it takes")
    watched.get_by_role("link", name="Back to the plan").click()
    watched.get_by_role("link", name="Shelf").click()
    expect(watched.locator("h1")).to_contain_text("shelf")
    assert asked == ["beforeunload"]


def test_without_scripts_no_button_that_does_nothing(scriptless: Page, address: str) -> None:
    scriptless.goto(address, wait_until="domcontentloaded")
    expect(scriptless.get_by_role("button", name="Undo")).to_be_hidden()
