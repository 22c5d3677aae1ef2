"""The border as quilted: every line in the thread that stitches it, once, and a thread judged on its cloth."""

from __future__ import annotations

import re

from planner.demo import demo_plan
from planner.fills import fill
from planner.pictures.colour import contrast, showing
from planner.pictures.picture import whole_quilt
from planner.pictures.quilted import quilted
from planner.solver import choose
from planner.stitching.order import path_of
from planner.threads import Thread
from tests.contact_sheet import plan_of


def test_each_thread_lies_in_its_colour_and_no_line_is_lost() -> None:
    layout = choose(demo_plan()).layout
    found = fill(layout)
    one = quilted(layout, found, whole_quilt(layout), title="one")
    threads = Thread(colours=("#112233",)), Thread(colours=("#445566",))
    plan = layout.plan.model_copy(
        update={"threads": threads, "stitched_with": {"teardrops": 1, "corners": 1}}
    )
    two = quilted(choose(plan).layout, found, whole_quilt(layout), title="two")
    assert f'stroke="{layout.plan.look.thread}"' in one
    groups = dict(re.findall(r'<g stroke="(#\w+)"><defs>(.*?)</defs>', two))
    assert set(groups) == {"#112233", "#445566"}
    assert 'class="teardrop"' in groups["#445566"] and 'class="teardrop"' not in groups["#112233"]
    assert 'href="#spines" stroke="#112233"' in two


def test_a_variegated_thread_keeps_the_picture_small() -> None:
    """Every line stands in it once, whatever is drawn with it: cloth, hollow and thread."""
    plan = plan_of("flowers", 6, "butted", 90, 108, None)
    varied = Thread(colours=("#2f6b43", "#8fb56a", "#e8d9a0"), repeat_in=5)
    look = {"threads": (Thread(colours=("#6a4a34",)), varied), "stitched_with": {"main": 1}}
    layout = choose(plan.model_copy(update=look)).layout
    found = fill(layout)
    shown = quilted(layout, found, whole_quilt(layout), title="two", path=path_of(layout, found))
    assert len(shown) <= 400_000
    assert shown.count('href="#way0"') == 1, "drawn by itself already"
    assert 'id="cell' not in shown, "no line is told twice"


def test_thread_is_judged_on_its_cloth() -> None:
    """Contrast as WCAG 2.2 defines it: of #777777 on white 4.48 to 1, just short of what text needs."""
    assert round(contrast("#777777", "#ffffff"), 2) == 4.48
    assert showing("#777777", "#ffffff") == "clearly"
    assert showing("#ffffff", "#ffffff") == "hardly"
    assert showing("#d0c8b8", "#ffffff") == "softly"
