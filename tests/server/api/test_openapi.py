"""The OpenAPI document against the application: what it promises is what comes, for anything that is sent."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from pydantic import BaseModel
from schemathesis import Case
from schemathesis.specs.openapi.checks import positive_data_acceptance

from planner.demo import demo_plan
from server.api.compare import ComparisonOut
from server.api.wire_layout import PlacedOut
from server.api.wire_proposals import ProposalsOut
from server.api.wire_stitching import StitchedOut
from server.app import create_app
from server.settings import Settings

Ask = Callable[..., httpx.Response]
DEMO = demo_plan().model_dump(mode="json")

app = create_app(
    Settings(
        data_folder=Path(tempfile.mkdtemp(prefix="cornerwise-")), changes_a_minute=10**6, looks_a_minute=10**6
    )
)
# As the owner on a device of the house: what only she may do is tried too.
AS_OWNER = {"Host": "127.0.0.1", "Cookie": f"cornerwise_house={app.state.house_key}"}
schema = schemathesis.openapi.from_asgi("/openapi.json", app, headers=AS_OWNER)


@schema.parametrize()
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_document_and_the_answers_agree(case: Case) -> None:
    if (
        case.path == "/api/layout"
        and isinstance(case.body, dict)
        and case.body.get("stitching", True) is True
    ):
        case.body["stitching"] = (
            False  # a fill takes seconds, hundreds of times over; it has tests of its own
        )
    # A plan may be well formed and yet fit no quilt (a border wider than half of it): 422 is an answer then.
    case.call_and_validate(headers=AS_OWNER, excluded_checks=[positive_data_acceptance], timeout=90)


def test_every_operation_has_a_worked_example_and_documented_refusals() -> None:
    document = app.openapi()
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            if "requestBody" in operation:
                content = operation["requestBody"]["content"]["application/json"]
                assert content.get("examples"), f"{method} {path}: no example"
                assert "422" in operation["responses"], f"{method} {path}: refusals not documented"


def untold(node: Any, where: str = "") -> Iterator[str]:
    """Places where the document leaves open what comes: no schema, an empty one, an object of anything."""
    if isinstance(node, list):
        for i, one in enumerate(node):
            yield from untold(one, f"{where}/{i}")
    if not isinstance(node, dict):
        return
    for name, content in node.get("content", {}).items() if "responses" in where else ():
        if not content.get("schema"):
            yield f"{where}: {name} without a schema"
    if node.get("type") == "object" and not (node.get("properties") or node.get("additionalProperties")):
        yield f"{where}: an object of anything"
    if node.get("additionalProperties") in (True, {}):
        yield f"{where}: values of anything"
    if node.get("items") == {} or {} in node.get("properties", {}).values():
        yield f"{where}: an empty schema"
    for name, part in node.items():
        if name not in ("example", "examples", "default"):
            yield from untold(part, f"{where}/{name}")


def test_a_generated_client_is_told_what_it_gets() -> None:
    document = app.openapi()
    assert list(untold({"paths": document["paths"], "components": document["components"]})) == []
    assert list(untold({"responses": {"200": {"content": {"application/json": {"schema": {}}}}}}))
    assert list(untold({"additionalProperties": True, "type": "object"}))


@pytest.mark.parametrize(
    ("path", "body", "model"),
    [
        ("/api/layout", {"plan": DEMO}, StitchedOut),
        ("/api/layout", {"plan": DEMO, "stitching": False}, PlacedOut),
        ("/api/proposals", DEMO, ProposalsOut),
        ("/api/compare", {"plan": DEMO, "fills": ["feathers", "echo"]}, ComparisonOut),
        ("/api/compare", {"plan": DEMO, "widths_in": [8.0, 50.0]}, ComparisonOut),
    ],
)
def test_an_answer_is_its_model_and_nothing_beside(
    ask: Ask, path: str, body: dict[str, Any], model: type[BaseModel]
) -> None:
    """Read with the model and written again, every answer is the same: no field is missing, none is left over."""
    answer = ask("POST", path, json=body)
    assert json.loads(model.model_validate_json(answer.content).model_dump_json()) == answer.json()


def test_the_worked_examples_work(ask: Ask) -> None:
    for path in ("/api/proposals", "/api/layout"):
        content = app.openapi()["paths"][path]["post"]["requestBody"]["content"]["application/json"]
        for example in content["examples"].values():
            assert ask("POST", path, json=example["value"]).status_code == 200
