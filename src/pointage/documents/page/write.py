"""Write a shared page: one file with its style, script and figures in it.

What a browser may run is named by its hash in the page's Content-Security-Policy: script in a name,
or anywhere else in the page, never runs.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping, Sequence
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from pointage.formula.formula import Formula
from pointage.language import language, say, translated, translated_many, unturned

MOST_BYTES = 300_000
"""What a shared page takes at most, unless it has hundreds of ingredients with long names."""


def size_words(page: str) -> str:
    """What whoever gives out a page should know of its size; "" for one of MOST_BYTES at most."""
    size = len(page.encode())
    if size <= MOST_BYTES:
        return ""
    return say(
        "This page has {size} kB, more than the usual {most}: fewer ingredients, or shorter names "
        "and words, make it smaller.",
        size=-(-size // 1000),
        most=MOST_BYTES // 1000,
    )


def formula_html(
    formula: Formula, facts: Mapping[str, Any], *, cautions: Sequence[str], linked: str = ""
) -> str:
    """The page of a formula. facts: what its script calculates from. linked: the recipe as linked
    data, as it stands in a script element (`LinkedRecipe.as_script`)."""
    from pointage.documents.page.plain import plain_recipe
    from pointage.documents.page.texts import formula_texts

    return _page(
        "formula.html",
        scripts=("kitchen.js", "parts.js", "formula.js"),
        facts={**facts, "texts": formula_texts()},
        formula=formula,
        plain=plain_recipe(formula),
        cautions=cautions,
        linked=Markup(linked),
    )


def raising_html(facts: Mapping[str, Any], **parts: Any) -> str:
    """The page of a new culture."""
    from pointage.documents.page.texts import raising_texts

    return _page(
        "raising.html",
        scripts=("parts.js", "raising.js"),
        facts={**facts, "texts": raising_texts()},
        **parts,
    )


def culture_html(facts: Mapping[str, Any], *, linked: str, **parts: Any) -> str:
    """The page of a culture that is given away. linked: as of `formula_html`."""
    from pointage.documents.page.texts import culture_texts

    return _page(
        "culture.html",
        scripts=("parts.js", "culture.js"),
        facts={**facts, "texts": culture_texts()},
        linked=Markup(linked),
        **parts,
    )


def _page(template: str, scripts: Sequence[str], facts: Mapping[str, Any], **parts: Any) -> str:
    style = _source("page.css")
    script = "\n".join(map(_source, scripts)).replace(MODULE_ENDING, "")
    policy = (
        "default-src 'none'; base-uri 'none'; form-action 'none'; img-src data:; "
        f"script-src {_hash(script)}; style-src {_hash(style)}"
    )
    made = _environment().get_template(template)
    return unturned(
        made.render(
            policy=policy,
            style=Markup(style),
            script=Markup(script),
            facts=_data(facts),
            language=language(),
            **parts,
        )
    )


MODULE_ENDING = 'if (typeof module !== "undefined") module.exports = kitchen;\n'


def _source(name: str) -> str:
    return files("pointage.documents.page").joinpath(name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def _data(facts: Mapping[str, Any]) -> Markup:
    """JSON that can stand in a script element: no text in it ends the element."""
    text = json.dumps(facts, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return Markup(
        text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    )


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("pointage.documents.page", ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    made.policies["ext.i18n.trimmed"] = True
    made.install_gettext_callables(translated, translated_many, newstyle=True)  # type: ignore[attr-defined]
    return made
