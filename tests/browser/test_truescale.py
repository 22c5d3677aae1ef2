"""The border at true size, measured in pixels of the screenshot against the scale that was set."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from planner.chalk.measured import measured_side
from planner.demo import demo_plan
from planner.geometry.arrays import Numbers
from planner.plan import Plan
from planner.solver import choose
from server.store.links import pack
from tests.browser.hands import faultless, sound

pytestmark = pytest.mark.browser

PER_IN = 72.5  # pixels; a screen that is none of the usual ones
CARD_MM = (85.60, 53.98)  # ISO/IEC 7810:2019, ID-1
SMALL = Plan.model_validate(
    {
        "name": "Cushion",
        "sides_in": {"top": 30, "right": 30, "bottom": 30, "left": 30},
        "border_in": {"top": 6, "right": 6, "bottom": 6, "left": 6},
        "cut_own": True,
    }
)
TOP = measured_side(choose(demo_plan()).layout, "top")


@pytest.fixture
def there(watched: Page, address: str) -> Page:
    watched.set_viewport_size({"width": 1180, "height": 1100})
    watched.goto(f"{address}/plans/{pack(demo_plan())}/truescale")
    return watched


def set_to(page: Page, per_in: float) -> None:
    page.locator("#scale").evaluate(
        "(e, to) => { e.value = to; e.dispatchEvent(new Event('input', { bubbles: true })); }", per_in
    )


def fits(page: Page) -> None:
    page.get_by_role("button", name="It fits").click()
    expect(page.locator("#view")).to_be_visible()


def projected(page: Page) -> None:
    page.get_by_label("cloth, by a projector").check()
    set_to(page, PER_IN)
    fits(page)


def only(page: Page, *kinds: str) -> None:
    """Nothing but these lines, solid and a pixel wide."""
    page.evaluate(
        """kinds => { for (const e of document.querySelectorAll('.laid > *')) {
          const shown = kinds.some((kind) => e.matches('.' + kind));
          e.style.cssText = shown ? 'stroke-width: 1px; stroke-dasharray: none' : 'visibility: hidden'; } }""",
        kinds,
    )


def pixels(page: Page, place: str) -> Numbers:
    """Lightness 0..1 of what the screen shows in one place, without what stands round it."""
    shown = Image.open(BytesIO(page.locator(place).screenshot())).convert("L")
    return np.asarray(shown, dtype=float)[4:-4, 4:-4] / 255


def lines(bright: Numbers) -> list[float]:
    """Middles of the bright runs along a row of pixels."""
    on = np.flatnonzero(bright > 0.3)
    runs = np.split(on, np.flatnonzero(np.diff(on) > 1) + 1)
    return [float(np.average(run, weights=bright[run])) + 0.5 for run in runs if len(run)]


def test_the_drawn_card_is_as_large_as_a_card(there: Page) -> None:
    set_to(there, PER_IN)
    there.locator("#card").evaluate("e => { e.style.fill = '#fff'; e.parentNode.style.background = '#000'; }")
    bright = pixels(there, "#gauge") > 0.5
    wide, high = (np.flatnonzero(bright.any(axis=axis)) for axis in (0, 1))
    assert wide.max() - wide.min() + 1 == pytest.approx(CARD_MM[0] / 25.4 * PER_IN, abs=1)
    assert high.max() - high.min() + 1 == pytest.approx(CARD_MM[1] / 25.4 * PER_IN, abs=1)


def test_an_inch_of_the_drawn_ruler_is_as_long_as_one(there: Page) -> None:
    set_to(there, PER_IN)
    inch, foot = (there.locator("#numbers tspan").nth(n).bounding_box() for n in (0, 4))
    assert inch
    assert foot
    middles = [box["x"] + box["width"] / 2 for box in (inch, foot)]
    assert middles[1] - middles[0] == pytest.approx(4 * PER_IN, abs=0.5)


def test_the_projectors_marks_stand_ten_inches_apart(there: Page) -> None:
    there.get_by_label("cloth, by a projector").check()
    set_to(there, 30)
    thrown = pixels(there, "#gauge")
    near, far = lines(thrown[thrown.shape[0] // 4])
    assert far - near == pytest.approx(10 * 30, abs=1)


def test_a_border_and_a_circle_are_as_large_as_they_are(there: Page) -> None:
    projected(there)
    only(there, "edges")
    upright = lines(pixels(there, "#field")[:, 900])
    assert upright[1] - upright[0] == pytest.approx(TOP.border * PER_IN, abs=1), "from seam to raw edge"
    only(there, "circles")
    thrown = pixels(there, "#field")
    centre = upright[1] - TOP.far_corner.centre[1] * PER_IN  # of the corner circle at her left
    left, right = lines(thrown[round(centre) - 1 : round(centre) + 2].max(axis=0))[:2]
    assert right - left == pytest.approx(2 * TOP.far_corner.radius * PER_IN, abs=1)


def test_it_moves_by_key_button_and_finger(there: Page) -> None:
    projected(there)
    only(there, "ruler")
    view = there.locator("#view")

    def at() -> float:
        return float(str(view.get_attribute("viewBox")).split()[0])

    begun, before = at(), there.locator("#where").inner_text()
    for _ in range(16):
        there.keyboard.press("ArrowRight")
    assert at() - begun == pytest.approx(2)
    there.keyboard.press("ArrowLeft")
    assert at() - begun == pytest.approx(1.875)
    there.get_by_role("button", name="On along the border").click()
    assert there.locator("#where").inner_text() != before
    box = there.locator("#field").bounding_box()
    assert box
    x, y, here = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, at()
    there.mouse.move(x, y)
    there.mouse.down()
    there.mouse.move(x + PER_IN, y, steps=4)
    there.mouse.up()
    assert here - at() == pytest.approx(1, abs=0.02)
    there.get_by_label("Side").select_option("right")
    assert at() == pytest.approx(begun)
    expect(there.locator("[data-side=right]")).to_be_visible()


def test_the_scale_is_kept_and_holds_when_the_page_is_zoomed(there: Page) -> None:
    set_to(there, PER_IN)
    fits(there)
    there.reload()
    expect(there.locator("#view")).to_be_visible()

    def holds(pixels_to_an_inch: float) -> None:
        there.wait_for_function(
            """wanted => { const view = document.getElementById('view');
              const wide = Number(view.getAttribute('viewBox').split(' ')[2]);
              return Math.abs(view.getBoundingClientRect().width / wide - wanted) < 0.01; }""",
            arg=pixels_to_an_inch,
            timeout=10_000,
        )

    holds(PER_IN)
    tools = there.context.new_cdp_session(there)
    zoomed = {"width": 590, "height": 550, "deviceScaleFactor": 2, "mobile": False}
    tools.send("Emulation.setDeviceMetricsOverride", zoomed)
    holds(PER_IN / 2)


def test_it_goes_on_when_the_network_is_gone(there: Page, address: str) -> None:
    there.goto(f"{address}/plans/{pack(SMALL)}/truescale")
    projected(there)
    expect(there.locator("[data-filled='4']")).to_be_visible()
    there.context.set_offline(True)
    for side in ("left", "bottom", "right"):
        there.get_by_label("Side").select_option(side)
        expect(there.locator(f"[data-side={side}] .fill")).to_be_visible()
    there.get_by_label("fill", exact=True).uncheck()
    expect(there.locator("[data-side=right] .fill")).not_to_be_visible()
    expect(there.locator("[data-side=right] .names")).to_be_visible()
    there.context.set_offline(False)


def test_it_fits_and_axe_finds_nothing(sized: Page, address: str) -> None:
    sized.goto(f"{address}/plans/{pack(demo_plan())}/truescale")
    for _ in range(2):
        faultless(sized)
        sound(sized)
        fits(sized)
        faultless(sized)
        sound(sized)
        sized.get_by_label("cloth, by a projector").check()


def test_without_scripts_it_says_what_it_takes(scriptless: Page, address: str) -> None:
    scriptless.goto(f"{address}/plans/{pack(demo_plan())}/truescale")
    expect(scriptless.get_by_text("that takes a browser that runs scripts")).to_be_visible()
    expect(scriptless.locator("#hand")).to_be_hidden()
