"""Pages into HTML. A fragment is a named block of the whole page, never a template of its own."""

from __future__ import annotations

from functools import cache
from uuid import uuid4

from jinja2 import Environment, PackageLoader, StrictUndefined

from pointage.daybook.photos import LARGEST_BYTES
from pointage.web.assets import asset
from pointage.web.pages import Page
from pointage.web.present.daybook import SMELLS
from pointage.web.present.past_drawings import bar
from pointage.web.screens import FIRST, FURTHER


@cache
def environment() -> Environment:
    """One Jinja environment: everything is escaped, and a name that is not there is an error."""
    made = Environment(
        loader=PackageLoader("pointage.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["asset"] = asset
    made.globals["first_screens"] = FIRST
    made.globals["further_screens"] = FURTHER
    made.globals["effect_bar"] = bar
    made.globals["smells"] = SMELLS
    made.globals["largest_photo"] = f"{LARGEST_BYTES / 1e6:g} MB"
    # Each form carries the identifier of what it will tell: sent twice, it is told once.
    made.globals["new_entry"] = lambda: str(uuid4())
    return made


def render(page: Page) -> str:
    return environment().get_template(page.template).render(page=page)


def render_block(page: Page, name: str) -> str:
    """One block of a page's template, for a page that is already open."""
    template = environment().get_template(page.template)
    return "".join(template.blocks[name](template.new_context({"page": page})))
