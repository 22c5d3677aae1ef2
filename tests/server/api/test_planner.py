"""The JSON contract, and what happens to everything that is no plan."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from typing import Any

import httpx
import pytest

Ask = Callable[..., httpx.Response]
Plan = dict[str, Any]
SIDES = {"top", "right", "bottom", "left"}
LARGEST_ANSWER_BYTES = 5_300_000
LONGEST_ANSWER_S = 1.0  # of work, however busy the machine is: a clear word within a second


def test_proposals_have_the_fields_of_the_contract(ask: Ask, demo: Plan) -> None:
    answer = ask("POST", "/api/proposals", json=demo)
    assert answer.status_code == 200
    body = answer.json()
    assert len(body["proposals"]) >= 3
    for proposal in body["proposals"]:
        assert {
            "choice", "corner_diameter_in", "run_diameter_in", "meeting", "counts", "ease_in", "step_in",
            "reach_in", "score", "why",
        } <= set(proposal)  # fmt: skip
        assert set(proposal["counts"]) == set(proposal["ease_in"]) == set(proposal["step_in"]) == SIDES
        assert set(proposal["ease_in"]["top"]) >= {"lift", "gap"}


def test_every_proposal_can_be_laid_out(ask: Ask, demo: Plan) -> None:
    for proposal in ask("POST", "/api/proposals", json=demo).json()["proposals"][:6]:
        answer = ask(
            "POST", "/api/layout", json={"plan": demo, "choice": proposal["choice"], "stitching": False}
        )
        assert answer.status_code == 200, answer.text
        body = answer.json()
        assert {"corners", "circles", "spines", "guides", "reach_in", "figures"} <= set(body)
        assert len(body["corners"]) == 4
        assert set(body["corners"][0]) >= {"corner", "x_in", "y_in", "r_in"}
        circle = body["circles"][0]
        assert {"side", "run", "index", "x_in", "y_in", "r_in", "row", "turn"} <= set(circle)
        assert circle["row"] in {"inner", "outer"}
        assert circle["turn"] in {"cw", "ccw"}
        for spine in body["spines"]:
            assert {"id", "part", "start", "end", "centre", "r_in", "sweep_deg", "svg"} <= set(spine)
        assert {"run", "corner", "middle", "worst_at"} <= set(body["reach_in"])


def test_a_layout_comes_with_its_fill_and_its_path(ask: Ask, demo: Plan) -> None:
    choice = ask("POST", "/api/proposals", json=demo).json()["proposals"][0]["choice"]
    answer = ask("POST", "/api/layout", json={"plan": demo, "choice": choice})
    assert len(answer.content) < LARGEST_ANSWER_BYTES
    body = answer.json()
    shapes, path = body["fill"], body["path"]
    assert {"kind", "pocket", "svg"} <= set(shapes[0])
    assert [p["number"] for p in body["pockets"]] == list(range(1, len(body["pockets"]) + 1))
    assert {p["pocket"] for p in body["pockets"]} == {shape["pocket"] for shape in shapes}
    segments = path["segments"]
    assert {s["shape"] for s in segments if "shape" in s} == set(range(len(shapes)))
    assert all(s["svg"].startswith("M") for s in segments if "shape" not in s)
    assert sum(s["length_in"] for s in segments) == pytest.approx(path["length_in"], rel=1e-4)
    again = sum(s["length_in"] for s in segments if s["kind"] in {"backtrack", "travel"})
    assert again == pytest.approx(path["retraced_in"], rel=1e-4)
    assert path["least_retraced_in"] <= path["retraced_in"]
    assert path["least_retraced_exact"] in (True, False)
    assert path["retraced_spine_in"] <= 1.02 * path["least_retraced_spine_in"] + 1e-6
    assert path["starts"] == path["stops"] == len({s["line"] for s in segments})


def with_(demo: Plan, **changes: Any) -> Plan:
    return {**demo, **changes}


def all_sides(value: Any) -> dict[str, Any]:
    return dict.fromkeys(("top", "right", "bottom", "left"), value)


REFUSED_FIELDS: dict[str, tuple[dict[str, Any], str]] = {
    "negative side": ({"sides_in": {**all_sides(90.0), "top": -3.0}}, "sides_in.top"),
    "no side": ({"sides_in": {**all_sides(90.0), "left": 0.0}}, "sides_in.left"),
    "a billion": ({"sides_in": all_sides(1e9)}, "sides_in.top"),
    "text for a figure": ({"border_in": {**all_sides(8.0), "right": "8"}}, "border_in.right"),
    "false for a figure": ({"binding_allowance_in": False}, "binding_allowance_in"),
    "null": ({"sides_in": None}, "sides_in"),
    "list": ({"border_in": [8, 8, 8, 8]}, "border_in"),
    "border wider than the quilt": ({"border_in": all_sides(60.0)}, "border_in.left"),
    "a binding that leaves no band": ({"binding_allowance_in": 20.0}, "border_in.top"),
    "10,000 templates": ({"tin_in": [3.0] * 10_000}, "tin_in"),
    "unknown fill": ({"fill": {"kind": "glitter"}}, "fill.kind"),
    "unknown key": ({"colour": "red"}, "colour"),
    "long name": ({"name": "x" * 121}, "name"),
    "no colour": ({"look": {"cloth": "blue"}}, "look.cloth"),
    "two colours, no repeat": ({"threads": [{"colours": ["#2a6b3a", "#a02020"]}]}, "threads.0.repeat_in"),
    "a thread that is not there": ({"stitched_with": {"accents": 1}}, "stitched_with.accents"),
    "a frame of no reach": ({"working": {"way": "frame"}}, "working.reach_in"),
}


@pytest.mark.parametrize("case", REFUSED_FIELDS)
def test_a_spoiled_plan_is_refused_in_words(ask: Ask, demo: Plan, case: str) -> None:
    changes, field = REFUSED_FIELDS[case]
    problem = refusal(ask, json=with_(demo, **changes))
    assert field in {problem["field"], *(error["field"] for error in problem["errors"])}
    assert problem["cure"]
    assert all(error["message"] and error["cure"] for error in problem["errors"])


@pytest.mark.parametrize("figure", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_what_is_no_figure_is_refused(ask: Ask, demo: Plan, figure: str) -> None:
    body = json.dumps(with_(demo, sides_in=all_sides(12345.678))).replace("12345.678", figure)
    refusal(ask, content=body, headers={"content-type": "application/json"})


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b"[]",
        b"null",
        b"7",
        b'"plan"',
        b"[" * 100_000,
        b'{"a":' * 50_000,
        b'"\\ud800"',
    ],
    ids=[
        "empty",
        "cut off",
        "no text",
        "list",
        "null",
        "number",
        "string",
        "deep list",
        "deep object",
        "half pair",
    ],
)
def test_what_is_no_plan_is_refused(ask: Ask, body: bytes) -> None:
    refusal(ask, content=body, headers={"content-type": "application/json"})


def test_too_large_a_body_is_refused_before_it_is_read(ask: Ask) -> None:
    problem = refusal(
        ask, content=b"[" + b"0," * 600_000 + b"0]", headers={"content-type": "application/json"}
    )
    assert problem["status"] == 413


def test_an_empty_tin_gives_a_refusal_with_a_cure(ask: Ask, demo: Plan) -> None:
    answer = ask("POST", "/api/proposals", json=with_(demo, tin_in=[], cut_own=False))
    assert answer.status_code in {200, 422}
    if answer.status_code == 200:
        body = answer.json()
        assert body["proposals"] == []
        assert body["refusals"][0]["cure"]


def test_a_choice_of_another_plan_is_refused(ask: Ask, demo: Plan) -> None:
    choice = ask("POST", "/api/proposals", json=demo).json()["proposals"][0]["choice"]
    smaller = with_(demo, sides_in=all_sides(50.0))
    answer = ask("POST", "/api/layout", json={"plan": smaller, "choice": choice})
    assert answer.status_code == 422
    assert answer.json()["cure"]


def test_a_colour_that_is_none_is_refused_in_words(ask: Ask, demo: Plan) -> None:
    problem = refusal(ask, json=with_(demo, threads=[{"colours": ["red"]}]))["errors"][0]
    assert problem["field"] == "threads.0.colours.0"
    assert "#2e6b34" in problem["cure"] and "^" not in problem["cure"]


def test_unknown_places_answer_with_a_problem(ask: Ask) -> None:
    for path, status in (("/api/nowhere", 404), ("/api/layout", 405)):
        problem = refusal(ask, method="GET", path=path)
        assert problem["status"] == status
        assert problem["detail"].endswith(".") and problem["cure"], (
            "the protocol's name is no word for a person"
        )


def test_nothing_from_another_machine_may_be_loaded(ask: Ask) -> None:
    for path in ("/", "/new", "/static/cornerwise.css", "/api/nowhere"):
        policy = ask("GET", path).headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert "http" not in policy


def refusal(ask: Ask, method: str = "POST", path: str = "/api/proposals", **sent: Any) -> Plan:
    """Send it, and insist on a prompt problem document of the 4xx kind without a traceback."""
    started = time.process_time()
    answer = ask(method, path, **sent)
    assert time.process_time() - started < LONGEST_ANSWER_S
    assert 400 <= answer.status_code < 500, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert "Traceback" not in answer.text
    problem: Plan = answer.json()
    assert problem["status"] == answer.status_code
    assert problem["title"]
    assert problem["detail"]
    return problem
