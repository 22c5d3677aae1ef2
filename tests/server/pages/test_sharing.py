"""Links: what each shows and what it keeps to itself, and that its owner sees them again."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import httpx
import pytest

from server.app import create_app
from server.store.keys import hash_of
from server.store.versions import Saved, Store
from tests.server.attack import PAGE, Guild, held
from tests.server.pages.test_saving import link_on
from tests.server.samples import a_plan, renamed

NAMES = {1: "Alder", 2: "Birch", 3: "Cedar"}
HEAD = 3


@pytest.fixture
def three(guild: Guild) -> Saved:
    """A plan of three versions, each with a name of its own."""
    made = guild.store.create(a_plan(NAMES[1], tags=("first",), tin_in=(4.0, 5.0)))
    for version in (2, 3):
        guild.store.save(made.id, renamed(made.plan, NAMES[version]), version - 1)
    return made


@dataclass(frozen=True)
class Link:
    """What the maker of a view link chose, and the versions that it may show then."""

    version: int | None
    history: bool
    shows: frozenset[int]


LINKS = [
    Link(None, False, frozenset({HEAD})),
    Link(2, False, frozenset({2})),
    Link(HEAD, False, frozenset({HEAD})),
    Link(None, True, frozenset(NAMES)),
    Link(1, True, frozenset(NAMES)),
]


def looks(plan_id: str, version: int | None) -> list[str]:
    """Every address that shows a version of a plan."""
    which = f"?version={version}" if version else ""
    found = [f"/api/plans/{plan_id}{which}", f"/plans/{plan_id}{which}", f"/plans/{plan_id}/plan.json{which}"]
    found += [f"/plans/{plan_id}/{page}{which}" for page in ("picture.svg", "chalk", "pattern.svg")]
    return found + ([] if version else [f"/plans/{plan_id}/share"])


def names_in(answer: httpx.Response) -> set[str]:
    return {name for name in NAMES.values() if name in answer.text}


@pytest.mark.attack
@pytest.mark.parametrize("link", LINKS, ids=str)
def test_a_view_link_shows_what_its_maker_chose(guild: Guild, three: Saved, link: Link) -> None:
    key = guild.store.keyring.add(three.id, "view", link.version, link.history)
    headers = {"Plan-Key": key, **PAGE}
    usual = NAMES[HEAD if link.version is None else link.version]
    for path in looks(three.id, None):
        found = names_in(guild.send("GET", path, headers=headers))
        held("view links", found <= {usual}, (path, found))
    for version, name in NAMES.items():
        for path in looks(three.id, version):
            answer = guild.send("GET", path, headers=headers)
            seen = version in link.shows
            held("view links", answer.status_code == (200 if seen else 404), (path, answer.status_code))
            held("view links", names_in(answer) <= ({name} if seen else set()), path)
    copied = guild.send("POST", f"/api/plans/{three.id}/copy", headers=headers).json()
    held("view links", copied["plan"]["name"] == f"{usual} (copy)")
    for path in ("/versions", "/compare?one=1&other=3"):
        answer = guild.send("GET", f"/plans/{three.id}{path}", headers=headers)
        held("view links", (answer.status_code == 200) == link.history, path)
    answer = guild.send("GET", f"/api/plans/{three.id}/versions", headers=headers)
    held("view links", (answer.status_code == 200) == link.history)
    answer = guild.send("GET", f"/api/plans/{three.id}", headers=headers).json()
    held("view links", link.history or answer["head"] == answer["version"], answer)


def ringed(guild: Guild, link: str) -> Callable[[str], httpx.Response]:
    """A browser that came by a link and keeps its ring."""
    came = guild.send("GET", link)
    ring = came.headers["set-cookie"].split(";")[0]
    first = came.headers["location"]
    return lambda path: guild.send("GET", path or first, headers={"Cookie": ring, **PAGE})


@pytest.mark.attack
@pytest.mark.parametrize("link", LINKS, ids=str)
def test_her_shelf_and_archive_show_no_more(guild: Guild, three: Saved, link: Link) -> None:
    key = guild.store.keyring.add(three.id, "view", link.version, link.history)
    goes = ringed(guild, f"/plans/{three.id}?key={key}")
    shown = {NAMES[version] for version in link.shows}
    usual = NAMES[HEAD if link.version is None else link.version]
    held("view links", names_in(goes("")) == {usual})
    held("view links", names_in(goes("/shelf")) <= {NAMES[HEAD], usual} & shown)
    held("view links", names_in(goes("/api/plans")) <= shown)
    with zipfile.ZipFile(io.BytesIO(goes("/shelf.zip").content)) as archive:
        texts = b"".join(archive.read(name) for name in archive.namelist()).decode()
    held("view links", {name for name in NAMES.values() if name in texts} == shown, texts[:300])
    if link.version == 2 and not link.history:  # no word of another version finds it
        held("view links", not names_in(goes("/shelf?query=cedar")))
        held(
            "view links", "first" not in goes("/shelf?query=first").text.split("<main")[1].split("value=")[0]
        )


@pytest.mark.attack
def test_two_links_to_two_versions_show_each_its_own(guild: Guild, three: Saved) -> None:
    one, other = (guild.store.keyring.add(three.id, "view", version) for version in (1, 2))
    first = guild.send("GET", f"/plans/{three.id}?key={one}")
    ring = {"Cookie": first.headers["set-cookie"].split(";")[0], **PAGE}
    second = guild.send("GET", f"/plans/{three.id}?key={other}", headers=ring)
    for came, name in ((first, NAMES[1]), (second, NAMES[2])):
        assert names_in(guild.send("GET", came.headers["location"], headers=ring)) == {name}
    held("view links", guild.send("GET", f"/plans/{three.id}?version=3", headers=ring).status_code == 404)


def test_the_page_says_which(guild: Guild, three: Saved) -> None:
    words = {
        LINKS[0]: ("It follows the plan; no other versions.", "Somebody's plan"),
        LINKS[1]: (
            "It shows version 2, whatever is saved later; no other versions.",
            "Somebody's plan, version 2",
        ),
    }
    for link, (on_share, on_bench) in words.items():
        key = guild.store.keyring.add(three.id, "view", link.version, link.history)
        headers = {"Plan-Key": key, **PAGE}
        assert on_share in guild.send("GET", f"/plans/{three.id}/share", headers=headers).text
        assert (
            f"{on_bench}: you may look and copy, not save"
            in guild.send("GET", f"/plans/{three.id}", headers=headers).text
        )


@pytest.mark.attack
def test_links_stay_before_their_owner_and_nobody_else(guild: Guild, three: Saved) -> None:
    own = {"Plan-Key": str(three.own_key), **PAGE}
    share = f"/plans/{three.id}/share"
    pages = [guild.send("GET", share, headers=own).text for _ in range(2)]
    assert {link_on(page, "view") for page in pages} == {f"/plans/{three.id}?key={three.view_key}"}
    assert {link_on(page, "edit") for page in pages} == {f"/plans/{three.id}?key={three.edit_key}"}
    asked = {"may": "view", "shows": "version", "version": "2"}
    assert guild.send("POST", f"/plans/{three.id}/links", headers=own, data=asked).status_code == 303
    page = guild.send("GET", share, headers=own).text
    assert "View link to version 2" in page
    assert "It shows version 2, whatever is saved later; no other versions." in page
    for may, key in (("view", three.view_key), ("edit", three.edit_key)):
        seen = guild.send("GET", share, headers={"Plan-Key": str(key), **PAGE}).text
        held("view links", not re.search(r"[?]key=", seen), may)
    answer = guild.send("GET", f"/api/plans/{three.id}/links", headers={"Plan-Key": str(three.edit_key)})
    held("view links", answer.status_code == 403)
    listed = guild.send("GET", f"/api/plans/{three.id}/links", headers=own).json()
    assert (listed[0]["may"], listed[0]["version"]) == ("view", 2)


@pytest.mark.attack
def test_the_database_alone_gives_no_link_away(guild: Guild, three: Saved) -> None:
    rows = b"".join(guild.all_rows().values()).decode()
    for key in (three.view_key, three.edit_key, three.own_key):
        held("view links", str(key) not in rows)
    guessing = Store(guild.settings.store_url)  # somebody with the file, but not the secret beside it
    held("view links", all(link.key is None for link in guessing.keyring.links(three.id)))
    assert guessing.keyring.may(three.id, key=three.view_key) == "view"  # they open all the same
    guessing.close()


def test_another_secret_shows_no_old_link_and_breaks_none(guild: Guild, three: Saved) -> None:
    other: dict[str, Any] = {"secret": "another one"}
    settings = guild.settings.model_copy(update=other)
    store = Store.of(settings)
    guild.app = create_app(settings, store)
    page = guild.send(
        "GET", f"/plans/{three.id}/share", headers={"Plan-Key": str(three.own_key), **PAGE}
    ).text
    assert page.count("cannot be shown again") == 2
    assert page.count("Stop this link") == 2
    store.close()


def test_no_link_to_a_version_that_is_not_there(guild: Guild, three: Saved) -> None:
    own = {"Plan-Key": str(three.own_key)}
    body = {"may": "view", "version": 4}
    answer = guild.send("POST", f"/api/plans/{three.id}/links", headers=own, json=body)
    assert answer.status_code == 404
    assert "no version 4" in answer.json()["detail"]


@pytest.mark.attack
def test_one_link_is_stopped_and_the_others_work_on(guild: Guild, three: Saved) -> None:
    own = {"Plan-Key": str(three.own_key), **PAGE}
    here = f"/plans/{three.id}"
    for whom in ("Bess", "Cora"):
        guild.send("POST", f"{here}/links", headers=own, data={"may": "edit", "whom": whom})
    page = guild.send("GET", f"{here}/share", headers=own).text
    assert page.index("Edit link for Cora") and page.index("Edit link for Bess")
    listed = {one["whom"]: one for one in guild.send("GET", f"/api{here}/links", headers=own).json()}
    bess, cora = ({"Plan-Key": listed[whom]["key"]} for whom in ("Bess", "Cora"))
    ring = guild.send("GET", f"{here}?key={listed['Bess']['key']}").headers["set-cookie"].split(";")[0]
    for _ in range(2):  # a request sent twice
        there = guild.send("POST", f"{here}/links/stop", headers=own, data={"link": listed["Bess"]["id"]})
        assert there.status_code == 303
    assert "That link has stopped." in guild.send("GET", there.headers["location"], headers=own).text
    for closed in (bess, {"Cookie": ring}):
        held("view links", guild.send("GET", here, headers=closed).status_code == 404)
    assert guild.send("GET", here, headers=cora).status_code == 200
    stopped = guild.send("DELETE", f"/api{here}/links/{listed['Cora']['id']}", headers=own)
    assert (stopped.status_code, guild.send("GET", here, headers=cora).status_code) == (204, 404)
    assert guild.send("GET", here, headers={"Plan-Key": str(three.edit_key)}).status_code == 200


@pytest.mark.attack
def test_a_link_of_another_plan_is_not_stopped_nor_her_own_first_key(guild: Guild, three: Saved) -> None:
    other = guild.store.create(a_plan("Other"))
    own = {"Plan-Key": str(three.own_key)}
    for key in (other.edit_key, three.own_key):
        guild.send("POST", f"/plans/{three.id}/links/stop", headers=own, data={"link": hash_of(str(key))})
    held("view links", guild.store.keyring.may(other.id, key=other.edit_key) == "edit")
    assert guild.store.keyring.may(three.id, key=three.own_key) == "own"


def test_its_owner_is_told_where_owning_is_kept(guild: Guild, three: Saved) -> None:
    pages = {
        may: guild.send("GET", f"/plans/{three.id}/share", headers={"Plan-Key": str(key), **PAGE}).text
        for may, key in (("own", three.own_key), ("edit", three.edit_key), ("view", three.view_key))
    }
    assert [may for may, page in pages.items() if "kept in this browser alone" in page] == ["own"]
    assert "Only its owner can hand out links" in pages["edit"]


def test_no_link_to_this_machine_is_explained_by_a_home_network(guild: Guild, three: Saved) -> None:
    here = {"Plan-Key": str(three.own_key), "Host": "127.0.0.1:8317", **PAGE}
    assert "--lan" not in guild.send("GET", f"/plans/{three.id}/share", headers=here).text
