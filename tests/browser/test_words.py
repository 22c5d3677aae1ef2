"""A word opens two lines and a drawing where it stands: by touch, by keyboard, without scripts; a page of all."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import Finger, Keys, faultless, sound

pytestmark = pytest.mark.browser


def test_by_touch_and_on_a_page_of_their_own(touched: Page, address: str) -> None:
    touched.goto(address, wait_until="domcontentloaded")
    hand = Finger(touched)
    hand.press("button", "Tin: what is that?")
    expect(touched.locator("#about-tin")).to_be_visible()
    faultless(touched)
    hand.take("#about-tin a")
    expect(touched.locator("h1")).to_have_text("Words")
    expect(touched.locator("#tin")).to_be_in_viewport()
    sound(touched)
    faultless(touched)


def test_by_keyboard(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    Keys(watched).press("button", "Middle of a side: what is that?")
    expect(watched.locator("#about-meeting")).to_be_visible()
    watched.keyboard.press("Escape")
    expect(watched.locator("#about-meeting")).to_be_hidden()
    expect(watched.get_by_role("button", name="Middle of a side: what is that?")).to_be_focused()


def test_without_scripts(scriptless: Page, address: str) -> None:
    scriptless.goto(address, wait_until="domcontentloaded")
    scriptless.get_by_role("button", name="Tin: what is that?").click()
    expect(scriptless.locator("#about-tin")).to_be_visible()
