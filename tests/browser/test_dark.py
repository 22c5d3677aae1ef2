"""In a dark room, with high contrast, on the home screen and on paper: pages stay sound, axe finds nothing."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from planner.demo import demo_plan
from server.store.links import pack
from tests.browser.hands import SIZES, Watch, faultless, sound

pytestmark = pytest.mark.browser

PLAN = pack(demo_plan())
PAGES = (
    "/",
    "/new",
    "/shelf",
    "/compare?by=width&widths=7; 8",
    "/supplies",
    "/words",
    "/playback",
    f"/plans/{PLAN}/chalk",
    f"/plans/{PLAN}/companion",
    f"/plans/{PLAN}/drift",
    f"/plans/{PLAN}/truescale",
    "/?border=3&sides_in.top=90",
)


@pytest.fixture(params=["tablet", "telephone"])
def dark(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    width, height = SIZES[request.param]
    size = {"width": width, "height": height}
    window = browser.new_context(viewport=size, color_scheme="dark", contrast="more", reduced_motion="reduce")  # type: ignore[arg-type]
    page = window.new_page()
    watch = Watch(page, address)
    yield page
    window.close()
    assert watch.complaints == []


def test_every_page_in_a_dark_room(dark: Page, address: str) -> None:
    for path in PAGES:
        dark.goto(address + path, wait_until="domcontentloaded")
        lightness = Image.open(BytesIO(dark.screenshot())).convert("L").resize((1, 1)).getpixel((0, 0))
        assert isinstance(lightness, int)
        assert lightness < 110, f"{path} glares"
        sound(dark)
        faultless(dark)


def test_paper_has_no_switches_and_stays_white(dark: Page, address: str) -> None:
    dark.emulate_media(media="print")
    for path in PAGES:
        dark.goto(address + path, wait_until="domcontentloaded")
        shown = dark.evaluate(
            "[...document.querySelectorAll('button, .button, nav a, input[type=range]')]"
            ".filter(e => e.checkVisibility()).map(e => e.textContent.trim() || e.id)"
        )
        assert shown == [], path
        assert (
            dark.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--ink')") == "#1b2831"
        )


def test_the_manifest_and_its_icons_are_ours(dark: Page, address: str) -> None:
    dark.goto(f"{address}/shelf")
    found = dark.request.get(f"{address}/static/cornerwise.webmanifest")
    assert found.headers["content-type"].startswith("application/manifest+json")
    for icon in found.json()["icons"]:
        answer = dark.request.get(address + icon["src"])
        assert answer.ok
        if icon["type"] == "image/png":
            size = Image.open(BytesIO(answer.body())).size
            assert icon["sizes"] == f"{size[0]}x{size[1]}"
