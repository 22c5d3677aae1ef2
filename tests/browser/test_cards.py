"""The ways that land, by touch: sorted, sifted, unfolded; one card a look."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import faultless, sound

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
    touched.locator("#ways summary").first.tap()
    sound(touched)
    faultless(touched)
    before = touched.locator("h1").inner_text()
    touched.locator("#ways details[open] button").first.tap()
    expect(touched.locator("h1")).not_to_have_text(before)
    expect(touched.get_by_label("rolling")).to_be_checked()
    expect(touched.locator(".way[aria-current]")).to_have_count(1)


def test_a_cure_is_a_picture_to_tap(touched: Page, address: str) -> None:
    sides = "&".join(f"sides_in.{side}=40" for side in ("top", "right", "bottom", "left"))
    touched.goto(f"{address}/?{sides}&border=3.5&tin_in=3")
    expect(touched.locator("h1")).to_contain_text("cannot be made to land")
    expect(touched.get_by_role("button", name="Chalk and print")).to_be_hidden()
    sound(touched)
    faultless(touched)
    touched.locator(".cure").first.tap()
    expect(touched.locator("h1")).to_contain_text("curls")
    touched.get_by_role("button", name="Undo").tap()
    expect(touched.locator("h1")).to_contain_text("cannot be made to land")


def test_nothing_to_save_no_button_to_save_with(touched: Page, address: str) -> None:
    touched.goto(f"{address}/new")
    expect(touched.get_by_role("button", name="Save to the shelf")).to_have_count(0)
