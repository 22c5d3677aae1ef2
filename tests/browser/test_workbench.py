"""The workbench as she meets it: live, without scripts, by keyboard, at three sizes."""

from __future__ import annotations

import re
from contextlib import closing

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

pytestmark = pytest.mark.browser

LEAST_TARGET_PX = 44


@pytest.fixture
def bare(scriptless: Page, address: str) -> Page:
    scriptless.goto(address, wait_until="domcontentloaded")
    return scriptless


def test_the_demo_quilt_is_drawn_at_the_first_start(sized: Page, address: str) -> None:
    sized.goto(address, wait_until="domcontentloaded")
    expect(sized.locator("h1")).to_contain_text("curls")
    expect(sized.locator("#run-view svg")).to_be_visible()
    expect(sized.locator(".way").nth(2)).to_be_attached()
    assert sized.evaluate("document.documentElement.scrollWidth <= innerWidth"), "the page scrolls sideways"


NOTHING_LANDS = "/?sides_in.top=40&sides_in.right=40&sides_in.bottom=40&sides_in.left=40&border=3.5&tin_in=3"


@pytest.mark.parametrize("path", ["/new", NOTHING_LANDS])
def test_what_is_to_be_done_stands_beside_the_form_on_a_tablet(
    watched: Page, address: str, path: str
) -> None:
    watched.set_viewport_size({"width": 820, "height": 1180})
    watched.goto(address + path, wait_until="domcontentloaded")
    form, told = (watched.locator(one).bounding_box() for one in ("#measurements", "#spoken"))
    assert form
    assert told
    assert told["x"] >= form["x"] + form["width"]
    assert told["x"] + told["width"] == pytest.approx(820, abs=1)
    assert told["y"] == pytest.approx(form["y"], abs=20)


@pytest.mark.parametrize("path", ["/", "/new", "/?sides_in.top=ninety", "/?border=3&sides_in.top=90"])
def test_axe_finds_nothing(sized: Page, address: str, path: str) -> None:
    sized.goto(address + path, wait_until="domcontentloaded")
    results = Axe().run(sized)
    assert results.violations_count == 0, results.generate_report()


def test_every_target_is_large_enough(sized: Page, address: str) -> None:
    sized.goto(address, wait_until="domcontentloaded")
    for summary in sized.locator("summary").all():
        if summary.locator("..").get_attribute("open") is None:
            summary.click()
    small = sized.evaluate(
        """least => ['a', 'button', 'select', 'summary', 'textarea', 'input:not([type=hidden])']
            .flatMap(kind => [...document.querySelectorAll(kind)])
            .filter(e => !e.closest('[aria-hidden=true]'))
            .map(e => e.closest('label.tick, .chips label') ?? e)
            .map(e => [e.id || e.textContent.trim().slice(0, 30), e.getBoundingClientRect()])
            .filter(([, box]) => box.width && Math.min(box.width, box.height) < least - 0.01)
            .map(([name, box]) => `${name}: ${box.width} x ${box.height}`)""",
        LEAST_TARGET_PX,
    )
    assert small == []


def test_a_changed_number_redraws_without_losing_the_place(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    before = watched.locator("#whole-view").inner_html()
    field = watched.get_by_label("Top", exact=True)
    field.fill("89 1/2")
    expect(watched.locator("#whole-view")).to_contain_text("89 1/2 in")
    assert watched.locator("#whole-view").inner_html() != before
    expect(field).to_be_focused()
    expect(field).to_have_value("89 1/2")
    expect(watched).to_have_url(re.compile(r"89\+1%2F2"))


def test_what_is_still_to_fill_in_shrinks_as_she_types(watched: Page, address: str) -> None:
    watched.goto(f"{address}/new", wait_until="domcontentloaded")
    for label in ("Top", "Left", "Right", "Bottom", "Border width"):
        watched.get_by_label(label, exact=True).fill("60" if label != "Border width" else "6")
    expect(watched.locator(".missing li")).to_have_text(["the tin of templates"])
    expect(watched.get_by_label("Border width", exact=True)).to_be_focused()


def test_trouble_stands_at_its_field_and_the_drawing_stays(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    field = watched.get_by_label("Border width", exact=True)
    field.fill("eight-ish")
    field.blur()
    expect(watched.locator("#trouble-border")).to_contain_text("eight-ish")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(watched.locator("#run-view")).to_be_attached()
    field.fill("8")
    expect(watched.locator("#trouble-border")).to_be_empty()
    expect(field).not_to_have_attribute("aria-invalid", "true")


def test_another_way_is_taken_by_keyboard(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    way = watched.locator("#way-2")
    title = way.locator("strong").inner_text()
    way.focus()
    watched.keyboard.press("Enter")
    expect(watched.locator("#way-2")).to_have_attribute("aria-current", "true")
    expect(watched.locator("#way-2")).to_be_focused()
    expect(watched.locator("h1")).to_contain_text(title)


@pytest.mark.parametrize("layer", ["guides", "circles", "spines"])
def test_each_layer_can_be_hidden_without_scripts(bare: Page, layer: str) -> None:
    drawn = bare.locator(f"#whole-view .layer-{layer}")
    expect(drawn).to_be_visible()
    bare.locator(f"#show-{layer}").uncheck()
    expect(drawn).to_be_hidden()


def test_the_whole_job_works_without_scripts(bare: Page) -> None:
    bare.get_by_label("Top", exact=True).fill("7' 6\"")
    bare.get_by_role("radio", name="left").check()
    bare.get_by_role("button", name="Draw the border").click()
    expect(bare.get_by_label("Top", exact=True)).to_have_value("7' 6\"")
    expect(bare.get_by_role("radio", name="left")).to_be_checked()
    way = bare.locator("#way-2")
    title = way.locator("strong").inner_text()
    way.click()
    expect(bare.locator("h1")).to_contain_text(title)


def test_what_was_typed_follows_the_units(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    watched.get_by_label("Numbers are").select_option("cm")
    expect(watched.get_by_label("Bottom", exact=True)).to_have_value("228.6 cm")
    expect(watched.locator("h1")).to_contain_text("cm")


def test_the_cloth_takes_her_colours(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    watched.get_by_label("Border", exact=True).fill("#7a1f2b")
    expect(watched.locator("#whole-view rect").first).to_have_attribute("fill", "#7a1f2b")


def test_a_fill_that_found_no_room_is_asked_for_again(browser: Browser, address: str) -> None:
    """Busy at first: the page says so, asks again a little later, and shows what came."""
    asked: list[Route] = []

    def answer(status: int) -> None:
        drawn = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>'
        asked.pop().fulfill(status=status, content_type="image/svg+xml", body=drawn)

    with closing(browser.new_page()) as page:  # the browser's own word of the refusal is no complaint here
        page.add_init_script(
            "{ const later = setTimeout; window.setTimeout = (f, ms) => later(f, ms / 10); }"
        )
        page.route("**/fill.svg?*", lambda route: asked.append(route))
        with page.expect_request("**/fill.svg?*again=1"):
            with page.expect_request("**/fill.svg?*"):
                page.goto(address, wait_until="domcontentloaded")
            answer(503)
        expect(page.locator("#note")).to_contain_text("busy with other drawings")
        answer(200)
        expect(page.locator("#note")).to_be_hidden()
