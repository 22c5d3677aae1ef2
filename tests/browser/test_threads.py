"""Threads on the workbench: by touch, by keys, and without scripts; axe at both sizes."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from playwright.sync_api import Browser, Page, expect

from planner.demo import demo_plan
from server.pages.address import query_of
from tests.browser.hands import SIZES, Finger, Keys, Watch, faultless, sound

pytestmark = pytest.mark.browser

PLAN = "/?" + urlencode(query_of(demo_plan()))
FRAME = "/?" + urlencode(
    query_of(demo_plan())
    | {"threads.0.colours.0": "#2a6b3a", "threads.0.colours.1": "#7fae5a", "threads.1.colours.0": "#a32a2a"}
    | {"working.way": "frame", "stitched_with.tips": "1"}
)


def threads_are_given(page: Page, hands: Finger | Keys | None = None) -> None:
    """A second thread, two colours on it, a name; then away again."""
    here = hands or Finger(page)
    reach = here.reach if hands else (lambda target: target.click())
    reach(page.locator("#threads summary"))
    reach(page.get_by_role("button", name="A second thread"))
    expect(page.get_by_label("Thread 2, colour")).to_be_visible()
    reach(page.locator('button[value="colour.1"]'))
    expect(page.get_by_label("Thread 2, colour 2")).to_be_visible()
    expect(page.get_by_label("Thread until the colours come again")).to_have_value("5 in")
    page.get_by_label("Call it").nth(1).fill("Berry red")
    page.get_by_label("Teardrops").select_option(index=1)


def test_by_touch(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    watch = Watch(page, address)
    page.goto(address + PLAN, wait_until="domcontentloaded")
    threads_are_given(page, Finger(page))
    expect(page.get_by_label("Teardrops").locator("option:checked")).to_have_text("Berry red")
    page.wait_for_url("**stitched_with.teardrops=1**")
    faultless(page)
    Finger(page).reach(page.get_by_role("button", name="Take thread 2 away"))
    expect(page.get_by_label("Thread 2, colour")).to_have_count(0)
    context.close()
    assert watch.complaints == []


def test_without_scripts(scriptless: Page, address: str) -> None:
    scriptless.goto(address + PLAN, wait_until="domcontentloaded")
    threads_are_given(scriptless)
    scriptless.get_by_label("Corners", exact=True).last.press("Tab")
    scriptless.get_by_label("Call it").first.press("Enter")  # draws, and presses no button that stands before
    expect(scriptless.get_by_label("Call it").nth(1)).to_have_value("Berry red")
    expect(scriptless.get_by_label("Teardrops").locator("option:checked")).to_have_text("Berry red")
    scriptless.get_by_role("button", name="Take thread 1 away").click()
    expect(scriptless.get_by_label("Call it")).to_have_value("Berry red")


@pytest.mark.parametrize("size", ["tablet", "telephone"])
def test_every_field_of_threads_at_both_sizes(watched: Page, address: str, size: str) -> None:
    width, height = SIZES[size]
    watched.set_viewport_size({"width": width, "height": height})
    watched.goto(address + FRAME, wait_until="domcontentloaded")
    for name in ("threads.0.repeat_in", "working.reach_in"):
        expect(watched.locator(f'[name="{name}"]')).to_have_attribute("aria-invalid", "true")
    sound(watched)
    faultless(watched)
