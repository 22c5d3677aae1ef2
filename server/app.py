"""The web application: routes, security headers, the limit on bodies."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from fastapi import FastAPI, Request, Response
from fastapi.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from server.bootstrap import ROOT
from server.problems import Trouble, add_problem_handlers, problem_response
from server.settings import Settings

SECURITY_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


def create_app(settings: Settings) -> FastAPI:
    """The planner as an ASGI application."""
    app = FastAPI(
        title="Cornerwise",
        summary="Curled quilt borders that come out right at the middle.",
        version="1",
        docs_url=None,
        redoc_url=None,
    )
    app.state.settings = settings
    app.mount("/static", StaticFiles(directory=ROOT / "static"), name="static")
    app.add_middleware(BodyLimit, largest=settings.largest_body_bytes)
    app.middleware("http")(add_security_headers)
    add_problem_handlers(app)
    return app


async def add_security_headers(
    request: Request, call_next: Callable[[Request], Awaitable[Response]]
) -> Response:
    response = await call_next(request)
    for header, value in SECURITY_HEADERS.items():
        response.headers.setdefault(header, value)
    return response


class BodyLimit:
    """Refuses a body over ``largest`` bytes, whether it says its length or not, before it is parsed."""

    def __init__(self, app: ASGIApp, largest: int) -> None:
        self.app = app
        self.largest = largest

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        body, whole = b"", scope["method"] in {"GET", "HEAD"}
        while not whole:
            message = await receive()
            body += message.get("body", b"")
            whole = not message.get("more_body", False)
            if len(body) > self.largest:
                words = f"That is more than {self.largest // 1000:,} kB; a plan is far smaller."
                refusal = problem_response(413, [Trouble("", words, "Send one plan at a time.")])
                await refusal(scope, receive, send)
                return
        sent = False

        async def replay() -> Message:
            nonlocal sent
            if sent:
                return await receive()
            sent = True
            return {"type": "http.request", "body": body, "more_body": False}

        await self.app(scope, replay, send)
