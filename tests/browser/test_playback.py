"""The play-back as she meets it: it draws, it stops, it steps; without scripts, and with less motion."""

from __future__ import annotations

import re
from urllib.parse import urlencode

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from planner.demo import demo_plan
from server.pages.forms import values_of
from tests.browser.hands import later

pytestmark = pytest.mark.browser

LEAST_TARGET_PX = 44
LARGEST_PAGE_BYTES = 600_000


@pytest.fixture(scope="module", autouse=True)
def grown(address: str) -> None:
    """The first reader waits for the fill to grow; the tests do not count that."""
    httpx.get(f"{address}/playback", timeout=300)


@pytest.fixture
def play(sized: Page, address: str) -> Page:
    sized.goto(f"{address}/playback")
    return sized


def thread_on(page: Page) -> int:
    """Pixels of the canvas in the colour of the thread."""
    return int(
        page.evaluate(
            """() => {
            const thread = getComputedStyle(document.documentElement).getPropertyValue("--thread");
            const cloth = document.getElementById("cloth");
            const [r, g, b] = thread.match(/[0-9a-f]{2}/gi).map((v) => parseInt(v, 16));
            const { data } = cloth.getContext("2d").getImageData(0, 0, cloth.width, cloth.height);
            let found = 0;
            for (let i = 0; i < data.length; i += 4)
              if (Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b) < 24) found += 1;
            return found;
            }"""
        )
    )


def stitched(page: Page) -> float:
    """Hundredths of an inch, as the reel shows them."""
    return float(page.locator("#reel").input_value())


def test_the_line_draws_itself_and_stops(play: Page) -> None:
    bare = thread_on(play)
    play.get_by_label("Pace").fill("5")
    play.get_by_role("button", name="Stitch").click()
    expect(play.locator("#done")).not_to_have_text(re.compile("^0.0 "), timeout=10_000)
    play.get_by_role("button", name="Pause").click()
    stopped = play.locator("#done").text_content()
    later(play)
    assert play.locator("#done").text_content() == stopped
    assert thread_on(play) > bare
    assert play.evaluate("document.documentElement.scrollWidth <= innerWidth"), "the page scrolls sideways"


@pytest.mark.parametrize(("width", "height"), [(1024, 768), (768, 1024), (390, 844)])
def test_the_buttons_are_in_view_without_scrolling(
    watched: Page, address: str, width: int, height: int
) -> None:
    watched.set_viewport_size({"width": width, "height": height})
    watched.goto(f"{address}/playback")
    for name in ("Pocket back", "Stitch", "Next pocket"):
        box = watched.get_by_role("button", name=name).bounding_box()
        assert box
        assert box["y"] + box["height"] <= height, name


def test_a_tap_on_the_reel_goes_there_while_it_runs(play: Page) -> None:
    whole = float(play.locator("#reel").get_attribute("max") or 0)
    play.get_by_label("Pace").fill("1")
    play.get_by_role("button", name="Stitch", exact=True).click()
    expect(play.get_by_role("button", name="Pause")).to_be_visible()
    reel = play.locator("#reel").bounding_box()
    assert reel
    play.mouse.click(reel["x"] + 0.6 * reel["width"], reel["y"] + reel["height"] / 2)
    expect(play.get_by_role("button", name="Stitch", exact=True)).to_be_visible()
    assert abs(stitched(play) / whole - 0.6) < 0.05


def test_stepping_goes_from_pocket_to_pocket(play: Page) -> None:
    on = play.get_by_role("button", name="Next pocket")
    while "Pocket 1 of" not in (play.locator("#stage").text_content() or ""):
        on.click()
    on.click()
    expect(play.locator("#stage")).to_contain_text("Pocket 2 of")
    expect(play.locator("#said")).to_contain_text("Pocket 2 of")
    play.get_by_role("button", name="Pocket back").click()
    expect(play.locator("#stage")).to_contain_text("Pocket 1 of")


@pytest.mark.parametrize("kind", ["needles", "echo"])
def test_what_the_needle_does_is_told_in_words(watched: Page, address: str, kind: str) -> None:
    watched.goto(f"{address}/playback?{urlencode({**values_of(demo_plan()), 'fill.kind': kind})}")
    expect(watched.locator("#player")).to_be_visible()
    told = watched.evaluate(
        """async () => {
            const { moves } = await import("/static/playback/line.js");
            const { moveInWords } = await import("/static/playback/words.js");
            return [...new Set(moves.map(moveInWords))];
        }"""
    )
    assert {"Along a curl", "Out along a tail"} <= set(told)
    assert {"needles": "A pine needle", "echo": "An echo line"}[kind] in told
    for words in told:
        assert re.fullmatch(r"(A [^aeiou]|An [aeiou]|Again |Along |Back |On |Out |Round )[a-z ,]+", words)


def test_targets_are_big_enough_for_a_thumb(play: Page) -> None:
    for target in play.locator(".controls button, .controls input[type=range], .controls .chips label").all():
        box = target.bounding_box()
        assert box
        assert min(box["width"], box["height"]) >= LEAST_TARGET_PX, target.text_content()


def test_no_fault_that_axe_finds(play: Page) -> None:
    found = Axe().run(play)
    assert found.violations_count == 0, found.generate_report()


def test_with_less_motion_one_press_is_one_shape(browser: Browser, address: str) -> None:
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    page.goto(f"{address}/playback")
    press = page.get_by_role("button", name="Next shape")
    press.click()
    first = stitched(page)
    later(page)
    assert stitched(page) == first, "nothing runs by itself"
    press.click()
    assert stitched(page) > first
    expect(page.locator("#pace")).to_be_hidden()
    context.close()


def test_without_scripts_it_says_that_it_is_at_work(scriptless: Page, address: str) -> None:
    query = urlencode(values_of(demo_plan()) | {"name": "Not asked for before"})
    scriptless.goto(f"{address}/playback?{query}", wait_until="commit")
    expect(scriptless.locator(".waiting")).to_be_visible()
    expect(scriptless.locator(".by-number")).to_be_visible()
    expect(scriptless.locator(".waiting")).to_be_hidden()


def test_the_page_of_the_longest_data_is_light(address: str) -> None:
    query = {**values_of(demo_plan()), "fill.kind": "needles"}
    answer = httpx.get(f"{address}/playback", params=query, timeout=300)
    assert '<path id="cell0"' in answer.text
    assert len(answer.content) < LARGEST_PAGE_BYTES


def test_without_scripts_the_order_is_a_picture_and_a_list(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    answer = page.goto(f"{address}/playback")
    assert answer
    assert len(answer.body()) < LARGEST_PAGE_BYTES
    expect(page.locator("#player")).to_be_hidden()
    numbers = [int(text) for text in page.locator(".numbers text").all_text_contents()]
    assert numbers == list(range(1, len(numbers) + 1))
    expect(page.locator(".steps li").first).to_contain_text(re.compile("^1"))
    context.close()


def test_the_end_of_the_line_is_the_length_that_is_told(watched: Page, address: str) -> None:
    watched.goto(f"{address}/playback")
    watched.locator("#reel").evaluate(
        "reel => { reel.value = reel.max; reel.dispatchEvent(new Event('input')); }"
    )
    gone, of = (watched.locator("#done").text_content() or "").removesuffix(" stitched").split(" of ")
    assert gone == of
    expect(watched.locator(".spoken p:last-child")).to_contain_text(of)
    expect(watched.locator("#play")).to_have_text("Stitch again")
