"""The OpenAPI document against the application: what it promises is what comes, for anything that is sent."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

import httpx
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis import Case
from schemathesis.specs.openapi.checks import positive_data_acceptance

from server.app import create_app
from server.settings import Settings

Ask = Callable[..., httpx.Response]

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


def test_the_worked_examples_work(ask: Ask) -> None:
    for path in ("/api/proposals", "/api/layout"):
        content = app.openapi()["paths"][path]["post"]["requestBody"]["content"]["application/json"]
        for example in content["examples"].values():
            assert ask("POST", path, json=example["value"]).status_code == 200
