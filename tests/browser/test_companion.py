"""The companion as her chalky hands work it: by tap and foot switch, ticks that stay, and no network."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from planner.demo import demo_plan
from server.store.links import pack

pytestmark = pytest.mark.browser


@pytest.fixture
def companion(sized: Page, address: str) -> Page:
    sized.goto(f"{address}/plans/{pack(demo_plan())}/companion")
    expect(sized.locator(".panel").filter(visible=True)).to_have_count(1)
    return sized


def test_it_fits_and_axe_finds_nothing(companion: Page) -> None:
    assert companion.evaluate("document.documentElement.scrollWidth <= innerWidth")
    results = Axe().run(companion)
    assert results.violations_count == 0, results.generate_report()
    reading = companion.locator("[data-now] .big dd").first
    assert reading.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") >= 54, "not to be read from afar"
    for one in companion.locator("[data-now] .big dd").all():
        assert one.evaluate("e => e.scrollWidth <= e.clientWidth + 1"), "a figure is cut off"


@pytest.mark.parametrize(("width", "height"), [(320, 568), (390, 844), (844, 390), (1180, 820)])
def test_the_way_on_stays_in_view_and_the_longest_reading_fits(
    watched: Page, address: str, width: int, height: int
) -> None:
    watched.set_viewport_size({"width": width, "height": height})
    watched.goto(f"{address}/plans/{pack(demo_plan())}/companion")
    expect(watched.locator(".panel").filter(visible=True)).to_have_count(1)
    outside = watched.evaluate(
        """() => [...document.querySelectorAll(".panel")].filter((panel) => {
            document.querySelector("[data-now]").removeAttribute("data-now");
            panel.setAttribute("data-now", "");
            const on = [...panel.querySelectorAll(".goes .button")].at(-1).getBoundingClientRect();
            const wide = document.documentElement.scrollWidth > innerWidth;
            return wide || on.bottom > innerHeight || on.height < 44;
        }).map((panel) => panel.id)"""
    )
    assert outside == []
    last = watched.locator("[data-now] .big dd").last.bounding_box()
    bar = watched.locator("[data-now] .goes").bounding_box()
    assert last is not None
    assert bar is not None
    assert last["y"] + last["height"] <= bar["y"], "a reading lies under the bar"


def test_a_foot_switch_goes_on_and_the_ticks_stay(companion: Page) -> None:
    companion.keyboard.press("ArrowRight")
    companion.keyboard.press("PageDown")
    expect(companion.locator("[data-now]")).to_have_id("c3")
    expect(companion.locator("#counted")).to_contain_text("2 of ")
    companion.keyboard.press("ArrowLeft")
    expect(companion.locator("[data-now]")).to_have_id("c2")
    expect(companion.locator("[data-now][data-chalked]")).to_have_count(1)
    address = companion.url.split("#")[0]
    companion.goto("about:blank")
    companion.goto(address)
    expect(companion.locator("[data-now]")).to_have_id("c3")  # where she was
    companion.get_by_role("button", name="Clear the ticks").click()
    expect(companion.locator("#counted")).to_contain_text("0 of ")
    expect(companion.locator("[data-now]")).to_have_id("c1")


def test_it_goes_on_when_the_network_is_gone(companion: Page) -> None:
    companion.context.set_offline(True)
    for wanted in ("c2", "c3", "c4"):
        companion.locator("[data-now]").get_by_role("link", name="Chalked").click()
        expect(companion.locator("[data-now]")).to_have_id(wanted)
    companion.context.set_offline(False)


def test_without_scripts_the_panels_follow_one_another(scriptless: Page, address: str) -> None:
    scriptless.goto(f"{address}/plans/{pack(demo_plan())}/companion")
    assert scriptless.locator(".panel").filter(visible=True).count() > 100
    scriptless.locator("#c1").get_by_role("link", name="Chalked").click()
    assert scriptless.url.endswith("#c2")
