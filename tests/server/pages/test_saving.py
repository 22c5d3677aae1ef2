"""The pages of the shelf as a person uses them: save, change, conflict, share, bring in, take along."""

from __future__ import annotations

import asyncio
import html
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode
from xml.etree import ElementTree

import httpx
import pytest

from planner.demo import demo_plan
from server.app import create_app
from server.pages.forms import in_units, values_of
from server.pages.sharing import qr_code
from server.settings import Settings
from server.store.fetch import fetch
from server.store.planfile import read_plan_file, write_plan_file
from server.store.versions import Store
from server.worker import Busy
from server.workers import Workers
from tests.server.samples import a_plan
from tests.server.serving import NO_RATES, Planner


class Person:
    """Somebody at a browser that keeps its cookies, on a guild's server."""

    def __init__(self, app: object) -> None:
        self.app = app
        self.cookies = httpx.Cookies()

    def does(self, method: str, path: str, **more: object) -> httpx.Response:
        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(self.app)  # type: ignore[arg-type]
            async with httpx.AsyncClient(
                transport=transport,
                base_url="http://quilts.example",
                cookies=self.cookies,
                headers={"accept": "text/html"},
            ) as browser:
                answer = await browser.request(method, path, **more)  # type: ignore[arg-type]
                self.cookies = browser.cookies
                return answer

        return asyncio.run(once())

    def goes(self, path: str) -> str:
        answer = self.does("GET", path)
        while answer.status_code == 303:
            answer = self.does("GET", answer.headers["location"])
        assert answer.status_code == 200, answer.text
        return answer.text

    def saves(self, **texts: str) -> str:
        """Press Save on the workbench; where that leads."""
        answer = self.does("POST", "/plans", data=values_of(demo_plan()) | texts)
        assert answer.status_code == 303, answer.text
        return str(answer.headers["location"])


@pytest.fixture
def app(tmp_path: Path) -> Iterator[object]:
    settings = Settings(data_folder=tmp_path, guild=True, changes_a_minute=10**6)
    store = Store(settings.store_url)
    yield create_app(settings, store)
    store.close()


def link_on(page: str, kind: str) -> str:
    found = re.search(rf'id="link-{kind}-[0-9]+"[^>]*>([^<]+)</textarea>', page)  # the newest of its kind
    assert found, page
    return html.unescape(found[1]).removeprefix("http://quilts.example")


def link_to(page: str, words: str) -> str:
    found = re.search(rf'<a [^>]*href="([^"]+)"[^>]*>{words}</a>', page)
    assert found, page
    return html.unescape(found[1])


def test_save_and_save_again(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="Hedgerow")
    page = ada.goes(there)
    assert "Version 1 of your plan" in page
    plan_id = there.rsplit("/", 1)[1]
    ada.does("POST", f"{there}/tags", data={"tags": "gift, 2027; gift"})
    ada.saves(name="Hedgerow, wider", border="7", plan=plan_id, version="2")
    plan = read_plan_file(ada.does("GET", f"{there}/plan.json").content)
    assert (plan.name, plan.border_in.top, plan.tags) == ("Hedgerow, wider", 7.0, ("gift", "2027"))
    assert plan.choice is not None
    assert "Hedgerow, wider" in ada.goes("/shelf?tag=gift")
    assert "Compare with now" in ada.goes(f"{there}/versions")
    compared = ada.goes(f"{there}/compare?one=1&other=3")
    assert "Border width" in compared
    assert ada.does("POST", f"{there}/restore", data={"version": "1"}).status_code == 303
    assert "Version 4 of your plan" in ada.goes(there)


@pytest.mark.parametrize(
    ("beside", "back"),
    [
        ("/chalk", "Back to the plan"),
        ("/playback", "Back to the plan"),
        ("/supplies", "Back to the plan"),
        ("/compare", "Back to the plan"),
    ],
)
def test_an_edited_plan_is_still_that_plan_after_a_look_at_another_page(
    app: object, beside: str, back: str
) -> None:
    ada = Person(app)
    there = ada.saves(name="Hedgerow")
    edited = values_of(demo_plan()) | {"name": "Hedgerow II", "plan": there.rsplit("/", 1)[1], "version": "1"}
    page = ada.goes(f"{beside}?{urlencode(edited)}")
    workbench = ada.goes(link_to(page, back))
    assert "Version 1 of your plan" in workbench
    assert 'value="Hedgerow II"' in workbench


def test_switches_and_sheets_of_the_chalk_page_keep_whose_plan_it_is(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="Hedgerow")
    of = {"plan": there.rsplit("/", 1)[1], "version": "1"}
    to_chalk = ada.does("GET", "/chalk", params=values_of(demo_plan()) | {"name": "Hedgerow II"} | of)
    chalk = str(to_chalk.headers["location"])
    page = ada.goes(chalk)
    forms = page.split("<form")[1:]
    assert len(forms) == 3  # two switches, and the papers
    for form in forms:
        for name, text in of.items():
            assert f'name="{name}" value="{text}"' in form
    waiting = ada.goes(f"{chalk.replace('/chalk?', '/making/chalk.pdf?')}&left=1")
    again = ada.goes(link_to(waiting, "Back to the chalk sheet"))
    assert "at your right" in again
    assert "Version 1 of your plan" in ada.goes(link_to(again, "Back to the plan"))


def test_a_friend_looks_and_copies_and_another_edits(app: object) -> None:
    ada, tom, eve = Person(app), Person(app), Person(app)
    there = ada.saves(name="Moor")
    plan_id = there.rsplit("/", 1)[1]
    page = ada.goes(ada.does("POST", f"{there}/keys").headers["location"])
    assert "All earlier links have stopped" in page
    view, edit = link_on(page, "view"), link_on(page, "edit")
    again = ada.goes(f"{there}/share")
    assert (link_on(again, "view"), link_on(again, "edit")) == (view, edit)  # they stay before their owner
    assert "Somebody" in tom.goes(view)
    assert "key=" not in tom.goes(f"{there}/share")
    assert tom.does("GET", view).headers["location"] == there  # the key leaves the address at once
    assert "Moor" in tom.goes("/shelf")
    assert tom.does("POST", f"{there}/delete").status_code == 403
    assert tom.does("POST", f"{there}/copy").status_code == 303
    assert "Moor (copy)" in tom.goes("/shelf")
    assert eve.does("GET", there).status_code == 404
    # Tom saves while Ada is at it too: the second is told, shown both, and loses nothing.
    page = tom.goes(edit)
    assert "Version 1" in page
    assert "what you save is saved for all who have it" in page
    assert "your plan" not in page
    tom.saves(name="Moor, Tom's", plan=plan_id, version="1")
    told = ada.does(
        "POST",
        "/plans",
        data=values_of(demo_plan()) | {"name": "Moor, Ada's", "plan": plan_id, "version": "1"},
    )
    assert told.status_code == 303
    page = ada.goes(told.headers["location"])
    assert "Somebody else saved first" in page
    assert "picture.svg?version=2" in page
    assert "picture.svg?version=3" in page
    assert "Tom" in page
    assert ada.does("POST", f"{there}/restore", data={"version": "3"}).status_code == 303
    names = [
        read_plan_file(ada.does("GET", f"{there}/plan.json?version={n}").content).name for n in (1, 2, 3, 4)
    ]
    assert names == ["Moor", "Moor, Tom's", "Moor, Ada's", "Moor, Ada's"]
    # New keys: Tom's stop, hers go on.
    ada.does("POST", f"{there}/keys")
    assert tom.does("GET", there).status_code == 404
    assert tom.does("GET", view).status_code == 404
    assert "Version 4 of your plan" in ada.goes(there)


@pytest.mark.parametrize("page", ["supplies", "playback", "compare"])
def test_the_way_back_is_to_the_saved_plan(app: object, page: str) -> None:
    ada = Person(app)
    plan_id = ada.saves(name="Hedgerow").rsplit("/", 1)[1]
    texts = values_of(demo_plan()) | {"name": "Hedgerow", "plan": plan_id, "version": "1"}
    back = re.search(r'href="(/\?[^"]*)">Back to the plan', ada.goes(f"/{page}?{urlencode(texts)}"))
    assert back
    assert "Version 1 of your plan" in ada.goes(html.unescape(back[1]))


def test_a_width_taken_from_the_comparison_is_the_next_version(app: object) -> None:
    ada = Person(app)
    plan_id = ada.saves(name="Hedgerow").rsplit("/", 1)[1]
    texts = values_of(demo_plan()) | {"plan": plan_id, "version": "1", "widths": "7; 8"}
    taken = re.search(r'href="(/\?[^"]*)" aria-label="Take 7 in', ada.goes(f"/compare?{urlencode(texts)}"))
    assert taken
    assert "Version 1 of your plan" in ada.goes(html.unescape(taken[1]))


def test_chalk_keeps_the_address_of_what_is_saved(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="Hedgerow")
    ada.does("POST", f"{there}/tags", data={"tags": "gift"})
    saved = read_plan_file(ada.does("GET", f"{there}/plan.json").content)
    texts = values_of(saved) | {"plan": there.rsplit("/", 1)[1], "version": "2"}
    assert ada.does("GET", f"/chalk?{urlencode(texts)}").headers["location"] == f"{there}/chalk"
    changed = ada.does("GET", f"/chalk?{urlencode(texts | {'border': '7'})}").headers["location"]
    assert changed.startswith("/plans/c1.")


def test_into_the_bin_and_back(app: object) -> None:
    ada, tom = Person(app), Person(app)
    there = ada.saves(name="Gone")
    made = ada.does("POST", f"{there}/links", data={"may": "view"}).headers["location"]
    view = link_on(ada.goes(made), "view")
    tom.goes(view)
    binned = ada.does("POST", f"{there}/delete").headers["location"]
    assert "Take it back" in ada.goes(binned)
    assert ada.does("GET", there).status_code == 404
    assert tom.does("GET", there).status_code == 404
    assert "Gone" in ada.goes("/shelf?bin=1")
    assert ada.does("POST", f"{there}/undelete").status_code == 303
    assert "Gone" in tom.goes(there)


def test_bring_in_and_take_along(app: object) -> None:
    ada, tom = Person(app), Person(app)
    one = write_plan_file(a_plan("From a file"))
    there = ada.does("POST", "/shelf/bring", files={"file": ("plan.json", one)}).headers["location"]
    assert "From a file" in ada.goes(there)
    carrying = link_on(ada.goes(f"{there}/share"), "carrying")
    assert "From a file" in tom.goes(carrying)
    assert (
        tom.does("POST", "/shelf/bring", data={"link": f"http://quilts.example{carrying}"}).status_code == 303
    )
    assert "Nothing yet" in tom.goes("/shelf")  # opened, not kept: opening a link changes nothing
    raw = ada.does("GET", "/shelf.zip").content
    assert len(zipfile.ZipFile(io.BytesIO(raw)).namelist()) == 2
    assert "0 plans came" in ada.goes(
        ada.does("POST", "/shelf/bring", files={"file": ("s.zip", raw)}).headers["location"]
    )
    assert "From a file" not in tom.goes("/shelf")
    assert tom.does("POST", "/shelf/bring", files={"file": ("s.zip", raw)}).status_code == 303


def test_a_plan_that_does_not_land_is_kept_too(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="Too wide", border="44")
    assert "Too wide" in ada.goes("/shelf")
    assert ada.does("GET", f"{there}/picture.svg").status_code == 200


def test_a_form_that_cannot_be_read_saves_nothing(app: object) -> None:
    ada = Person(app)
    answer = ada.does("POST", "/plans", data=values_of(demo_plan()) | {"border": "wide"})
    assert answer.status_code == 422
    assert "wide" in answer.text
    assert "Nothing yet" in ada.goes("/shelf")


def test_qr_codes_carry_no_style_of_their_own() -> None:
    svg = qr_code("http://127.0.0.1:8317/plans/abc?key=def")
    assert svg.startswith("<svg")
    assert "style=" not in svg


def test_fetch_brings_a_plan_from_a_real_planner(tmp_path: Path) -> None:
    planner = Planner(
        f"sqlite:///{tmp_path / 'plans.db'}",
        tmp_path / "log",
        settings=NO_RATES | {"CORNERWISE_GUILD_PASSWORD": "thimble"},
    )
    made = Store(f"sqlite:///{tmp_path / 'plans.db'}").create(a_plan("Hers"))
    planner.start()
    try:
        for path in ("", "/share", "/versions"):
            assert fetch(f"{planner.url}/plans/{made.id}{path}?key={made.view_key}") == made.plan
        with pytest.raises(ValueError, match="does not open this plan"):
            fetch(f"{planner.url}/plans/{made.id}?key={'A' * 43}")
    finally:
        planner.kill()
    log = (tmp_path / "log").read_text()
    assert str(made.view_key) not in log
    assert "No password is set" not in log


def lying_there(there: str, version: int = 1, **texts: str) -> dict[str, str]:
    """The form of a saved plan with something changed."""
    of = {"plan": there.rsplit("/", 1)[1], "version": str(version)}
    return values_of(demo_plan()) | of | texts


def hidden_on(page: str) -> dict[str, str]:
    """Which plan a workbench is about, as its form says it."""
    found = dict(re.findall(r'<input type="hidden" form="measurements" name="(\w+)" value="(\w*)">', page))
    assert set(found) == {"plan", "version", "onto"}
    return found


def unsaved(page: str) -> bool:
    return '<span id="unsaved">' in page


def test_what_is_not_stored_does_not_look_stored(app: object) -> None:
    """The server compares with what is stored: a reload, the way back or a link do not make it look saved."""
    ada = Person(app)
    there = ada.saves()
    assert not unsaved(ada.goes(there))
    assert not unsaved(ada.goes(f"/?{urlencode(lying_there(there))}"))
    for change in ({"sides_in.top": "90"}, {"name": "Other"}, {"choice": ""}, {"look.thread": "#ffffff"}):
        assert unsaved(ada.goes(f"/?{urlencode(lying_there(there, **change))}"))
    assert unsaved(ada.goes(f"/?{urlencode(lying_there(there, border='wide'))}"))
    ada.saves(**lying_there(there, name="Other"))
    assert not unsaved(ada.goes(f"/?{urlencode(lying_there(there, 2, name='Other'))}"))


def test_a_plan_from_the_program_of_then_is_not_changed_by_looking_at_it(app: object) -> None:
    """It was stored with every need of its fill spelled out; the form leaves out what is usual."""
    plan = demo_plan().model_dump(mode="json")
    plan["fill"] = {"kind": "feathers", "room_in": 1.0, "longest_in": 2.5, "smallest_curl_in": 0.75}
    ada = Person(app)
    made = ada.does(
        "POST",
        "/api/plans",
        json={
            "plan": plan,
        },
    ).json()
    assert not unsaved(ada.goes(f"/plans/{made['id']}"))
    same = lying_there(f"/plans/{made['id']}")
    page = ada.goes(f"/?{urlencode(same)}")
    assert "Version 1 of your plan" in page


def test_an_edited_old_version_is_saved_as_it_is_seen(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="First")
    ada.saves(**lying_there(there, name="Second"))
    old = ada.goes(f"{there}?version=1")
    assert "Take this version up again" in old
    edited = lying_there(there, name="First, mended") | hidden_on(old)
    page = ada.goes(f"/?{urlencode(edited)}")
    assert unsaved(page)
    assert "Save this as the plan" in page
    assert ada.does("POST", "/plans", data=edited).headers["location"] == there
    assert read_plan_file(ada.does("GET", f"{there}/plan.json").content).name == "First, mended"
    assert ada.does("GET", f"/api{there}").json()["base"] == 1


def test_an_old_version_is_taken_up_again_as_it_was(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="First")
    ada.saves(**lying_there(there, name="Second"))
    assert (
        ada.does("POST", "/plans", data=lying_there(there, name="First") | {"onto": "2"}).status_code == 303
    )
    assert "version 1 taken up again" in ada.goes(f"{there}/versions")


def test_who_saved_meanwhile_is_not_overwritten_by_an_old_version(app: object) -> None:
    ada = Person(app)
    there = ada.saves(name="First")
    ada.saves(**lying_there(there, name="Second"))
    ada.saves(**lying_there(there, 2, name="Third"))
    edited = lying_there(there, name="First, mended") | {"onto": "2"}
    assert "mine=1" in ada.does("POST", "/plans", data=edited).headers["location"]
    assert read_plan_file(ada.does("GET", f"{there}/plan.json").content).name == "Third"


def test_what_was_begun_from_the_plan_is_not_saved_over_what_came_since(app: object) -> None:
    """Her workbench learns on the way that somebody saved: Save still asks, and keeps both."""
    ada = Person(app)
    there = ada.saves(name="First")
    began = hidden_on(ada.goes(there))
    hers = f"/?{urlencode(lying_there(there, name='Hers') | began)}"
    assert "meanwhile somebody saved" not in ada.goes(hers)
    ada.saves(**lying_there(there, name="His"))
    page = ada.goes(hers)  # the same form: what is kept of it says nothing of what lies on the shelf
    assert "meanwhile somebody saved" in page
    assert "Save this as the plan" not in page
    said = ada.goes(
        ada.does("POST", "/plans", data=lying_there(there, name="Hers") | hidden_on(page)).headers["location"]
    )
    assert "Somebody else saved first" in said
    assert read_plan_file(ada.does("GET", f"{there}/plan.json").content).name == "His"
    ada.does("POST", f"{there}/restore", data={"version": "3"})
    assert "Somebody else saved first" not in ada.goes(f"{there}/compare?one=3&mine=1")


def test_what_was_being_saved_when_its_link_stopped_is_kept_and_told(app: object) -> None:
    ada, cora = Person(app), Person(app)
    there = ada.saves(name="Lap quilt")
    cora.goes(link_on(ada.goes(f"{there}/share"), "edit"))
    hers = lying_there(there, name="Lap quilt", border="7") | hidden_on(cora.goes(there))
    ada.does("POST", f"{there}/keys")
    page = cora.goes(cora.saves(**hers))
    assert "This link was stopped. Your work is kept as a plan of your own." in page
    assert 'value="Lap quilt (copy)"' in page
    assert "Version 1 of your plan" in page
    ada.does("POST", f"{there}/delete")
    page = ada.goes(ada.saves(**hers))
    assert "That plan is in the bin. Your work is kept as a plan of its own." in page
    assert "kept as a plan" not in ada.goes(ada.saves(**hers, **{"as": "another"}))


def test_other_units_change_nothing(app: object) -> None:
    ada = Person(app)
    there = ada.saves()
    turned = in_units(values_of(demo_plan()), "cm")
    assert turned["sides_in.top"] != values_of(demo_plan())["sides_in.top"]
    asked = lying_there(there) | turned
    assert not unsaved(ada.goes(f"/?{urlencode(asked)}"))
    assert unsaved(ada.goes(f"/?{urlencode(asked | {'sides_in.top': '229 cm'})}"))
    # what is printed is in the units that she sees
    assert ada.does("GET", f"/chalk?{urlencode(asked)}").headers["location"].startswith("/plans/c1.")


def test_who_saved_stands_beside_the_version(app: object) -> None:
    ada, cora = Person(app), Person(app)
    there = ada.saves(name="Lap quilt")
    cora.goes(link_on(ada.goes(f"{there}/share"), "edit"))
    named = cora.does("POST", "/name", data={"name": "Cora Lindström; <b>", "to": f"{there}/share"})
    assert named.headers["location"] == f"{there}/share"
    assert 'value="Cora Lindström; &lt;b&gt;"' in cora.goes(f"{there}/share")
    cora.saves(**lying_there(there, name="Lap quilt, hers"))
    history = ada.goes(f"{there}/versions")
    assert "saved by Cora Lindström; &lt;b&gt;, from version 1" in history
    assert "put on the shelf, stamp" in history  # Ada said no name
    second = ada.does("POST", "/plans", data=lying_there(there, name="Lap quilt, mine"))
    assert "Cora Lindström; &lt;b&gt; saved version 2" in ada.goes(second.headers["location"])
    archive = ada.does("GET", "/shelf.zip").content
    elsewhere = Person(
        create_app(Settings(data_folder=Path(str(app.state.settings.data_folder)) / "other", guild=True))
    )  # type: ignore[attr-defined]
    elsewhere.does("POST", "/shelf/bring", files={"file": ("shelf.zip", archive)})
    assert "saved by Cora Lindström" in elsewhere.goes(f"{there}/versions")
    cora.does("POST", "/name", data={"name": " "})
    assert "Cora" not in cora.goes(f"{there}/share")


def test_a_shelf_says_what_each_plan_is_for_her(app: object) -> None:
    ada, cora = Person(app), Person(app)
    for name, kind in (("Changed", "edit"), ("Looked at", "view")):
        there = ada.saves(name=name)
        cora.goes(link_on(ada.goes(f"{there}/share"), kind))
    cora.saves(name="Own")
    shelf = cora.goes("/shelf")
    told = {"Own": "yours", "Changed": "you may change it", "Looked at": "to look at"}
    for row in shelf.split('<li class="plan">')[1:]:
        name = next(name for name in told if f"<h2>{name}</h2>" in row)
        assert {words for words in told.values() if f"; {words}" in row} == {told[name]}
    assert "they come by their links alone" in shelf


def test_pictures_on_the_shelf_tell_fills_apart(app: object, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = Person(app)
    pictures = set()
    for kind in ("feathers", "leaves"):
        there = ada.saves(name="Fill", **{"fill.kind": kind, "choice": ""})
        cover = re.search(rf'src="({there}/picture.svg[^"]*)"', ada.goes("/shelf"))
        assert cover
        drawn = ada.does("GET", html.unescape(cover[1]))
        ElementTree.fromstring(drawn.text)
        assert drawn.text.count("<path") > 10
        pictures.add(re.sub("<metadata>.*</metadata>", "", drawn.text))
    assert len(pictures) == 2

    async def full(*_: object) -> str:
        raise Busy

    monkeypatch.setattr(Workers, "answer", full)
    spines = ada.does("GET", html.unescape(cover[1]))
    assert (spines.status_code, "cache-control" in spines.headers) == (503, False)
    assert spines.text.count("<path") < 10
