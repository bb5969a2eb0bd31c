"""Words that must not come back in what a person reads, and a glossary with each word once."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "pointage"
GONE = re.compile(
    r"\b(will not do|reckon\w*|foretold|wish for bread|told|number of this world|"
    r"giv(?:e|es|ing) (?:it )?up|given up|poured off|in hand|put right|"
    r"nought|say so|works? it out|for hands)\b",
    re.IGNORECASE,
)
SPOKEN = re.compile(r'\b(?:aria-label|title|placeholder|alt|data-busy|data-\w+)="([^"]*)"')
JOINED = re.compile(r'"\s*f?"')
LITERAL = re.compile(r'"(?:[^"\\\n]|\\.)*"|`[^`]*`')


def literals(path: Path) -> Iterator[tuple[int, str]]:
    """The sentences of a module; of docstrings those that `--help` prints."""
    every = list(ast.walk(ast.parse(path.read_text())))
    silent = {id(node.value) for node in every if isinstance(node, ast.Expr)}
    if "cli" in path.parts:
        commands = [node for node in every if isinstance(node, ast.FunctionDef)]
        silent -= {id(getattr(node.body[0], "value", None)) for node in commands}
    for node in every:
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in silent
        ):
            yield node.lineno, node.value


def markup(text: str) -> str:
    """What a page shows or speaks: its text, its labels, and the words chosen in it."""
    text = re.sub(r"\{#.*?#\}", "", text, flags=re.DOTALL)
    chosen = " ".join(
        word
        for code in re.findall(r"\{[{%](.*?)[%}]\}", text, flags=re.DOTALL)
        for word in re.findall(r'"([^"]* [^"]*)"', code)
    )
    text = re.sub(r"\{[{%].*?[%}]\}", "", text, flags=re.DOTALL)
    return " ".join([*SPOKEN.findall(text), re.sub(r"<[^>]*>", " ", text), chosen])


@cache
def visible() -> tuple[tuple[str, str], ...]:
    """Every text a person may read, with where it is."""
    return tuple(_visible())


def _visible() -> Iterator[tuple[str, str]]:
    for path in sorted(PACKAGE.rglob("*")):
        name = str(path.relative_to(ROOT))
        match path.suffix:
            case ".py":
                # To find what is a text takes a while: only where one of the words may be in it.
                code = path.read_text()
                yield name, ""
                if GONE.search(JOINED.sub("", code)):
                    for line, text in literals(path):
                        if " " in text.strip():
                            yield f"{name}:{line}", text
            case ".html":
                yield name, markup(path.read_text())
            case ".js" if ".min." not in path.name:
                code = re.sub(r"(?m)^\s*//.*$", "", path.read_text())
                yield name, " ".join(LITERAL.findall(re.sub(r"\$\{[^}]*\}", "", code)))
            case ".toml":
                yield name, " ".join(re.findall(r'= (".*")', path.read_text()))
            case _:
                pass
    for path in (ROOT / "README.md", ROOT / "CHANGELOG.md", *sorted((ROOT / "docs").glob("*.md"))):
        yield path.name, path.read_text()


def test_no_word_of_the_old_dialect_is_visible() -> None:
    found = [f"{where}: {match[0]}" for where, text in visible() for match in GONE.finditer(text)]
    assert not found, "\n".join(found)


def test_the_words_would_be_found_in_each_kind_of_text() -> None:
    assert GONE.search(markup('<button aria-label="Told lately">{{ told }}</button>'))
    assert GONE.search(markup("<summary>Give it up</summary>"))
    assert not GONE.search(markup('<p class="told">{{ page.told }}</p>{# told #}'))
    kinds = {Path(where.partition(":")[0]).suffix for where, _ in visible()}
    assert kinds == {".py", ".html", ".js", ".toml", ".md"}


def test_the_glossary_has_each_word_once() -> None:
    page = (ROOT / "docs" / "words.md").read_text()
    words = re.findall(r"(?m)^\| (?!word |-)([^|]+) \|", page)
    assert len(words) > 40
    assert len(words) == len(set(words))
    assert "docs/words.md" in (ROOT / "README.md").read_text()
