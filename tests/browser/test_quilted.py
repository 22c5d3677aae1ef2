"""The border as quilted, as a browser paints it: cloth falls into the furrows, lit from the upper left."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from planner.demo import demo_plan
from planner.solver import choose

pytestmark = pytest.mark.browser


def test_it_is_one_tap_away_and_not_printed(watched: Page, address: str) -> None:
    watched.goto(address, wait_until="domcontentloaded")
    shown = watched.locator("#run-view img.quilted")
    expect(shown).to_be_hidden()
    watched.get_by_label("as quilted").check()
    expect(shown).to_be_visible()
    expect(watched.locator("#quilted-said")).to_contain_text("shows clearly")
    assert "show.quilted=on" in watched.url
    watched.emulate_media(media="print")
    expect(shown).to_be_hidden()
    watched.emulate_media(media="screen", contrast="more")
    expect(shown).to_be_hidden()


def test_a_picture_to_send(watched: Page, address: str) -> None:
    """What is downloaded is a PNG in relief: beside a curl's line, what faces the light is lighter than cloth."""
    watched.goto(address, wait_until="domcontentloaded")
    watched.get_by_label("as quilted").check()
    with watched.expect_download() as waiting:
        watched.get_by_role("link", name="Picture of this side").click()
    assert waiting.value.suggested_filename.endswith("top border.png")
    picture = Image.open(BytesIO(Path(waiting.value.path()).read_bytes()))
    assert (picture.format, picture.width) == ("PNG", 3200)
    grey = np.asarray(picture.convert("L"), dtype=float)
    layout = choose(demo_plan()).layout
    corner = layout.corners[0]
    wide = layout.quilt.width / 2 + layout.quilt.border("top") * 0.75 + 1.5
    scale = picture.width / wide

    def light(angle: float, off_in: float) -> float:
        x, y = (
            corner.centre[k] + (corner.radius + off_in) * v
            for k, v in enumerate((np.cos(angle), np.sin(angle)))
        )
        return float(grey[int((y + 1.5) * scale), int((x + 1.5) * scale)])

    facing = np.radians(
        np.linspace(190, 260, 141)
    )  # upper left of the circle: from the line inwards cloth rises
    inside, outside = (np.mean([light(a, off) for a in facing]) for off in (-0.05, 0.05))
    assert inside > outside + 10
