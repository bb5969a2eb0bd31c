"""A recipe in linked data (schema.org Recipe as JSON-LD), alone or in a page: parsed, never run."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from typing import Any

from pointage.errors import Complaint, InputError
from pointage.formula.reading.recipe import FIELD
from pointage.language import say

DEEPEST = 12  # tables within tables: a page's graph has four or five
MOST_NODES = 20_000
LONGEST_PAGE = 3_000_000  # characters; a long page with all its scripts

_SCRIPT = re.compile(r"<script\b[^>]{0,500}\bapplication/ld\+json\b[^>]{0,500}>", re.IGNORECASE)


def is_page(text: str) -> bool:
    """Whether a text is a page of the web."""
    head = text[:2000].lstrip("\ufeff \t\r\n").casefold()
    return head.startswith(("<!doctype", "<html", "<head", "<script", "<?xml")) or "<html" in head


def is_json(text: str) -> bool:
    """Whether a text means to be JSON."""
    return text.lstrip("\ufeff \t\r\n")[:1] in ("{", "[")


def linked_text(text: str) -> str:
    """The recipe of linked data as the text of a recipe. Raises InputError where there is none."""
    if len(text) > LONGEST_PAGE:
        expected = say("a page of {most} characters at most", most=LONGEST_PAGE)
        raise InputError(FIELD, Complaint(say("a page too long to read")), expected)
    for script in _scripts(text) if is_page(text) else [text]:
        try:
            data = json.loads(script)
        except (ValueError, RecursionError):
            continue
        recipe = next(_recipes(data), None)
        if recipe is not None:
            return _as_text(recipe)
    expected = say("a Recipe of schema.org, with its recipeIngredient")
    raise InputError(FIELD, Complaint(say("no recipe in this data")), expected)


def _scripts(page: str) -> Iterator[str]:
    for match in _SCRIPT.finditer(page):
        end = (
            page.casefold().find("</script", match.end())
            if page.isascii()
            else page.find("</script", match.end())
        )
        if end >= 0:
            yield page[match.end() : end].strip().removeprefix("<!--").removesuffix("-->")


def _recipes(data: Any) -> Iterator[dict[str, Any]]:
    """The recipes among objects, lists and graphs."""
    left, seen = [(data, 0)], 0
    while left and seen < MOST_NODES:
        node, depth = left.pop(0)
        seen += 1
        if depth > DEEPEST:
            continue
        if isinstance(node, list):
            left += [(each, depth + 1) for each in node[:MOST_NODES]]
        elif isinstance(node, dict):
            kinds = node.get("@type")
            kinds = kinds if isinstance(kinds, list) else [kinds]
            if any(isinstance(each, str) and each.rsplit("/", 1)[-1] == "Recipe" for each in kinds):
                yield node
            left += [(each, depth + 1) for each in node.values() if isinstance(each, dict | list)]


def _as_text(recipe: dict[str, Any]) -> str:
    """The formula file that came with it; else its name, what it makes, ingredients, method."""
    for each in (recipe.get("encoding"), recipe.get("encodings")):
        for own in each if isinstance(each, list) else [each]:
            text = own.get("text") if isinstance(own, dict) else None
            if isinstance(text, str) and "[[stage]]" in text:
                return text
    lines = [_words(recipe.get("name")) or ""]
    makes = next(iter(_listed(recipe.get("recipeYield") or recipe.get("yield"))), "")
    if makes:
        lines.append(f"Makes {makes}")
    lines += ["Ingredients:", *_listed(recipe.get("recipeIngredient") or recipe.get("ingredients"))]
    lines += ["Method:", *_instructions(recipe.get("recipeInstructions"), 0)]
    return "\n".join(lines)


def _listed(value: Any) -> list[str]:
    values = value if isinstance(value, list) else [value]
    return [line for each in values for line in (_words(each) or "").splitlines() if line.strip()]


def _instructions(value: Any, depth: int) -> list[str]:
    if isinstance(value, list) and depth < DEEPEST:
        return [line for each in value[:1000] for line in _instructions(each, depth + 1)]
    if isinstance(value, dict) and depth < DEEPEST:
        inner = value.get("itemListElement")
        if inner:
            return _instructions(inner, depth + 1)
        value = value.get("text") or value.get("name")
    return [each for each in (_words(value) or "").splitlines() if each.strip()]


def _words(value: Any) -> str | None:
    """A text without marks and entities; a number as text; None for anything else."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return None
    text = str(value)[:20_000]
    text = re.sub(r"<(?:br|/p|/li|/div)\b[^<>]{0,200}>", "\n", text, flags=re.IGNORECASE)
    text = html.unescape(re.sub(r"<[^<>]{0,500}>", " ", text))
    return "\n".join(" ".join(line.split()) for line in text.splitlines()).strip()
