"""A served planner under mixed load, one request in five of it hostile: no errors, no save lost, all refusals told.

The whole of it, ten minutes with its figures, is a benchmark: tests/benchmarks/hostile.py.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from server import commands, serve
from tests.benchmarks.hostile import compared
from tests.server.attack import held
from tests.server.serving import Planner


@pytest.mark.attack
@pytest.mark.parametrize("seconds", [6.0, pytest.param(300.0, marks=pytest.mark.long)])
def test_hostile_requests_cost_the_others_nothing_they_saved(seconds: float) -> None:
    quiet, loud, lost = compared(seconds)
    print(f"\np99 of cheap pages, with hostile requests to without: {loud.p99 / quiet.p99:.1f}")
    assert not quiet.errors
    held("a served planner", not loud.errors, dict(loud.errors))
    held("a served planner", lost == 0, f"{lost} saves lost")
    assert quiet.cheap
    assert set(loud.hostile) <= {200, 400, 403, 413, 421, 422, 429, 503}


def test_a_guild_without_a_password_is_told_so(tmp_path: Path) -> None:
    planner = Planner(f"sqlite:///{tmp_path / 'plans.db'}", tmp_path / "log")
    planner.start()
    planner.kill()
    assert "No password is set" in (tmp_path / "log").read_text()


def test_without_a_network_nobody_is_told_to_come_in(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Loopback is no address for the tablet beside the frame."""
    monkeypatch.setattr(serve, "lan_address", lambda: serve.LOOPBACK)
    serve._announce(8317, "a key")
    told = capsys.readouterr().out
    assert "on no network" in told
    assert "a key" not in told


@pytest.mark.parametrize("command", ["fetch", "backup", "restore", "rescue"])
def test_each_command_says_what_it_does(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        commands.run([command, "--help"])
    assert capsys.readouterr().out.split("\n\n")[1].endswith(".")
