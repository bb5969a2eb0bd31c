"""The words of the kitchen's and the formulas' files, as forms and pages have them.

A key is its own words ("bake_note": "bake note"), and a choice is the word that is in the file,
which stays English there: here they stand to be found for translation.
"""

from __future__ import annotations

from pointage.language import mark, say

KEYS = (
    mark("about"),
    mark("author"),
    mark("licence"),
    mark("year"),
    mark("air"),
    mark("altitude"),
    mark("bake"),
    mark("bake note"),
    mark("baking duty"),
    mark("bench rest"),
    mark("bulk place"),
    mark("bulk rise"),
    mark("capacity"),
    mark("cautions"),
    mark("clock"),
    mark("cool"),
    mark("cooling"),
    mark("count"),
    mark("culture"),
    mark("currency"),
    mark("dates"),
    mark("degrees"),
    mark("diameter"),
    mark("divide"),
    mark("dough temperature"),
    mark("flour"),
    mark("flours"),
    mark("fold"),
    mark("fold every"),
    mark("folds"),
    mark("friction"),
    mark("heating duty"),
    mark("height"),
    mark("hottest"),
    mark("kind"),
    mark("least"),
    mark("lid"),
    mark("load"),
    mark("loaves"),
    mark("log"),
    mark("material"),
    mark("may contain"),
    mark("mix"),
    mark("mixed in"),
    mark("money"),
    mark("most"),
    mark("name"),
    mark("offset"),
    mark("ounces"),
    mark("oven"),
    mark("oven name"),
    mark("parts of"),
    mark("piece"),
    mark("pieces"),
    mark("place"),
    mark("power"),
    mark("preheat"),
    mark("price"),
    mark("proof place"),
    mark("proof rise"),
    mark("readings"),
    mark("retard place"),
    mark("retard rise"),
    mark("rolls"),
    mark("room"),
    mark("seed"),
    mark("shape"),
    mark("shape keeps"),
    mark("shaping"),
    mark("sleep"),
    mark("spread"),
    mark("steam"),
    mark("step"),
    mark("surface"),
    mark("swing"),
    mark("takes"),
    mark("tap"),
    mark("tare"),
    mark("temperature"),
    mark("use"),
    mark("volume"),
    mark("wall"),
    mark("warmest"),
    mark("warmest day"),
    mark("water"),
    mark("way"),
    mark("week"),
    mark("when"),
    mark("width"),
    mark("yearly"),
    mark("zone"),
)
"""Every key, as it reads within a line."""
CHOICES = frozenset(
    (
        # places, and the air and vessels in them
        mark("room"),
        mark("warm"),
        mark("box"),
        mark("fridge"),
        mark("outdoors"),
        mark("still"),
        mark("moving"),
        mark("fan"),
        mark("water"),
        mark("jar"),
        mark("tub"),
        mark("bowl"),
        mark("tin"),
        mark("basket"),
        mark("tray"),
        mark("none"),
        mark("loose"),
        mark("tight"),
        # what vessels are made of
        mark("glass"),
        mark("steel"),
        mark("plastic"),
        mark("ceramic"),
        mark("wood"),
        mark("aluminium"),
        mark("iron"),
        mark("cane"),
        # ways of mixing, and what an oven bakes on
        mark("hand"),
        mark("hand-folds"),
        mark("spiral-slow"),
        mark("spiral-fast"),
        mark("planetary"),
        mark("food-processor"),
        mark("stone"),
        mark("sheet"),
        # how things are shown
        mark("no"),
        mark("yes"),
        mark("day"),
        mark("month"),
        mark("year"),
        mark("monday"),
        mark("saturday"),
        mark("sunday"),
        mark("after"),
        mark("before"),
        # shapes of loaves, and kinds of stages
        mark("boule"),
        mark("bâtard"),
        mark("roll"),
        mark("flat"),
        mark("levain"),
        mark("soaker"),
        mark("scald"),
        mark("old dough"),
        mark("addition"),
        mark("dough"),
    )
)
"""What a key may say that is a word."""
NAMES = ("name", "mixed_in", "zone", "currency", "price")
"""Keys whose values people gave: they stay, whatever words they are."""


LABELS = {
    "altitude": mark("Height above the sea"),
    "baking_duty": mark("Share of its power while baking"),
    "cooling": mark("Cools in"),
    "clock": mark("Hours of the clock"),
    "count": mark("How many"),
    "dates": mark("First in a date"),
    "degrees": mark("Temperatures in"),
    "friction": mark("Mixing warms a dough by"),
    "heating_duty": mark("Share of its power while heating"),
    "hottest": mark("Hottest it gets"),
    "loaves": mark("Loaves in a load"),
    "money": mark("Sign of the currency"),
    "most": mark("Most it takes"),
    "offset": mark("Hotter than its dial by"),
    "ounces": mark("Ounces beside grams"),
    "preheat": mark("Hot in"),
    "room": mark("Room for dough"),
    "rolls": mark("Rolls in a load"),
    "sleep": mark("Asleep"),
    "spread": mark("How far it strays"),
    "steam": mark("Steam for"),
    "step": mark("Smallest step"),
    "swing": mark("Warmer and colder over a day by"),
    "tap": mark("Tap water"),
    "wall": mark("Thickness of its wall"),
    "warmest": mark("Warmest at"),
    "warmest_day": mark("Warmest day of the year"),
    "way": mark("Way of mixing"),
    "week": mark("The week begins on"),
    "yearly": mark("Warmer and colder over the year by"),
    "zone": mark("Time zone"),
}
"""What stands above a field where the key alone would not say it."""
MEANT = {
    ("money", "after"): mark("after the amount"),
    ("money", "before"): mark("before the amount"),
    ("degrees", "C"): "°C",
    ("degrees", "F"): "°F",
}
"""What a word means beside its key, where it would not say it alone."""


def key_words(key: str) -> str:
    """A key as it reads within a line."""
    return say(key.replace("_", " "))


def label_of(key: str) -> str:
    """A key as it stands above its field."""
    if key in LABELS:
        return say(LABELS[key])
    text = key_words(key)
    return text[:1].upper() + text[1:]


def word_of(key: str, value: str) -> str:
    """What a key says, as it is read: a word of its own translated, anything else as it is."""
    if (key, value) in MEANT:
        return say(MEANT[key, value])
    return say(value) if value in CHOICES and key not in NAMES else value
