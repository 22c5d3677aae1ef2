"""Starts the web server, and says where it is and who can reach it."""

from __future__ import annotations

import contextlib
import gc
import socket
import sys

import segno
import uvicorn

from server.app import create_app
from server.settings import Settings


def serve(*, port: int, lan: bool) -> int:
    """Serve until interrupted; return the exit code. Loopback only unless ``lan``."""
    try:
        listener = _listen("0.0.0.0" if lan else "127.0.0.1", port)
    except OSError:
        print(
            f"Port {port} cannot be had. Perhaps the planner is already running at http://127.0.0.1:{port}\n"
            "Otherwise take another port:  python3 -m server --port 8400",
            file=sys.stderr,
        )
        return 1
    app = create_app(Settings())
    gc.freeze()  # what start-up made lives for good; the collector need not look at it again
    _announce(listener.getsockname()[1], lan)
    config = uvicorn.Config(app, log_level="warning", server_header=False)
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])
    return 0


def _listen(host: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listener.bind((host, port))
    return listener


def _announce(port: int, lan: bool) -> None:
    print(f"Cornerwise is at  http://127.0.0.1:{port}   (Ctrl+C stops it)", flush=True)
    if not lan:
        return
    address = f"http://{lan_address()}:{port}"
    print(
        f"\nOn a tablet or telephone in this network:  {address}\n"
        "Everyone on this network can now see the plans kept here, and change them.\n"
        "Leave --lan out to keep the planner to this machine.\n"
    )
    segno.make(address).terminal(compact=True)
    sys.stdout.flush()


def lan_address() -> str:
    """The address other devices in the network reach this machine at.

    Asks the system which interface it would send from; nothing is sent (the address belongs to
    the range reserved for documentation, RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
