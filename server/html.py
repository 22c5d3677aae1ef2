"""Templates: the one environment that pages are rendered in."""

from __future__ import annotations

import time
import unicodedata
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from typing import Any
from urllib.parse import quote

from fastapi.responses import HTMLResponse, StreamingResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool

from planner.lengths import unbroken
from planner.plan import SIDES
from server.bootstrap import FILES

MARK = "<!--here-->"  # in a template: what comes after it is waited for

# letters of Latin alphabets that Unicode does not take apart into a plain letter and a mark
UNMARKED = str.maketrans(
    {"ß": "ss", "æ": "ae", "Æ": "Ae", "œ": "oe", "Œ": "Oe", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L"}
    | {"đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ħ": "h", "Ħ": "H", "ı": "i"}
)

templates = Environment(
    loader=FileSystemLoader(FILES / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def render(template: str, status: int = 200, **context: Any) -> HTMLResponse:
    """A template as a page."""
    return HTMLResponse(templates.get_template(template).render(**context), status)


def render_waiting(
    template: str,
    found: Callable[[], Awaitable[Mapping[str, Any]]],
    before: Mapping[str, Any],
    **context: Any,
) -> StreamingResponse:
    """A page that is sent as far as its mark at once, and from there when `found` gives the rest of its context.

    before: what stands for that rest until then.
    """
    page = templates.get_template(template)

    async def parts() -> AsyncIterator[str]:
        yield page.render(**context, **before).split(MARK)[0]
        rest = await found()
        yield (await run_in_threadpool(page.render, **context, **rest)).split(MARK)[1]

    return StreamingResponse(parts(), media_type="text/html")


def day(seconds: float) -> str:
    """25 November 2026, 9:12 by the clock of the machine that serves."""
    when = time.localtime(seconds)
    return f"{when.tm_mday} {time.strftime('%B %Y, ', when)}{when.tm_hour}:{when.tm_min:02}"


def moment(seconds: float) -> str:
    """For the machine-readable half of a time element."""
    return time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(seconds))


def attachment(name: str, ending: str, stamp: str = "") -> dict[str, str]:
    """The header that saves an answer as a file named after the plan, whatever is in the name (RFC 6266).

    stamp: of the layout that the file is made from; '' where it is made from none.
    """
    last = f" {stamp}" if stamp else ""
    composed = unicodedata.normalize("NFC", name)
    plain = "".join(c if c.isalnum() or c in " -_" else "-" for c in composed).strip() or "plan"
    bare = unicodedata.normalize("NFKD", plain.translate(UNMARKED))
    simple = bare.encode("ascii", "ignore").decode().strip(" -") or "plan"
    return {
        "Content-Disposition": f'attachment; filename="{simple[:60]}{last}.{ending}"; '
        f"filename*=UTF-8''{quote(plain[:60] + last)}.{ending}"
    }


templates.globals["sides"] = SIDES
templates.filters["day"] = day
templates.filters["unbroken"] = unbroken
templates.filters["moment"] = moment
templates.filters["grouped"] = "{:,}".format
