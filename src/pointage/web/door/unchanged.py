"""A page that has not changed since the last look is answered 304, and no work is done for it.

A page is made from the store, the clock, and what the browser says of itself. Its entity tag is
made from the same, so it is known without making the page:

- the store's revision, which every write to it raises;
- the minute: at the foot of every page stands when it was made, so none outlives its minute;
- the address, the cookies (the theme, the units), the language that the browser asks for, and
  whether only a block of the page is wanted;
- what the one who minds the machine should know, which stands at the head of every page;
- this run of the program: another may have other templates, or another store.

The tag is taken before the page is made. What is written meanwhile is then in a page under an old
tag, which the next look finds changed; the other way round it would be missed. It is a weak tag,
for a page's bytes may be compressed or not.

The forms of a page carry the identifiers of the entries that they may make, and a page that is
shown again has the same ones. An identifier already used must not stand for another entry:

- Once a form was sent, the revision is another, and so is the page that is asked for next.
- Two tabs, a page gone back to and one kept for use without a network may show one page twice. So
  a form takes a new identifier in the browser as it is sent, and keeps it for that showing of the
  page: a finger that comes down twice still says a thing once (static/page.js).
- Without JavaScript the store refuses a second entry under an identifier, and the page says so
  (troubles.sent_before). What the form said first is kept; the page asked for anew has others.
"""

from __future__ import annotations

from datetime import UTC
from hashlib import blake2b

from starlette.requests import Request
from starlette.responses import Response

VARY = "Cookie, HX-Request, Accept-Language"
ASKED_AGAIN = "private, no-cache"


def tag_of(request: Request) -> str:
    """The entity tag of the page that would be the answer now (RFC 9110, 8.8.3)."""
    state, headers = request.app.state, request.headers
    minute = state.now().astimezone(UTC).replace(second=0, microsecond=0)
    made_from = (
        state.run,
        str(state.desk.revision()),
        minute.isoformat(),
        state.trouble(),
        headers.get("cookie", ""),
        headers.get("hx-request", ""),
        headers.get("accept-language", ""),
        request.url.path,
        request.url.query,
    )
    content = "".join(f"{len(each)}:{each}" for each in made_from)
    return f'W/"{blake2b(content.encode(), digest_size=15).hexdigest()}"'


def is_known(request: Request, tag: str) -> bool:
    """Whether the browser has that page already, by its If-None-Match."""
    known = request.headers.get("if-none-match", "")
    return tag.removeprefix("W/") in (each.strip().removeprefix("W/") for each in known.split(","))


def headers_of(tag: str) -> dict[str, str]:
    """What goes with a page that has a tag, and with the word that it has not changed."""
    return {"ETag": tag, "Cache-Control": ASKED_AGAIN, "Vary": VARY}


def unchanged(tag: str) -> Response:
    """304, with no body."""
    return Response(status_code=304, headers=headers_of(tag))
