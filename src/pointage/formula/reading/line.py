"""One line of a recipe: what it names, how many grams, and what is doubtful about either."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from pointage.data import load
from pointage.formula.file.measures import CUP_ML, ML_PER
from pointage.formula.ingredients import Ingredient, Volume, ingredient
from pointage.formula.names import NO_FOOD, less_harmless, plain, resolve
from pointage.formula.reading.amounts import FoundAmount, LineParts, take_apart
from pointage.formula.reading.typed import LineDoubt
from pointage.quantities import Temperature

# A cup of ripe levain of equal flour and water, stirred down: common practice, no source.
STARTER_CUP_G = 240
STARTER_OFF = 25.0
STIFF = Fraction(1, 2)
"""Water over flour in a levain that is called stiff, as is usual; common practice, no source."""
LEAST_BARE_G = 5  # a smaller number without a unit may be spoons or anything
_LIKE: Mapping[str, str] = {"flour": "wheat-white", "liquid": "water", "fat": "olive-oil"}
"""By whose cup a kind is measured where its own was never weighed."""

_STARTER = re.compile(
    r"\b(?:sourdough starter|starter|levain|leaven|sourdough|mother(?: dough)?|anstellgut|asg"
    r"|(?:\w+)?sauerteig|(?:roggen|weizen|dinkel)sauer|poolish|biga|pre ?ferment|chef"
    r"|pasta madre|lievito madre"
    r"|li ?co ?li|discard|vorteig|prefermento)\b"
)
_STIFF = re.compile(
    r"\b(?:stiff|firm|dur|solid[oa]|lievito madre|pasta madre|biga|fester|festes|fest)\b"
)
_OF_STARTER = re.compile(
    r"\b(?:ripe|active|bubbly|fed|mature|unfed|lively|liquid|liquide|from above|above|all|of"
    r"|the|your|my|recipe"
    r"|stiff|firm|dur|levain|hydration|culture|refreshed|at|peak|reif\w*|aktiv\w*|flussig\w*"
    r"|attivo|rinfrescat\w*"
    r"|mur|actif|100|natural|naturel|made|with|fester|festes|solido|liquido|day|before|cold"
    r"|fridge|straight)\b"
)
_OUTSIDE = re.compile(
    r"\b(?:for|to|zum|pour|per|plus extra for)\s(?:the\s)?(?:dust\w*|greas\w*|sprinkl\w*"
    r"|brush\w*|tins?\b|pans?\b|trays?\b"
    r"|bench|board|work ?surface|work ?top|shaping|topping|coating|finish\w*|glaz\w*|decorat\w*"
    r"|flouring|banneton"
    r"|basket|kneading|rolling|serv\w*|bestauben|bestreuen|bestreichen|einfetten|fleurer|dorer"
    r"|spolverare|ungere)"
    r"|\begg ?wash\b|\bto taste for\b"
)
_ALL = re.compile(r"^(?:all|all of|the whole|whole|entire|gesamte[rs]?|ganze[rs]?|tout|tutt[oa])\b")
_ALTERNATIVE = re.compile(r"\s(?:or|oder|ou|oppure|o)\s|\s?/\s?", re.IGNORECASE)
_TAIL = re.compile(
    r"\s*(?:,|;|\s[-–—]\s|\s(?:for|to|cut|at|from|such as|in|that|which|until|if|plus|with)\s)"
)
_EXTRA = re.compile(r"\b(?:plus|and|und|et|e)\s(?:extra|more|a little|some|etwas|un peu)\b")
_CONTAINER = re.compile(
    r"^(?:plus|and|\+|(?:sachets?|packets?|packages?|packs?|envelopes?|bags?|cans?|jars?|tins?"
    r"|handfuls?|knobs?"
    r"|splash(?:es)?|drizzles?|bunch(?:es)?|sprigs?|sheets?|päckchen|bustin[ae])(?:\s(?:of|de"
    r"|di))?)\s",
    re.IGNORECASE,
)
_OF_A_PLACE = re.compile(r"\s(?:de|di|of|from)\s(?:la\s|le\s|the\s)?[A-ZÀ-Ý][\w-]+$")
_CHANGES = re.compile(
    r"\b(?:free|less|without|self|raising|rising|mix|blend|vegan|imitation|substitute|ohne|sans|senza)\b"
)
"""Words that make another thing of what they stand before."""
MOST_BEFORE = 4
_EDGES = " \t.,;:=|/–—-…·*_+&~≈#"
_REMARKS = frozenset(load("recipe-words.toml")["remarks"].split())


@dataclass(frozen=True, slots=True)
class StarterSaid:
    """Ripe levain as a line names it; None for what it does not say. flour: an ingredient."""

    words: str
    hydration: Fraction | None
    flour: str | None
    is_stiff: bool


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """A line as it was typed and what it is taken for.

    name: of the ingredient, None where it is none. grams: None where there is no mass. percent: as
    typed. takes_all: it is the whole of another stage. outside: it never gets into the dough.
    """

    typed: str
    name: str | None = None
    starter: StarterSaid | None = None
    grams: Fraction | None = None
    percent: Fraction | None = None
    temperature: Temperature | None = None
    doubts: tuple[LineDoubt, ...] = ()
    takes_all: bool = False
    outside: bool = False
    words: str = ""

    def doubting(self, what: str, **about: object) -> RecipeLine:
        """The same with one doubt more."""
        return replace(self, doubts=(*self.doubts, LineDoubt(what, about)))


@dataclass(frozen=True, slots=True)
class _Named:
    name: str | None
    doubts: tuple[LineDoubt, ...] = ()

    @property
    def is_no_food(self) -> bool:
        return any(each.what == "no food" for each in self.doubts)


def read_line(typed: str, country: str = "") -> RecipeLine:
    """What one line of ingredients says, in the sense of a country. It never raises."""
    parts = take_apart(_bare(typed), country)
    words = _CONTAINER.sub("", parts.rest.strip(_EDGES))
    words = re.sub(r"\s(?:plus|and|und|et|e)$", "", words.strip(_EDGES)).strip(_EDGES)
    line = RecipeLine(typed.strip(), temperature=parts.temperature, words=words)
    if parts.warmth_unsure and parts.temperature is not None:
        line = line.doubting("degrees", celsius=parts.temperature.celsius)
    outside = bool(_OUTSIDE.search(_EXTRA.split(plain(words), maxsplit=1)[0]))
    if _STARTER.search(plain(words)) and not _is_food_named(words, country):
        starter = _starter(words, parts, country)
        line = replace(line, starter=starter, takes_all=bool(_ALL.match(plain(words))))
        return _amount_of_starter(line, parts)
    named = _named(words, country)
    amounts = parts.amounts
    if (
        named.name is None
        and not amounts
        and (match := re.search(r"\s(\d{1,6}(?:[.,]\d+)?)$", words))
    ):
        amounts = (FoundAmount(*(Fraction(match[1].replace(",", ".")),) * 2, None, match[0]),)
        named = _named(words[: match.start()].strip(_EDGES), country)
    line = replace(line, name=named.name, outside=outside, takes_all=bool(_ALL.match(plain(words))))
    doubts = (*line.doubts, *named.doubts)
    if outside:
        line = _with_amount(line, replace(parts, amounts=amounts))
        return replace(line, doubts=(LineDoubt("outside"),))
    line = _with_amount(replace(line, doubts=doubts), replace(parts, amounts=amounts))
    return replace(line, doubts=doubts) if named.is_no_food else line


def _bare(typed: str) -> str:
    """A line without its bullet, box or number, and the marks of tables and emphasis."""
    text = typed.replace("|", " ").replace("\t", " ").replace("**", "").replace("__", "")
    text = re.sub(r"^\s*(?:[-*•▢☐□◦‣·–—>]+\s+|\[[ xX]?\]\s*|[▢☐□•‣◦]\s*)+", "", text)
    return re.sub(r"^\s*\d{1,2}[.)]\s+(?=\S)", "", text)


def _is_food_named(words: str, country: str) -> bool:
    """Whether a line with the word of a levain is another thing: "sourdough breadcrumbs"."""
    found = resolve(_outside_brackets(words), country)
    return found is not None and found.sure


def _outside_brackets(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"\([^()]*\)?|\[[^\[\]]*\]?", " ", text)).strip(_EDGES)


def _named(words: str, country: str) -> _Named:
    """The ingredient that the words of a line name, by as many of them as can be."""
    if not words:
        return _Named(None, (LineDoubt("no name"),))
    if (
        NO_FOOD.search(plain(words))
        and resolve(words, country) is None
        and not _OUTSIDE.search(plain(words))
    ):
        return _Named(None, (LineDoubt("no food"),))
    for text, doubt in _readings(words):
        found = resolve(text, country)
        if found is None or (doubt == "sure" and not found.sure):
            continue
        doubts = [] if found.sure else [LineDoubt("sense", {"name": found.name, "said": text})]
        left = _left_out(words, text)
        if doubt == "first":
            doubts.append(LineDoubt("first", {"said": text}))
        elif left:
            doubts.append(LineDoubt("rest", {"said": left}))
        return _Named(found.name, tuple(doubts))
    return _Named(None, (LineDoubt("unknown", {"said": words}),))


def _readings(words: str) -> Iterator[tuple[str, str]]:
    """What may be the name in the words of a line, the fullest first."""
    bare = _outside_brackets(words)
    if bare != words:
        yield words.replace("(", " ").replace(")", " "), ""
    yield bare, ""
    head = _TAIL.split(bare, maxsplit=1)[0].strip(_EDGES)
    if head and head != bare:
        yield head, ""
    proper = _OF_A_PLACE.sub("", bare)
    if proper != bare:
        yield proper, ""
    for text in dict.fromkeys((bare, head)):
        first = _ALTERNATIVE.split(text, maxsplit=1)[0].strip(_EDGES)
        if first and first != text:
            yield first, "first"
            # "white or wholemeal flour": what both are stands behind the second.
            last = text.split()[-1]
            yield f"{first} {last}", "first"
    # A mill's or a maker's name before it: "Hilltop best bread flour".
    words_of = head.split()
    if not _CHANGES.search(plain(head)):
        for at in range(1, min(len(words_of) - 1, MOST_BEFORE + 1)):
            yield " ".join(words_of[at:]), "sure"


def _left_out(words: str, taken: str) -> str:
    """The words that the name left over and that might have changed it."""
    used = set(plain(taken).split())
    kept = [each for each in plain(words).split() if each not in used]
    return " ".join(
        each for each in less_harmless(kept) if each not in _REMARKS and not each.isdecimal()
    )


def _starter(words: str, parts: LineParts, country: str) -> StarterSaid:
    said = plain(words)
    match = _STARTER.search(said)
    rest = _OF_STARTER.sub(" ", _STARTER.sub(" ", said))
    if match and (compound := re.match(r"(roggen|weizen|dinkel)", match[0])):
        rest = f"{rest} {compound[1]}"
    rest = " ".join(less_harmless(rest.split()))
    flour = None
    for text in (rest, f"{rest} flour", f"{rest}mehl") if rest else ():
        found = resolve(text, country)
        if found is not None and ingredient(found.name).kind == "flour":
            flour = found.name
            break
    is_stiff = parts.hydration is None and bool(_STIFF.search(said))
    return StarterSaid(words, parts.hydration, flour, is_stiff)


def _amount_of_starter(line: RecipeLine, parts: LineParts) -> RecipeLine:
    found = _best(parts.amounts)
    line = replace(line, percent=_percent(parts, found))
    if not found:
        return line if line.percent is not None or line.takes_all else line.doubting("no amount")
    line = _said_of(line, found)
    unit = found[0].unit
    if unit is None or unit.kind == "mass":
        grams = sum((each.size for each in found), Fraction())
        return replace(line, grams=grams) if unit else replace(line, grams=grams).doubting("bare")
    if unit.kind == "count":
        return line.doubting("no amount")
    ml = sum((each.size for each in found), Fraction())
    line = line.doubting("volume", said=_text(found), off=STARTER_OFF)
    return replace(line, grams=ml * STARTER_CUP_G / CUP_ML)


def _with_amount(line: RecipeLine, parts: LineParts) -> RecipeLine:
    found = _best(parts.amounts)
    line = replace(line, percent=_percent(parts, found))
    if not found:
        has = line.percent is not None or line.takes_all
        return line if has else line.doubting("no amount")
    line = _said_of(line, found)
    unit = found[0].unit
    size = sum((each.size for each in found), Fraction())
    if unit is not None and unit.kind == "mass":
        return replace(line, grams=size)
    if line.name is None:
        return line
    if unit is not None and unit.kind == "volume":
        return _measured(line, ingredient(line.name), found)
    return _counted(line, ingredient(line.name), found[0])


def _counted(line: RecipeLine, it: Ingredient, amount: FoundAmount) -> RecipeLine:
    """The grams of so many, by the mass of one; of a bare number that is large, so many grams."""
    name = "piece" if amount.unit is None else amount.unit.name
    if it.counted is not None:
        usual = it.counted.grams.get("piece") if name in ("large", "medium", "small") else None
        each = it.counted.grams.get(name, usual)
        if each is not None:
            line = line.doubting("count", each=each, off=it.counted.off)
            return replace(line, grams=amount.size * each)
    if amount.unit is None and amount.size >= LEAST_BARE_G:
        return replace(line, grams=amount.size).doubting("bare")
    return line.doubting("unit", said=amount.text)


def _measured(line: RecipeLine, it: Ingredient, found: Sequence[FoundAmount]) -> RecipeLine:
    """The grams of a volume, by the cup that was weighed of it or of its like."""
    ml = sum((each.size for each in found), Fraction())
    metric = all(
        each.unit is not None and each.unit.name in ("ml", "cl", "dl", "l") for each in found
    )
    if it.name == "water" and metric:
        return replace(line, grams=ml)  # bakers weigh a litre of water as 1000 g
    volume, like = it.volume, _LIKE.get(it.kind)
    if volume is None and like is not None:
        volume = ingredient(like).volume
        line = line.doubting("like", name=like)
    if volume is None:
        return line.doubting("no density", said=_text(found))
    grams = sum((_grams_of(volume, each) for each in found), Fraction())
    line = line.doubting("volume", said=_text(found), off=volume.off)
    return replace(line, grams=grams)


def _grams_of(volume: Volume, amount: FoundAmount) -> Fraction:
    name = amount.unit.name if amount.unit else ""
    if name in volume.grams and amount.size == amount.mid * ML_PER[name]:
        return amount.mid * volume.grams[name]
    weighed, grams = next(iter(volume.grams.items()))
    return grams * amount.size / ML_PER[weighed]


def _said_of(line: RecipeLine, found: Sequence[FoundAmount]) -> RecipeLine:
    for each in found:
        for what in each.unsure:
            line = line.doubting(what, said=each.text, taken=each.mid)
    return line


def _percent(parts: LineParts, found: Sequence[FoundAmount]) -> Fraction | None:
    return None if found or not parts.percents else parts.percents[0]


def _text(found: Sequence[FoundAmount]) -> str:
    return " + ".join(each.text for each in found)


_METRIC = ("g", "kg", "mg", "Pfund")


def _best(amounts: Sequence[FoundAmount]) -> tuple[FoundAmount, ...]:
    """The amount that is taken: grams before pounds before cups; "1 lb 4 oz" is one."""
    for units in (_METRIC, ("lb", "oz")):
        found = [each for each in amounts if each.unit is not None and each.unit.name in units]
        if found:
            return tuple(found[: 2 if _is_compound(found) else 1])
    volumes = [each for each in amounts if each.unit is not None and each.unit.kind == "volume"]
    if volumes:
        return tuple(volumes[: 2 if _is_compound(volumes) else 1])
    return tuple(amounts[:1])


def _is_compound(found: Sequence[FoundAmount]) -> bool:
    """Whether the second is a smaller unit than the first, and a part of one of it."""
    if len(found) < 2 or not (found[0].unit and found[1].unit):
        return False
    return found[1].unit.size < found[0].unit.size and found[1].size < found[0].unit.size
