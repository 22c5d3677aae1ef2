"""Threads on the workbench: by touch, by keys, and without scripts; axe at both sizes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from io import BytesIO
from urllib.parse import urlencode

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from planner.demo import demo_plan
from planner.fills import fill
from planner.pictures.picture import filled, picture, whole_quilt
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.supplies.basis import DEFAULTS
from server.pages.address import query_of
from tests.browser.hands import SIZES, Finger, Keys, Watch, faultless, sound
from tests.planner.landed import example

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
    reach(page.locator("#threads > summary"))
    reach(page.get_by_role("button", name="A second thread"))
    expect(page.get_by_label("Thread 2, colour")).to_be_visible()
    reach(page.locator('button[value="colour.1"]'))
    expect(page.get_by_label("Thread 2, colour 2")).to_be_visible()
    expect(page.get_by_label("Thread until the colours come again", exact=True)).to_have_value("5 in")
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


def test_a_starting_point_in_one_tap_and_its_starts_told(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport={"width": 1180, "height": 820}, has_touch=True)
    page = context.new_page()
    watch = Watch(page, address)
    page.set_default_timeout(90_000)
    small = {f"sides_in.{side}": "40" for side in ("top", "right", "bottom", "left")}
    form = query_of(demo_plan()) | small | {"choice": "", "fill.kind": "flowers"}
    page.goto(address + "/?" + urlencode(form), wait_until="domcontentloaded")
    hand = Finger(page)
    hand.reach(page.locator("#threads > summary"))
    hand.reach(page.locator('button[value="begin.garden"]'))
    expect(page.get_by_label("Eyes of the flowers").locator("option:checked")).to_have_text("gold")
    told = page.locator("#told-starts")
    expect(told).to_contain_text("starts", timeout=90_000)
    sound(page)
    faultless(page)
    hand.reach(told.locator("a").first)
    expect(page.locator("#threads")).to_be_visible()
    context.close()
    assert watch.complaints == []


def test_the_play_back_shows_threads_and_keeps_her_place(watched: Page, address: str) -> None:
    small = {f"sides_in.{side}": "40" for side in ("top", "right", "bottom", "left")}
    form = (
        query_of(demo_plan()) | small | {"choice": "", "fill.kind": "needles", "stitched_with.accents": "1"}
    )
    form |= {"threads.0.name": "Pine", "threads.0.colours.0": "#1f5a34", "threads.0.colours.1": "#8fbf6a"}
    form |= {"threads.0.repeat_in": "5 in", "threads.1.name": "Bark", "threads.1.colours.0": "#7a4a2a"}
    watched.goto(f"{address}/playback?{urlencode(form)}")
    expect(watched.locator("#ribbon rect")).to_have_count(2)
    expect(watched.locator("#stage")).to_contain_text("Pine")
    watched.locator("#reel").evaluate(
        "reel => { reel.value = reel.max * 0.98; reel.dispatchEvent(new Event('input')); }"
    )
    expect(watched.locator("#stage")).to_contain_text("Bark")
    place = watched.locator("#done").text_content()
    watched.reload()
    expect(watched.locator("#done")).to_have_text(place or "")
    expect(watched.locator(".by-number h3")).to_have_count(2)
    sound(watched)
    faultless(watched)


@pytest.mark.parametrize("size", ["tablet", "telephone"])
def test_every_field_of_threads_at_both_sizes(watched: Page, address: str, size: str) -> None:
    width, height = SIZES[size]
    watched.set_viewport_size({"width": width, "height": height})
    watched.goto(address + FRAME, wait_until="domcontentloaded")
    for name in ("threads.0.repeat_in", "working.reach_in"):
        expect(watched.locator(f'[name="{name}"]')).to_have_attribute("aria-invalid", "true")
    sound(watched)
    faultless(watched)


EACH = 1 + DEFAULTS.thickness_in * DEFAULTS.stitches_per_inch  # of the needle's thread in an inch of seam
VARIEGATED = ("#d02020", "#20a020", "#2040e0")


@pytest.mark.parametrize("kind", ["needles", "leaves"])
def test_a_variegated_thread_falls_as_it_is_used(page: Page, kind: str) -> None:
    """Of the pixels under the needle's way nearly all have the colour that has come off the spool by then."""
    bare = example(4, fill=Fill(kind=kind))
    threads = [{"colours": VARIEGATED, "repeat_in": 5.0}]
    layout = replace(bare, plan=Plan.model_validate(bare.plan.model_dump() | {"threads": threads}))
    found = fill(layout)
    path = path_of(layout, found)
    scale, window = 50, whole_quilt(layout)
    svg = picture(layout, window, title="", fill=filled(found, layout, path))
    page.set_viewport_size({"width": 1200, "height": 900})
    page.set_content(
        f"<style>body{{margin:0}} svg{{width:{window.width_in * scale}px}} .weave{{display:none}}"
        ".layer-guides,.layer-circles,.layer-spines{display:none}</style>" + svg
    )
    clip = {"x": 0, "y": 0, "width": window.width_in * scale, "height": 14 * scale}
    shot = Image.open(BytesIO(page.screenshot(clip=clip, full_page=True))).convert("RGB")  # type: ignore[arg-type]
    over: dict[int, list[tuple[float, ...]]] = defaultdict(list)
    for move in path.segments:
        if move.again:
            over[id(move.strand)].append(tuple(sorted(move.places)))
    right = wrong = 0
    used, line = 0.0, -1
    for move in path.segments:
        if move.line != line:
            line, used = move.line, used + 2 * 6.0  # a tail of 6 in at either end of a thread
        middle = sum(move.places) / 2
        gone = abs(move.strand.along(middle) - move.span[0])
        (x, y), at = move.strand.point(middle), (used + EACH * gone) % 5.0 / 5.0
        used += EACH * move.length
        place = [round((v - o) * scale) for v, o in ((x, window.x_in), (y, window.y_in))]
        if (
            move.kind != "fill"
            or move.length < 1
            or abs(at * 6 - round(at * 6)) < 0.1
            or place[1] >= clip["height"]
        ):
            continue  # among other lines, near a change, or out of the picture
        if any(a <= middle <= b for a, b in over[id(move.strand)]):
            continue  # the needle comes again, with another colour
        n = int(at * 6)
        one, other = (tuple(bytes.fromhex(VARIEGATED[(n + m) // 2 % 3][1:])) for m in (0, 1))
        wanted = [(a + b) / 2 for a, b in zip(one, other, strict=True)]
        seen = shot.getpixel((place[0], place[1]))
        near = max(abs(a - b) for a, b in zip(wanted, seen, strict=True)) < 40  # type: ignore[arg-type]
        right, wrong = right + near, wrong + (not near)
    assert right > 300
    assert wrong < 0.1 * right, (right, wrong)  # where lines touch or cross the last colour lies on top
