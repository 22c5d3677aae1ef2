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
    expect(companion.locator("#counted")).to_contain_text("8 of ")  # the one she stood at, too
    assert companion.locator("#c9 dd").first.text_content() != after, "the readings follow"
    faultless(companion)


def test_what_is_chalked_of_the_other_half_is_never_left_ticked_where_it_does_not_stand(
    watched: Page, address: str
) -> None:
    """A circle whose place has moved loses its tick and is named; hers, up to where she stood, keep theirs."""
    watched.goto(f"{address}/plans/{pack(PLAN)}/companion")
    top = watched.locator(".panel").filter(has_text="Top").locator("h2").all_text_contents()
    ticked = len(top)  # the whole top side is chalked
    for _ in range(ticked):
        watched.keyboard.press("PageDown")
    expect(watched.locator("#counted")).to_contain_text(f"{ticked} of ")
    before = readings(watched)
    watched.locator("#c8 .off a").evaluate("link => location.assign(link.href)")
    watched.get_by_label("Off by").fill("1/8")
    watched.get_by_role("button", name="Spread the rest anew").click()
    expect(watched.locator("[data-now]")).to_have_id("c9")
    after = readings(watched)
    still = watched.locator(".panel[data-chalked]").evaluate_all("all => all.map((one) => one.id)")
    hers = {f"c{n}" for n in range(1, 9)}
    assert hers <= set(still)
    for panel in set(still) - hers:
        assert before[panel] == after[panel], "ticked, and it stands elsewhere"
    gone = {f"c{n}" for n in range(1, ticked + 1)} - set(still)
    assert gone - {f"c{n}" for n in range(9, ticked // 2 + 2)}, "some of the other half"
    told = watched.locator("#moved")
    expect(told).to_contain_text("Brush out what has moved")
    expect(told).to_contain_text("from the left corner: Curl")
    expect(told).to_contain_text("from the right corner: Curl")
    news = watched.locator("#news")
    expect(news).to_contain_text("The top side is spread anew: curl")
    expect(news).to_be_in_viewport()
    watched.keyboard.press("PageDown")
    assert told.evaluate("told => told.compareDocumentPosition(document.querySelector('[data-now]')) & 2"), (
        "in the way"
    )


def readings(page: Page) -> dict[str, list[str]]:
    """What each panel reads along and in."""
    return dict(
        page.locator(".panel").evaluate_all(
            "all => all.map((one) => [one.id, [...one.querySelectorAll('.big dd')].map((dd) => dd.textContent)])"
        )
    )
