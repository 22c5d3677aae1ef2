"""Invented quilts for the tests, and a port to serve on."""

from __future__ import annotations

import socket

from planner.plan import Plan


def a_plan(name: str = "Garden path", **more: object) -> Plan:
    """An invented quilt."""
    sides = {"top": 80.0, "right": 96.5, "bottom": 80.25, "left": 96.0}
    widths = {"top": 6.0, "right": 6.0, "bottom": 6.0, "left": 6.0}
    return Plan.model_validate({"name": name, "sides_in": sides, "border_in": widths, **more})


def renamed(plan: Plan, name: str) -> Plan:
    return plan.model_copy(update={"name": name})


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])
