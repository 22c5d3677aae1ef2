"""What a visitor and a planner are called: addresses and host names."""

from __future__ import annotations

import ipaddress

from fastapi import Request


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
