"""The web application: the routes, the store, and the door in front of them."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from fastapi import FastAPI, Request, Response
from fastapi.staticfiles import StaticFiles

from server.access.guard import Guard, note_requests
from server.access.rights import new_house_key
from server.api import compare as compare_api
from server.api import health, plans
from server.api import planner as api
from server.bootstrap import FILES
from server.pages import (
    companion,
    compare,
    enter,
    history,
    playback,
    saving,
    sharing,
    sheets,
    shelf,
    supplies,
)
from server.pages import workbench as pages
from server.problems import add_problem_handlers
from server.settings import Settings
from server.store.versions import Store
from server.workers import Workers

SECURITY_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


def create_app(settings: Settings, store: Store | None = None) -> FastAPI:
    """The planner as an ASGI application; without a store it opens the one in the settings when needed."""
    app = FastAPI(
        title="Cornerwise",
        summary="Curled quilt borders that come out right at the middle.",
        version="1",
        docs_url=None,
        redoc_url=None,
    )
    app.state.settings = settings
    app.state.store = store
    app.state.house_key = new_house_key()
    app.state.workers = Workers()
    parts = (
        api,
        pages,
        plans,
        shelf,
        saving,
        history,
        sharing,
        sheets,
        companion,
        playback,
        compare,
        compare_api,
        supplies,
        enter,
        health,
    )
    for part in parts:
        app.include_router(part.router)
    app.state.routes = [route for part in parts for route in part.router.routes]
    app.mount("/static", StaticFiles(directory=FILES / "static"), name="static")
    app.add_middleware(Guard, settings=settings)
    app.middleware("http")(add_security_headers)
    add_problem_handlers(app)
    plans.add_conflict_handler(app)
    return app


def guild_app() -> FastAPI:
    """The application as a guild's server starts it: `uvicorn --factory server.app:guild_app`.

    Settings come from the environment. Raises StorageTrouble at once when the plans cannot be reached.
    """
    settings = Settings(guild=True)
    note_requests()
    return create_app(settings, Store(settings.store_url))


async def add_security_headers(
    request: Request, call_next: Callable[[Request], Awaitable[Response]]
) -> Response:
    response = await call_next(request)
    for header, value in SECURITY_HEADERS.items():
        response.headers.setdefault(header, value)
    return response
