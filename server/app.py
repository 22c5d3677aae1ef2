"""The web application: the routes, the store, and the door in front of them."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request, Response
from fastapi.staticfiles import StaticFiles
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from server.access.guard import Guard, note_requests
from server.access.rights import new_house_key
from server.api import compare as compare_api
from server.api import health, plans
from server.api import planner as api
from server.bootstrap import FILES
from server.kept import Kept
from server.memory import few_arenas
from server.pages import (
    circles,
    companion,
    compare,
    drift,
    enter,
    explained,
    history,
    playback,
    saving,
    sharing,
    sheets,
    shelf,
    starts,
    supplies,
    truescale,
)
from server.pages import workbench as pages
from server.problems import add_problem_handlers
from server.settings import Settings
from server.store.shared import Shared
from server.store.versions import Store
from server.worker import warm
from server.workers import Gone, Workers

SECURITY_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


def create_app(
    settings: Settings, store: Store | None = None, names: frozenset[str] = frozenset()
) -> FastAPI:
    """The planner as an ASGI application; without a store it opens the one in the settings when needed.

    names: what it is called beside the names of this machine's loopback.
    """
    app = FastAPI(
        title="Cornerwise",
        summary="Curled quilt borders that come out right at the middle.",
        version="1",
        docs_url=None,
        redoc_url=None,
        lifespan=_serving,
    )
    app.state.settings = settings
    app.state.store = store
    app.state.house_key = new_house_key()
    app.state.shared = Shared.of(settings, store)
    app.state.workers = Workers(settings, Kept(settings.kept_bytes, app.state.shared))
    app.state.solving = 0  # plans that are being solved in this process
    parts = (
        api,
        pages,
        plans,
        shelf,
        saving,
        history,
        sharing,
        sheets,
        circles,
        companion,
        drift,
        truescale,
        playback,
        compare,
        compare_api,
        starts,
        supplies,
        enter,
        explained,
        health,
    )
    for part in parts:
        app.include_router(part.router)
    app.state.routes = [route for part in parts for route in part.router.routes]
    app.mount("/static", StaticFiles(directory=FILES / "static"), name="static")
    app.add_middleware(Guard, settings=settings, names=names, shared=app.state.shared)
    app.add_middleware(SecurityHeaders)
    add_problem_handlers(app)
    app.exception_handler(Gone)(_nobody_waits)
    plans.add_conflict_handler(app)
    return app


@asynccontextmanager
async def _serving(app: FastAPI) -> AsyncIterator[None]:
    """While it is served: few heaps; workers are warm before the first request, and end with the last."""
    few_arenas()
    warm()
    settings, shared = app.state.settings, app.state.shared
    if shared and not settings.guild:
        shared.invite(app.state.house_key)
    try:
        yield
    finally:
        app.state.workers.close()
        if shared and not settings.guild:
            shared.uninvite(app.state.house_key)
        if app.state.store:
            app.state.store.close()


async def _nobody_waits(request: Request, gone: Exception) -> Response:
    return Response(status_code=204)


def guild_app() -> FastAPI:
    """The application as a guild's server starts it: `uvicorn --factory server.app:guild_app`.

    Settings come from the environment. Raises StorageTrouble at once when the plans cannot be reached.
    """
    settings = Settings(guild=True)
    note_requests()
    return create_app(settings, Store.of(settings))


class SecurityHeaders:
    """Every answer says what a browser may do with it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for header, value in SECURITY_HEADERS.items():
                    headers.setdefault(header, value)
            await send(message)

        await self.app(scope, receive, with_headers if scope["type"] == "http" else send)
