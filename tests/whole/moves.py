"""What people do to a kitchen, sensible or not, as plain data that can be written down and redone.

A move is a list whose first word says what it is:

    ["post", path, fields]            a form is sent
    ["append", kind, hours, body]     an entry is written to the store as it is, so late or early
    ["odd", kind, hours, body]        the same, looked at, and withdrawn again
    ["plan", path, value]             the first plan's body with one value changed, as a new plan
    ["kitchen", before, after]        the kitchen's file with a piece of its text replaced
    ["formula", slug, before, after]  a formula's text with a piece replaced, as a new revision
    ["clock", hours]                  time goes on, or a clock is put back
    ["open"]                          the store is closed and opened again
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tests.web.forms import forms
from tests.whole.hall import Hall
from tests.whole.odd import Picker, odd_entry, odd_plan
from tests.whole.pages import There, what_is_there

from pointage.daybook.bodies import BODIES

Move = list[Any]


GRAMS = ("20", "37.5", "150", "0", "1", "99999", "100001", "-5", "", "a lot", "nan", "1e9", "2kg")
FLOURS = ("rye-whole", "wheat-white", "spelt-whole", "water", "salt", "none-such", "")
RISES = ("1.6", "9", "0.1", "16", "nan", "high", "")
WARMTHS = ("24", "77F", "600C", "-40", "warm", "")
ACIDITIES = ("4.1", "1", "14", "sour", "")
NAMES = ("Skua", "Tern", "Petrel", "Gannet", "Auk / Razorbill", "x" * 300, "", "Gull & <b>", "?")
INSTANTS = ("", "", "", "2024-11-22T10:00", "2024-11-01T08:00", "1969-07-20T20:17",
            "2999-01-01T00:00", "soon", "2024-03-31T01:30")  # fmt: skip
PIECES = ("8", "0", "1", "10001", "-1", "some", "")
WORDS = ("A gale.", "", "é\u2028<script>", "x" * 5000, "\x07")
ITEMS = ("rye-whole", "wheat-white", "salt", "water", "none-such", "")
MASSES = ("5kg", "750g", "0g", "1000kg", "1e12kg", "", "a sack")
HOURS = (1.0, 6.0, 24.0, 72.0, 240.0, -1.0)
PLACES = ("Attic", "")


def _now(pick: Picker) -> dict[str, str]:
    return {"happened": pick(INSTANTS)}


def _culture(pick: Picker, there: There) -> str:
    return pick((*there.cultures, "Nobody"))


def feed(pick: Picker, hall: Hall) -> Move:
    there = what_is_there(hall)
    fields = {
        "seed_g": pick(GRAMS), "flour": pick(FLOURS), "flour_g": pick(GRAMS),
        "water_g": pick(GRAMS), "place": pick((*there.places, *PLACES)),
        "temperature_c": pick(WARMTHS),
    }  # fmt: skip
    return ["post", f"/cultures/{_culture(pick, there)}/fed", fields | _now(pick)]


def move(pick: Picker, hall: Hall) -> Move:
    there = what_is_there(hall)
    fields = {"place": pick((*there.places, *PLACES))}
    return ["post", f"/cultures/{_culture(pick, there)}/moved", fields | _now(pick)]


def split(pick: Picker, hall: Hall) -> Move:
    fields = {"new_name": pick(NAMES), "grams": pick(GRAMS)}
    name = _culture(pick, what_is_there(hall))
    return ["post", f"/cultures/{name}/split", fields | _now(pick)]


def pour_off(pick: Picker, hall: Hall) -> Move:
    name = _culture(pick, what_is_there(hall))
    return ["post", f"/cultures/{name}/poured-off", {"grams": pick(GRAMS)} | _now(pick)]


def end(pick: Picker, hall: Hall) -> Move:
    """Rename it, dry it or retire it."""
    action = pick(("renamed", "dried", "retired"))
    fields = {"new_name": pick(NAMES)} if action == "renamed" else {}
    name = _culture(pick, what_is_there(hall))
    return ["post", f"/cultures/{name}/{action}", fields | _now(pick)]


def measure(pick: Picker, hall: Hall) -> Move:
    fields = {"rise": pick(RISES), "temperature_c": pick(WARMTHS), "ph": pick(ACIDITIES)}
    name = _culture(pick, what_is_there(hall))
    return ["post", f"/cultures/{name}/measured", fields | _now(pick)]


def begin(pick: Picker, hall: Hall) -> Move:
    there = what_is_there(hall)
    fields = {
        "name": pick(NAMES), "flour": pick(FLOURS), "daily": pick(GRAMS),
        "place": pick((*there.places, *PLACES)), "vessel": pick(("Tub 1", "none", "")),
    }  # fmt: skip
    return ["post", "/cultures/raise", fields]


def bench(pick: Picker, hall: Hall) -> Move:
    """Something done or seen of a step of a bake, in any order."""
    bakes = list(hall.desk.past.bakes().values())
    if not bakes:
        return ["clock", 1.0]
    bake = pick(bakes[-3:])
    step = pick(bake.plan.steps)
    named = {"bake": bake.key, "step": step.key}
    ladders = [each for each in bake.plan.steps if each.ladder is not None]
    action = pick(("done", "done", "take-back", "poured", "reading", "noted", "give-up"))
    match action:
        case "poured" if ladders:
            step = pick(ladders)
            assert step.ladder is not None
            number = pick(range(len(step.ladder.pours) + 1))
            planned = step.ladder.pours[min(number, len(step.ladder.pours) - 1)].display_g
            display = pick((planned, planned * 1.03, planned * 1000, 0, -5, planned / 2))
            fields = {"bake": bake.key, "step": step.key, "pour": str(number),
                      "display": f"{display:.6g}"}  # fmt: skip
            keep = pick(("", "ratios", "total"))
            return ["post", "/bench/poured", fields | ({"keep": keep} if keep else {})]
        case "reading":
            kind = pick(("rise", "temperature", "ph", "ripe", "fallen", "smell"))
            values = {"rise": RISES, "temperature": WARMTHS, "ph": ACIDITIES}.get(kind, ("",))
            return ["post", "/bench/reading", {**named, "kind": kind, "value": pick(values)}]
        case "noted":
            kind = pick(("smelled", "note"))
            return ["post", "/bench/noted", {**named, "kind": kind, "text": pick(WORDS)}]
        case "give-up":
            return ["post", "/week/give-up", {"bake": bake.key}]
    return ["post", f"/bench/{'done' if action == 'poured' else action}", named]


def log(pick: Picker, hall: Hall) -> Move:
    """A line by the Daybook's forms."""
    there = what_is_there(hall)
    about = pick((
        "", *(f"culture={name}" for name in there.cultures),
        *(f"bake={key}" for key in there.bakes), "culture=Nobody", "bake=none",
    ))  # fmt: skip
    fields: dict[str, str]
    key = pick(("note", "rise", "warmth", "acidity", "smelled", "seen", "tasted", "weighed",
                "baked", "poured-off"))  # fmt: skip
    match key:
        case "rise":
            fields = {"rise": pick(RISES), "mm": pick(GRAMS), "band_mm": pick(GRAMS)}
        case "warmth":
            fields = {"temperature_c": pick(WARMTHS), "room_c": pick(WARMTHS)}
        case "acidity":
            fields = {"ph": pick(ACIDITIES), "tta_ml": pick(RISES)}
        case "tasted":
            fields = {"crust": pick(PIECES), "flavour": pick(RISES), "words": pick(WORDS)}
        case "weighed":
            when = pick(("baked", "mixed", ""))
            fields = {"grams": pick(GRAMS), "pieces": pick(PIECES), "when": when}
        case "baked":
            fields = {"pieces": pick(PIECES), "minutes": pick(PIECES), "core_c": pick(WARMTHS),
                      "oven_c": pick(("240", "20", "900", "hot", "")), "steam": "yes"}  # fmt: skip
        case "poured-off":
            fields = {"grams": pick(GRAMS), "to": pick(("waste", "kitchen", "moon"))}
        case _:
            fields = {"text": pick(WORDS), "signs": pick(WORDS)}
    return ["post", f"/daybook/told/{key}", fields | {"about": about} | _now(pick)]


def correct(pick: Picker, hall: Hall) -> Move:
    """A line put right: its own form with one field changed, to nonsense as well."""
    lines = [line for line in hall.desk.records.lines() if line.written.kind in BODIES]
    line = pick(lines[-12:])
    path = f"/daybook/entry/{line.written.id}"
    there = forms(hall.get(path).text, f"{path}/corrected")
    fields = {name: value for each in there for name, value in each.items() if name != "entry"}
    if fields:
        values = (*GRAMS[:6], *RISES, *NAMES[:4], *FLOURS[:5], *INSTANTS[3:])
        fields[pick(sorted(fields))] = pick(values)
    return ["post", f"{path}/corrected", fields]


def withdraw(pick: Picker, hall: Hall) -> Move:
    """A line withdrawn; or, when it is already, said to hold after all."""
    line = pick(hall.desk.records.lines()[-40:])
    path = f"/daybook/entry/{line.written.id}/withdrawn"
    return ["post", path, {"why": pick(("", "a slip"))}]


def larder(pick: Picker, hall: Hall) -> Move:
    action = pick(("buy", "count", "use", "use"))
    fields = {"item": pick(ITEMS), "mass": pick(MASSES), "packs": pick(PIECES),
              "price": pick(("9.50", "-1", "free", "")), "per": pick(("all", "kg", "pack", "x")),
              "bought": pick(("", "2024-11-20", "2999-01-01", "day")),
              "best_before": pick(("", "2025-01-01", "0001-01-01")), "lot": "",
              "remark": pick(WORDS)}  # fmt: skip
    return ["post", f"/larder/{action}", fields]


TUB = (
    '[[vessel]]\nname = "Tub 1"\ntare = "236g"\nvolume = "2l"\nmaterial = "plastic"\nuse = "tub"\n'
)
KITCHEN_EDITS = (
    ("Boiler cupboard", "Warm cupboard"), ("Fridge", "Cold room"), ('"Hall"', '"Room"'),
    ("Europe/Dublin", "Pacific/Auckland"), ("Europe/Dublin", "Nowhere/Atlantis"),
    ('name = "Gannet"', 'name = "Petrel"'), ('mass = "150g"', 'mass = "0g"'),
    ("loaves = 8", "loaves = 1"), ('step = "1g"', 'step = "5g"'), ('tap = "9C"', 'tap = "99C"'),
    (TUB, ""), ('currency = "EUR"\n', ""), ('sleep = "22:30-06:00"', 'sleep = "06:00-22:30"'),
    ("[", "[["), ('kind = "fridge"', 'kind = "room"'), ("seed = 20\n", "seed = 99\n"),
    ("hydration = 60", "hydration = 500"),
)  # fmt: skip


def edit_kitchen(pick: Picker, hall: Hall) -> Move:
    kind = pick(("text", "text", "remove"))
    if kind == "text":
        before, after = pick(KITCHEN_EDITS)
        return ["kitchen", *pick(((before, after), (after, before)))]
    kind, last = pick(("place", "vessel", "scale", "culture")), hall.desk.kitchen_file.last
    fields = {"row": pick(("Hall", "Fridge", "Tub 1", "Bench scale", "Gannet", "x", "")),
              "revision": pick((str(last.revision), "1", "99999", "x"))}  # fmt: skip
    return ["post", f"/kitchen/{kind}/remove", fields]


FORMULA_EDITS = (
    ("water = 7", "water = 9"), ("water = 7", "water = 0"), ("salt = 2", "salt = 0"),
    ('culture = "Plover"', 'culture = "Gannet"'), ('culture = "Plover"', 'culture = "Nobody"'),
    ("wheat-white", "rye-whole"), ("pieces = 8", "pieces = 1"), ("pieces = 8", "pieces = 0"),
    ('name = "', 'name = "New '), ("[total]", "[totals]"), ('piece = "9', 'piece = "1'),
)  # fmt: skip


def edit_formula(pick: Picker, hall: Hall) -> Move:
    slugs = [each.slug for each in hall.store.formulas(hall.kitchen)]
    return ["formula", pick(slugs), *pick(FORMULA_EDITS)]


def clock(pick: Picker, hall: Hall) -> Move:
    return ["clock", pick(HOURS)]


def odd(pick: Picker, hall: Hall) -> Move:
    """An entry that no form would let pass, there to stay."""
    return ["append", *odd_entry(pick, what_is_there(hall), _steps(hall))]


def odd_and_back(pick: Picker, hall: Hall) -> Move:
    """The same, withdrawn again at once."""
    return ["odd", *odd_entry(pick, what_is_there(hall), _steps(hall))]


def bad_plan(pick: Picker, hall: Hall) -> Move:
    return ["plan", *odd_plan(pick)]


def reopen(pick: Picker, hall: Hall) -> Move:
    return ["open"]


def wish(pick: Picker, hall: Hall) -> Move:
    """A bake is planned, which takes a moment."""
    slugs = [each.slug for each in hall.store.formulas(hall.kitchen)]
    day = (hall.now.date()).fromordinal(hall.now.date().toordinal() + pick((2, 3, 5)))
    fields = {"formula": pick((*slugs, "none")), "pieces": pick(("4", "1", "", "0", "99999")),
              "day": day.isoformat(), "clock": pick(("09:00", "25:00"))}  # fmt: skip
    return ["post", "/week/wish", fields]


def _steps(hall: Hall) -> tuple[str, ...]:
    for bake in hall.desk.past.bakes().values():
        return tuple(step.key for step in bake.plan.steps)
    return ("mix",)


Maker = Callable[[Picker, Hall], Move]

MAKERS: Mapping[str, tuple[Maker, int]] = {
    "feed": (feed, 4), "move": (move, 2), "split": (split, 2), "pour off": (pour_off, 3),
    "end": (end, 1), "measure": (measure, 2), "begin": (begin, 1), "bench": (bench, 6),
    "log": (log, 4), "correct": (correct, 5), "withdraw": (withdraw, 3), "larder": (larder, 3),
    "edit kitchen": (edit_kitchen, 2), "edit formula": (edit_formula, 2), "clock": (clock, 3),
    "odd": (odd, 5), "odd and back": (odd_and_back, 3), "bad plan": (bad_plan, 1),
    "open": (reopen, 1),
}  # fmt: skip
"""What makes each sort of move, and how often it comes, of a sum of all. `wish` is apart: slow."""
