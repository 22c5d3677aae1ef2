"""The chalk page as she meets it: at three sizes, with its switches, by keyboard, without scripts, and printed."""

from __future__ import annotations

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from planner.demo import demo_plan
from server.store.links import pack

pytestmark = pytest.mark.browser


@pytest.fixture
def chalk(sized: Page, address: str) -> Page:
    sized.goto(f"{address}/plans/{pack(demo_plan())}/chalk")
    return sized


def test_the_page_fits_and_axe_finds_nothing(chalk: Page) -> None:
    assert chalk.evaluate("document.documentElement.scrollWidth <= innerWidth"), "the page scrolls sideways"
    results = Axe().run(chalk)
    assert results.violations_count == 0, results.generate_report()


def test_targets_are_large_enough(chalk: Page) -> None:
    small = chalk.evaluate(
        """() => ['a', 'button', 'select', 'label.tick', 'input:not([type=hidden], [type=checkbox])']
            .flatMap(kind => [...document.querySelectorAll(kind)])
            .map(e => [e.textContent.trim().slice(0, 30), e.getBoundingClientRect()])
            .filter(([name, box]) => box.width && !name.startsWith('Skip'))
            .filter(([name, box]) => Math.min(box.width, box.height) < 43.9)
            .map(([name, box]) => `${name}: ${box.width} x ${box.height}`)"""
    )
    assert small == []


def test_a_switch_is_flipped_by_keyboard_and_flips_back(chalk: Page) -> None:
    switch = chalk.get_by_role("switch", name="Left-handed")
    expect(switch).to_have_attribute("aria-checked", "false")
    switch.focus()
    chalk.keyboard.press("Space")
    expect(chalk.locator(".opening")).to_contain_text("at your right")
    switch = chalk.get_by_role("switch", name="Left-handed")
    expect(switch).to_have_attribute("aria-checked", "true")
    chalk.get_by_role("switch", name="From the middle").click()
    expect(chalk.locator(".opening")).to_contain_text("from the middle")
    chalk.get_by_role("switch", name="Left-handed").click()
    expect(chalk.get_by_role("switch", name="From the middle")).to_have_attribute("aria-checked", "true")
    expect(chalk.get_by_role("switch", name="Left-handed")).to_have_attribute("aria-checked", "false")


def test_a_refused_pattern_says_so_on_the_waiting_page(chalk: Page) -> None:
    chalk.get_by_label("Paper").select_option("roll")
    chalk.get_by_role("button", name="Full-size pattern").click()
    expect(chalk.get_by_role("alert")).to_contain_text("A roll needs its width")
    chalk.get_by_role("link", name="Back to the chalk sheet").click()
    expect(chalk.locator("h1")).to_contain_text("Harbour Lights")


def test_the_waiting_page_shows_one_line_while_it_waits(scriptless: Page, address: str) -> None:
    plan = demo_plan().model_copy(update={"name": "Not asked for before"})
    here = f"{address}/plans/{pack(plan)}"
    scriptless.goto(f"{here}/making/pattern.pdf?fill=1", wait_until="commit")
    lines = scriptless.locator(".making p")
    expect(lines.filter(visible=True)).to_have_count(1)
    expect(lines.filter(has_text="Growing the fill of the top side")).to_be_visible()
    expect(lines.filter(visible=True)).to_have_count(1)
    assert httpx.get(f"{here}/pattern.pdf?fill=1", timeout=300).is_success  # leave no fill growing behind


def test_a_reading_is_one_line_on_an_upright_tablet(watched: Page, address: str) -> None:
    watched.set_viewport_size({"width": 768, "height": 1024})
    watched.goto(f"{address}/plans/{pack(demo_plan())}/chalk")
    assert (
        watched.evaluate("Math.max(...[...document.querySelectorAll('tbody tr')].map(r => r.offsetHeight))")
        < 55
    )
    assert watched.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_print_leaves_out_what_paper_cannot_do(chalk: Page) -> None:
    chalk.emulate_media(media="print")
    for hidden in (".switches", ".take", ".selvage"):
        expect(chalk.locator(hidden)).to_be_hidden()
    expect(chalk.locator("table").first).to_be_visible()
