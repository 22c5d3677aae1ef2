"""At the door: what is turned away before any page or plan is touched.

In this order: a host name that is not ours (another site's page that found its way to loopback), whatever another
site's page asks for, too many requests, with a guild password everybody who has not said it, and
bodies that are too large, too slow or too deep. Every request of a guild's server is noted in a line without
keys.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import json
import logging
import time
from functools import lru_cache
from urllib.parse import quote, urlsplit

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from server.access.names import behind, host_of, is_loopback
from server.access.rates import Rates
from server.access.rights import KEY_HEADER, RING, cookie
from server.html import render
from server.memory import Bodies
from server.problems import Trouble, refused
from server.settings import Settings
from server.store.planfile import DEEPEST, depth
from server.store.shared import Shared

SAFE = {"GET", "HEAD", "OPTIONS"}
GUILD = "cornerwise_guild"
ARCHIVES = "/shelf/bring"  # the one address that takes an archive
OPEN_TO_ALL = ("/static/", "/health", "/enter", "/look.css")  # without the guild's password
JSON_DEEPEST = DEEPEST + 4  # a plan within a request, within a comparison

log = logging.getLogger("cornerwise.requests")


class Guard:
    """The door, as ASGI middleware round the whole application."""

    def __init__(
        self,
        app: ASGIApp,
        settings: Settings,
        names: frozenset[str] = frozenset(),
        shared: Shared | None = None,
    ) -> None:
        self.app = app
        self.settings = settings
        self.names = names | words_of(settings.names)
        self.proxies = words_of(settings.proxies)
        self.rates = Rates(shared)
        self.bodies = Bodies()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        scope = behind(self.proxies, scope)
        request = Request(scope)
        started, status = time.monotonic(), 0

        async def noted(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            refusal = await self.refusal(request)
            if refusal is None:
                body = await self.body(request, receive)
                if isinstance(body, Response):
                    refusal = body
                else:
                    await self.app(scope, replay(body, receive), noted)
            if refusal is not None:
                await refusal(scope, receive, noted)
        finally:
            if self.settings.guild:
                self.note(request, status, time.monotonic() - started)

    async def refusal(self, request: Request) -> Response | None:
        """Why this request goes no further; None when it may."""
        if not self.known_host(request):
            return turned_away(
                request, 421, "This address is not the planner's.", "Open it by the address it printed."
            )
        if not (same_site(request) or (request.method in SAFE and visits(request))):
            return turned_away(
                request, 403, "Another site asked for this.", "Do it on the planner's own page."
            )
        wait = (
            self.too_many(request)
            if self.rates.shared is None
            else await asyncio.to_thread(self.too_many, request)
        )
        if wait and _says_the_password(request):
            return ask_again(request, wait)
        if wait:
            words = f"Too many requests at once. Wait {wait} s."
            return turned_away(request, 429, words, "Nothing was changed.", {"Retry-After": str(wait)})
        if self.settings.guild_password and not self.let_in(request):
            if request.method in SAFE and not path_of(request).startswith("/api/"):
                query = request.scope["query_string"].decode("latin-1")
                there = path_of(request) + (f"?{query}" if query else "")
                return RedirectResponse(f"/enter?to={quote(there, safe='')}", 303)
            return turned_away(
                request, 401, "This planner belongs to a guild.", "Say its password at /enter first."
            )
        return None

    def known_host(self, request: Request) -> bool:
        """Whether it was sent to a name of ours. A guild's proxy answers for the name where none is set."""
        host = host_of(request.scope)
        if host is None:
            return False
        return host in self.names or (not self.names if self.settings.guild else is_loopback(host))

    def too_many(self, request: Request) -> int:
        """Seconds to wait; 0 when she may go on. The owner at her machine never waits."""
        client = request.client.host if request.client else ""
        if not self.settings.guild and is_loopback(client):
            return 0
        if _says_the_password(request):
            return self.rates.take("enter", client, self.settings.tries_a_minute) or self.rates.take(
                "enter", "from everywhere", self.settings.all_tries_a_minute
            )
        if request.method not in SAFE:
            return self.rates.take("change", client, self.settings.changes_a_minute)
        return self.rates.take("look", client, self.settings.looks_a_minute)

    def let_in(self, request: Request) -> bool:
        """Whether a guild's password opens the door to this request, or it stands open for it."""
        path = path_of(request)
        keyed = "key" in request.query_params or KEY_HEADER in request.headers
        if path.startswith(OPEN_TO_ALL) or (path.endswith("/plan.json") and keyed):
            return True  # a plan file opens by its own key, so that a guild-mate's planner can fetch it
        ring, pass_ = cookie(request, RING), cookie(request, GUILD)
        return hmac.compare_digest(pass_.encode(), pass_of(self.settings.guild_password, ring).encode())

    async def body(self, request: Request, receive: Receive) -> bytes | Response:
        """The whole body, bounded in size, time and depth; or why it is refused."""
        if request.method in {"GET", "HEAD"}:
            return b""
        whole = path_of(request) == ARCHIVES
        largest = self.settings.largest_archive_bytes if whole else self.settings.largest_body_bytes
        too_large = turned_away(
            request,
            413,
            f"That is more than {largest // 1000:,} kB; a plan is far smaller.",
            "Send one plan at a time.",
        )
        declared = request.headers.get("content-length", "")
        if declared.isdecimal() and int(declared) > largest:
            return too_large
        chunks: list[bytes] = []
        try:
            async with asyncio.timeout(self.settings.slowest_body_s * (8 if whole else 1)):
                size, more = 0, True
                while more:
                    message = await receive()
                    if message["type"] == "http.disconnect":
                        return turned_away(request, 400, "The request ended in the middle.", "Send it again.")
                    chunks.append(message.get("body", b""))
                    size, more = size + len(chunks[-1]), message.get("more_body", False)
                    if size > largest:
                        return too_large
        except TimeoutError:
            return turned_away(
                request, 408, "The request came in too slowly.", "Send it again.", {"Connection": "close"}
            )
        body = b"".join(chunks)
        self.bodies.read(size)
        is_json = not whole and "json" in request.headers.get("content-type", "json")
        if is_json and await asyncio.to_thread(depth, body.decode("utf-8", "replace")) > JSON_DEEPEST:
            return turned_away(
                request, 400, "The body is nested too deeply to be a plan.", "Send a flat plan."
            )
        return body

    def note(self, request: Request, status: int, seconds: float) -> None:
        """One line of JSON; the path without its query, where keys stand."""
        line = {
            "time": round(time.time(), 3),
            "client": request.client.host if request.client else "",
            "method": request.method,
            "path": path_of(request)[:200],
            "status": status,
            "ms": round(seconds * 1000, 1),
        }
        log.info(json.dumps(line))


def _says_the_password(request: Request) -> bool:
    return path_of(request) == "/enter" and request.method not in SAFE


def ask_again(request: Request, wait: int) -> Response:
    """The page that asks for the password, where too many were tried: when the next may be said."""
    told = Trouble(
        "password",
        f"Too many passwords were tried. Wait {wait} s, then say it once more.",
        "If you are not sure of it, ask somebody of your guild meanwhile.",
    )
    headers = {"Retry-After": str(wait)}
    if "text/html" not in request.headers.get("accept", ""):
        return refused(request, 429, [told], headers)
    page = render("enter.html", 429, to=request.query_params.get("to", "/shelf"), trouble=told)
    page.headers.update(headers)
    return page


def path_of(request: Request) -> str:
    """The path that is routed. (Of an address put together with the Host header, a forged one may be a part.)"""
    path: str = request.scope["path"]
    return path


def note_requests() -> None:
    """Send the lines to standard error, one a request."""
    handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(message)s"))
    log.addHandler(handler)
    log.setLevel(logging.INFO)
    log.propagate = False


def same_site(request: Request) -> bool:
    """Whether a change was asked for by our own page, or by a program that is no browser.

    Browsers say where a request comes from in headers that no page can set (Fetch Metadata, Origin).
    """
    site = request.headers.get("sec-fetch-site")
    if site is not None:
        return site in {"same-origin", "none"}
    origin = request.headers.get("origin")
    return origin is None or urlsplit(origin).netloc.lower() == request.headers.get("host", "").lower()


def visits(request: Request) -> bool:
    """Whether a person follows a link to us from another site, rather than a page of it making her browser ask.

    A picture, frame or script of another page would have us draw for every one of its readers.
    """
    headers = request.headers
    return headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"


def words_of(setting: str) -> frozenset[str]:
    """A setting that is a list with commas between."""
    return frozenset(word.strip().lower() for word in setting.split(",")) - {""}


@lru_cache(maxsize=4)
def _stretched(password: str) -> bytes:
    """Slow on purpose: a pass that leaks must not give the password away by guessing."""
    return hashlib.scrypt(password.encode(), salt=b"cornerwise guild", n=2**14, r=8, p=1)


def pass_of(password: str, ring: str) -> str:
    """What the cookie of a browser holds that has said the guild's password; a new password ends it."""
    return hmac.new(_stretched(password), ring.encode(), hashlib.sha256).hexdigest()


def replay(body: bytes, receive: Receive) -> Receive:
    """Hand a body that was read already to the application."""
    sent = False

    async def again() -> Message:
        nonlocal sent
        if sent:
            return await receive()
        sent = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again


def turned_away(
    request: Request, status: int, words: str, cure: str, headers: dict[str, str] | None = None
) -> Response:
    """The answer to a request that is not let in: what is wrong, and what to do."""
    return refused(request, status, [Trouble("", words, cure)], headers)
