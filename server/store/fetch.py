"""Bring a guild-mate's plan home: run by the person at her own machine, never by a server for a visitor."""

from __future__ import annotations

import re
from urllib.parse import SplitResult, parse_qs, urlsplit

import httpx

from planner.plan import Plan
from server.store.links import unpack
from server.store.planfile import LARGEST_BYTES, PlanFileError, read_plan_file

WAIT_S = 20.0
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
    key = parse_qs(link.query).get("key", [""])[0]
    try:
        with httpx.stream("GET", address, headers={"Plan-Key": key}, timeout=WAIT_S) as answer:
            _check(answer, link.hostname)
            raw = b""
            for chunk in answer.iter_bytes():
                raw += chunk
                if len(raw) > LARGEST_BYTES:
                    break  # read_plan_file says so
    except (httpx.HTTPError, httpx.InvalidURL, UnicodeError) as trouble:
        raise PlanFileError(
            f"{link.hostname} does not answer.", cure="Is that planner running, and are you on its network?"
        ) from trouble
    return read_plan_file(raw)


def _check(answer: httpx.Response, host: str) -> None:
    if answer.status_code in {401, 403, 404}:
        raise PlanFileError(
            f"{host} does not open this plan: the link is wrong, stopped, or its plan is in the bin.",
            cure="Ask whoever sent it for a new link.",
        )
    if answer.status_code != 200:
        raise PlanFileError(
            f"{host} gave no plan (answer {answer.status_code}).",
            cure="Open the link in a browser and save the plan as a file there.",
        )
