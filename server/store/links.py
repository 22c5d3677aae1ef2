"""A link that carries the whole plan, so that any Cornerwise can open it with no server between.

What stands in the link: `c1.` (the form's version), then base64url of a sha256 cut to eight bytes and the
plan's JSON, deflated with a dictionary of the words that occur in every plan. Nothing is left out, not even
what is at its default: a default may change, an old link may not.
A damaged link is refused before anything is unpacked, and no more is unpacked than a plan can hold.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import json
import re
import zlib

from planner.plan import Plan
from server.store.planfile import LARGEST_BYTES, PlanFileError, read_json, read_plan

FORM = 1
LONGEST = 8000  # characters: the longest that browsers and proxies commonly carry
_SUM_BYTES = 8
_WORDS = re.compile(r"c(\d{1,6})\.([A-Za-z0-9_-]*)\Z")

# The words of a plan, commonest last (deflate reaches back cheapest to the end). Form 1 is this dictionary:
# a change here is form 2, and form 1 must still be read.
_DICTIONARY = (
    b'"easy_going""turning""mirrored""lattice""wreath""little_spines""butted""rolling""level""any"'
    b'"echo""flowers""needles""leaves""feathers","tags":["seed":"units":"mm""cut_own":true'
    b'"ease_limits":{"gap_in":0.125,"lift_in":0.125},"look":{"border":"#3d5a6c","cloth":"#2f4858",'
    b'"thread":"#f6efe0"},"binding_allowance_in":0.25,"tail_deg":90.0,"fill":{"kind":"feathers","longest_in":2.25,'
    b'"room_in":1.0,"smallest_curl_in":0.75,"smallest_feature_in":0.125},"corner":"meeting":"run":'
    b'"border_in":{"bottom":6.0,"left":6.0,"right":6.0,"top":6.0},"choice":{"corner_diameter_in":4.5,"counts":'
    b'{"bottom":9,"left":11,"right":11,"top":9},"meeting":"butted","middle_in":0.0,"run_diameter_in":3.375},'
    b'"typed":{"border":"6","border_in.bottom":"6","border_in.left":"6","border_in.right":"6",'
    b'"border_in.top":"6",'
    b'"binding_allowance_in":"1/4","fill.longest_in":"2 1/4","fill.room_in":"1",'
    b'"fill.smallest_curl_in":"3/4",'
    b'"fill.smallest_feature_in":"1/8","ease_limits.gap_in":"1/8","ease_limits.lift_in":"1/8",'
    b'"sides_in.bottom":"80","sides_in.left":"96","sides_in.right":"96","sides_in.top":"80",'
    b'"tin_in":"3, 3 1/4, 3 1/2, 3 3/4, 4, 4 1/2, 5"},"tin_in":[3.0,3.25,3.5,3.75,4.0,4.5,5.0],'
    b'"name":"My quilt","sides_in":{"bottom":80.0,"left":96.0,"right":96.0,"top":80.0}'
)


class LinkError(PlanFileError):
    """A link that carries no plan that can be opened here."""


def pack(plan: Plan) -> str:
    """The plan in letters, digits, `-`, `_` and `.`: fit for any part of a link."""
    raw = json.dumps(plan.model_dump(mode="json"), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zdict=_DICTIONARY)
    body = squeeze.compress(raw.encode()) + squeeze.flush()
    return f"c{FORM}.{_letters(_sum(body) + body)}"


def unpack(words: str) -> Plan:
    """The plan in a link's words. Raises LinkError, saying whether it is damaged or too new."""
    found = _WORDS.match(words.strip()) if len(words) <= LONGEST else None
    if found is None:
        raise _damaged()
    if int(found[1]) > FORM:
        raise LinkError(
            f"This link was made by a newer Cornerwise (form {int(found[1])}; this one reads up to {FORM}).",
            cure="Update Cornerwise, or ask for the plan as a file.",
        )
    try:
        raw = base64.b64decode(found[2] + "=" * (-len(found[2]) % 4), b"-_", validate=True)
    except (binascii.Error, ValueError) as trouble:
        raise _damaged() from trouble
    if _letters(raw) != found[2]:
        raise _damaged()  # the last letter has bits to spare: only one spelling is ours
    sum_, body = raw[:_SUM_BYTES], raw[_SUM_BYTES:]
    if int(found[1]) != FORM or not hmac.compare_digest(sum_, _sum(body)):
        raise _damaged()
    try:
        stretch = zlib.decompressobj(-15, zdict=_DICTIONARY)
        unpacked = stretch.decompress(body, LARGEST_BYTES)
    except zlib.error as trouble:
        raise _damaged() from trouble
    if not stretch.eof or stretch.unused_data:
        raise _damaged()
    return read_plan(read_json(unpacked))


def _sum(body: bytes) -> bytes:
    """Guards against damage on the way, not against forgery: anybody may make a plan."""
    return hashlib.sha256(b"cornerwise plan 1\n" + body).digest()[:_SUM_BYTES]


def _letters(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")


def _damaged() -> LinkError:
    return LinkError(
        "This link is damaged: part of it is missing or changed.",
        cure="Copy the whole link again, or ask for the plan as a file.",
    )
