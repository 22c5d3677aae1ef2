"""Contact sheets: corners and middles of fills side by side, to be judged by eye; faults and figures beside them.

    .venv/bin/python -m tests.contact_sheet OUT.png --kinds feathers,leaves --widths 6,8 --styles butted,wreath

Styles are meetings of a mirrored border, turning, easy_going. The quilt is invented: 90 by 108 in, or --quilt.
With --threads brown_cones,red_berries each kind is shown as quilted, in the starting point of threads named for it.
"""

from __future__ import annotations

import argparse
import subprocess
import tempfile
import time
from base64 import b64encode
from collections import Counter
from dataclasses import replace
from itertools import zip_longest
from pathlib import Path

from planner.border.layout import Layout, place
from planner.errors import PlanError
from planner.fills import fill
from planner.fills.shape import FillOfLayout
from planner.geometry.svg import svg_path
from planner.pictures.picture import Window
from planner.pictures.quilted import quilted
from planner.plan import SIDES, Plan
from planner.solver import propose
from planner.stitching.order import path_of
from planner.threads import STARTING_POINTS
from tests.outside.fill_judge import judge

_PX_PER_IN = 46


def plan_of(
    kind: str,
    width: float,
    style: str,
    across: float,
    down: float,
    room: float | None,
    motif: str = "own",
    background: str = "none",
    scattered: str = "none",
) -> Plan:
    """An invented quilt with all four borders alike."""
    return Plan.model_validate(
        {
            "sides_in": {side: (across if side in ("top", "bottom") else down) - 2 * width for side in SIDES},
            "border_in": dict.fromkeys(SIDES, width),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": style if style in ("turning", "easy_going") else "mirrored",
            "meeting": "any" if style in ("turning", "easy_going") else style,
            "corner_motif": motif,
            "background": background,
            "scattered": scattered,
            "fill": {"kind": kind, **({"room_in": room} if room else {})},
        }
    )


def faults(layout: Layout, found: FillOfLayout) -> str:
    """What the judge says, in a line; round shapes and beads among it."""
    judged = judge(layout, found)
    names = ("spine_crossings", "crossings", "outside", "thin", "in_the_air")
    counts = [f"{name} {len(getattr(judged, name))}" for name in names if getattr(judged, name)]
    kinds = Counter(s.kind for copy in found.copies for s in found.cells[copy.cell].shapes)
    total = sum(kinds.values())
    hole = f"hole {judged.hole / layout.room:.2f} room at {judged.hole_at}"
    return f"{', '.join(counts) or 'sound'}; {hole}; {total} shapes; {dict(kinds)}"


def drawing(layout: Layout, found: FillOfLayout, name: str) -> str:
    spine = "".join(svg_path([part.piece.curve]) for part in layout.spines)
    return (
        f'<svg width="0" height="0"><defs>{found.svg_defs(name)}<g id="{name}">'
        f'<g class="fill">{found.svg_uses(name)}</g><path class="spine" d="{spine}"/></g></defs></svg>'
    )


def windows(layout: Layout, name: str, title: str) -> str:
    border, quilt = layout.plan.border_in, layout.quilt
    corner = 2.1 * border.top
    middle = 2.6 * border.top
    views = ((0, 0, corner, corner * 0.86), (quilt.width / 2 - middle / 2, 0, middle, border.top + 0.2))
    return "".join(
        f'<figure><figcaption>{title}</figcaption><svg class="view" viewBox="{x} {y} {w} {h}" '
        f'width="{w * _PX_PER_IN:.0f}" height="{h * _PX_PER_IN:.0f}"><rect class="cloth" width="{quilt.width}" '
        f'height="{quilt.height}"/><rect class="cloth" x="{border.left}" y="{border.top}" '
        f'width="{quilt.width - border.left - border.right}" '
        f'height="{quilt.height - border.top - border.bottom}"/><use href="#{name}"/></svg></figure>'
        for x, y, w, h in views
    )


def as_quilted(layout: Layout, found: FillOfLayout, title: str, key: str) -> str:
    """The corner and the run from it in thread on light cloth."""
    begin = next(one for one in STARTING_POINTS if one.key == key)
    more: dict[str, object] = {
        "threads": begin.threads,
        "stitched_with": begin.stitched_with,
        "travels": begin.travels,
    }
    more["look"] = {"cloth": "#e6dcc6", "border": "#f1e9d8"}
    layout = replace(layout, plan=Plan.model_validate(layout.plan.model_dump() | more))
    path = path_of(layout, found)
    border = layout.plan.border_in.top
    window = Window(0.0, 0.0, 4.7 * border, 1.8 * border)
    drawn = b64encode(quilted(layout, found, window, title=title, path=path).encode()).decode()
    return (
        f"<figure><figcaption>{title}, {begin.name}: {path.starts} starts</figcaption>"
        f'<img src="data:image/svg+xml;base64,{drawn}" width="{window.width_in * _PX_PER_IN:.0f}"></figure>'
    )


STYLE = """
body { margin: 8px; font: 13px sans-serif; display: flex; flex-wrap: wrap; gap: 6px; width: max-content; }
div.row { display: flex; gap: 6px; width: 100%; } figure { margin: 0; }
.view { border: 1px solid #ccc; } .cloth { fill: none; stroke: #bbb; stroke-width: .02; }
path { fill: none; stroke: #222; stroke-width: 18; stroke-linecap: round; }
.spine { stroke: #000; stroke-width: .032; }
"""


def png(html: str, out: Path, size: tuple[int, int]) -> None:
    """A page as Debian's browser shows it."""
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder, "sheet.html")
        page.write_text(f"<!doctype html><meta charset=utf-8><style>{STYLE}</style>{html}")
        flags = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-sync",
        ]
        flags += ["--disable-background-networking", "--disable-component-update", "--hide-scrollbars"]
        flags += [f"--user-data-dir={folder}/user", f"--screenshot={out.resolve()}"]
        size_flag = f"--window-size={size[0]},{size[1]}"
        subprocess.run(["chromium", *flags, size_flag, page.as_uri()], check=True, capture_output=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("out", type=Path)
    parser.add_argument("--kinds", default="feathers,leaves,needles,flowers,echo")
    parser.add_argument("--widths", default="6")
    parser.add_argument("--styles", default="butted")
    parser.add_argument("--quilt", default="90x108")
    parser.add_argument("--room", type=float)
    parser.add_argument("--motif", default="own", help="what stands in the corners")
    parser.add_argument("--background", default="none", help="what lies behind the fill")
    parser.add_argument("--scattered", default="none", help="what stands among it every here and there")
    parser.add_argument("--pick", type=int, default=0, help="which proposal, from 0")
    parser.add_argument("--threads", help="a starting point for each kind: shown as quilted")
    parser.add_argument("--judge", action="store_true", help="print what the judge finds")
    told = parser.parse_args()
    across, down = map(float, told.quilt.split("x"))
    rows: list[str] = []
    wide = high = 0.0
    keys = (told.threads or "").split(",")
    for kind, key in zip_longest(told.kinds.split(","), keys, fillvalue=""):
        for width in map(float, told.widths.split(",")):
            for style in told.styles.split(","):
                title = f"{kind} {width:g} {style}"
                try:
                    plan = plan_of(
                        kind,
                        width,
                        style,
                        across,
                        down,
                        told.room,
                        told.motif,
                        told.background,
                        told.scattered,
                    )
                    found = propose(plan).proposals
                except PlanError as error:
                    print(title, error)
                    continue
                if not found:
                    print(title, "nothing lands")
                    continue
                layout = place(plan, found[min(told.pick, len(found) - 1)].choice)
                began = time.process_time()
                grown = fill(layout)
                took = time.process_time() - began
                size = len(grown.svg_defs()) + len(grown.svg_uses())
                said = f"{title}: {took:.2f} s, {size / 1000:.0f} KB"
                print(said, faults(layout, grown) if told.judge else "", flush=True)
                name = f"f{len(rows)}"
                shown = drawing(layout, grown, name) + windows(layout, name, said)
                if key:
                    shown = as_quilted(layout, grown, title, key)
                rows.append(f'<div class="row">{shown}</div>')
                wide = max(wide, 4.7 * width * _PX_PER_IN + 40)
                high += max(2.1 * 0.86 * width, width + 0.2) * _PX_PER_IN + 32
    if rows:
        png("".join(rows), told.out, (int(wide), int(high) + 20))


if __name__ == "__main__":
    main()
