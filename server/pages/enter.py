"""Coming in: a guild's password, how she calls herself, and the house key of a home network."""

from __future__ import annotations

import hmac
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from server.access.guard import GUILD, pass_of
from server.access.rights import (
    HOUSE,
    YEAR_S,
    AStore,
    call,
    is_house_key,
    renew_ring,
    set_cookie,
    settings_of,
)
from server.html import render
from server.problems import Trouble
from server.store.keys import NotAllowed

router = APIRouter(include_in_schema=False)
WRONG = Trouble("password", "That is not the password.", "Ask somebody of your guild; capitals count.")


@router.get("/enter")
def ask(to: Annotated[str, Query(max_length=9000)] = "/shelf") -> HTMLResponse:
    """The page that asks for the guild's password."""
    return render("enter.html", to=to, trouble=None)


@router.post("/enter")
def enter(
    request: Request,
    store: AStore,
    password: Annotated[str, Form(max_length=200)] = "",
    name: Annotated[str, Form(max_length=200)] = "",
    to: Annotated[str, Query(max_length=9000)] = "/shelf",
) -> Response:
    """Let a browser in that says the guild's password, with a new ring for what it held."""
    wanted = settings_of(request).guild_password
    if not hmac.compare_digest(password.encode(), wanted.encode()):
        return render("enter.html", 403, to=to, trouble=WRONG)
    there = RedirectResponse(_within(to), 303)
    ring = renew_ring(request, there, store)
    set_cookie(request, there, GUILD, pass_of(wanted, ring), YEAR_S)
    if name.strip():
        call(request, there, name)
    return there


@router.post("/name")
def named(
    request: Request,
    name: Annotated[str, Form(max_length=200)] = "",
    to: Annotated[str, Form(max_length=9000)] = "/shelf",
) -> Response:
    """Keep on this device how she calls herself beside the versions that she saves."""
    there = RedirectResponse(_within(to), 303)
    call(request, there, name)
    return there


@router.get("/house")
def house(request: Request, key: Annotated[str, Query(max_length=100)] = "") -> Response:
    """Make a device on the home network the owner's, for as long as the planner runs. Raises NotAllowed."""
    if not is_house_key(request, key):
        raise NotAllowed(
            "This is not the house key of today.",
            cure="Read the address again where the planner was started.",
        )
    there = RedirectResponse("/shelf", 303)
    set_cookie(request, there, HOUSE, key, None)
    return there


def _within(to: str) -> str:
    """Only ways within this planner, never to another site."""
    inside = to.startswith("/") and not to.startswith(("//", "/\\")) and to.isprintable()
    return to if inside else "/shelf"
