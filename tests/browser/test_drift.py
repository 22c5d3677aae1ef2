"""Standing off at the table, by touch: said in the companion, spread anew, and on to the next circle."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from planner.demo import demo_plan
from planner.solver import choose
from server.store.links import pack
from tests.browser.hands import faultless, sound

pytestmark = pytest.mark.browser

PLAN = choose(demo_plan().model_copy(update={"choice": None})).plan


@pytest.fixture
def companion(touched: Page, address: str) -> Page:
    touched.goto(f"{address}/plans/{pack(PLAN)}/companion")
    return touched


def test_the_rest_is_spread_anew_and_the_ticks_stay(companion: Page) -> None:
    for number in range(2, 9):
        companion.locator("[data-now]").get_by_role("link", name="Chalked").tap()
        expect(companion.locator("[data-now]")).to_have_id(f"c{number}")
    curl = companion.locator("[data-now] h2").inner_text()
    after = companion.locator("#c9 dd").first.text_content()
    companion.locator("[data-now]").get_by_role("link", name="Standing off here?").tap()
    expect(companion.locator("h1")).to_contain_text("Standing off")
    assert companion.get_by_label("At curl").input_value() in curl
    sound(companion)
    faultless(companion)

    companion.get_by_label("Off by").fill("1 1/2")
    companion.get_by_role("button", name="Spread the rest anew").tap()
    expect(companion.get_by_role("alert")).to_contain_text("more than the curls after it can take up")
    sound(companion)
    faultless(companion)
    companion.get_by_label("Off by").fill("1/8")
    companion.get_by_role("button", name="Spread the rest anew").tap()
    expect(companion.locator("[data-now]")).to_have_id("c9")
    expect(companion.locator("#counted")).to_contain_text("7 of ")
    assert companion.locator("#c9 dd").first.text_content() != after, "the readings follow"
    faultless(companion)
