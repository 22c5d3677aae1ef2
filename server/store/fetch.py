"""Bring a guild-mate's plan home: run by the person at her own machine, never by a server for a visitor."""

from __future__ import annotations

import asyncio
import re
from urllib.parse import SplitResult, parse_qs, urlsplit

import httpx

from planner.plan import Plan
from server.store.links import unpack
from server.store.planfile import LARGEST_BYTES, PlanFileError, read_plan_file

WAIT_S = 20.0  # for all of it: finding the host, its answer, the last byte
_PLAN = re.compile(r"(.*/plans/[a-z2-7]{20})(?:/.*)?\Z")
_CARRIED = re.compile(r"(?:^|[#?&=/])(c\d{1,6}\.[A-Za-z0-9_-]+)\s*\Z")


def plan_in_link(link: str) -> Plan | None:
    """The plan that a link carries in itself; None when it names one on a server. Raises LinkError."""
    found = _CARRIED.search(link.strip())
    return unpack(found[1]) if found else None


def fetch(link: str) -> Plan:
    """The plan that a view or edit link leads to. Raises PlanFileError in words for her."""
    plan = plan_in_link(link)
    return plan if plan is not None else _ask(urlsplit(link.strip()))


def _ask(link: SplitResult) -> Plan:
    found = _PLAN.match(link.path)
    if link.scheme not in {"http", "https"} or not link.hostname or found is None:
        raise PlanFileError(
            "This is not a link to a plan.", cure="Copy the whole view link, from http to its last letter."
        )
    address = f"{link.scheme}://{link.netloc}{found[1]}/plan.json"
    # Nothing packed is asked for, and nothing packed is taken: a few bytes on the wire could be gigabytes here.
    headers = {"Plan-Key": parse_qs(link.query).get("key", [""])[0], "Accept-Encoding": "identity"}
    try:
        return read_plan_file(asyncio.run(_answer(address, headers, link.hostname)))
    except (httpx.HTTPError, httpx.InvalidURL, UnicodeError, TimeoutError) as trouble:
        raise PlanFileError(
            f"{link.hostname} does not answer.", cure="Is that planner running, and are you on its network?"
        ) from trouble


async def _answer(address: str, headers: dict[str, str], host: str) -> bytes:
    """What is sent from there: no more than a little over LARGEST_BYTES, in no more than WAIT_S."""
    raw = b""
    async with (
        asyncio.timeout(WAIT_S),
        httpx.AsyncClient(timeout=WAIT_S) as client,
        client.stream("GET", address, headers=headers) as answer,
    ):
        _check(answer, host)
        async for chunk in answer.aiter_raw():
            raw += chunk
            if len(raw) > LARGEST_BYTES:
                break  # read_plan_file says so
    return raw


def _check(answer: httpx.Response, host: str) -> None:
    if answer.status_code in {401, 403, 404}:
        raise PlanFileError(
            f"{host} does not open this plan: the link is wrong, stopped, or its plan is in the bin.",
            cure="Ask whoever sent it for a new link.",
        )
    packed = answer.headers.get("Content-Encoding", "identity") != "identity"
    if answer.status_code != 200 or packed:
        raise PlanFileError(
            f"{host} gave no plan (answer {answer.status_code}{', packed' if packed else ''}).",
            cure="Open the link in a browser and save the plan as a file there.",
        )
