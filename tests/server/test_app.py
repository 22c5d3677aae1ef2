"""What holds for every route of the pages."""

from __future__ import annotations

from typing import Any

from fastapi.routing import APIRoute

from planner.demo import demo_plan
from server.pages.forms import values_of
from server.store.planfile import write_plan_file
from server.store.versions import Saved
from tests.server.attack import PAGE, Guild
from tests.server.samples import a_plan, renamed

FORMS: dict[str, dict[str, Any]] = {  # what a page sends there
    "/plans": {"data": values_of(demo_plan())},
    "/shelf/bring": {"files": {"file": ("plan.json", write_plan_file(a_plan("Brought")))}},
    "/plans/{plan_id}/restore": {"data": {"version": "1"}},
    "/plans/{plan_id}/links": {"data": {"may": "view"}},
    "/plans/{plan_id}/links/stop": {"data": {"link": "0" * 64}},
    "/plans/{plan_id}/tags": {"data": {"tags": "gift"}},
    "/plans/{plan_id}/drift": {"data": {"side": "top", "curl": "2", "by": "1/16"}},
    "/enter": {"data": {"password": ""}},
    "/name": {"data": {"name": "Ada"}},
}


def aside(guild: Guild, saved: Saved) -> dict[str, Any]:
    """A form that is saved second."""
    guild.store.save(saved.id, renamed(saved.plan, "His"), saved.head)
    return {"data": values_of(demo_plan()) | {"plan": saved.id, "version": str(saved.head)}}


def test_to_load_an_answer_again_does_nothing_again(guild: Guild) -> None:
    """Whatever a page sends to be done is answered by the way to another page: that one is loaded again."""
    posts = {
        route.path
        for route in guild.app.state.routes
        if isinstance(route, APIRoute) and "POST" in route.methods and not route.path.startswith("/api/")
    }
    assert len(posts) >= len(FORMS)
    for path in sorted(posts):
        saved = guild.store.create(demo_plan())
        own = {"Plan-Key": str(saved.own_key), **PAGE}
        sent = [FORMS.get(path, {})] + ([aside(guild, saved)] if path == "/plans" else [])
        for form in sent:
            answer = guild.send("POST", path.replace("{plan_id}", saved.id), headers=own, **form)
            assert answer.status_code == 303, (path, answer.status_code, answer.text[:300])
            before = guild.all_rows()
            cookies = "; ".join(line.split(";")[0] for line in answer.headers.get_list("set-cookie"))
            there = guild.send("GET", answer.headers["location"], headers=own | {"Cookie": cookies})
            assert there.status_code in (200, 303), (path, there.text[:300])
            assert guild.all_rows() == before, path
        if path in ("/plans", "/enter", "/plans/{plan_id}/drift", "/plans/{plan_id}/links"):
            before = guild.all_rows()  # what cannot be done is told on the spot, and changed nothing
            wrong = {
                "data": {"border": "wide", "password": "x", "curl": "x", "may": "x", "side": "top", "by": "1"}
            }
            answer = guild.send("POST", path.replace("{plan_id}", saved.id), headers=own, **wrong)
            assert answer.status_code in (403, 422), (path, answer.status_code)
            assert guild.all_rows() == before
