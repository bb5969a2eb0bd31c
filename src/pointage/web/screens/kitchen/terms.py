"""The keys and words of the kitchen's file, as they are read on its page."""

from __future__ import annotations

from pointage.language import mark, say

KEYS = {
    "air": mark("air"),
    "altitude": mark("altitude"),
    "baking_duty": mark("baking duty"),
    "capacity": mark("capacity"),
    "clock": mark("clock"),
    "cooling": mark("cooling"),
    "count": mark("count"),
    "currency": mark("currency"),
    "dates": mark("dates"),
    "degrees": mark("degrees"),
    "diameter": mark("diameter"),
    "friction": mark("friction"),
    "heating_duty": mark("heating duty"),
    "height": mark("height"),
    "hottest": mark("hottest"),
    "kind": mark("kind"),
    "lid": mark("lid"),
    "loaves": mark("loaves"),
    "log": mark("log"),
    "material": mark("material"),
    "mixed_in": mark("mixed in"),
    "money": mark("money"),
    "most": mark("most"),
    "name": mark("name"),
    "offset": mark("offset"),
    "ounces": mark("ounces"),
    "power": mark("power"),
    "preheat": mark("preheat"),
    "price": mark("price"),
    "readings": mark("readings"),
    "rolls": mark("rolls"),
    "room": mark("room"),
    "sleep": mark("sleep"),
    "spread": mark("spread"),
    "steam": mark("steam"),
    "step": mark("step"),
    "surface": mark("surface"),
    "swing": mark("swing"),
    "tap": mark("tap"),
    "tare": mark("tare"),
    "temperature": mark("temperature"),
    "use": mark("use"),
    "volume": mark("volume"),
    "wall": mark("wall"),
    "warmest": mark("warmest"),
    "warmest_day": mark("warmest day"),
    "way": mark("way"),
    "week": mark("week"),
    "width": mark("width"),
    "yearly": mark("yearly"),
    "zone": mark("zone"),
}
"""Every key, as it reads within a line."""
WORDS = {
    "kind": (mark("room"), mark("warm"), mark("box"), mark("fridge"), mark("outdoors")),
    "air": (mark("still"), mark("moving"), mark("fan"), mark("water")),
    "use": (mark("jar"), mark("tub"), mark("bowl"), mark("tin"), mark("basket"), mark("tray")),
    "lid": (mark("none"), mark("loose"), mark("tight")),
    "material": (
        mark("glass"),
        mark("steel"),
        mark("plastic"),
        mark("ceramic"),
        mark("wood"),
        mark("aluminium"),
        mark("iron"),
        mark("cane"),
    ),
    "way": (
        mark("hand"),
        mark("hand-folds"),
        mark("spiral-slow"),
        mark("spiral-fast"),
        mark("planetary"),
        mark("food-processor"),
    ),
    "surface": (mark("stone"), mark("sheet")),
    "ounces": (mark("no"), mark("yes")),
    "dates": (mark("day"), mark("month"), mark("year")),
    "week": (mark("monday"), mark("saturday"), mark("sunday")),
    "money": (mark("after"), mark("before")),
}
"""What a key may say that is a word. It is kept in English, and translated where it is read."""


def key_words(key: str) -> str:
    """A key as it reads within a line; one that is not known without its underlines."""
    return say(KEYS[key]) if key in KEYS else key.replace("_", " ")


def label_of(key: str) -> str:
    """A key as it stands above its field."""
    text = key_words(key)
    return text[:1].upper() + text[1:]


def word_of(key: str, value: str) -> str:
    """What a key says, as it is read: a word of its own translated, anything else as it is."""
    return say(value) if value in WORDS.get(key, ()) else value
