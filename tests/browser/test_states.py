"""Every page and state that the other browser tests do not come to: axe finds nothing, nothing is cut off, nothing
complains. On the tablet and on the telephone."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from itertools import pairwise

import httpx
import pytest
from playwright.sync_api import Page, expect

from planner.demo import demo_plan
from server.pages.forms import values_of
from server.store.links import pack
from tests.browser.hands import SIZES, faultless, sound

pytestmark = pytest.mark.browser

FORM = values_of(demo_plan())
POOR = httpx.QueryParams(FORM | {"tin_in": "3; 7"})  # a tin that one circle more would better
LONG = "Großmutter Šárka’s wedding quilt, the second one, with the wide border 縁取り"


@dataclass(frozen=True)
class Shelf:
    """What stands on the shelf of this test run: a plan of three versions, one of them aside; one in the bin."""

    plan: str  # its page
    binned: str  # its id


@pytest.fixture(scope="module")
def shelf(address: str) -> Shelf:
    with httpx.Client(base_url=address, timeout=90) as her:
        there = her.post("/plans", data=FORM | {"name": LONG}).headers["location"]
        plan_id = there.rsplit("/", 1)[1]
        for border in ("7", "7 1/2"):  # the second from version 1 as well: kept aside
            her.post("/plans", data=FORM | {"name": LONG, "border": border, "plan": plan_id, "version": "1"})
        her.post(f"{there}/tags", data={"tags": "gift, 2027, a rather long tag"})
        other = her.post("/plans", data=FORM | {"name": "Put away"}).headers["location"]
        her.post(f"{other}/delete")
    return Shelf(there, other.rsplit("/", 1)[1])


@pytest.fixture(scope="module")
def link(guild: str) -> str:
    """A link that a member of the guild made for others to look."""
    with httpx.Client(base_url=guild, timeout=90) as her:
        there = her.post("/plans", data=FORM | {"name": "Hedgerow"}).headers["location"]
        page = her.post(f"{there}/links", data={"may": "view"}, follow_redirects=True).text
    found = re.search(r'id="link-view-\d+"[^>]*>([^<]+)</textarea>', page)
    assert found, page
    return html.unescape(found[1])


@pytest.fixture(params=["tablet", "telephone"])
def window(request: pytest.FixtureRequest, watched: Page) -> Page:
    width, height = SIZES[request.param]
    watched.set_viewport_size({"width": width, "height": height})
    return watched


def looked_at(page: Page, heading: str) -> None:
    expect(page.locator("h1")).to_contain_text(heading)
    sound(page)
    faultless(page)


def test_the_shelf_and_its_bin(window: Page, address: str, shelf: Shelf) -> None:
    for path, heading in (
        ("/shelf", "Your shelf"),
        ("/shelf?query=nonesuch", "Your shelf"),
        ("/shelf?tag=gift", "Your shelf"),
        (f"/shelf?binned={shelf.binned}", "Your shelf"),
        ("/shelf?brought=2&already=1", "Your shelf"),
        ("/shelf?bin=1", "Bin"),
    ):
        window.goto(address + path, wait_until="domcontentloaded")
        looked_at(window, heading)


def test_an_empty_shelf_and_the_guilds_door(window: Page, guild: str) -> None:
    window.goto(f"{guild}/shelf")
    looked_at(window, "Your shelf")
    window.goto(f"{guild}/enter")
    looked_at(window, "belongs to a guild")
    window.get_by_label("Password").fill("guess")
    window.get_by_role("button", name="Come in").click()
    expect(window.get_by_text("That is not the password.")).to_be_visible()
    looked_at(window, "belongs to a guild")


def test_versions_and_two_of_them(window: Page, address: str, shelf: Shelf) -> None:
    window.goto(f"{address}{shelf.plan}?version=1", wait_until="domcontentloaded")
    expect(window.locator("#savebar")).to_contain_text("the plan is now version")
    looked_at(window, "curls")
    window.goto(f"{address}{shelf.plan}/versions")
    looked_at(window, "Versions of")
    window.get_by_role("link", name="Compare with now").last.click()
    looked_at(window, "Two versions side by side")


def test_a_conflict(window: Page, address: str) -> None:
    her = httpx.Client(base_url=address, timeout=90)
    there = her.post("/plans", data=FORM | {"name": "Two hands"}).headers["location"]
    window.goto(address + there, wait_until="domcontentloaded")
    window.get_by_label("Border width", exact=True).fill("7")
    expect(window.get_by_text("changed since")).to_be_visible()
    plan = {"plan": there.rsplit("/", 1)[1], "version": "1"}
    her.post("/plans", data=FORM | plan | {"name": "Two hands", "border": "9"})
    window.get_by_role("button", name="Save", exact=True).click()
    expect(window.get_by_role("alert")).to_contain_text("nothing is lost")
    looked_at(window, "Somebody else saved first")
    window.get_by_role("button", name="Make mine the plan").click()
    expect(window.get_by_label("Border width", exact=True)).to_have_value("7")


def test_the_smallest_telephone(watched: Page, address: str, shelf: Shelf) -> None:
    watched.set_viewport_size({"width": 320, "height": 568})
    demo = httpx.QueryParams(FORM)
    for path in ("/", "/new", "/shelf", "/words", f"{shelf.plan}/share", f"{shelf.plan}/versions",
                 f"{shelf.plan}/chalk", f"{shelf.plan}/companion", f"{shelf.plan}/drift", f"/supplies?{demo}",
                 f"/compare?{demo}", f"/circles?{POOR}&shelf=1", f"/threads?{demo}",
                 f"/playback?{demo}"):  # fmt: skip
        watched.goto(address + path)
        sound(watched)


def test_sharing(window: Page, address: str, shelf: Shelf) -> None:
    window.goto(f"{address}{shelf.plan}/share", wait_until="domcontentloaded")
    looked_at(window, LONG)
    window.get_by_label("For whom the next one is").fill("Bess")
    window.get_by_role("button", name="Make an edit link").click()
    expect(window.get_by_label("Edit link for Bess")).to_be_visible()
    looked_at(window, LONG)
    window.get_by_role("button", name="Stop this link").first.click()
    expect(window.get_by_role("status")).to_contain_text("That link has stopped")
    window.get_by_text("Stop all links").click()
    window.get_by_role("button", name="make new ones").click()
    expect(window.get_by_role("status")).to_contain_text("All earlier links have stopped")
    expect(window.get_by_label("Edit link")).to_be_visible()
    looked_at(window, LONG)


def test_a_shared_view(window: Page, guild: str, link: str) -> None:
    window.goto(link, wait_until="domcontentloaded")
    expect(window.locator("#savebar")).to_contain_text("you may look and copy, not save")
    assert "key=" not in window.url
    looked_at(window, "curls")
    window.get_by_role("link", name="Share").click()
    expect(window.get_by_text("You may look at this plan")).to_be_visible()
    looked_at(window, "Hedgerow")


def test_what_is_refused(window: Page, address: str) -> None:
    for path, heading in (
        ("/plans/nonesuch", "Nothing here"),
        ("/nowhere", "Nothing here"),
        ("/open?plan=c1.damaged", "cannot be used"),
        (f"/plans/{pack(demo_plan())}/making/pattern.pdf?paper=roll", "Making the full-size pattern"),
        ("/supplies?sides_in.top=90", "What it takes"),
        ("/playback?sides_in.top=90", "The order of stitching"),
        (
            "/?sides_in.top=40&sides_in.right=40&sides_in.bottom=40&sides_in.left=40&border=3.5&tin_in=3",
            "land",
        ),
    ):
        window.goto(address + path)
        looked_at(window, heading)


def test_which_circle_next(window: Page, address: str, shelf: Shelf) -> None:
    window.goto(f"{address}/circles?{POOR}&shelf=1", wait_until="domcontentloaded")
    expect(window.get_by_role("link", name="Add it to the tin").first).to_be_visible()
    looked_at(window, "Which circle to buy or cut next")


@pytest.mark.parametrize("by", ["fill", "corner"])
def test_side_by_side_on_the_smallest(watched: Page, address: str, by: str) -> None:
    watched.set_viewport_size({"width": 320, "height": 568})
    watched.goto(f"{address}/compare?by={by}", wait_until="domcontentloaded")
    sound(watched)
    ends = watched.locator(".swatches td").evaluate_all(
        "cells => cells.map(cell => [cell.clientWidth, cell.scrollWidth])"
    )
    assert all(inside >= wide for inside, wide in ends), "a stamp lies on the next"


def test_the_shopping_list(window: Page, address: str) -> None:
    window.goto(f"{address}/supplies/list", wait_until="domcontentloaded")
    looked_at(window, "Shopping list")


@pytest.mark.parametrize(
    "size", [(820, 1180), (390, 844), (320, 640)], ids=["upright", "telephone", "smallest"]
)
def test_no_part_of_what_it_takes_lies_on_another(watched: Page, address: str, size: tuple[int, int]) -> None:
    watched.set_viewport_size({"width": size[0], "height": size[1]})
    watched.goto(f"{address}/supplies", wait_until="domcontentloaded")
    expect(watched.locator("#stamp")).to_be_visible()
    parts = (".spoken", ".takes-most", ".takes", "#stamp", "form.ticket")
    boxes = {part: watched.locator(part).bounding_box() for part in parts}
    for above, below in pairwise(parts):
        one, other = boxes[above], boxes[below]
        assert one and other
        assert one["y"] + one["height"] <= other["y"] + 0.5, f"{above} lies on {below}"
