"""The language in which texts are made: the one place that every sentence goes through.

A text is written in English where it is needed, whole, with its parts by name:

    say("{culture} is fed at {time}", culture=name, time=clock.text(at))

`scripts/messages.py` collects all of them for who translates. A door (a page, a command) settles
once in which language its reader is answered; what is made outside any is English. A language is a
file `languages/xx.po` beside this one, or `xx-YY.po` for one country, and English has none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import cache
from gettext import NullTranslations
from pathlib import Path
from string import Formatter

HERE = Path(__file__).with_name("languages")
_PART = re.compile(r"\{(\w+)[^{}]*\}|%\((\w+)\)s")
_TAG = re.compile(r"\s*([A-Za-z]{2,3})(?![A-Za-z])(?:[-_]([A-Za-z]{2}|[0-9]{3})\b)?")
_NAMES_LARGE = frozenset({"de", "lb"})
"""Languages that write the names of things large within a sentence too."""
_DECIMAL = re.compile(r"[-−+]?\d+\.\d+%?")


@dataclass(frozen=True)
class Language:
    """tag: of RFC 5646 ("en"). texts: what stands for each English one. locale: whose numbers and
    names of days it has, where that is not its own tag."""

    tag: str = "en"
    texts: NullTranslations = field(default_factory=NullTranslations, compare=False)
    locale: str = ""

    @property
    def leans(self) -> str:
        """ "ltr" or "rtl", as HTML has it."""
        if self.tag == "en":
            return "ltr"
        return str(_locale(self.locale or self.tag).text_direction)

    @property
    def point(self) -> str:
        """What stands between the ones and the tenths."""
        if self.tag == "en":
            return "."
        return str(_locale(self.locale or self.tag).number_symbols["latn"]["decimal"])

    @property
    def days(self) -> Sequence[str]:
        """The days of the week, short, Monday first."""
        return _names(self.locale or self.tag).days

    @property
    def months(self) -> Sequence[str]:
        """The months, short."""
        return _names(self.locale or self.tag).months

    @property
    def long_months(self) -> Sequence[str]:
        """The months, whole."""
        return _names(self.locale or self.tag).long_months


@dataclass(frozen=True, slots=True)
class _Names:
    days: Sequence[str]
    months: Sequence[str]
    long_months: Sequence[str]


ENGLISH = Language()
_language: ContextVar[Language] = ContextVar("language", default=ENGLISH)


def language() -> Language:
    """The language of what is made here."""
    return _language.get()


@contextmanager
def speaking(one: Language) -> Iterator[None]:
    """Within it texts are made in that language; in this thread or task alone."""
    token = _language.set(one)
    try:
        yield
    finally:
        _language.reset(token)


def speak(one: Language) -> None:
    """Make texts in that language from here on, in this thread or task."""
    _language.set(one)


def say(message: str, /, **parts: object) -> str:
    """`message` in the language of the reader, each {name} in it replaced by its part.

    A part may have a format ("{mass:.0f}"); decimals are written as the language has them. Without
    parts nothing is replaced and braces are plain.
    """
    if not message:  # which a catalogue answers with its own head
        return ""
    here = _language.get()
    text = here.texts.gettext(message)
    return _filled(text, parts, here) if parts else text


def say_many(one: str, many: str, number: float, /, **parts: object) -> str:
    """The same where a number decides the word: "{n} loaf", "{n} loaves"; {n} is the number."""
    here = _language.get()
    count = int(number) if number == int(number) else 2  # a half is none of the singulars
    text = here.texts.ngettext(one, many, count)
    return _filled(text, {"n": number, **parts}, here)


def translated(message: str, /) -> str:
    """`message` in the language of the reader, its parts yet to be filled in."""
    return _language.get().texts.gettext(message) if message else ""


def translated_many(one: str, many: str, number: int, /) -> str:
    """The same where a number decides the word."""
    return _language.get().texts.ngettext(one, many, number)


def mark(message: str, /) -> str:
    """A text of a table, made when the module is read: it is found for translation here, and
    translated by `say` where it is shown."""
    return message


def written(number: str) -> str:
    """A printed number as the language writes it: "1.5", "1,5"."""
    return number if language().tag == "en" else number.replace(".", language().point)


class _Localised(Formatter):
    """Formats parts, decimals as the language has them."""

    def __init__(self, one: Language) -> None:
        self._point = one.point

    def format_field(self, value: object, format_spec: str) -> str:
        text: str = super().format_field(value, format_spec)
        return text.replace(".", self._point) if _DECIMAL.fullmatch(text) else text


def _filled(text: str, parts: Mapping[str, object], here: Language) -> str:
    if here.tag == "en":
        return text.format_map(parts)  # what a formatter does, in a tenth of its time
    return _localised(here).vformat(text, (), parts)


@cache
def _localised(one: Language) -> _Localised:
    return _Localised(one)


@cache
def languages() -> dict[str, Language]:
    """Every language there is, by its tag ("it"), or as a country has it ("en-US")."""
    found = {ENGLISH.tag: ENGLISH}
    for path in sorted(HERE.glob("*.po")):
        found[path.stem] = Language(path.stem, _read(path))
    return found


def within(name: str) -> str:
    """A thing's name within a sentence: "Boiler cupboard" is "boiler cupboard" there."""
    return name if language().tag.partition("-")[0] in _NAMES_LARGE else name.lower()


TURNING = "\u202a\u202b\u202c\u202d\u202e"
"""Signs that turn the direction of what follows them (Unicode Standard Annex 9, 2.2 and 2.3), also
beyond the name that they stand in."""


def unturned(text: str) -> str:
    """The text without TURNING; what is written from right to left is so without them."""
    for sign in TURNING:
        if sign in text:
            text = text.replace(sign, "")
    return text


def best(wanted: str) -> Language:
    """The first of the wanted languages that there is, as its country has it if it can be, else
    English.

    wanted: as in the header Accept-Language (RFC 9110, 12.5.4), best first, or in LANG.
    """
    there = languages()
    for match in filter(None, map(_TAG.match, wanted.split(","))):
        tag, country = match[1].lower(), (match[2] or "").upper()
        for name in (f"{tag}-{country}", tag):
            if name in there:
                return there[name]
    return ENGLISH


def _read(path: Path) -> NullTranslations:
    """The texts of a file of translations, compiled in memory.

    A translation with other parts than its text has is left out, so that no page fails by it.
    """
    from io import BytesIO

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po
    from babel.support import Translations

    with path.open("rb") as lines:
        texts = read_po(lines)
    for message in list(texts):
        said = {part for text in _all(message.string) if text for part in _parts(text)}
        if message.id and not said <= {part for text in _all(message.id) for part in _parts(text)}:
            texts.delete(message.id, message.context)
    compiled = BytesIO()
    write_mo(compiled, texts)
    compiled.seek(0)
    return Translations(compiled, domain="messages")


def _all(text: object) -> tuple[str, ...]:
    """One text, or those for one and many."""
    return tuple(text) if isinstance(text, list | tuple) else (str(text),)


def _parts(text: str) -> set[str]:
    """What is to be put into a text: the names in braces of one that code says, those of a
    template's else."""
    return {found[1] or found[2] for found in _PART.finditer(text)}


@cache
def _locale(tag: str):  # type: ignore[no-untyped-def]
    from babel import Locale

    return Locale.parse(tag, sep="-")


@cache
def _names(tag: str) -> _Names:
    from babel.dates import get_day_names, get_month_names

    tag = tag.replace("-", "_")
    return _Names(
        tuple(get_day_names("abbreviated", locale=tag)[each] for each in range(7)),
        tuple(get_month_names("abbreviated", locale=tag)[each] for each in range(1, 13)),
        tuple(get_month_names("wide", locale=tag)[each] for each in range(1, 13)),
    )
