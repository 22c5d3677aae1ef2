"""Her own cloth under the drawing: judged by its colour, drawn out from its corners, kept here and sent nowhere."""

from __future__ import annotations

import re
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import FilePayload, Page, Request, expect

from planner.pictures.colour import contrast
from server.app import SECURITY_HEADERS
from tests.browser.hands import faultless, sound

pytestmark = pytest.mark.browser

QUADRANTS = ((200, 30, 30), (30, 160, 60), (40, 60, 200), (220, 200, 40))  # clockwise from the upper left
CORNERS = ((0.2, 0.1), (0.9, 0.25), (0.8, 0.95), (0.1, 0.7))  # of the top in its photograph, no parallels
NEAR = 0.02  # of the middle: without the perspective it would lie farther off


@pytest.fixture
def bench(sized: Page, address: str) -> Page:
    sized.goto(address)
    expect(sized.locator("#own-cloth")).to_be_visible()
    return sized


def photo(picture: Image.Image, name: str = "cloth.png") -> FilePayload:
    kept = BytesIO()
    picture.save(kept, "PNG")
    return {"name": name, "mimeType": "image/png", "buffer": kept.getvalue()}


def striped(one: tuple[int, int, int], other: tuple[int, int, int], size: int = 400) -> FilePayload:
    """Half and half."""
    cloth = np.full((size, size, 3), one, dtype=np.uint8)
    cloth[:, ::2] = other
    return photo(Image.fromarray(cloth))


def give(page: Page, kind: str, file: FilePayload) -> None:
    page.locator(f"input[data-photo={kind}]").set_input_files(file)


BORDER, TOP = "#quilt > rect[fill='url(#own-border)']", "#quilt > path[fill='url(#own-top)']"


def share_of(page: Page, colour: tuple[int, int, int]) -> float:
    """How much of the screen has a colour."""
    seen = np.asarray(Image.open(BytesIO(page.screenshot())).convert("RGB"), dtype=float)
    return float((np.abs(seen - colour).max(axis=2) < 30).mean())


def test_a_photograph_is_judged_kept_and_sent_nowhere(bench: Page) -> None:
    asked: list[Request] = []
    bench.on("request", lambda request: asked.append(request))
    give(bench, "border", striped((255, 255, 255), (0, 0, 0)))
    # half the light of white and black: 0.5 in linear light is 188 of 255 (IEC 61966-2-1)
    expect(bench.locator("#look\\.border")).to_have_value("#bcbcbc")
    expect(bench.locator(BORDER)).to_be_attached()
    assert contrast("#f4efe2", "#bcbcbc") > 1.5  # the demo's thread still shows
    expect(bench.get_by_text("hardly shows on this cloth").filter(visible=True)).to_have_count(0)

    give(bench, "border", striped((240, 236, 226), (246, 242, 232)))
    expect(bench.locator("#spoken").get_by_text("hardly shows on this cloth")).to_be_visible()
    bench.reload()
    expect(bench.locator(BORDER)).to_be_attached()
    faultless(bench)
    sound(bench)

    assert asked
    for request in asked:
        assert request.method == "GET"
        assert request.post_data_buffer is None
        assert request.url.startswith("data:") or len(request.url) < 4000
    assert "blob:" not in SECURITY_HEADERS["Content-Security-Policy"]

    bench.get_by_role("button", name="Take the border’s off").click()
    expect(bench.locator(BORDER)).not_to_be_attached()
    bench.reload()
    expect(bench.locator("#own-cloth")).to_be_visible()
    expect(bench.locator(BORDER)).not_to_be_attached()


def test_as_quilted_her_own_cloth_shows(bench: Page) -> None:
    """Half red, half white: in shade the red is red still, where the planner's picture alone is of their mean."""
    halves = np.full((400, 400, 3), (220, 20, 20), dtype=np.uint8)
    halves[:, 200:] = 255
    give(bench, "border", photo(Image.fromarray(halves)))
    expect(bench.locator(BORDER)).to_be_attached()
    bench.get_by_label("as quilted").check()
    picture = bench.locator("#run-view img.quilted")
    expect(picture).to_have_attribute("src", re.compile("own=true"))
    expect(picture).to_be_visible()
    loaded = (
        "(([one]) => one.complete && one.naturalWidth)(document.querySelectorAll('#run-view img.quilted'))"
    )
    bench.wait_for_function(loaded, timeout=120_000)
    shot = np.asarray(Image.open(BytesIO(picture.screenshot())).convert("RGB"), dtype=float)
    red = (shot[..., 0] > 2.5 * shot[..., 1]) & (shot[..., 0] > 80)
    assert 0.1 < red.mean() < 0.9
    bench.locator("[data-remove=border]").click()
    expect(picture).not_to_have_attribute("src", re.compile("own=true"))


def test_two_saved_quilts_of_one_name_have_each_their_own_cloth(bench: Page, address: str) -> None:
    give(bench, "border", striped((240, 236, 226), (246, 242, 232)))
    expect(bench.locator(BORDER)).to_be_attached()
    bench.get_by_role("button", name="Save to the shelf").click()
    expect(bench.get_by_text("Version 1 of your plan")).to_be_visible()
    expect(bench.locator(BORDER)).to_be_attached()  # what was kept by the name is the saved plan's now
    bench.goto(address)
    expect(bench.locator("#own-cloth")).to_be_visible()
    expect(bench.locator("[data-remove=border]")).to_be_hidden()
    expect(bench.locator(BORDER)).to_have_count(0)
    bench.go_back()
    expect(bench.locator(BORDER)).to_be_attached()


def test_a_file_that_is_no_picture_gets_a_plain_word(bench: Page) -> None:
    give(bench, "border", {"name": "notes.jpg", "mimeType": "image/jpeg", "buffer": b"six yards of blue"})
    expect(bench.locator("#photo-trouble")).to_contain_text("cannot read that file as a picture")
    expect(bench.locator(BORDER)).not_to_be_attached()


def test_a_large_photograph_is_scaled_down(watched: Page, address: str) -> None:
    watched.goto(address)
    give(watched, "border", photo(Image.new("RGB", (5200, 2600), "#7a2f4b")))
    expect(watched.locator(BORDER)).to_be_attached()
    size = watched.evaluate(
        """async () => { const image = new Image();
          image.src = document.querySelector('#own-border image').getAttribute('href');
          await image.decode(); return [image.naturalWidth, image.naturalHeight]; }"""
    )
    assert size == [1600, 800]


def photographed(size: tuple[int, int] = (900, 700)) -> FilePayload:
    """A top of four colours as a camera sees it from aslant. The map is solved for here, by numpy."""
    wide, high = size
    flat = [(0, 0), (1, 0), (1, 1), (0, 1)]
    rows, wanted = [], []
    for (u, v), (x, y) in zip(flat, CORNERS, strict=True):  # from the photograph to the top
        x, y = x * wide, y * high
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        wanted += [u, v]
    a, b, c, d, e, f, g, h = np.linalg.solve(np.array(rows), np.array(wanted))
    y, x = np.mgrid[0:high, 0:wide] + 0.5
    far = g * x + h * y + 1
    u, v = (a * x + b * y + c) / far, (d * x + e * y + f) / far
    seen = np.full((high, wide, 3), 255, dtype=np.uint8)
    inside = (u >= 0) & (u <= 1) & (v >= 0) & (v <= 1)
    for right, below, colour in zip((0, 1, 1, 0), (0, 0, 1, 1), QUADRANTS, strict=True):
        seen[inside & ((u >= 0.5) == bool(right)) & ((v >= 0.5) == bool(below))] = colour
    return photo(Image.fromarray(seen))


def test_four_tapped_corners_draw_the_top_out_straight(touched: Page, address: str) -> None:
    page = touched
    page.goto(address)
    expect(page.locator("#own-cloth")).to_be_visible()
    give(page, "top", photographed())
    frame = page.locator("#corners-frame")
    expect(frame).to_be_visible()
    expect(page.locator("#corners-photo")).to_have_js_property("complete", True)
    box = frame.bounding_box()
    assert box
    for x, y in CORNERS:
        page.touchscreen.tap(box["x"] + x * box["width"], box["y"] + y * box["height"])
    faultless(page)
    page.get_by_role("button", name="These are the corners").tap()
    expect(page.locator(TOP)).to_be_attached()
    page.locator("#run-view").evaluate("e => e.scrollIntoView()")
    assert share_of(page, QUADRANTS[0]) > 0.003, "the centre is not filled with the top"
    colours = page.evaluate(
        """async (places) => { const image = new Image(), canvas = document.createElement('canvas');
          image.src = document.querySelector('#own-top image').getAttribute('href');
          await image.decode();
          [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
          const brush = canvas.getContext('2d');
          brush.drawImage(image, 0, 0);
          const at = ([x, y]) => brush.getImageData(x * canvas.width, y * canvas.height, 1, 1);
          return places.map((place) => [...at(place).data]); }""",
        [[0.5 + right * NEAR, 0.5 + below * NEAR] for right, below in ((-1, -1), (1, -1), (1, 1), (-1, 1))],
    )
    for found, wanted in zip(colours, QUADRANTS, strict=True):
        assert np.abs(np.subtract(found[:3], wanted)).max() < 30, "not drawn out straight"


def test_corners_that_go_round_nothing_are_refused_and_keys_move_them(watched: Page, address: str) -> None:
    watched.goto(address)
    give(watched, "top", photographed())
    lower = watched.get_by_role("button", name="Lower right corner")
    lower.focus()
    for _ in range(140):
        watched.keyboard.press("ArrowUp")
    for _ in range(140):
        watched.keyboard.press("ArrowLeft")
    watched.get_by_role("button", name="These are the corners").click()
    expect(watched.locator("#corners-trouble")).to_contain_text("do not go round")
    watched.get_by_role("button", name="Leave it").click()
    expect(watched.locator(TOP)).not_to_be_attached()
