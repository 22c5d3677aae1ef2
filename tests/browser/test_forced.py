"""Where the system forces its own colours: all can be read, what is pressed has an edge, the focus is seen."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.hands import SIZES, Watch, faultless
from tests.browser.test_dark import PAGES

pytestmark = pytest.mark.browser

STOPS = 10  # of the Tab key on each page
BARE = """() => [...document.querySelectorAll("button, .button")].filter((e) => {
  const style = getComputedStyle(e);
  return e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 1
    && (style.borderBottomStyle === "none" || parseFloat(style.borderBottomWidth) < 1);
}).map((e) => `${e.className} ${e.textContent.trim().slice(0, 30)}`)"""
RING = """() => { const at = document.activeElement, style = getComputedStyle(at);
  const near = getComputedStyle(at.closest("label") ?? at);
  const seen = (one) => one.outlineStyle !== "none" && parseFloat(one.outlineWidth) >= 2;
  return at === document.body || seen(style) || seen(near) ? "" : at.outerHTML.slice(0, 80); }"""


@pytest.fixture(params=["dark", pytest.param("light", marks=pytest.mark.long)])
def forced(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    width, height = SIZES["tablet"]
    size = {"width": width, "height": height}
    window = browser.new_context(viewport=size, color_scheme=request.param, forced_colors="active")  # type: ignore[arg-type]
    page = window.new_page()
    watch = Watch(page, address)
    yield page
    window.close()
    assert watch.complaints == []


def test_every_page_in_forced_colours(forced: Page, address: str) -> None:
    for path in PAGES:
        forced.goto(address + path)
        assert forced.evaluate(BARE) == [], path
        faultless(forced)
        for _ in range(STOPS):
            forced.keyboard.press("Tab")
            assert forced.evaluate(RING) == "", path
