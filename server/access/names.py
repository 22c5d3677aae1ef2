"""What a visitor and a planner are called: addresses and host names, read strictly."""

from __future__ import annotations

import ipaddress
import re

from fastapi import Request
from starlette.types import Scope

_HOST = re.compile(
    r"(?P<name>[A-Za-z0-9](?:[A-Za-z0-9.-]{0,252})|\[[0-9A-Fa-f:.]{2,45}\])(?::(?P<port>\d{1,5}))?\Z"
)


def host_of(scope: Scope) -> str | None:
    """The name that a request was sent to, in small letters; None where its one Host header does not parse.

    Nothing stands in for it: a library that falls back to the address of the socket would call a stranger's
    name ours. A name, or an address in figures (an IPv6 one in brackets), with a port or without (RFC 9110, 7.2).
    """
    sent = [value for name, value in scope["headers"] if name == b"host"]
    found = _HOST.match(sent[0].decode("latin-1")) if len(sent) == 1 else None
    if found is None or int(found["port"] or 0) > 65535:
        return None
    return found["name"].strip("[]").lower()


def is_loopback(host: str) -> bool:
    """Whether an address is this machine's own."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost"


def visitor_name(request: Request) -> str:
    """One name for everything that one visitor sends."""
    return network(request.client.host if request.client else "")


def network(client: str) -> str:
    """An IPv6 client owns 2^64 addresses: they count as one."""
    try:
        address = ipaddress.ip_address(client)
    except ValueError:
        return client
    return str(address) if address.version == 4 else str(ipaddress.ip_network((address, 64), strict=False))


def behind(proxies: frozenset[str], scope: Scope) -> Scope:
    """The request as it reached a proxy of ours; as it is, when it came from anywhere else.

    Whoever is no named proxy may write X-Forwarded-For and X-Forwarded-Proto as she likes: it says nothing.
    """
    peer = str(scope["client"][0]) if scope.get("client") else ""
    if peer not in proxies:
        return scope
    headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
    clients = [one.strip() for one in headers.get(b"x-forwarded-for", "").split(",")]
    client = next((one for one in reversed(clients) if one and one not in proxies), peer)
    proto = headers.get(b"x-forwarded-proto", "").strip().lower()
    return {
        **scope,
        "client": (client, 0),
        "scheme": proto if proto in ("http", "https") else scope["scheme"],
    }
