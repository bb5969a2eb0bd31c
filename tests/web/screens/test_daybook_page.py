"""The daybook on a real store: written down, looked through, put right; and in a browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import httpx
import pytest
from PIL import Image
from playwright.sync_api import Page, expect
from tests.daybook.test_check import spoil
from tests.web.browser.looks import assert_sound, resize
from tests.web.browsers import SIZES
from tests.web.conftest import ORIGIN, Site, ask
from tests.web.forms import forms
from tests.web.stored_desk import NOW, hall

from pointage.daybook.bodies import BODIES, EntryBody
from pointage.daybook.entry import EntryKind
from pointage.daybook.photograph import LARGEST_BYTES
from pointage.desk.answers import Report
from pointage.desk.desk import StoredDesk
from pointage.web.app import create_app
from pointage.web.screens.daybook.view import LOGS
from pointage.web.words.asked import ASKED, every_field, read_every

_OUT = BytesIO()
Image.new("RGB", (1, 1), "white").save(_OUT, "JPEG")
PIXEL = _OUT.getvalue()
"""A whole photograph that holds no metadata."""


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path, NOW)


def get(desk: StoredDesk, path: str) -> httpx.Response:
    return ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path)


def post(desk: StoredDesk, path: str, **fields: str) -> httpx.Response:
    told = {"entry": str(uuid4())} | fields
    return ask(
        create_app(desk, lambda: NOW), "POST", ORIGIN + path, data=told, headers={"Origin": ORIGIN}
    )


def send_photo(desk: StoredDesk, content: bytes, **fields: str) -> httpx.Response:
    return ask(
        create_app(desk, lambda: NOW),
        "POST",
        ORIGIN + "/daybook/photo",
        data={"entry": str(uuid4())} | fields,
        files={"photo": ("../../x.jpg", content, "text/html")},
        headers={"Origin": ORIGIN},
    )


def test_every_word_that_a_body_may_hold_has_a_field() -> None:
    apart = {
        *EntryBody.model_fields,
        "parts",
        "entry",
        "body",
        "happened",
        "why",
        "after",
        "reading",
    }
    typed = [body for kind, body in BODIES.items() if kind is not EntryKind.RESCUED]
    words = {name for body in typed for name in body.model_fields} - apart
    assert words == set(ASKED)


@pytest.mark.parametrize(
    ("key", "fields", "says"),
    [
        ("note", {"text": "The east wind again"}, "The east wind again"),
        ("rise", {"rise": "1.6", "about": "culture=Gannet"}, "Risen to 1.6"),
        ("rise", {"mm": "93", "band_mm": "60"}, "Risen to 1.55 (93 mm against 60 mm)"),
        ("rise", {"ml": "900", "mixed_ml": "600"}, "Risen to 1.5 (900 ml against 600 ml)"),
        ("warmth", {"temperature_c": "75F"}, "23.9\u00a0°C"),
        ("acidity", {"ph": "4,1", "tta_ml": "8"}, "pH 4.1, acidity 8 ml"),
        ("smelled", {"touch": "apples"}, "Apples"),
        ("smelled", {"signs": "wet wool, apples"}, "Wet wool, apples"),
        ("seen", {"touch": "domed"}, "Domed"),
        ("tasted", {"crumb": "4", "words": "Open, a little tight below"}, "Crumb 4, Open"),
        ("weighed", {"grams": "9.2kg", "pieces": "12", "when": "baked"}, "767\u00a0g each"),
        ("baked", {"minutes": "42", "core_c": "97"}, "42 min, inside 97\u00a0°C"),
        ("poured-off", {"grams": "140"}, "140\u00a0g to waste"),
    ],
)
def test_what_is_logged_reads_back_in_words(
    desk: StoredDesk, key: str, fields: dict[str, str], says: str
) -> None:
    assert post(desk, f"/daybook/told/{key}", **fields).status_code == 303
    page = get(desk, "/daybook").text
    assert says in page
    assert page.count('href="/daybook/entry/') == 1


@pytest.mark.parametrize(
    ("key", "fields", "field"),
    [
        ("rise", {"rise": "40"}, "rise"),
        ("rise", {"mm": "93"}, ""),
        ("acidity", {"ph": "12"}, "ph"),
        ("warmth", {"temperature_c": "300"}, "temperature_c"),
        ("warmth", {"temperature_c": "25g"}, "temperature_c"),
        ("rise", {"rise": "1.6cm"}, "rise"),
        ("note", {}, "text"),
        ("tasted", {"crumb": "9"}, "crumb"),
        ("note", {"text": "later", "happened": "2031-01-01T09:00"}, "happened"),
    ],
)
def test_absurd_news_comes_back_as_typed_and_nothing_is_written(
    desk: StoredDesk, key: str, fields: dict[str, str], field: str
) -> None:
    answer = post(desk, f"/daybook/told/{key}", **fields)
    assert answer.status_code == 422
    assert answer.text.count('role="alert"') == 1
    assert not field or f'id="log-{key}-{field}-error"' in answer.text
    for value in fields.values():
        assert value in answer.text
    assert not desk.records.lines()


def test_a_rare_reading_is_kept_and_asked_about(desk: StoredDesk) -> None:
    post(desk, "/daybook/told/rise", rise="7.5", sure="yes")
    assert "Please check: a rise of 7.5 is rare" in get(desk, "/daybook").text


def test_a_correction_stands_beside_what_it_struck(desk: StoredDesk) -> None:
    post(desk, "/daybook/told/rise", rise="16", about="culture=Gannet")
    post(desk, "/daybook/told/rise", rise="2.6", about="culture=Gannet")
    (line,) = desk.records.lines()
    path = f"/daybook/entry/{line.written.id}"
    form = get(desk, path).text
    assert 'value="2.6"' in form
    wrong = post(desk, f"{path}/corrected", rise="26", culture="Gannet", why="thumb")
    assert wrong.status_code == 422
    assert 'value="26"' in wrong.text
    assert 'value="thumb"' in wrong.text
    right = post(
        desk, f"{path}/corrected", rise="1.6", culture="Gannet", why="thumb",
        happened="2026-12-03T16:00",
    )  # fmt: skip
    assert right.status_code == 303
    page = get(desk, "/daybook").text
    assert "Risen to 2.6 (17:00)</del>" in page
    assert '<p class="words">Risen to 1.6</p>' in page
    assert ": thumb" in page
    assert desk.records.lines()[0].now.happened == NOW - timedelta(hours=1)  # type: ignore[union-attr]


def test_withdrawn_it_is_struck_and_can_be_brought_back(desk: StoredDesk) -> None:
    post(desk, "/daybook/told/note", text="Gannet is dead")
    (line,) = desk.records.lines()
    path = f"/daybook/entry/{line.written.id}"
    post(desk, f"{path}/withdrawn", why="it was Plover's jar")
    page = get(desk, "/daybook").text
    assert "Gannet is dead</del>" in page
    assert "Withdrawn 17:00: it was Plover&#39;s jar" in page
    assert "Bring it back" in get(desk, path).text
    post(desk, f"{path}/withdrawn")
    assert desk.records.lines()[0].now is not None
    assert "<del>" not in get(desk, "/daybook").text


def test_every_kind_keeps_what_no_field_shows_when_it_is_corrected() -> None:
    body = {
        "culture": "Gannet", "bake": str(uuid4()), "step": "bulk", "seed_g": 20.0,
        "parts": [{"ingredient": "rye-whole", "grams": 60.0}, {"ingredient": "water", "grams": 60}],
    }  # fmt: skip
    typed = {each.name: each.value for each in every_field(EntryKind.FED, body)}
    assert read_every(EntryKind.FED, body, typed) == body
    less = read_every(EntryKind.FED, body, typed | {"parts-1-grams": "55 g", "seed_g": ""})
    assert less["parts"][0] == {"ingredient": "rye-whole", "grams": 55.0}
    assert "seed_g" not in less
    assert less["step"] == "bulk"


def test_a_lot_and_what_it_is_of_are_chosen_by_name(desk: StoredDesk) -> None:
    sack, other = str(uuid4()), str(uuid4())
    for entry, supplier in ((sack, "Tidemill"), (other, "Lowmill")):
        body = {"item": "wheat-white", "grams": 25_000.0, "supplier": supplier}
        desk.records.record(entry, EntryKind.BOUGHT, NOW, body)
    desk.records.record(
        str(uuid4()), EntryKind.USED, NOW, {"item": "wheat-white", "grams": 900.0, "lot": sack}
    )
    used = next(each for each in desk.records.lines() if each.written.kind is EntryKind.USED)
    path = f"/daybook/entry/{used.written.id}"
    page = get(desk, path).text
    assert re.search(rf'<option value="{sack}" selected>\s*24.1.kg, [^<]*Tidemill', page)
    assert re.search(rf'<option value="{other}">\s*25.kg, [^<]*Lowmill', page)
    assert re.search(r'<option value="wheat-white" selected>\s*White wheat flour', page)
    bought = f"/daybook/entry/{sack}"
    assert "lot" not in forms(get(desk, bought).text, f"{bought}/corrected")[0]
    sent = forms(page, f"{path}/corrected")[0]
    assert sent["lot"] == sack
    post(desk, f"{path}/corrected", **(sent | {"grams": "950g"}))
    now = desk.records.line(used.written.id).now
    assert now is not None
    assert (now.body["grams"], now.body["lot"]) == (950.0, sack)


def test_filters_leave_what_was_asked_for(desk: StoredDesk) -> None:
    post(desk, "/daybook/told/note", text="About nothing")
    post(desk, "/daybook/told/rise", rise="1.6", about="culture=Gannet")
    post(desk, "/daybook/told/rise", rise="1.7", about="culture=Plover",
         happened="2026-11-30T08:00")  # fmt: skip

    def found(query: str) -> int:
        return get(desk, f"/daybook?{query}").text.count('href="/daybook/entry/')

    assert found("") == 3
    assert found("culture=Gannet") == 1
    assert found("kind=measured") == 2
    assert found("from=2026-12-01") == 2
    assert found("until=2026-11-30") == 1
    wrong = get(desk, "/daybook?from=yesterday")
    assert wrong.status_code == 422
    assert 'value="yesterday"' in wrong.text


def test_many_lines_are_paged_the_latest_first(desk: StoredDesk) -> None:
    for n in range(45):
        desk.records.record(
            str(uuid4()), EntryKind.NOTE, NOW - timedelta(hours=n), {"text": f"note {n}."}
        )
    first, second = get(desk, "/daybook?kind=note"), get(desk, "/daybook?kind=note&page=2")
    assert first.text.count('href="/daybook/entry/') == 40
    assert second.text.count('href="/daybook/entry/') == 5
    assert "note 44." in second.text
    assert "kind=note&amp;page=2" in first.text
    assert get(desk, "/daybook?page=99999").status_code == 200


def test_sent_twice_it_is_told_once(desk: StoredDesk) -> None:
    for _ in range(2):
        post(desk, "/daybook/told/note", entry="0c8cf9d3-4eb4-49b4-a51b-8ad53a6ad001", text="once")
    assert len(desk.records.lines()) == 1


def test_a_photograph_is_shown_and_can_run_nothing(desk: StoredDesk) -> None:
    assert send_photo(desk, PIXEL, caption="The crumb").status_code == 303
    sha256 = desk.records.lines()[0].written.body["sha256"]
    page = get(desk, "/daybook").text
    assert f'<img src="/photos/{sha256}" alt="The crumb"' in page
    answer = get(desk, f"/photos/{sha256}")
    assert answer.content == PIXEL
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "sandbox" in answer.headers["content-security-policy"]
    assert get(desk, f"/photos/{'0' * 64}").status_code == 404
    assert get(desk, "/photos/..%2Fhall.db").status_code == 404


def test_a_photograph_that_the_store_has_lost_is_said_to_be_missing(desk: StoredDesk) -> None:
    plan = desk.wish(str(uuid4()), "harbour-loaf", 8, NOW + timedelta(days=2), NOW)
    (bake,) = desk.bakes()
    first = plan.steps[0]
    desk.mark_done(Report(str(uuid4()), bake.key, first.key, NOW))
    send_photo(desk, PIXEL, caption="The crumb", bake=bake.key, step=first.key)
    (line,) = desk.records.lines(kinds={EntryKind.PHOTO})
    assert "Recorded: a photograph at 17:00." in get(desk, "/").text
    spoil(desk._store, "DELETE FROM photo")
    for path in ("/daybook", f"/daybook/entry/{line.written.id}"):
        page = get(desk, path).text
        assert "This photograph is missing: it is no longer in the store." in page, path
        assert "The crumb" in page
        assert "<img" not in page
    assert "a photograph, now missing from the store, at 17:00." in get(desk, "/").text


def test_what_is_no_photograph_or_too_much_is_refused(desk: StoredDesk) -> None:
    script = send_photo(desk, b"<script>alert(1)</script>", caption="Look")
    assert script.status_code == 422
    assert 'value="Look"' in script.text
    assert "JPEG, PNG or WebP" in script.text
    assert send_photo(desk, b"").status_code == 422
    large = send_photo(desk, PIXEL + b"\0" * LARGEST_BYTES)
    assert large.status_code == 422
    assert "8 MB" in large.text
    assert send_photo(desk, PIXEL + b"\0" * (LARGEST_BYTES + 200_000)).status_code == 413
    assert not desk.records.lines()


def test_what_there_is_not(desk: StoredDesk) -> None:
    assert get(desk, f"/daybook/entry/{uuid4()}").status_code == 404
    assert post(desk, "/daybook/told/sung", text="x").status_code == 404
    assert set(LOGS) >= {"note", "rise", "photo"}


@pytest.mark.browser
@pytest.mark.long
def test_in_a_browser(desk: StoredDesk, serve: Callable[..., Site], page: Page) -> None:
    post(desk, "/daybook/told/rise", rise="7.5", about="culture=Gannet", sure="yes")
    send_photo(desk, PIXEL, caption="The crumb")
    post(desk, "/daybook/told/note", text="A wish-for-a-hyphen" * 20)
    line = desk.records.lines()[0].written.id
    site = serve(desk, NOW)
    for path in ("/daybook", f"/daybook/entry/{line}"):
        page.goto(site.url + path)
        for opened in (False, True):
            if opened:
                page.locator("details").evaluate_all(
                    "all => all.forEach((one) => { one.removeAttribute('name'); one.open = true })"
                )
            assert_sound(page, *SIZES)
    for number, size in enumerate(SIZES, start=1):
        resize(page, size)
        page.goto(site.url + "/daybook")
        page.get_by_text("Smells of …", exact=True).click()
        page.get_by_role("button", name="apples").click()
        expect(page.locator(".line .words", has_text="Apples")).to_have_count(number)
