"""The ways that land, by touch: sorted, sifted, unfolded; one card a look."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import answered, faultless, later, sound

pytestmark = pytest.mark.browser


@pytest.fixture
def touched(touched: Page, address: str) -> Page:
    touched.goto(address, wait_until="domcontentloaded")
    return touched


def test_sorting_sifting_and_unfolding(touched: Page) -> None:
    touched.get_by_label("Sorted").select_option("curls")
    expect(touched.locator("#way-1 strong")).to_contain_text("curls")
    touched.locator("label", has_text="rolling").last.tap()
    expect(touched.get_by_label("rolling")).to_be_checked()
    expect(touched.get_by_role("button", name="Undo")).to_be_disabled()  # looking is no change
    answered(touched)  # a look that is sifted away would fold its variants with it
    touched.locator("#ways summary").first.tap()
    sound(touched)
    faultless(touched)
    before = touched.locator("h1").inner_text()
    touched.locator("#ways details[open] button").first.tap()
    expect(touched.locator("h1")).not_to_have_text(before)
    expect(touched.get_by_label("rolling")).to_be_checked()
    expect(touched.locator(".way[aria-current]")).to_have_count(1)


def test_what_she_unfolded_stays_unfolded_where_it_comes_to_stand(touched: Page) -> None:
    unfolded = touched.locator("#ways li:has(details[open]) button")
    values = "all => all.map(e => e.value).sort()"
    touched.locator("#ways summary").first.tap()
    before = unfolded.evaluate_all(values)
    for sorting in ("curls", "ease"):
        with touched.expect_response(lambda answer, by=sorting: f"sort={by}" in answer.url) as answer:
            touched.get_by_label("Sorted").select_option(sorting)
        answer.value.finished()
        later(touched)
        answered(touched)
        assert unfolded.evaluate_all(values) == before


# The answer to one question has come, but is not read yet: then she ticks something.
LATE = """(box) => {
  const read = Response.prototype.text;
  Response.prototype.text = async function () {
    Response.prototype.text = read;
    const text = await read.call(this);
    box.click();
    return text;
  };
}"""


def test_a_tick_while_an_answer_is_read_stays(touched: Page) -> None:
    touched.locator("[name='only.rolling']").evaluate(LATE)
    touched.get_by_label("Sorted").select_option("curls")
    touched.wait_for_load_state("networkidle")
    expect(touched.get_by_label("rolling")).to_be_checked()


def test_what_a_finger_holds_is_not_exchanged(touched: Page) -> None:
    held = touched.locator("#ways")
    held.evaluate(
        "e => { e.held = true; e.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true })); }"
    )
    with touched.expect_response(lambda answer: "sort=curls" in answer.url) as answer:
        touched.get_by_label("Sorted").select_option("curls")
    answer.value.finished()
    touched.wait_for_timeout(300)
    assert touched.evaluate("document.getElementById('ways').held"), "exchanged under her finger"
    touched.evaluate("document.dispatchEvent(new PointerEvent('pointerup', { bubbles: true }))")
    expect(touched.locator("#ways")).not_to_have_js_property("held", True)


def test_a_cure_is_a_picture_to_tap(touched: Page, address: str) -> None:
    sides = "&".join(f"sides_in.{side}=40" for side in ("top", "right", "bottom", "left"))
    touched.goto(f"{address}/?{sides}&border=3.5&tin_in=3")
    expect(touched.locator("h1")).to_contain_text("does not land yet")
    expect(touched.get_by_role("button", name="Chalk and print")).to_be_hidden()
    sound(touched)
    faultless(touched)
    touched.locator(".cure").first.tap()
    expect(touched.locator("h1")).to_contain_text("curls")
    touched.get_by_role("button", name="Undo").tap()
    expect(touched.locator("h1")).to_contain_text("does not land yet")


def test_nothing_to_save_no_button_to_save_with(touched: Page, address: str) -> None:
    touched.goto(f"{address}/new")
    expect(touched.get_by_role("button", name="Save to the shelf")).to_have_count(0)
