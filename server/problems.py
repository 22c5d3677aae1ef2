"""Errors on the wire: RFC 9457 problem documents that name the field and the cure.

One place turns whatever can be wrong with a request into ``Trouble``: plain words for a person. The JSON
interface sends them as a problem document, the pages set them beside the field.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from itertools import islice
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.routing import Match, Route

from planner.errors import PlanError
from planner.threads import COLOUR
from server.html import render

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True)
class Trouble:
    """One thing wrong: the field (dotted name in the plan, '' for the whole), what is wrong, what works."""

    field: str
    message: str
    cure: str
    instead: str = ""  # what to write in the field, where that is known

    @classmethod
    def of(cls, error: PlanError) -> Trouble:
        """An error of the planner as the page shows it."""
        return cls(error.field, error.message, error.cure, error.instead)


class FieldProblem(BaseModel):
    """One of several things wrong in one request."""

    field: str
    message: str
    cure: str


class Problem(BaseModel):
    """RFC 9457 problem document. field: its dotted name in the plan; cure: the nearest thing that works."""

    type: str = Field(examples=["/problems/plan"])
    title: str = Field(examples=["This cannot be used as it stands"])
    status: int = Field(examples=[422])
    detail: str = Field(examples=["The border is wider than half the quilt."])
    field: str = Field(default="", examples=["border_in.top"])
    cure: str = Field(default="", examples=["Make the border 44 in or narrower."])
    errors: list[FieldProblem] = []


MOST_TROUBLES = 20

WANTED = {
    "float": "a number",
    "int": "a whole number",
    "string": "text",
    "list": "a list",
    "tuple": "a list",
    "dict": "an object with named fields",
}

WRITTEN = {COLOUR: "A colour is # and six signs, each 0 to 9 or a to f: green is #2e6b34."}

TITLES = {
    400: "This cannot be read",
    401: "Say the password first",
    403: "You may not do that",
    404: "Nothing here",
    405: "That cannot be done here",
    408: "Too slow",
    409: "Somebody else saved first",
    413: "Too much at once",
    421: "Not this planner's address",
    422: "This cannot be used as it stands",
    429: "Too many at once",
    503: "Plans cannot be kept just now",
}

# What is said where the framework has only the status' own name to say.
UNTOLD = {
    404: (
        "There is no page at this address.",
        "Check how the address is written, or begin at the workbench.",
    ),
    405: (
        "This address does not take what was sent to it.",
        "Send what it takes; the header Allow names it.",
    ),
}


def problem_response(
    status: int, troubles: Sequence[Trouble], headers: Mapping[str, str] | None = None, title: str = ""
) -> JSONResponse:
    """A problem document about the first trouble; when there are several, all stand in ``errors``."""
    first = troubles[0]
    title = title or TITLES.get(status) or HTTPStatus(status).phrase
    body = Problem(
        type="/problems/plan" if status == 422 else "about:blank",
        title=title,
        status=status,
        detail=first.message,
        field=first.field,
        cure=first.cure,
        errors=[FieldProblem(field=t.field, message=t.message, cure=t.cure) for t in troubles]
        if len(troubles) > 1
        else [],
    )
    return JSONResponse(body.model_dump(), status, headers=dict(headers or {}), media_type=MEDIA_TYPE)


def refused(
    request: Request,
    status: int,
    troubles: Sequence[Trouble],
    headers: Mapping[str, str] | None = None,
    title: str = "",
) -> Response:
    """A page for a person at a browser, a problem document for a program."""
    if request.scope["path"].startswith("/api/") or "text/html" not in request.headers.get("accept", ""):
        return problem_response(status, troubles, headers, title)
    title = title or TITLES.get(status, "That did not work")
    again = request.method == "GET" and "Retry-After" in (headers or {})
    page = render("trouble.html", status, title=title, troubles=troubles, again=again)
    page.headers.update(dict(headers or {}))
    return page


def documented(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The ``responses`` argument of a route: these statuses answer with a problem document."""
    schema = {"$ref": "#/components/schemas/Problem"}
    return {
        status: {
            "description": TITLES.get(status) or HTTPStatus(status).phrase,
            "model": Problem,
            "content": {MEDIA_TYPE: {"schema": schema}},
        }
        for status in statuses
    }


def add_problem_handlers(app: FastAPI) -> None:
    """Every refusal of ``app`` is told in words; nothing ever answers with a traceback."""

    @app.exception_handler(PlanError)
    async def plan_error(request: Request, error: PlanError) -> Response:
        status, headers = getattr(error, "status", 422), getattr(error, "headers", {})
        return refused(request, status, [Trouble.of(error)], headers, title=getattr(error, "title", ""))

    @app.exception_handler(RequestValidationError)
    async def validation_error(request: Request, error: RequestValidationError) -> Response:
        errors = error.errors()
        unreadable = any(one["type"] == "json_invalid" for one in errors)
        return refused(request, 400 if unreadable else 422, troubles_of(errors))

    @app.exception_handler(HTTPException)
    async def http_error(request: Request, error: HTTPException) -> Response:
        headers = dict(error.headers or {})
        if error.status_code == 405:
            headers["Allow"] = ", ".join(sorted(_methods(request)))
        message, cure = str(error.detail), ""
        if message == HTTPStatus(error.status_code).phrase:
            message, cure = UNTOLD.get(error.status_code, (message, cure))
        return refused(request, error.status_code, [Trouble("", message, cure)], headers)

    @app.exception_handler(RecursionError)
    async def too_deep(request: Request, error: RecursionError) -> Response:
        return refused(
            request, 400, [Trouble("", "The body is nested too deeply to be a plan.", "Send a flat plan.")]
        )

    @app.exception_handler(Exception)
    async def our_fault(request: Request, error: Exception) -> Response:
        words = "Something went wrong on our side; your plan is unharmed."
        return refused(request, 500, [Trouble("", words, "Try again, and tell us what you typed.")])


def _methods(request: Request) -> set[str]:
    """Every method that some route takes at this address (the router names only those of the first)."""
    routes: list[Route] = request.app.state.routes
    found = [route for route in routes if route.matches(request.scope)[0] != Match.NONE]
    return {method for route in found for method in route.methods or ()}


def troubles_of(errors: Iterable[Mapping[str, Any]], names: Mapping[str, str] | None = None) -> list[Trouble]:
    """pydantic's error list in plain words, at most MOST_TROUBLES of them. names: what she calls a field."""
    return [_trouble(error, names or {}) for error in islice(errors, MOST_TROUBLES)]


def _trouble(error: Mapping[str, Any], names: Mapping[str, str]) -> Trouble:
    field = dotted(error["loc"])
    name = names.get(field) or field or "the plan"
    unit = " in" if "_in" in field else ""
    told = (error.get("ctx") or {}).get("error")
    if isinstance(told, PlanError):  # by a rule of the plan itself
        return Trouble(".".join(filter(None, (field, told.field))), told.message, told.cure)
    message, cure = _words(error["type"], error.get("ctx") or {}, name, unit)
    return Trouble(field, message[:1].upper() + message[1:], cure)


def dotted(loc: Sequence[Any]) -> str:
    """('body', 'plan', 'sides_in', 'top') -> 'sides_in.top'; numbers are places in a list.

    What a field may hold beside other things (``literal[...]``) is no part of its name.
    """
    parts = [str(part) for part in loc if part not in ("body", "plan", "query", "path")]
    parts = [part for part in parts if not part.startswith("literal[")]
    return ".".join(parts)[:120]


def _words(kind: str, ctx: Mapping[str, Any], name: str, unit: str) -> tuple[str, str]:
    """What is wrong and what works, for one of pydantic's kinds of error."""
    match kind:
        case "missing":
            return f"{name} is missing.", f"Give {name}."
        case "extra_forbidden":
            return f"A plan has no {name}.", "Leave it out, or check how it is spelled."
        case "greater_than" | "greater_than_equal":
            least = f"{ctx.get('gt', ctx.get('ge')):g}{unit}"
            more = "more than" if kind == "greater_than" else "at least"
            return f"{name} must be {more} {least}.", f"Measure again, and give {more} {least}."
        case "less_than_equal" | "less_than":
            most = f"{ctx.get('le', ctx.get('lt')):g}{unit}"
            return f"{name} can be at most {most}.", f"Give {most} or less. Was a decimal point left out?"
        case "finite_number":
            return f"{name} is not a figure that can be measured.", "Give an ordinary number."
        case "bool_type" | "bool_parsing":
            return f"{name} must be true or false.", "Give true or false."
        case "literal_error":
            return f"{name} is none of the known words.", f"Give {ctx.get('expected', 'one of them')}."
        case "string_pattern_mismatch":
            how = WRITTEN.get(str(ctx.get("pattern")), f"It must match {ctx.get('pattern')}.")
            return f"{name} does not look right.", how
        case "string_too_long" | "too_long" | "too_short" | "string_too_short":
            limit = ctx.get("max_length", ctx.get("min_length"))
            size = "more" if kind.endswith("long") else "fewer"
            return f"{name} is too {kind[-5:].strip('_')}.", f"There can be no {size} than {limit}."
        case "json_invalid":
            return "The body is not JSON.", "Send a JSON object with the plan."
        case "value_error":
            return str(ctx.get("error", f"{name} cannot be used.")), "Change it and try again."
    wanted = WANTED.get(kind.split("_")[0], "an object with named fields")
    return f"{name} must be {wanted}.", f"Give {name} as {wanted}."
