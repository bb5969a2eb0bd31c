"""The forms of a page, as a browser without scripts would send them back."""

from __future__ import annotations

from html.parser import HTMLParser


def forms(html: str, action: str) -> list[dict[str, str]]:
    """The fields of every form of a page that is sent to `action`, in their order."""
    reader = _Reader(action)
    reader.feed(html)
    return reader.found


def form(html: str, action: str, **sent: str) -> dict[str, str]:
    """The fields of the form that is sent to `action`, with these among them."""
    (found,) = [each for each in forms(html, action) if sent.items() <= each.items()]
    return found


class _Reader(HTMLParser):
    def __init__(self, action: str) -> None:
        super().__init__()
        self.found: list[dict[str, str]] = []
        self._action = action
        self._inside = False
        self._open = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        if tag == "form":
            self._inside = given.get("action") == self._action
            self.found += [{}] if self._inside else []
        if not self._inside:
            return
        if tag == "input" and given.get("type") == "radio" and "checked" not in given:
            return
        if tag == "input" and name:
            self.found[-1][name] = given.get("value", "")
        elif tag in ("select", "textarea") and name:
            self._open = name
            self.found[-1][name] = ""
        elif tag == "option" and self._open and "selected" in given:
            self.found[-1][self._open] = given.get("value", "")

    def handle_data(self, data: str) -> None:
        if self._inside and self._open and self.lasttag == "textarea":
            there = self.found[-1][self._open]
            self.found[-1][self._open] = there + data if there else data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag in ("select", "textarea"):
            self._open = ""
        if tag == "form":
            self._inside = False
