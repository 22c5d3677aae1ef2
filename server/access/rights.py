"""Who is asking, and what she may do with a plan.

- The owner sits at the machine itself: her request comes over loopback, names it as such and came through no
  proxy. Every plan is hers. With a guild's server nobody is the owner.
- On a home network (--lan) others may look at every plan; the house key, printed where the planner was
  started, makes a device the owner's for as long as it runs.
- Everybody else may do what her key allows: the one she sends (header `Plan-Key`, or `key` in the link) or
  those on her browser's ring (server.store.keys).
"""

from __future__ import annotations

import hmac
import secrets
import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated
from urllib.parse import quote, unquote

from fastapi import Depends, Query, Request, Response

from server.access.names import host_of, is_loopback
from server.settings import Settings
from server.store.database import NotFound
from server.store.find import Page, Row, Sort, plain
from server.store.keys import May, NotAllowed, Opens, new_key, together
from server.store.versions import Saved, Store

RING = "cornerwise_ring"
HOUSE = "cornerwise_house"
NAME = "cornerwise_name"
LONGEST_NAME = 40
KEY_HEADER = "plan-key"
YEAR_S = 365 * 24 * 3600
_FORWARDED = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via")


_opening = threading.Lock()


def store_of(request: Request) -> Store:
    """The application's store, opened when it is first needed."""
    state = request.app.state
    with _opening:
        if state.store is None:
            state.store = Store.of(state.settings)
        store: Store = state.store
    return store


def settings_of(request: Request) -> Settings:
    """The settings of the application that was asked."""
    settings: Settings = request.app.state.settings
    return settings


AStore = Annotated[Store, Depends(store_of)]


@dataclass(frozen=True)
class Visitor:
    """Who sent this request."""

    owner: bool
    looks_at_all: bool  # on the home network: may look at every plan
    ring: str | None  # the token of her browser's ring
    key: str | None  # the key she sent with this request
    name: str = ""  # as she calls herself, on this device: nothing is opened by it

    def opens(self, store: Store, plan_id: str) -> Opens | None:
        """All she may look at of this plan, and the most she may do with it; None where it is not for her."""
        if self.owner:
            return Opens("own")
        by_keys = store.keyring.opens(plan_id, key=self.key, ring=self.ring)
        return together((by_keys, Opens("view"))) if self.looks_at_all else by_keys

    def may(self, store: Store, plan_id: str) -> May | None:
        """The most she may do with this plan."""
        opens = self.opens(store, plan_id)
        return opens.may if opens else None


def visitor_of(request: Request) -> Visitor:
    """Who is asking: the keys that came with the request."""
    settings = settings_of(request)
    house = cookie(request, HOUSE)
    at_home = not settings.guild
    return Visitor(
        owner=at_home and (_at_the_machine(request) or is_house_key(request, house)),
        looks_at_all=at_home,
        ring=cookie(request, RING) or None,
        key=request.headers.get(KEY_HEADER) or request.query_params.get("key") or None,
        name=plain(unquote(cookie(request, NAME)))[:LONGEST_NAME],
    )


AVisitor = Annotated[Visitor, Depends(visitor_of)]


def opened(plan_id: str, store: AStore, visitor: AVisitor) -> Opens:
    """What the visitor may look at of a plan. Raises NotFound: others are not told it is there."""
    opens = visitor.opens(store, plan_id)
    if opens is None:
        raise NotFound(
            "There is no such plan, or this link does not open it.",
            cure="Ask whoever sent it for a new link.",
        )
    return opens


def viewable(plan_id: str, store: AStore, visitor: AVisitor) -> str:
    """The id of a plan that the visitor may look at. Raises NotFound."""
    opened(plan_id, store, visitor)
    return plan_id


def all_viewable(plan_id: str, store: AStore, visitor: AVisitor) -> str:
    """The id of a plan of which the visitor may look at every version. Raises NotFound, NotAllowed."""
    if not opened(plan_id, store, visitor).history:
        raise NotAllowed(
            "This link does not show the versions of the plan.",
            "Ask whoever sent it for a link that shows every version.",
        )
    return plan_id


def look(plan_id: str, store: Store, visitor: Visitor, version: int | None = None) -> Saved:
    """A version of a plan, the one her link shows when none is named; of others she learns nothing.

    Raises NotFound.
    """
    opens, head = opened(plan_id, store, visitor), store.load(plan_id)
    usual = opens.usual(head.version)
    wanted = usual if version is None else version
    if not opens.shows(wanted, head.version):
        raise NotFound(
            f"This link does not show version {wanted}.", cure=f"It shows version {usual}: /plans/{plan_id}"
        )
    found = head if wanted == head.version else store.load(plan_id, wanted)
    if opens.history:
        return found
    return replace(found, head=found.version)


def editable(plan_id: str, store: AStore, visitor: AVisitor) -> str:
    """The id of a plan that the visitor may change. Raises NotFound or NotAllowed."""
    may = visitor.may(store, plan_id)
    if may is None:
        viewable(plan_id, store, visitor)
    if may == "view":
        raise NotAllowed
    return plan_id


def owned(plan_id: str, store: AStore, visitor: AVisitor) -> str:
    """The id of a plan that is the visitor's own: to hand out, to renew, to bin. Raises NotFound or NotAllowed."""
    may = visitor.may(store, plan_id)
    if may is None:
        viewable(plan_id, store, visitor)
    if may != "own":
        raise NotAllowed(
            "Only whose plan it is may do that.", "Ask her, or copy the plan: the copy is yours."
        )
    return plan_id


Viewable = Annotated[str, Depends(viewable)]
AllViewable = Annotated[str, Depends(all_viewable)]
Editable = Annotated[str, Depends(editable)]
Owned = Annotated[str, Depends(owned)]


Which = Annotated[int | None, Query(ge=1, le=2**31 - 1, description="A version; the newest when left out.")]


def visitor_page(
    store: AStore, visitor: AVisitor, query: str, sort: Sort, tag: str, page: int, deleted: bool
) -> Page:
    """The shelf as this visitor sees it: all of it, or the plans on her ring."""
    return store.search(query, sort, tag, page, deleted=deleted, ring=_ring_seen(visitor, deleted))


def visitor_shelf(store: Store, visitor: Visitor) -> list[Row]:
    """All of it at one moment."""
    return store.shelf(ring=_ring_seen(visitor))


def _ring_seen(visitor: Visitor, deleted: bool = False) -> str | None:
    """The ring whose plans a visitor sees; None for all plans."""
    return None if visitor.owner or (visitor.looks_at_all and not deleted) else (visitor.ring or "")


def give(request: Request, response: Response, store: Store, saved: Saved) -> None:
    """Put the owner's key of a plan just made on the maker's ring, unless every plan is hers anyway."""
    if saved.own_key and not visitor_of(request).owner:
        hold(request, response, store, saved.id, saved.own_key)


def give_all(request: Request, response: Response, store: Store, made: Sequence[Saved]) -> None:
    """The same for many plans."""
    if made and not visitor_of(request).owner:
        ring = cookie(request, RING) or new_key()
        store.keyring.hold_new(ring, [saved.own_key for saved in made if saved.own_key])
        set_cookie(request, response, RING, ring, YEAR_S)


def hold(request: Request, response: Response, store: Store, plan_id: str, key: str) -> Opens | None:
    """Put a key on this browser's ring, which is made when there is none; what the key opens."""
    ring = cookie(request, RING) or new_key()
    found = store.keyring.hold(ring, plan_id, key)
    if found:
        set_cookie(request, response, RING, ring, YEAR_S)
    return found


def cookie(request: Request, name: str) -> str:
    """A cookie of ours; '' for none."""
    return request.cookies.get(_named(request, name), "")


def set_cookie(request: Request, response: Response, name: str, value: str, seconds: int | None) -> None:
    """A cookie that no script reads and no other site's form sends."""
    secure, name = request.url.scheme == "https", _named(request, name)
    response.set_cookie(name, value, max_age=seconds, httponly=True, samesite="lax", secure=secure, path="/")


def _named(request: Request, name: str) -> str:
    """Behind TLS a name that browsers take from this very host alone, never from a neighbour of its domain."""
    return f"__Host-{name}" if request.url.scheme == "https" else name


def call(request: Request, response: Response, name: str) -> None:
    """Keep on this device how she calls herself; '' forgets it."""
    set_cookie(request, response, NAME, quote(plain(name)[:LONGEST_NAME]), YEAR_S)


def ring_from_before(request: Request) -> str:
    """The ring of a browser that was here before its cookie had the name it has behind TLS; '' for none."""
    return "" if cookie(request, RING) else request.cookies.get(RING, "")


def renew_ring(request: Request, response: Response, store: Store) -> str:
    """A new ring with all that is on this browser's; whoever knew the old one, or had put it there, has nothing."""
    old, new = cookie(request, RING) or ring_from_before(request), new_key()
    if old:
        store.keyring.move(old, new)
    set_cookie(request, response, RING, new, YEAR_S)
    return new


def new_house_key() -> str:
    """A key that this run of the planner gives its own browser, and nobody can guess."""
    return secrets.token_urlsafe(32)


def is_house_key(request: Request, key: str) -> bool:
    """Whether it is the house key of this planner, or of another that shares its database."""
    state = request.app.state
    if not key or settings_of(request).guild:
        return False
    ours = hmac.compare_digest(key.encode(), state.house_key.encode())
    return ours or (state.shared is not None and state.shared.invited(key))


def _at_the_machine(request: Request) -> bool:
    """The request was made on this machine, to this machine, and nothing passed it on."""
    client = request.client.host if request.client else ""
    if any(name in request.headers for name in _FORWARDED):
        return False
    return is_loopback(client) and is_loopback(host_of(request.scope) or "")
