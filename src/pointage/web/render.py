"""Pages into HTML. A fragment is a named block of the whole page, never a template of its own."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from os import urandom
from random import Random
from uuid import UUID

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from pointage.daybook.photograph import LARGEST_BYTES
from pointage.language import language, translated, translated_many, unturned
from pointage.shown import shown
from pointage.web.assets import SCREENS, WEB, asset
from pointage.web.frame import Page
from pointage.web.menu import FIRST, FURTHER
from pointage.web.screens.daybook.view import SMELLS
from pointage.web.screens.past.drawings import bar


@cache
def environment() -> Environment:
    """One Jinja environment: everything is escaped, and a name that is not there is an error."""
    made = Environment(
        loader=FileSystemLoader([WEB / "templates", *SCREENS]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,  # or every template of a page is looked for on the disk at each view
        extensions=["jinja2.ext.i18n"],
    )
    made.policies["ext.i18n.trimmed"] = True
    made.newstyle_gettext = True  # type: ignore[attr-defined]
    made.globals["gettext"] = _gettext
    made.globals["ngettext"] = _ngettext
    made.globals["language"] = language
    made.globals["asset"] = asset
    made.globals["first_screens"] = FIRST
    made.globals["further_screens"] = FURTHER
    made.globals["effect_bar"] = bar
    made.globals["shown"] = shown
    made.globals["smells"] = SMELLS
    made.globals["largest_photo"] = f"{LARGEST_BYTES / 1e6:g} MB"
    # Each form carries the identifier of what it records: sent twice, it is recorded once.
    made.globals["new_entry"] = new_entry
    return made


# Jinja's own of these fill a text in by Markup's "%", which takes several times as long.


def _gettext(message: str, /, **parts: object) -> Markup:
    return _filled_in(translated(message), parts)


def _ngettext(one: str, many: str, number: int, /, **parts: object) -> Markup:
    return _filled_in(translated_many(one, many, number), {"num": number, **parts})


def _filled_in(text: str, parts: Mapping[str, object]) -> Markup:
    return Markup(text % {name: escape(part) for name, part in parts.items()})


# A page may have a hundred forms, and asking the system for each costs more than the page: it is
# asked once. Nobody need be kept from guessing the next one; no two may ever be the same.
_numbers = Random(urandom(256))


def new_entry() -> str:
    """The identifier of an entry that a form may make: a random UUID, version 4 of RFC 9562."""
    return str(UUID(int=_numbers.getrandbits(128), version=4))


def render(page: Page) -> str:
    """The whole page."""
    return unturned(environment().get_template(page.template).render(page=page))


def render_block(page: Page, name: str) -> str:
    """One block of a page's template, for a page that is already open."""
    template = environment().get_template(page.template)
    return unturned("".join(template.blocks[name](template.new_context({"page": page}))))
