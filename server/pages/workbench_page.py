"""The workbench as a page: for the form's own routes, for a plan that is opened, saved or brought by a link."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from fastapi.responses import HTMLResponse

from planner.demo import demo_plan
from planner.fills.record import FillRecord
from planner.fills.scattered import parts_of
from planner.fills.styles import FILLS
from planner.kinds import Density
from planner.lengths import format_length
from planner.plan import SIDES, Fill, Plan
from server.html import render
from server.pages.cards import SORTINGS
from server.pages.forms import BASIS, LABELS, look_of_form, values_of
from server.pages.measures import units_named
from server.pages.offered import offered
from server.pages.savebar import SaveBar
from server.pages.thread_form import threads_view
from server.pages.workbench_view import View, view_of

LAYERS = {"guides": "guide lines", "circles": "circles", "spines": "spines", "fill": "fill"}


def workbench_page(
    values: Mapping[str, str], *, savebar: SaveBar | None = None, demo: bool = False, status: int = 200
) -> HTMLResponse:
    """The workbench for a form's texts; `savebar` says which saved plan they belong to."""
    view = view_of(values)
    return render(
        "workbench.html",
        status,
        savebar=savebar,
        demo=demo,
        values={**FORM_DEFAULTS, **view.reading.values},
        **table_of(view, values),
        offered=offered(),
        look=look_of_form(values),
        answered={name: text for name, text in values.items() if name.startswith(BASIS) and text},
        threads=threads_view(view.reading.values, parts_of(_fill(values), values.get("scattered", ""))),
        fill_called=_fill(values).one,
        fill_defaults=_usual(values),
    )


def _fill(values: Mapping[str, str]) -> FillRecord:
    """The fill she chose; the usual one where that is none."""
    return FILLS.get(values.get("fill.kind", "")) or FILLS[Fill().kind]


def _usual(values: Mapping[str, str]) -> dict[str, str]:
    """What the fill commonly needs, as close as she wants it, as it would be typed."""
    density: Density = next((one for one in get_args(Density) if one == values.get("fill.density")), "usual")
    units = units_named(values.get("units", ""))
    return {
        need: format_length(length, units) for need, length in _fill(values).needs.at(density).usual.items()
    }


def table_of(view: View, values: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the table needs."""
    hidden = {name for name in LAYERS if values.get("layers") and not values.get(f"show.{name}")}
    return {
        "view": view,
        "labels": LABELS,
        "layers": LAYERS,
        "hidden": hidden,
        "sortings": SORTINGS,
        "closer": "closer" in values,
        "quilted": "show.quilted" in values,
    }


FORM_DEFAULTS: dict[str, str] = {
    **values_of(Plan(sides_in=demo_plan().sides_in, border_in=demo_plan().border_in)),
    **{f"sides_in.{side}": "" for side in SIDES},
    "border": "",
}
