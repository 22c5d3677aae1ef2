"""Starts the web server, and says where it is and who can reach it."""

from __future__ import annotations

import contextlib
import gc
import resource
import socket
import sys
from types import FrameType

import segno
import uvicorn

from planner.demo import demo_plan
from planner.errors import PlanError
from server.access.connections import bounded
from server.access.guard import note_requests
from server.app import create_app
from server.settings import Settings
from server.store.database import damaged_file
from server.store.versions import Store

MOST_FILES = 4096
LOOPBACK = "127.0.0.1"
OPEN_DOOR = (
    "No password is set: whoever reaches this address may come in and save plans. Stop the planner and set\n"
    "CORNERWISE_GUILD_PASSWORD to have one asked for; server/GUILD.md says how."
)


def serve(*, port: int, lan: bool = False, guild: bool = False) -> int:
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
    _more_files()
    settings = Settings(guild=True) if guild else Settings()
    if guild:
        if not settings.guild_password:
            print(OPEN_DOOR, file=sys.stderr)
        note_requests()
        app = create_app(settings, Store.of(settings))
    else:
        app = create_app(
            settings, open_store(settings), frozenset({lan_address(), house_name()} if lan else ())
        )
    # What start-up made lives for good: the collector need not look at it again, nor so often at the many small
    # parts of a fill and its path, which cost a quarter of their time.
    gc.freeze()
    gc.set_threshold(10_000)
    _announce(listener.getsockname()[1], app.state.house_key if lan else "")
    config = uvicorn.Config(
        app,
        http=bounded(settings),
        log_level="warning",
        server_header=False,
        proxy_headers=False,  # the door reads them, from proxies that are named
        timeout_keep_alive=75 if guild else 5,  # longer than a proxy keeps a connection, so that it closes it
        timeout_graceful_shutdown=5,
        backlog=128,  # taken in at once: no more than there are files for
    )
    with contextlib.suppress(KeyboardInterrupt):
        _Server(config).run(sockets=[listener])
    return 0


class _Server(uvicorn.Server):
    """Ends what is being drawn at once when it is told to end; what is being saved is waited for."""

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self.config.app.state.workers.close()  # type: ignore[union-attr]
        super().handle_exit(sig, frame)


def _more_files() -> None:
    """A connection is an open file: as many as this user may have."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, min(hard, MOST_FILES)), hard))


def open_store(settings: Settings) -> Store | None:
    """The shelf, with the demo quilt on it when it is new. Where it cannot be had, drawing works all the same."""
    try:
        store = Store.of(settings)
        if not store.search().total and not store.search(deleted=True).total:
            store.create(demo_plan())
        if store.database.damaged:
            trouble = damaged_file(store.database.place)
            print(
                f"{trouble.message} {trouble.cure}\nPlans can be looked at, but not saved.", file=sys.stderr
            )
        return store
    except PlanError as trouble:
        print(f"{trouble.message} {trouble.cure}\nYou can draw, but not save.", file=sys.stderr)
        return None


def _listen(host: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listener.bind((host, port))
    return listener


def _announce(port: int, house_key: str) -> None:
    """Say where the planner is; with a house key also the way in for the devices of this network."""
    print(f"Cornerwise is at  http://127.0.0.1:{port}   (Ctrl+C stops it)", flush=True)
    if not house_key:
        return
    address = lan_address()
    if address == LOOPBACK:
        alone = "This machine is on no network, so nobody else can come in."
        print(f"\n{alone} Connect it, then start again with --lan.", flush=True)
        return
    here = f"http://{address}:{port}"
    print(
        f"\nEveryone on this network can now look at every plan kept here, at  {here}\n"
        f"(or, where this network gives out names, at  http://{house_name()}:{port})\n"
        "Whoever photographs this code, or types the address under it, can change them too, until the planner\n"
        "stops. Show it only to your own tablet. Leave --lan out to keep the planner to this machine.\n"
    )
    door = f"{here}/house?key={house_key}"
    segno.make(door).terminal(compact=True)
    print(door)
    sys.stdout.flush()


def house_name() -> str:
    """What this machine is called where a network resolves names by itself (RFC 6762)."""
    return f"{socket.gethostname().split('.')[0].lower()}.local"


def lan_address() -> str:
    """The address other devices in the network reach this machine at.

    Asks the system which interface it would send from; nothing is sent (the address belongs to
    the range reserved for documentation, RFC 5737). LOOPBACK where it is on no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return LOOPBACK
