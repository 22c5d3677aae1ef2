"""A plan as a file: JSON with its schema and version, and the one canonical form of a plan."""

from __future__ import annotations

import json
import re
from itertools import accumulate
from typing import Any

from pydantic import ValidationError

from planner.errors import PlanError
from planner.plan import Plan

SCHEMA = "cornerwise plan"
VERSION = 1
LARGEST_BYTES = 64 * 1024  # the longest plan there can be, every field full, is 45 kB
DEEPEST = 20  # levels of nesting; a plan has four


class PlanFileError(PlanError):
    """A file, link or archive that does not hold a plan this Cornerwise can read."""


def canonical(plan: Plan) -> str:
    """The plan as JSON: keys sorted, nothing left out, the same plan always the same characters (ASCII)."""
    return json.dumps(plan.model_dump(mode="json"), sort_keys=True, separators=(",", ":"), allow_nan=False)


def write_plan_file(plan: Plan) -> bytes:
    """The file she keeps or sends: readable, and the same bytes for the same plan."""
    body = {"schema": SCHEMA, "version": VERSION, "plan": plan.model_dump(mode="json")}
    return (json.dumps(body, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode()


def read_plan_file(raw: bytes) -> Plan:
    """The plan in a plan file. Raises PlanFileError in words for her."""
    if len(raw) > LARGEST_BYTES:
        raise PlanFileError("This file is too large to be a plan.", cure="Choose a file saved by Cornerwise.")
    body = read_json(raw)
    if not isinstance(body, dict) or body.get("schema") != SCHEMA:
        raise PlanFileError("This file is not a plan.", cure="Choose a file saved by Cornerwise.")
    check_version(body.get("version"), VERSION, "plan file")
    return read_plan(body.get("plan"))


def read_json(raw: bytes) -> Any:
    """JSON of bounded depth. Raises PlanFileError."""
    try:
        words = raw.decode("utf-8")
        if depth(words) > DEEPEST:
            raise PlanFileError("This is nested too deeply to be a plan.", cure="Send a plan file as saved.")
        return json.loads(words)
    except PlanFileError:
        raise
    except (ValueError, RecursionError) as trouble:  # no UTF-8, no JSON, a number of thousands of digits
        raise PlanFileError("This file is damaged.", cure="Ask for it again, or save it anew.") from trouble


def read_plan(body: Any) -> Plan:
    """A plan from its JSON value. Raises PlanFileError naming the first field that is wrong."""
    try:
        # By way of JSON text: strict fields then take a JSON array for a tuple, as the model intends.
        return Plan.model_validate_json(json.dumps(body))
    except (ValidationError, ValueError, RecursionError) as trouble:
        if not isinstance(trouble, ValidationError):
            raise PlanFileError("This is not a plan.", cure="Choose a file saved by Cornerwise.") from trouble
        first = trouble.errors(include_url=False)[0]
        field = ".".join(str(step) for step in first["loc"])
        raise PlanFileError(
            f"The plan has something this Cornerwise cannot use: {field or 'plan'}: {first['msg']}.",
            field=field,
            cure="Mend that figure in the file, or save the plan anew where it was made.",
        ) from trouble


def check_version(found: Any, ours: int, what: str) -> None:
    """Raises PlanFileError unless `found` is a version that this Cornerwise reads."""
    if isinstance(found, bool) or not isinstance(found, int) or found < 1:
        raise PlanFileError(f"This {what} is damaged: it has no version.", cure="Ask for it again.")
    if found > ours:
        raise PlanFileError(
            f"This {what} was made by a newer Cornerwise (version {found}; this one reads up to {ours}).",
            cure="Update Cornerwise, then open it again.",
        )


# A string, to the end of the text when it has no end of its own, or what is neither string nor bracket. Nothing
# is given back once it is read (possessive), so that each character is read once, whatever the text.
_NOT_BRACKETS = re.compile(r'"(?:[^"\\]++|\\.)*+"?|[^\[\]{}"]++', re.DOTALL)


def depth(words: str) -> int:
    """Deepest nesting of brackets in JSON text, found without parsing it (a parser would recurse).

    Takes time in proportion to the text, 50 ns a character.
    """
    brackets = _NOT_BRACKETS.sub("", words)
    return max(0, max(accumulate(1 if bracket in "[{" else -1 for bracket in brackets), default=0))
