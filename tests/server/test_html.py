"""What visitors type is only ever text, in pages, headers and files; a file name keeps the letters of its plan.

File names: as far as ASCII goes (RFC 6266, RFC 5987).
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from urllib.parse import unquote

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.fit import fit
from server.html import attachment
from server.store.links import pack
from server.store.planfile import write_plan_file
from tests.server.attack import NASTY, PAGE, PLAN, Guild
from tests.server.samples import a_plan


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Żółta łąka", "Zolta laka"),
        ("Größe à l'été", "Grosse a l-ete"),
        ("Smørrebrød & Æbler", "Smorrebrod - Aebler"),
        ("Đà Lạt", "Da Lat"),
        ("Zu\u0308rich", "Zurich"),  # typed with a combining mark
        ("波と桜", "plan"),
        ("", "plan"),
    ],
)
def test_ascii_names_keep_their_letters(name: str, plain: str) -> None:
    assert f'filename="{plain}.pdf"' in attachment(name, "pdf")["Content-Disposition"]


@given(st.text(max_size=130))
def test_any_name_gives_one_safe_header_line(name: str) -> None:
    header = attachment(name, "pdf")["Content-Disposition"]
    found = re.fullmatch(
        r"attachment; filename=\"([A-Za-z0-9 _-]+)\.pdf\"; filename\*=UTF-8''(\S+)\.pdf", header
    )
    assert found
    assert header.isascii()
    assert not set(unquote(found[2])) & set('/\\\r\n"')


def test_script_in_names_is_only_ever_text(guild: Guild) -> None:
    made = guild.store.create(a_plan(NASTY, tags=(NASTY[:40],), typed={"sides_in.top": NASTY[:40]}))
    guild.store.save(made.id, a_plan(NASTY + "2"), 1)
    key = {"Plan-Key": str(made.edit_key)}
    looks = ["", "/share", "/versions", "/compare?one=1&other=2", "/chalk"]
    pages = [guild.send("GET", f"/plans/{made.id}{look}", headers=key | PAGE) for look in looks]
    ring = guild.send("POST", "/api/plans", json={"plan": PLAN | {"name": NASTY, "tags": [NASTY[:40]]}})
    cookie = {"Cookie": ring.headers["set-cookie"].split(";")[0]}
    pages += [guild.send("GET", f"/shelf?query={NASTY[:9]}&tag=", headers=cookie)]
    pages += [guild.send("GET", "/shelf", params={"query": NASTY, "tag": NASTY[:40]}, headers=cookie)]
    pages += [
        guild.send("GET", "/enter", params={"to": NASTY}),
        guild.send("GET", "/open", params={"plan": NASTY}, headers=PAGE),
    ]
    pages += [guild.send("GET", "/open", params={"plan": pack(a_plan(NASTY))})]
    pages += [
        guild.send("GET", f"/plans/{made.id}/picture.svg?view={view}", headers=key)
        for view in ("small", "whole")
    ]
    for page in pages:
        assert page.status_code in {200, 422}, page.url
        assert "<script>alert" not in page.text, page.url
        assert not re.search(r"<[^>]*\sonerror=[^>]*>", re.sub(r'"[^"]*"', '""', page.text)), page.url
        assert "'unsafe" not in page.headers["content-security-policy"]


def test_names_inject_no_header(guild: Guild) -> None:
    for name in ("a\r\nSet-Cookie: owned=1", 'a"; filename="evil.exe', "縁取り\x00", "../../x", "\u2028"):
        made = guild.store.create(a_plan(name))
        answer = guild.send("GET", f"/plans/{made.id}/plan.json", headers={"Plan-Key": str(made.view_key)})
        assert answer.status_code == 200
        assert "owned" not in answer.cookies
        disposition = answer.headers["content-disposition"]
        assert disposition.startswith('attachment; filename="')
        assert not any(c in disposition for c in "\r\n\x00")
        assert disposition.count('"') == 2
        assert "/" not in disposition
        assert json.loads(answer.content)["plan"]["name"] == fit(made.plan.name)


def test_damaged_links_and_files(guild: Guild) -> None:
    before = guild.all_rows()
    good = pack(a_plan())
    for link in (
        "",
        good[:-1],
        good[:50],
        good + "A",
        good.replace("c1", "c9"),
        "c1.AAAA",
        "x" * 9001,
        "c1." + "A" * 8000,
    ):
        assert guild.send("GET", "/open", params={"plan": link}).status_code == 422
        assert guild.send("POST", "/shelf/bring", data={"link": link}).status_code == 422
    assert (
        guild.send(
            "POST", "/shelf/bring", data={"link": "http://other.example/plans/" + "a" * 20}
        ).status_code
        == 422
    )
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("shelf.json", b" " * 40_000_000)
    for raw in (b"", b"{", b"PK\x03\x04", bomb.getvalue(), write_plan_file(a_plan())[:-40], b"\x00" * 1000):
        assert guild.send("POST", "/shelf/bring", files={"file": ("x", raw)}).status_code == 422
    assert guild.all_rows() == before
