"""The method of a recipe, line by line, beside the step that it is about.

A line is about what its first verb names; one that names nothing goes on with the one before. The
words themselves are never changed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pointage.formula.formula import ALL, LONGEST_WORDS, StageKind
from pointage.formula.names import plain

LONGEST_METHOD = LONGEST_WORDS
"""Characters that are kept of it: a book's longest method is half of it."""

_RISES = r"rise|rising|ferment\w*|doubled?|puffy|gehen|lever|lievit\w*"
_STEPS = (
    ("retard", r"retard\w*|refrigerat\w*|fridge|overnight in the cold|kuhlschrank|frigo\w*"),
    ("bulk", r"bulk|first (?:rise|rising|fermentation|proof)|stockgare|pointage|puntata"),
    ("proof", r"proof|proofing|prove|proving|second rise|(?:final|last) (?:rise|proof)|stuckgare"
              r"|appret|appretto"),
    ("rest", r"bench rest|rest on the bench|let the (?:pieces?|rounds?) (?:rest|relax)"),
    ("divide", r"divide|scale into|cut (?:it |the dough )?into|preshape|pre shape|teilen|diviser"
               r"|dividere"),
    ("shape", r"shape|form (?:it|the|into)|roll (?:it|up|out|into)|formen|faconner|formare"),
    ("fold", r"folds?|folding|stretch and fold|falten|rabat\w*|pieghe"),
    ("bake", r"bake|preheat|heat the oven|oven|score|slash|steam|backen|cuire|enfourner|infornare"
             r"|cuocere"),
    ("cool", r"cool|cooling|abkuhlen|refroidir|raffreddare"),
    ("mix", r"mix|mixing|combine|knead|kneading|autolyse|dissolve|stir|whisk|add|mischen|kneten"
            r"|verkneten|petrir|melanger|impastare|mescolare"),
)  # fmt: skip
_FIRST_WORDS = 14
_STAGES = {
    StageKind.LEVAIN: r"levain|starter|leaven|sauerteig|sour|biga|poolish|preferment|sponge|madre",
    StageKind.SOAKER: r"soak|soaker|quellstuck",
    StageKind.SCALD: r"scald|pour (?:the )?boiling|bruhstuck|tangzhong|roux",
}
_BEGINS = r"^(?:\d+ )?(?:(?:mix|build|make|feed|prepare|refresh|for|in|the|to|stir|combine) ){0,4}"


@dataclass(frozen=True, slots=True)
class MethodSaid:
    """The words by step (of WORDS, ALL for what is about none), and by the name of a stage.

    cut: there was more than is kept.
    """

    steps: dict[str, str]
    stages: dict[str, str]
    cut: bool


def by_step(lines: Iterable[str], stages: Sequence[tuple[str, StageKind]]) -> MethodSaid:
    """What each line is about. stages: the formula's own, by name."""
    steps: dict[str, list[str]] = {}
    of_stages: dict[str, list[str]] = {}
    now: list[str] = steps.setdefault(ALL, [])
    shaped, left = False, LONGEST_METHOD
    for line in lines:
        left -= len(line) + 1
        if left < 0:
            break
        words = plain(line)
        stage = _stage(words, stages)
        if stage:
            now = of_stages.setdefault(stage, [])
        elif step := _step(words, shaped=shaped):
            now = steps.setdefault(step, [])
            shaped = shaped or step in ("divide", "shape")
        now.append(line)
    return MethodSaid(_joined(steps), _joined(of_stages), left < 0)


def _stage(words: str, stages: Sequence[tuple[str, StageKind]]) -> str:
    for name, kind in stages:
        if kind is StageKind.DOUGH:
            continue
        known = "|".join(filter(None, (re.escape(plain(name)), _STAGES.get(kind, ""))))
        if re.search(rf"{_BEGINS}(?:{known})\b", words):
            return name
    return ""


def _step(words: str, *, shaped: bool) -> str:
    first = " ".join(words.split()[:_FIRST_WORDS])
    found = [
        (match.start(), number, step)
        for number, (step, pattern) in enumerate(_STEPS)
        if (match := re.search(rf"\b(?:{pattern})\b", first))
    ]
    if found:
        return min(found)[2]
    if re.search(rf"\b(?:{_RISES})\b", first):
        return "proof" if shaped else "bulk"
    return ""


def _joined(found: dict[str, list[str]]) -> dict[str, str]:
    return {key: "\n".join(lines) for key, lines in found.items() if lines}
