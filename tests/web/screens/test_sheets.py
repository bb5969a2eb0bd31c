"""The sheets' screen: every link opens, what cannot be printed says why, the feed has a key."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from urllib.parse import unquote

import icalendar
import pytest
from PIL import Image
from pypdf import PdfReader
from starlette.testclient import TestClient
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.sheets.feed import FILE, FeedKeys
from pointage.web.app import create_app

HOME = "http://localhost"


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


@pytest.fixture
def client(desk: StoredDesk, tmp_path: Path) -> TestClient:
    app = create_app(desk, lambda: NOW, feed_keys=FeedKeys(tmp_path / "own"))
    return TestClient(app, base_url=HOME, headers={"accept-language": "en-GB"})


def sent(client: TestClient, path: str) -> int:
    answer = client.post(path, headers={"origin": HOME}, follow_redirects=False)
    return int(answer.status_code)


@pytest.mark.long
def test_every_sheet_that_is_offered_opens_and_downloads(client: TestClient) -> None:
    page = client.get("/sheets").text
    links = set(re.findall(r'href="(/sheets/[^"]+)"', page))
    assert len(links) > 15
    for link in links:
        answer = client.get(link)
        assert answer.status_code == 200, link
        for file in re.findall(r'href="(/sheets/[^"]+\.pdf[^"]*)"', answer.text):
            got = client.get(unquote(file).replace("&amp;", "&"))
            assert got.headers["content-type"] == "application/pdf", file
            assert "attachment" in got.headers["content-disposition"]
            assert len(PdfReader(BytesIO(got.content)).pages) >= 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_preview_is_a_picture_of_the_paper(client: TestClient, paper: str) -> None:
    got = client.get(f"/sheets/bench/harbour-loaf.png?paper={paper}")
    picture = Image.open(BytesIO(got.content))
    assert picture.size == {"a4": (794, 1123), "letter": (816, 1056)}[paper]


def test_the_paper_is_that_of_the_reader(client: TestClient) -> None:
    american = client.get("/sheets", headers={"accept-language": "en-US"}).text
    assert "paper=letter" in re.findall(r'href="(/sheets/week[^"]*)"', american)[0]
    assert "paper=a4" in re.findall(r'href="(/sheets/week[^"]*)"', client.get("/sheets").text)[0]


@pytest.mark.parametrize(
    ("path", "status", "said"),
    [
        ("/sheets/bench/harbour-loaf?pieces=0", 422, "cannot be used"),
        ("/sheets/label/harbour-loaf?labels=7", 422, "one of 1, 4, 6, 8"),
        ("/sheets/label/harbour-loaf?best-before=soon", 422, "cannot be used"),
        ("/sheets/label/harbour-loaf?nutrition=maybe", 422, "expected yes or no"),
        ("/sheets/bench/harbour-loaf?paper=a9", 422, "expected a4 or letter"),
        ("/sheets/week?paper=a9", 422, "expected a4 or letter"),
        ("/sheets/week.pdf?paper=a9", 400, "expected a4 or letter"),
        ("/sheets?paper=a9", 400, "expected a4 or letter"),
        ("/sheets/bench/nothing", 404, ""),
        ("/sheets/bench", 404, ""),
        ("/sheets/week/harbour-loaf", 404, ""),
        ("/sheets/bake/nothing", 404, ""),
        ("/sheets/culture/Puffin", 404, ""),
        ("/sheets/sermon/harbour-loaf", 404, ""),
        ("/sheets/recipe/nothing.jsonld", 404, ""),
    ],
)
def test_what_cannot_be_printed(client: TestClient, path: str, status: int, said: str) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    assert said in answer.text


@pytest.mark.parametrize("ending", ["pdf", "png"])
def test_a_file_of_what_cannot_be_printed_is_no_fault_of_the_server(
    client: TestClient, ending: str
) -> None:
    for query in ("pieces=0", "paper=a9"):
        assert client.get(f"/sheets/bench/harbour-loaf.{ending}?{query}").status_code < 500
    assert client.get(f"/sheets/label/sunday-spelt.{ending}").status_code < 500
    assert client.get("/sheets?paper=a9").status_code < 500


def test_the_formulas_page_carries_it_as_linked_data(client: TestClient) -> None:
    page = client.get("/formulas/harbour-loaf").text
    (found,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', page)
    assert '"@type": "Recipe"' in found
    part = client.get("/formulas/harbour-loaf", headers={"HX-Request": "true"}).text
    assert "ld+json" not in part


def test_the_feed_opens_with_its_key_alone_and_not_when_it_was_taken_back(
    client: TestClient, tmp_path: Path
) -> None:
    assert client.get("/calendar/.ics").status_code == 404
    assert client.get("/calendar/guess.ics").status_code == 404
    assert sent(client, "/sheets/calendar/open") == 303
    (first,) = re.findall(r"/calendar/([\w-]+)\.ics", client.get("/sheets").text)
    answer = client.get(f"/calendar/{first}.ics")
    assert answer.headers["content-type"].startswith("text/calendar")
    assert icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert (tmp_path / "own" / FILE).stat().st_mode & 0o077 == 0
    assert sent(client, "/sheets/calendar/open") == 303
    assert client.get(f"/calendar/{first}.ics").status_code == 404
    (second,) = re.findall(r"/calendar/([\w-]+)\.ics", client.get("/sheets").text)
    assert client.get(f"/calendar/{second}.ics").status_code == 200
    assert sent(client, "/sheets/calendar/close") == 303
    assert client.get(f"/calendar/{second}.ics").status_code == 404
    assert client.get("/calendar/.ics").status_code == 404


def test_where_no_key_can_be_kept_it_says_so(desk: StoredDesk, tmp_path: Path) -> None:
    (tmp_path / "own").write_text("a file, and no folder")
    app = create_app(desk, lambda: NOW, feed_keys=FeedKeys(tmp_path / "own"))
    client = TestClient(app, base_url=HOME)
    answer = client.post("/sheets/calendar/open", headers={"origin": HOME})
    assert answer.status_code == 503
    assert "it cannot be kept on this machine" in answer.text
