"""The form of a formula's page, as a browser without scripts sends it back."""

from __future__ import annotations

import re
from html import unescape


def sent(html: str) -> dict[str, str]:
    """Every field of the form as a browser without scripts would send it back."""
    form = html[html.index('<form class="edit"') : html.index("<footer")]
    found = {}
    for tag in re.findall(r"<input[^>]*>", form):
        fields = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if "name" in fields:
            found[fields["name"]] = unescape(fields["value"])
    for name, body in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', body)
        found[name] = unescape(chosen[1]) if chosen else ""
    for name, body in re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.S):
        found[name] = unescape(body)
    return found
