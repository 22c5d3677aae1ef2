"""A link carries the whole plan, exactly; a damaged, future or swollen one is refused in clear words."""

from __future__ import annotations

import base64
import hashlib
import random
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.fills.styles import FILLS
from planner.plan import Plan
from server.store import links
from server.store.links import LinkError, pack, unpack
from server.store.planfile import PlanFileError, read_plan_file, write_plan_file
from tests.server.samples import a_plan

QUARTERS = [n / 4 for n in range(8, 49)]


def usual_plan() -> Plan:
    """What a practised quilter would fill in, all of it typed: an invented quilt."""
    tin = (2.5, 2.75, 3.0, 3.25, 3.375, 3.5, 3.75, 4.0, 4.25, 4.5, 5.0, 5.5, 6.0)
    typed = {"sides_in.top": "84 1/2", "sides_in.right": "102 3/8"}
    typed |= {"sides_in.bottom": "84 1/4", "sides_in.left": "102"}
    typed |= {f"border_in.{side}": "7 1/8" for side in ("top", "right", "bottom", "left")}
    typed |= {"fill.room_in": "7/8", "fill.longest_in": "2 3/8", "fill.smallest_curl_in": "5/8"}
    typed |= {"binding_allowance_in": "1/4", "tin_in": "2 1/2, 2 3/4, 3, 3 1/4, 3 3/8, 3 1/2"}
    choice = {
        "corner_diameter_in": 5.0,
        "run_diameter_in": 3.375,
        "meeting": "little_spines",
        "middle_in": 2.837465019283746,
        "counts": {"top": 11, "right": 14, "bottom": 11, "left": 14},
    }
    return Plan.model_validate(
        {
            "name": "Großmutters Garten, für Lena (2027)",
            "sides_in": {"top": 84.5, "right": 102.375, "bottom": 84.25, "left": 102.0},
            "border_in": {"top": 7.125, "right": 7.125, "bottom": 7.125, "left": 7.125},
            "fill": {"kind": "flowers", "room_in": 0.875, "longest_in": 2.375, "smallest_curl_in": 0.625},
            "tin_in": tin,
            "choice": choice,
            "tags": ("gift", "bed quilt", "machine"),
            "typed": typed,
            "look": {"cloth": "#401f2e", "border": "#83344f", "thread": "#fdf3d8"},
        }
    )


def test_a_usual_plan_is_at_most_2000_characters() -> None:
    link = f"https://quilts.example/open?plan={pack(usual_plan())}"
    print(f"\na usual plan: {len(link)} characters; a plain one: {len(pack(a_plan()))}")
    assert len(link) <= 2000
    assert unpack(pack(usual_plan())) == usual_plan()


def test_a_tin_of_40_typed_to_the_brim_still_fits() -> None:
    rng = random.Random(1)
    tin = tuple(sorted(rng.sample([n / 16 for n in range(16, 128)], 40)))
    typed = {f"field{n}": f"{rng.randint(1, 99)} {rng.randint(1, 15)}/16" for n in range(30)}
    assert len(pack(usual_plan().model_copy(update={"tin_in": tin, "typed": typed}))) <= 2000


LENGTHS = st.floats(min_value=0.01, max_value=240.0)
SIDES = st.fixed_dictionaries(dict.fromkeys(("top", "right", "bottom", "left"), LENGTHS))
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
PLANS = st.fixed_dictionaries(
    {
        "name": st.text(st.characters(exclude_categories=["Cs"]), max_size=120),
        "sides_in": SIDES,
        "border_in": SIDES,
        "fill": st.fixed_dictionaries(
            {"kind": st.sampled_from(sorted(FILLS))},
            optional={"room_in": LENGTHS, "longest_in": LENGTHS},
        ),
        "tin_in": st.lists(LENGTHS, max_size=20).map(tuple),
        "tags": st.lists(TEXT, max_size=20).map(tuple),
        "typed": st.dictionaries(TEXT, TEXT, max_size=10),
        "cut_own": st.booleans(),
        "units": st.sampled_from(["in", "cm", "mm"]),
    }
).map(Plan.model_validate)


@settings(max_examples=150, deadline=None)
@given(plan=PLANS)
def test_any_plan_comes_back_exactly(plan: Plan) -> None:
    assert unpack(pack(plan)) == plan
    assert read_plan_file(write_plan_file(plan)) == plan
    assert pack(plan) == pack(unpack(pack(plan)))


def test_one_changed_or_missing_character_is_noticed() -> None:
    link = pack(usual_plan())
    for at in range(len(link)):
        for other in ("A", "_", "9", "%", "é", ""):
            hurt = link[:at] + other + link[at + 1 :]
            if hurt == link:
                continue
            with pytest.raises(PlanFileError):
                unpack(hurt)
    for end in range(0, len(link), 7):
        with pytest.raises(LinkError, match="damaged"):
            unpack(link[:end])


@pytest.mark.parametrize(
    "words",
    [
        "",
        "c1.",
        "c1",
        "c0.AAAA",
        "c.AAAA",
        "d1.AAAA",
        "c1.!!!",
        "c1.A",
        "x" * 9000,
        "c1." + "A" * 7000,
        "c1.\n",
    ],
)
def test_what_is_no_link(words: str) -> None:
    with pytest.raises(LinkError, match="damaged"):
        unpack(words)


def test_a_future_link_says_update() -> None:
    with pytest.raises(LinkError, match="newer Cornerwise") as told:
        unpack("c2." + pack(a_plan())[3:])
    assert "Update" in told.value.cure


def forged(raw: bytes) -> str:
    """A link with a true checksum over whatever it holds."""
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zdict=links._DICTIONARY)
    body = squeeze.compress(raw) + squeeze.flush()
    sum_ = hashlib.sha256(b"cornerwise plan 1\n" + body).digest()[:8]
    return "c1." + base64.urlsafe_b64encode(sum_ + body).decode().rstrip("=")


def test_forging_works_at_all() -> None:
    import json

    assert unpack(forged(json.dumps(a_plan().model_dump(mode="json")).encode())) == a_plan()


@pytest.mark.parametrize(
    "raw",
    [
        b" " * 5_000_000,  # swells a thousandfold
        b"[" * 100_000,
        b'{"name":' * 90 + b"1" + b"}" * 90,
        b"\xff\xfe",
        b"null",
        b'"plan"',
        b'{"name":"x"}',
        b'{"sides_in":{"top":1e999,"right":NaN,"bottom":-1,"left":0}}',
    ],
    ids=["bomb", "brackets", "deep", "not utf-8", "null", "string", "half", "wild"],
)
def test_what_a_forger_may_put_in(raw: bytes) -> None:
    with pytest.raises(PlanFileError):
        unpack(forged(raw))


def test_form_1_is_read_for_ever() -> None:
    """A link as it was first made, with the defaults of that day: kept here so that it is never broken."""
    plan = unpack(FIRST_LINK)
    assert (plan.name, plan.sides_in.right, plan.border_in.top) == ("First", 96.5, 6.0)
    assert (plan.ease_limits.lift_in, plan.fill.longest_in, plan.tail_deg) == (0.125, 2.25, 90.0)


FIRST_LINK = (
    "c1.Mz1Fac-ArBirxptbqZEr8kpzcpAzHqyc1EGUUmmJOcWpOqSWU3QuOiguFhEZGlTSw2PSLbOoGBSNkHIIIgUp0g1"
    "xxi04PLBGrily5MLriFjMghee4GIRxQVQA6wWAUrVAgA"
)
