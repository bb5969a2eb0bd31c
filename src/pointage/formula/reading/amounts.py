"""The amounts in a line of a recipe: "1 1/2 cups", "1,200 g", "10-12 g", "(2 %)", "at 80F"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from pointage.formula.file.measures import GLYPHS
from pointage.formula.reading.units import RecipeUnit, unit_of, unit_pattern
from pointage.quantities import Temperature

WORD_NUMBERS: dict[str, int | str] = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "half": "1/2",
    "quarter": "1/4", "ein": 1, "eine": 1, "einen": 1, "zwei": 2, "drei": 3, "vier": 4,
    "halbe": "1/2", "un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4, "uno": 1, "una": 1,
    "due": 2, "tre": 3, "quattro": 4, "mezzo": "1/2",
}  # fmt: skip
LONGEST_DIGITS = 9
FAHRENHEIT_FROM = (
    50  # degrees of a dough or its water without a letter: above it they are Fahrenheit's
)

_FRACTION = r"\d{1,4}\s?/\s?\d{1,4}"
_NUMBER = (
    rf"(?:\d{{1,4}}[ -]{_FRACTION}|{_FRACTION}|\d{{1,3}}(?:[,.'’]\d{{3}})+(?![\d])(?:[.,]\d+)?"
    rf"|(?<!\w )\d{{1,3}}(?: \d{{3}})+(?=\s?(?:g|ml)\b)|\d{{1,{LONGEST_DIGITS}}}(?:[.,]\d{{1,6}})?)"
)
_WORDS = "|".join(WORD_NUMBERS)
_RANGE = r"\s?(?:-|–|—|to|bis|à|or|oder|ou)\s?"
_AMOUNT = re.compile(
    rf"(?<![\w.,/])(?P<low>{_NUMBER}|(?i:{_WORDS})(?=\s))(?:\s?(?P<midunit>{unit_pattern()})?{_RANGE}"
    rf"(?P<high>{_NUMBER}))?\s?(?P<size>(?i:heaped|heaping|rounded|level|scant|generous|good|large|small)\s)?"
    rf"(?P<unit>{unit_pattern()})"
)
_BARE = re.compile(
    rf"^(?P<low>{_NUMBER}|(?i:{_WORDS})(?=\s))(?:{_RANGE}(?P<high>{_NUMBER}))?(?![\w%/])"
)
_PERCENT = re.compile(r"(?<![\w.,])(\d{1,4}(?:[.,]\d{1,4})?)\s?%")
_OF_SOMETHING = re.compile(
    r"(?<![\w.,])\d{1,3}(?:[.,]\d+)?\s?%\s?(?:fat|milk ?fat|m\.?g\.?|protein|cocoa|cacao|fett"
    r"|matière|extraction"
    r"|eiweiß|protéines|proteine|grassi|ash)\b",
    re.IGNORECASE,
)
_OF_MILK = re.compile(
    r"(?<![\w.,])(\d(?:[.,]\d)?)\s?%(?=\s(?:milk|yogh?urt|milch|lait|latte)\b)", re.IGNORECASE
)
_HYDRATION = re.compile(
    r"(?:at\s)?(?<![\w.,])(\d{2,3})\s?%\s?(?:hydration|hydrat\w*|idratazione|TH\b)"
    r"|(?:hydration|hydratation|idratazione|TH)\s?(?:of|:|de|al)?\s?(\d{2,3})\s?%"
    r"|\bTA\s?(\d{3})\b",
    re.IGNORECASE,
)
_WARMTH = re.compile(
    r"(?:\(\s?)?(?:(?:at|@|bei|à|a|about|ca\.?|approx\.?)\s)?@?\s?"
    r"(?<![\w.,/])(\d{1,3}(?:[.,]\d)?)(?:\s?[-–]\s?\d{1,3})?"
    r"(?:\s?(?:°|º|degrees?|deg\.?|grad)\s?([CF])?|([CF])|\s([CF]))(?![\w])"
    r"(?:\s?[/(,]\s?\d{1,3}(?:[.,]\d)?\s?(?:°|º)?\s?[CF]?\)?)?(?:\s?\))?"
)
_SCALE = ("g", "ml")  # what is counted in thousands


@dataclass(frozen=True, slots=True)
class FoundAmount:
    """An amount: low to high of a unit; None where a number has none. unsure: what is doubtful."""

    low: Fraction
    high: Fraction
    unit: RecipeUnit | None
    text: str
    unsure: tuple[str, ...] = ()

    @property
    def mid(self) -> Fraction:
        """The middle of the range."""
        return (self.low + self.high) / 2

    @property
    def size(self) -> Fraction:
        """Grams or millilitres of the middle; the number itself of what is counted."""
        return self.mid * (self.unit.size if self.unit else 1)


@dataclass(frozen=True, slots=True)
class LineParts:
    """A line taken apart. rest: what is left of it; leads: whether an amount stands before it."""

    amounts: tuple[FoundAmount, ...]
    percents: tuple[Fraction, ...]
    hydration: Fraction | None
    temperature: Temperature | None
    warmth_unsure: bool
    rest: str
    leads: bool


def plain_numbers(text: str) -> str:
    """`text` with fractions written out and one sort of dash, space and slash."""
    text = text.replace("⁄", "/").replace("\u2044", "/").replace("−", "-").replace("‐", "-")
    for glyph, written in GLYPHS.items():
        text = re.sub(rf"(?<=\d)\s?{glyph}", f" {written}", text).replace(glyph, written)
    return re.sub(r"[ \t\u00a0\u2007\u2009\u202f]+", " ", text).strip()


def take_apart(line: str, country: str = "") -> LineParts:
    """The amounts, percentages and temperature of a line, and the words that are left."""
    left = plain_numbers(line)
    left, hydration = _hydration(left)
    left = _OF_SOMETHING.sub(" ", left)
    left, temperature, unsure = _warmth(left, country)
    amounts: list[FoundAmount] = []
    leads = False

    def amount(match: re.Match[str]) -> str:
        nonlocal leads
        unit = unit_of(match["unit"], country)
        found = _found(match["low"], match["high"], unit, match[0], country)
        if found is None:
            return match[0]
        leads = leads or match.start() <= _lead(left)
        amounts.append(found)
        return "\0"

    left = _AMOUNT.sub(amount, left)
    left = _OF_MILK.sub(r"\1 ", left)
    percents = [Fraction(each.replace(",", ".")) for each in _PERCENT.findall(left)]
    leads = leads or bool(_PERCENT.match(left))
    left = _PERCENT.sub("\0", left)
    left = re.sub(r"^[\0\s]+", "", left) if leads else left
    if not amounts and (match := _BARE.match(left)):
        found = _found(match["low"], match["high"], None, match[0], country)
        if found is not None:
            amounts, leads = [found], True
            left = left[match.end() :]
    rest = re.sub(r"\(\s*[\0,;/\s]*(?:=|about|or|approx\.?|ca\.?)?[\0\s]*\)", " ", left)
    rest = re.sub(r"[\0]+", " ", rest)
    return LineParts(
        tuple(amounts), tuple(percents), hydration, temperature, unsure,
        re.sub(r"\s+", " ", rest).strip(), leads,
    )  # fmt: skip


def _lead(line: str) -> int:
    """How far into a line an amount may stand and still be before the name."""
    match = re.match(
        r"(?:about|approx\.?|approximately|ca\.?|circa|env\.?|environ|etwa|~|≈|a|\s)*", line, re.I
    )
    return match.end() if match else 0


def _hydration(text: str) -> tuple[str, Fraction | None]:
    match = _HYDRATION.search(text)
    if match is None:
        return text, None
    found = Fraction(match[1] or match[2] or 0) or Fraction(int(match[3] or 100) - 100)
    if not 30 <= found <= 300:
        return text, None
    return f"{text[: match.start()]} {text[match.end() :]}", found / 100


def _warmth(text: str, country: str) -> tuple[str, Temperature | None, bool]:
    match = _WARMTH.search(text)
    if match is None:
        return text, None, False
    number = Fraction(match[1].replace(",", "."))
    letter = match[2] or match[3] or match[4] or ""
    said = match[0].lstrip("( ")
    if not match[2] and letter and number < 10 and said[:1].isdigit():
        return text, None, False  # "2 C" is two cups
    fahrenheit = letter == "F" or (not letter and (country == "us" or number > FAHRENHEIT_FROM))
    celsius = float((number - 32) * 5 / 9 if fahrenheit else number)
    return f"{text[: match.start()]} {text[match.end() :]}", Temperature(celsius), not letter


def _found(
    low: str, high: str | None, unit: RecipeUnit | None, text: str, country: str
) -> FoundAmount | None:
    unsure: list[str] = []
    ends = [_value(each, unit, country, unsure) for each in (low, high or low)]
    if None in ends:
        return None
    first, last = (each for each in ends if each is not None)
    if last < first:
        return None
    if last > first:
        unsure.append("range")
    return FoundAmount(first, last, unit, text.strip(), tuple(dict.fromkeys(unsure)))


def _value(text: str, unit: RecipeUnit | None, country: str, unsure: list[str]) -> Fraction | None:
    word = WORD_NUMBERS.get(text.strip().casefold())
    if word is not None:
        return Fraction(word)
    text = text.strip()
    if "/" in text:
        total = Fraction()
        for part in re.sub(r"\s?/\s?", "/", text.replace("-", " ")).split():
            over, _, under = part.partition("/")
            if under and not int(under):
                return None
            total += Fraction(int(over), int(under or 1))
        return total
    return _decimal(text, unit, country, unsure)


def _decimal(
    text: str, unit: RecipeUnit | None, country: str, unsure: list[str]
) -> Fraction | None:
    """A number whose comma or point may stand for thousands."""
    if re.fullmatch(r"\d{1,3}(?:['’ ]\d{3})+", text):
        if " " in text and country != "fr":
            unsure.append("thousands")
        return Fraction(re.sub(r"\D", "", text))
    match = re.fullmatch(r"(\d{1,3})([.,])(\d{3})((?:\2\d{3})*)(?:[.,](\d+))?", text)
    if match is None:
        return Fraction(text.replace(",", "."))
    several = bool(match[4]) or match[5] is not None
    in_thousands = unit is None or unit.name in _SCALE
    continental = country in ("fr", "de", "it")
    thousands = several or (in_thousands and (match[2] == "," or continental) and match[1] != "0")
    if not several and in_thousands and match[1] != "0" and (match[2] == "." or continental):
        unsure.append("thousands")
    if thousands:
        whole = re.sub(r"\D", "", match[1] + match[3] + match[4])
        return Fraction(f"{whole}.{match[5]}" if match[5] else whole)
    return Fraction(f"{match[1]}.{match[3]}")
