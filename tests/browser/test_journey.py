"""The whole job, from what she measured on a quilt of her own to the chalk sheet in her hand: by mouse and by
touch at three sizes, by keyboard alone, without scripts, at 200 %, with reduced motion."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, Response, expect
from pypdf import PdfReader

from tests.browser.hands import SIZES, Finger, Keys, Mouse, Watch, later, sound, still

pytestmark = pytest.mark.browser

NAME = "Wren's nest"
MEASURED = {"Top": "40 1/4", "Left": "48 1/8", "Right": "48", "Bottom": "40", "Border width": "6"}
TIN = "2; 2 1/2; 3; 3 1/2; 4"
Open = Callable[..., Page]


@pytest.fixture
def opened(browser: Browser, address: str) -> Iterator[Open]:
    """opened(width, height, **context) -> a watched page of a browser window of its own."""
    windows = []

    def opened(width: int, height: int, **more: object) -> Page:
        window = browser.new_context(viewport={"width": width, "height": height}, **more)  # type: ignore[arg-type]
        page = window.new_page()
        windows.append((window, Watch(page, address)))
        return page

    yield opened
    for window, watch in windows:
        window.close()
        assert watch.complaints == []


def the_whole_job(hand: Mouse, address: str, *, scripts: bool = True, moves: bool = True) -> None:
    """Measure, choose, save, share, compare, chalk, print; every page on the way is sound."""
    page = hand.page

    def arrived(path: str, heading: str) -> None:
        page.wait_for_url(re.compile(path), wait_until="domcontentloaded")
        expect(page.locator("h1")).to_contain_text(heading)
        sound(page)
        if not moves:
            still(page)

    page.goto(f"{address}/new", wait_until="domcontentloaded")
    arrived("/new$", "Still to fill in")
    hand.write("Name of the quilt", NAME)
    for label, text in MEASURED.items():
        hand.write(label, text)
    hand.write("Diameters in your tin", TIN)
    if not scripts:
        hand.press("button", "Draw the border")
    expect(page.locator("h1")).to_contain_text("curls")
    expect(page.locator("#whole-view")).to_contain_text("40 1/4 in")
    sound(page)

    way = page.locator("#way-2")
    title = way.locator("strong").inner_text()
    hand.take("#way-2")
    expect(way).to_have_attribute("aria-current", "true")
    expect(page.locator("h1")).to_contain_text(title)

    hand.press("button", "Save to the shelf")
    arrived(r"/plans/\w+$", title)
    expect(page.locator("#savebar")).to_contain_text("Version 1 of your plan")

    hand.press("link", "Share")
    arrived("/share$", NAME)
    hand.press("button", "Make a view link")
    arrived("/share#links-title$", NAME)
    link = page.get_by_label("View link", exact=True).last.input_value()
    if scripts:
        hand.press("button", "Copy this link")
        expect(page.get_by_role("button", name="Copied", exact=True)).to_be_visible()
    page.goto(link, wait_until="domcontentloaded")
    expect(page.locator("h1")).to_contain_text(title)

    hand.press("button", "Widths side by side")
    arrived("/compare", NAME)
    expect(page.locator(".swatch").first).to_be_visible()
    hand.press("link", "Back to the plan")
    expect(page.locator("#savebar")).to_contain_text("Version 1 of your plan")

    hand.press("button", "What it takes")
    arrived("/supplies", NAME)
    hand.press("link", "Back to the plan")

    hand.press("button", "Chalk and print")
    arrived(r"/plans/\w+/chalk", NAME)
    hand.press("link", "One circle at a time")
    arrived("/companion$", NAME)
    if scripts:
        hand.press("link", "Chalked, next")
        expect(page.get_by_text(re.compile(r"^1 of \d+ chalked"))).to_be_visible()
    hand.press("link", "To the chalk sheet")
    arrived(r"/plans/\w+/chalk", NAME)
    hand.press("link", "Which circle to buy or cut next")
    arrived("/circles", "Which circle")
    page.go_back(wait_until="domcontentloaded")
    arrived(r"/plans/\w+/chalk", NAME)
    hand.press("link", "At true size")
    arrived("/truescale$", NAME)
    if scripts:
        hand.press("button", "It fits")
        expect(page.locator("#field")).to_be_visible()
        hand.press("button", "On along the border")
        sound(page)
    hand.press("link", "To the chalk sheet")
    arrived(r"/plans/\w+/chalk", NAME)
    for name, file, said in (
        ("Practice sheet", "practice", "Trace"),
        ("Chalk sheet", "chalk", "Corner circle"),
    ):
        with page.expect_response(re.compile(rf"/plans/\w+/{file}\.pdf")) as sheet:
            hand.press("button", name)
        printed(page, sheet.value, said)
        page.go_back(wait_until="domcontentloaded")


def printed(page: Page, sheet: Response, said: str) -> None:
    """The sheet that the browser was sent to is one of this quilt, and says so much."""
    assert sheet.status == 200
    answer = page.request.get(sheet.url)
    pages = PdfReader(io.BytesIO(answer.body())).pages
    text = " ".join(one.extract_text() for one in pages)
    assert NAME in text
    assert said in text


@pytest.mark.parametrize("size", SIZES)
def test_by_touch(opened: Open, address: str, size: str) -> None:
    the_whole_job(Finger(opened(*SIZES[size], has_touch=True)), address)


def test_by_keyboard_alone(opened: Open, address: str) -> None:
    page = opened(*SIZES["tablet"])
    the_whole_job(Keys(page), address)


def test_without_scripts(opened: Open, address: str) -> None:
    the_whole_job(Mouse(opened(*SIZES["tablet"], java_script_enabled=False)), address, scripts=False)


@pytest.mark.parametrize("size", [(590, 410), (320, 640)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_at_200_percent(opened: Open, address: str, size: tuple[int, int]) -> None:
    """The tablet at 200 %; and 320 px, the width that WCAG 1.4.10 names."""
    the_whole_job(Mouse(opened(*size, device_scale_factor=2)), address)


def test_with_reduced_motion(opened: Open, address: str) -> None:
    page = opened(*SIZES["telephone"], reduced_motion="reduce")
    the_whole_job(Mouse(page), address, moves=False)


@pytest.mark.parametrize("size", ["upright", "telephone"])
def test_the_drawing_that_stays_in_sight_never_hides_the_focus(opened: Open, address: str, size: str) -> None:
    page = opened(*SIZES[size])
    page.goto(address, wait_until="domcontentloaded")
    hand = Keys(page)
    hand.put(page.get_by_role("button", name="Show more ways"))
    hand.put(page.get_by_label("Name of the quilt"))


def test_arrows_look_along_another_side(opened: Open, address: str) -> None:
    page = opened(*SIZES["tablet"])
    page.goto(address, wait_until="domcontentloaded")
    Keys(page).put(page.get_by_role("radio", name="top"))
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("radio", name="right")).to_be_checked()
    expect(page.locator("#run-view title").first).to_contain_text("The right border")


def test_a_page_left_waiting_is_fresh_when_she_comes_back(opened: Open, address: str) -> None:
    page = opened(*SIZES["tablet"])
    page.goto(address, wait_until="domcontentloaded")
    page.get_by_role("button", name="What it takes").click()
    expect(page.locator("h1")).to_contain_text("What it takes")
    page.go_back(wait_until="domcontentloaded")
    later(page)
    expect(page.get_by_role("button", name="What it takes", exact=True)).to_be_visible()
