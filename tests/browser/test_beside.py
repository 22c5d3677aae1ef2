"""Side by side and what it takes, as she meets them: without scripts, on a tablet, on paper."""

from __future__ import annotations

import io

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from pypdf import PdfReader

pytestmark = pytest.mark.browser

NINE = (
    "/compare?sides_in.top=60&sides_in.right=72&sides_in.bottom=60&sides_in.left=72&border=8"
    "&tin_in=2;2.5;3;3.5;4;5;6;6.5&name=Nine&widths=5;5.5;6;6.5;7;7.5;8;9;20&keep=outer"
)
FEW = NINE.replace("5;5.5;6;6.5;7;7.5;8;9;20", "6;8")


@pytest.mark.parametrize("path", [FEW, "/compare?widths=eight", "/supplies", "/supplies?basis.waste=x"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(sized: Page, address: str, path: str) -> None:
    sized.goto(address + path, wait_until="domcontentloaded")
    results = Axe().run(sized)
    assert results.violations_count == 0, results.generate_report()
    assert sized.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_nine_stand_on_a_tablet_to_one_scale(scriptless: Page, address: str) -> None:
    scriptless.goto(address + NINE, wait_until="domcontentloaded")
    swatches = scriptless.locator(".swatch")
    expect(swatches).to_have_count(8)
    expect(scriptless.get_by_text("Does not work")).to_have_count(1)
    boxes = [one.bounding_box() for one in swatches.all()]
    sizes = {(round(box["width"]), round(box["height"])) for box in boxes if box}
    assert len(sizes) == 1
    last = scriptless.locator(".take a").last.bounding_box()
    assert last is not None
    assert last["x"] + last["width"] <= 1180
    assert last["y"] + last["height"] <= 820


@pytest.mark.parametrize(("width", "height"), [(1024, 768), (768, 1024)])
def test_five_widths_fit_a_ten_inch_tablet(watched: Page, address: str, width: int, height: int) -> None:
    watched.set_viewport_size({"width": width, "height": height})
    watched.goto(f"{address}/compare?widths=6;7;8;9;10")
    assert watched.evaluate("(e => e.scrollWidth <= e.clientWidth)(document.querySelector('.hung'))")
    field, button = watched.locator("#keep"), watched.get_by_role("button", name="Compare")
    places = [one.bounding_box() for one in (field, button)]
    assert places[0] and places[1]
    assert abs(sum(places[0][k] for k in ("y", "height")) - sum(places[1][k] for k in ("y", "height"))) < 6
    assert "5\u00a07/8\u00a0in" in (watched.locator(".columns").text_content() or "")


def test_starts_are_counted_as_soon_as_the_table_stands(watched: Page, address: str) -> None:
    """With scripts by themselves; what is counted is what the page counts without scripts."""
    asked = f"{address}{FEW}&working.way=border_by_border"
    watched.goto(asked)
    starts = watched.locator(".columns tr").filter(has_text="Starts")
    expect(starts).to_have_count(1, timeout=60_000)
    told = starts.inner_text()
    watched.goto(f"{asked}&counted=on")
    expect(starts).to_have_text(told, use_inner_text=True)
    expect(watched.locator("#count-each")).to_have_count(0)


def test_questions_of_an_upright_tablet_stand_two_abreast(watched: Page, address: str) -> None:
    watched.set_viewport_size({"width": 768, "height": 1024})
    watched.goto(f"{address}/supplies")
    first, second = (watched.locator(".questions .field").nth(n).bounding_box() for n in (0, 1))
    assert first and second
    assert first["y"] == second["y"]


def test_it_prints_on_one_landscape_sheet(watched: Page, address: str) -> None:
    for path in (NINE, FEW):
        watched.goto(address + path)
        pages = PdfReader(io.BytesIO(watched.pdf(prefer_css_page_size=True))).pages
        assert len(pages) == 1
        assert pages[0].mediabox.width > pages[0].mediabox.height


def test_one_click_takes_one_as_the_plan(scriptless: Page, address: str) -> None:
    scriptless.goto(address + FEW, wait_until="domcontentloaded")
    scriptless.get_by_role("link", name="Take 6 in as the plan").click()
    expect(scriptless.locator("#border")).to_have_value("6 in")
    expect(scriptless.locator("h1")).to_contain_text("curls")


def test_the_best_are_marked_by_words_too(scriptless: Page, address: str) -> None:
    scriptless.goto(address + FEW, wait_until="domcontentloaded")
    for cell in scriptless.locator(".best").all():
        assert cell.locator("em").inner_text().strip()


def test_there_and_back_from_the_workbench(scriptless: Page, address: str) -> None:
    scriptless.goto(address, wait_until="domcontentloaded")
    name = scriptless.locator("#name").input_value()
    scriptless.get_by_role("button", name="What it takes").click()
    expect(scriptless.locator("h1")).to_contain_text(name)
    scriptless.get_by_role("link", name="Back to the plan").click()
    expect(scriptless.locator("#name")).to_have_value(name)
    scriptless.get_by_role("button", name="Widths side by side").click()
    expect(scriptless.locator("h1")).to_contain_text(name)


def test_a_figure_is_changed_without_scripts(scriptless: Page, address: str) -> None:
    scriptless.goto(address + "/supplies")
    before = scriptless.locator(".takes-most").inner_text()
    scriptless.get_by_label("Stitches an inch").fill("14")
    scriptless.get_by_role("button", name="Reckon again").click()
    assert scriptless.locator(".takes-most").inner_text() != before
    expect(scriptless.get_by_label("Stitches an inch")).to_have_value("14")


def test_the_list_prints_on_one_sheet(watched: Page, address: str) -> None:
    watched.goto(address + "/supplies/list")
    assert len(PdfReader(io.BytesIO(watched.pdf(format="Letter"))).pages) == 1
