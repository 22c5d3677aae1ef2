"""Pages and pictures for the same form: what is drawn, what follows, what is refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from urllib.parse import urlencode
from xml.etree import ElementTree

import httpx
import pytest

from planner.demo import demo_choice, demo_plan
from planner.lengths import parse_length
from planner.pictures.colour import CHALK, CHALK_ON_LIGHT, chalk_for, contrast
from planner.plan import Fill, Plan
from planner.solver import propose
from planner.solver.propose import Proposals
from server.pages import workbench_view
from server.pages.forms import choice_text, read, values_of
from server.pages.workbench_view import fill_address
from server.store.links import pack, unpack
from server.worker import Busy, Overload, TooMuch
from server.workers import Workers

Ask = Callable[..., httpx.Response]
VALUES = values_of(demo_plan())


def test_the_demo_plan_is_drawn_at_the_first_look(ask: Ask) -> None:
    page = ask("GET", "/").text
    assert demo_plan().name in page
    assert choice_text(demo_choice()) in page
    assert page.count('class="way"') >= 3


def test_what_is_still_to_fill_in_is_no_mistake(ask: Ask) -> None:
    empty = ask("GET", "/new").text
    assert "Still to fill in" in empty
    assert "the tin of templates" in empty
    measured = {
        name: text for name, text in values_of(demo_plan()).items() if name not in ("tin_in", "cut_own")
    }
    assert "Still to fill in" in ask("GET", "/", params=measured).text
    assert "This does not fit yet" in ask("GET", "/", params=measured | {"border": "eight-ish"}).text


def test_the_drawing_follows_without_solving_again(ask: Ask) -> None:
    answer = ask("GET", "/drawing?" + urlencode({**VALUES, "sides_in.top": "90"}))
    assert answer.status_code == 200
    assert 'id="spine-line"' in answer.text
    assert 'class="way"' not in answer.text


def test_what_follows_from_a_form_is_worked_out_once(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    """Until anything in it is other: then she sees that, and not what was there before."""
    made: list[str] = []

    def counted(plan: Plan) -> Proposals:
        made.append(plan.name)
        return propose(plan)

    monkeypatch.setattr(workbench_view, "propose", counted)
    mine = {**VALUES, "name": "Looked at twice"}
    first, again = (ask("GET", f"/?{urlencode(mine)}").text for _ in range(2))
    assert again == first
    other = ask("GET", f"/?{urlencode({**mine, 'name': 'Looked at once', 'look.thread': '#123456'})}").text
    assert made == ["Looked at twice", "Looked at once"]
    assert "Looked at twice" not in other
    assert "#123456" in other
    assert workbench_view.kept.size <= workbench_view.KEPT_BYTES


def test_a_way_that_is_gone_is_not_followed(ask: Ask) -> None:
    assert ask("GET", "/drawing?" + urlencode({**VALUES, "border": "5"})).status_code == 204


@pytest.mark.parametrize(
    "half_typed", [{"sides_in.top": ""}, {"border": "8 1/"}, {"working.way": "frame"}], ids=str
)
def test_her_choice_waits_while_a_number_is_half_typed(ask: Ask, half_typed: dict[str, str]) -> None:
    form = values_of(demo_plan())
    page = ask("GET", "/", params=form | half_typed).text
    assert f'id="choice" value="{form["choice"]}"' in page


def test_what_was_drawn_unasked_gives_way_to_the_first(ask: Ask) -> None:
    """While she still types her tin, something lands already: that is no choice of hers."""
    form = {**VALUES, "choice": "", "tin_in": "2 1/2; 3"}
    half = ask("GET", "/", params=form).text
    drawn = _hidden(half, "drawn")
    assert _hidden(half, "choice") == ""
    whole = form | {"tin_in": VALUES["tin_in"], "drawn": drawn}
    followed, page = ask("GET", "/drawing", params=whole).text, ask("GET", "/", params=whole).text
    assert _heading(followed) == _heading(half) != _heading(page)  # her hand is followed all the same
    assert "since you chose" not in followed
    assert "You have chosen none yet" in page
    first = propose(demo_plan().model_copy(update={"choice": None})).proposals[0].choice
    assert _hidden(page, "drawn") == choice_text(first) != drawn
    chalk = ask("GET", "/chalk", params=whole).headers["location"]
    assert unpack(chalk.split("/")[2]).choice == first


def test_a_damaged_choice_is_none(ask: Ask) -> None:
    page = ask("GET", "/", params={**VALUES, "choice": "7.0,broken"}).text
    assert "You have chosen none yet" in page
    assert _hidden(page, "choice") == ""


def _heading(page: str) -> str:
    return re.findall(r"<h1>(.*?)</h1>", page)[0]


def _hidden(page: str, name: str) -> str:
    return re.findall(f'id="{name}" value="([^"]*)"', page)[0]


@pytest.mark.parametrize("view", ["run", "whole"])
def test_the_picture_stands_by_itself(ask: Ask, view: str) -> None:
    answer = ask("GET", f"/picture.svg?view={view}&{urlencode(VALUES)}")
    assert answer.headers["content-type"] == "image/svg+xml"
    root = ElementTree.fromstring(answer.text)
    ids = {element.get("id") for element in root.iter()}
    links = {element.get("href") for element in root.iter() if element.get("href")}
    assert {link.removeprefix("#") for link in links if link} <= ids


def test_a_picture_of_nothing_is_refused_in_words(ask: Ask) -> None:
    answer = ask("GET", "/picture.svg?" + urlencode({**VALUES, "sides_in.left": ""}))
    assert answer.status_code == 422
    assert answer.json()["field"] == "sides_in.left"


def test_the_fill_is_grown_as_a_picture_of_its_own(ask: Ask) -> None:
    answer = ask("GET", fill_address(demo_plan()))
    assert answer.status_code == 200
    assert ElementTree.fromstring(answer.text).tag.endswith("svg")
    assert answer.text.count("<use") > 100


@pytest.mark.parametrize("plan", ["", "x", "c1.AAAA", "../../etc/passwd"])
def test_a_damaged_plan_grows_nothing(ask: Ask, plan: str) -> None:
    assert 400 <= ask("GET", "/fill.svg?" + urlencode({"plan": plan})).status_code < 500


def test_names_are_never_markup(ask: Ask) -> None:
    page = ask("GET", "/?" + urlencode({**VALUES, "name": '<script>"&amp;</script>'})).text
    assert "<script>&" not in page
    assert '<script>"' not in page


@pytest.mark.parametrize("look", ["red", "#12", "javascript:1", "#000000;}body{display:none"])
def test_the_style_sheet_takes_only_colours(ask: Ask, look: str) -> None:
    assert look not in ask("GET", "/look.css?" + urlencode({"cloth": look})).text


@pytest.mark.parametrize(("cloth", "chalk"), [("#2f4858", CHALK), ("#f6efe0", CHALK_ON_LIGHT)])
def test_chalk_shows_on_any_cloth(cloth: str, chalk: str) -> None:
    assert chalk_for(cloth) == chalk
    assert contrast(chalk, cloth) >= 4.5


def test_contrast_is_the_published_one() -> None:
    """WCAG 2.2: black on white is 21:1; #767676 on white is the lightest grey that keeps 4.5:1 (from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_what_is_refused_is_told_in_her_units(ask: Ask) -> None:
    metric = VALUES | {"units": "mm", "border": "18", "binding_allowance_in": "6"}
    page = ask("GET", "/", params=metric).text
    assert "is 18 mm wide" in page
    assert "already take 31 mm" in page
    assert 'placeholder="25 mm"' in page, "the usual room"


@pytest.mark.parametrize(
    ("units", "were", "typed", "shown"),
    [
        ("mm", "in", "90 1/8", "2289 mm"),  # 90.125 x 25.4 = 2289.175
        ("cm", "in", "90 1/8", "228.9 cm"),
        ("cm", "mm", "2289", "228.9 cm"),
        ("in", "mm", "2286", "90 in"),
        ("in", "in", "90 1/8", "90 1/8"),
        ("mm", "mm", "2286", "2286"),
    ],
)
def test_her_figures_go_into_the_other_units_and_mean_the_same(
    ask: Ask, units: str, were: str, typed: str, shown: str
) -> None:
    shows = {"layers": "set", "show.guides": "on"}
    switched = {"units": units, "units_were": were, "sides_in.top": typed}
    page = ask("GET", "/", params={**VALUES, **shows, **switched}).text
    fields = dict(re.findall(r'name="([^"]*)" value="([^"]*)"', page))
    assert fields["sides_in.top"] == shown
    plan = read(VALUES | {"units": units, **fields}).plan
    assert plan is not None
    assert plan.sides_in.top == parse_length(typed, were), "exactly what she wrote, beside the mark"  # type: ignore[arg-type]
    assert re.search(r'name="show.guides"[^>]*checked', page), "what is shown stays as it was"
    assert not re.search(r'name="show.circles"[^>]*checked', page)


def test_a_word_that_no_list_offers_is_refused_by_the_name_of_its_list(ask: Ask) -> None:
    for name, said in {
        "fill.kind": "“Fill” has no “nonesuch”",
        "run": "“Curls” has no",
        "corner_motif": "“In the large circles” has no",
        "look.cloth": "The colour of the centre does not",
        "threads.0.colours.0": "A colour of thread 1 does not",
    }.items():
        told = ask("GET", f"/?{urlencode({**VALUES, name: 'nonesuch'})}").text
        (troubles,) = re.findall(r'<ul class="troubles">(.*?)</ul>', told)
        assert said in troubles
        words = re.sub("<[^>]*>", "", troubles)
        assert name not in words or "." not in name
        assert "literal" not in words


def test_a_mistyped_side_is_put_right_by_a_button(ask: Ask) -> None:
    form = VALUES | {"sides_in.top": "228,9"}
    page = ask("GET", "/", params=form).text
    assert "mistyped" in page
    assert "circle" not in page[page.index('id="spoken"') : page.index("</section>")]
    assert 'name="instead" value="sides_in.top=228.9 cm"' in page
    mended = ask("GET", "/", params=form | {"instead": "sides_in.top=228.9 cm"}).text
    assert "mistyped" not in mended
    assert 'value="228.9 cm"' in mended
    other = ask("GET", "/", params=VALUES | {"instead": "name=Mallory"}).text
    assert "Mallory" not in other, "only a length is put right so"


def test_a_side_that_only_makes_sense_in_centimetres_is_asked_about(ask: Ask) -> None:
    sides = {f"sides_in.{side}": "258,4" for side in ("top", "right", "bottom", "left")}
    page = ask("GET", "/", params=VALUES | sides).text
    assert "Did you mean 258.4 cm?" in page
    assert 'name="instead" value="sides_in.top=258.4 cm"' in page
    page = ask("GET", "/", params=VALUES | sides | {"sides_in.top": "2584000"}).text
    assert 'value="sides_in.top=' not in page


@pytest.mark.parametrize(("why", "status"), [(Busy(), 503), (TooMuch(20), 422)])
def test_a_fill_that_cannot_be_drawn_now_is_an_empty_picture(
    monkeypatch: pytest.MonkeyPatch, ask: Ask, why: Overload, status: int
) -> None:
    async def full(*_: object) -> str:
        raise why

    monkeypatch.setattr(Workers, "answer", full)
    answer = ask("GET", "/fill.svg?" + urlencode({"plan": pack(demo_plan())}))
    assert (answer.status_code, answer.headers["content-type"]) == (status, "image/svg+xml")
    assert ("retry-after" in answer.headers) == (status == 503), "only where asking again helps"
    assert answer.text.startswith("<svg ")


def test_the_border_as_quilted_is_an_image_of_its_own(ask: Ask) -> None:
    page = ask("GET", "/").text
    side, whole = re.findall(r'class="quilted" loading="lazy" src="([^"]+)"', page)
    assert "as quilted</label>" in page and "The thread shows clearly on this cloth" in page
    for address in (side, whole):
        answer = ask("GET", unescape(address))
        assert answer.headers["content-type"] == "image/svg+xml" and "feDiffuseLighting" in answer.text
    assert 'class="quilted" loading' not in ask("GET", "/drawing", params=values_of(demo_plan())).text


def test_how_close_the_quilting_is_stands_beside_the_centre(ask: Ask) -> None:
    form = {**VALUES, "fill.density": "closer", "centre_apart_in": "1"}
    page = ask("GET", "/", params=form).text
    assert 'value="closer" selected' in page
    assert re.search(r"About \d\.\d inches of stitching on each square inch", page)
    assert "times as close as the centre: so much closer, a border draws in" in page
    assert read(form).plan == read(values_of(read(form).plan or demo_plan())).plan


def test_echo_lines_say_that_nothing_lies_behind_them(ask: Ask) -> None:
    plan = demo_plan().model_copy(update={"background": "pebbles"})
    told = "Nothing lies behind echo lines: they go to the edge. Feathers leave room for pebbles."
    assert told not in ask("GET", "/", params=values_of(plan)).text
    echo = plan.model_copy(update={"fill": Fill(kind="echo"), "choice": None})
    assert told in ask("GET", "/", params=values_of(echo)).text
