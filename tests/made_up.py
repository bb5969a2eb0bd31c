"""A made-up language: every text that is found for translation, accented and a third longer.

What a page or a command then still prints in plain letters never went through `language`.
"""

from __future__ import annotations

import re
import sys
from functools import cache
from gettext import NullTranslations
from hashlib import blake2b
from pathlib import Path

from tests import shelf

from pointage.language import Language

PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
ACCENTED = "àƀçďéƒğħíĵķļɱñöþɋřšťûṽŵẋýžÀƁÇĎÉƑĞĦÍĴĶĻṀÑÖÞɊŘŠŤÛṼŴẊÝŽ"
SCRIPTS = Path(__file__).parents[1] / "scripts"
KEPT = re.compile(r"(%\(\w+\)s|%%|\{[^{}]*\}|\{\{|\}\}|<[^<>]*>|&\w+;)")
"""Parts, percent signs, braces and tags, which a translator leaves as they are."""

WORD = re.compile(f"[{PLAIN}]+")


class MadeUp(NullTranslations):
    """Translates what is in the catalogue, and nothing else."""

    def __init__(self, known: frozenset[str]) -> None:
        super().__init__()
        self._known = known

    def gettext(self, message: str) -> str:
        return accented(message) if message in self._known else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def accented(text: str) -> str:
    """The text in the made-up language."""
    return "".join(
        part if at % 2 else WORD.sub(_longer, part) for at, part in enumerate(KEPT.split(text))
    )


def _longer(word: re.Match[str]) -> str:
    return word[0].translate(str.maketrans(PLAIN, ACCENTED)) + "·" * round(len(word[0]) / 3)


@cache
def made_up() -> Language:
    """The language, with the numbers of a country that writes a decimal comma."""
    key = blake2b((SCRIPTS / "messages.py").read_bytes(), digest_size=20).digest()
    kept = shelf.found(key)
    known = kept[0] if kept else _collected()
    if kept is None:
        shelf.keep(key, known)
    return Language("qps", MadeUp(known), locale="it")


def _collected() -> frozenset[str]:
    sys.path.insert(0, str(SCRIPTS))
    try:
        from messages import catalog
    finally:
        sys.path.pop(0)
    return frozenset(
        text
        for message in catalog()
        if message.id
        for text in ((message.id,) if isinstance(message.id, str) else message.id)
    )
