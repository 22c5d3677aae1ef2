"""Finding plans: the words a plan is found by, and one page of those that match."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from typing import Literal

from sqlalchemy import ColumnElement, Connection, delete, func, insert, or_, select, update

from planner.plan import Plan
from server.store.keys import May, Opens, opened_by
from server.store.tables import keys, plans, rings, tags, versions

Sort = Literal["newest", "oldest", "name"]
ROWS = 24  # plans on a page of the shelf: even in two, three and four columns
LONGEST_QUERY = 200

_ORDER = {
    "newest": (plans.c.changed_at.desc(), plans.c.id.desc()),
    "oldest": (plans.c.changed_at, plans.c.id),
    "name": (plans.c.name_key, plans.c.id),
}


@dataclass(frozen=True)
class Row:
    """A plan as it stands on the shelf."""

    id: str
    name: str
    version: int
    versions: int
    made_at: float
    changed_at: float
    deleted_at: float | None
    tags: tuple[str, ...]
    history: bool = True  # whether its other versions may be looked at
    may: May = "own"


@dataclass(frozen=True)
class Page:
    """One page of the plans found; `page` counts from 1 and never passes `pages`."""

    rows: tuple[Row, ...]
    total: int
    page: int
    pages: int


def plain(words: str) -> str:
    """Without control characters and spare spaces: what may stand in a name column or a page title."""
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())


def folded(words: str) -> str:
    """Without case and accents, so that `cafe` finds `Café`."""
    apart = unicodedata.normalize("NFKD", plain(words)).casefold()
    return "".join(c for c in apart if not unicodedata.combining(c))


def found_by(plan: Plan) -> dict[str, str]:
    """The columns of `plans` that a plan is found by."""
    name = plain(plan.name)
    words = " ".join((name, *plan.tags, plan.fill.kind, plan.corner))
    return {"name": name, "name_key": folded(name), "search": folded(words)}


def set_tags(connection: Connection, plan_id: str, plan: Plan) -> None:
    """Give a plan these tags, and no others."""
    connection.execute(delete(tags).where(tags.c.plan_id == plan_id))
    words = sorted({plain(tag) for tag in plan.tags} - {""})
    if words:
        connection.execute(insert(tags), [{"plan_id": plan_id, "tag": word} for word in words])


def index_plan(connection: Connection, plan_id: str, plan: Plan) -> None:
    """Make the plan found by what its newest version says."""
    connection.execute(update(plans).where(plans.c.id == plan_id).values(**found_by(plan)))
    set_tags(connection, plan_id, plan)


def search(
    connection: Connection,
    query: str = "",
    sort: Sort = "newest",
    tag: str = "",
    page: int = 1,
    *,
    deleted: bool = False,
    ring: str | None = None,
) -> Page:
    """The plans in which every word of `query` occurs; of one ring (its hash) only those it has keys to.

    A plan of which a ring shows single versions stands there as the newest of these, and no words find it.
    """
    where: list[ColumnElement[bool]] = [
        plans.c.deleted_at.is_not(None) if deleted else plans.c.deleted_at.is_(None)
    ]
    where += [
        plans.c.search.contains(word, autoescape=True) for word in folded(query[:LONGEST_QUERY]).split()
    ]
    if tag:
        where.append(plans.c.id.in_(select(tags.c.plan_id).where(tags.c.tag == plain(tag))))
    if ring is not None:
        where.append(_held(ring, as_it_is=bool(query.strip() or tag)))
    total = connection.execute(select(func.count()).select_from(plans).where(*where)).scalar_one()
    pages = max(1, -(-total // ROWS))
    page = min(max(1, page), pages)
    order = _ORDER[sort] if sort in _ORDER else _ORDER["newest"]
    found = connection.execute(
        select(plans).where(*where).order_by(*order).limit(ROWS).offset((page - 1) * ROWS)
    ).all()
    words: dict[str, list[str]] = {row.id: [] for row in found}
    for plan_id, word in connection.execute(
        select(tags.c.plan_id, tags.c.tag).where(tags.c.plan_id.in_(list(words))).order_by(tags.c.tag)
    ):
        words[plan_id].append(word)
    rows = tuple(
        Row(
            id=row.id,
            name=row.name,
            version=row.head,
            versions=row.latest,
            made_at=row.made_at,
            changed_at=row.changed_at,
            deleted_at=row.deleted_at,
            tags=tuple(words[row.id]),
        )
        for row in found
    )
    if ring is not None:
        opens = opened_by(connection, ring, list(words))
        rows = tuple(_as_shown(connection, row, opens[row.id]) for row in rows)
    return Page(rows, total, page, pages)


def tag_counts(connection: Connection, *, ring: str | None = None, most: int = 40) -> list[tuple[str, int]]:
    """The tags in use and how many plans have each, most used first."""
    where: list[ColumnElement[bool]] = [plans.c.deleted_at.is_(None)]
    if ring is not None:
        where.append(_held(ring, as_it_is=True))
    many = func.count()
    rows = connection.execute(
        select(tags.c.tag, many)
        .join(plans, plans.c.id == tags.c.plan_id)
        .where(*where)
        .group_by(tags.c.tag)
        .order_by(many.desc(), tags.c.tag)
        .limit(most)
    )
    return [(tag, count) for tag, count in rows]


def _held(ring: str, *, as_it_is: bool) -> ColumnElement[bool]:
    """The plans that a ring has keys to. as_it_is: only those whose newest version it shows."""
    held = select(keys.c.plan_id).join(rings, rings.c.hash == keys.c.hash).where(rings.c.ring == ring)
    if as_it_is:
        held = held.where(or_(keys.c.version.is_(None), keys.c.history))
    return plans.c.id.in_(held)


def _as_shown(connection: Connection, row: Row, opens: Opens) -> Row:
    """A row of the shelf, without what the keys to its plan do not show."""
    row = replace(row, may=opens.may)
    if opens.history:
        return row
    if opens.follows:
        return replace(row, versions=1, history=False)
    version = opens.usual(row.version)
    wanted = versions.c.plan_id == row.id, versions.c.version == version
    found = connection.execute(select(versions.c.body, versions.c.saved_at).where(*wanted)).one()
    plan, at = Plan.model_validate_json(found.body), found.saved_at
    words = tuple(sorted({plain(tag) for tag in plan.tags} - {""}))
    return Row(
        row.id, plain(plan.name), version, 1, at, at, row.deleted_at, words, history=False, may=opens.may
    )
