"""One culture in words: what it is, its line, and what it went through."""

from __future__ import annotations

from collections.abc import Sequence

from pointage.culture.life import (
    Fed,
    FeedStand,
    Life,
    Oddity,
    descendants,
)
from pointage.desk.answers import Bake, CultureNow
from pointage.desk.now.cultures.lives import takes
from pointage.desk.now.cultures.young import is_young
from pointage.desk.now.learned.learning import Questioned
from pointage.kitchen.kitchen import Kitchen
from pointage.web.drawing.jar import jar
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Doubt, Frame
from pointage.web.screens.culture.page import CulturePage, OddityNote, RecordForm
from pointage.web.screens.cultures.view import (
    NOTHING_LEFT,
    cultures_page,
    flour_words,
    jar_words,
)
from pointage.web.words.aside import questioned_words
from pointage.web.words.clock import Clock
from pointage.web.words.words import lower_first, mass, percent

SHOWN = 12  # feeds listed on the page; the daybook has them all
ADVICE = (
    ("keep", "Keep it going"),
    ("rest", "Chill it"),
    ("weeks", "Bake days ahead"),
    ("change", "Change its flour"),
    ("trouble", "Something is wrong"),
)
YOUNG = (("raising", "Looking back"),)
WHEN = Field("happened", "When", "", "datetime-local", hint="now, if left empty")


def culture_page(
    life: Life,
    now: CultureNow | None,
    lives: Sequence[Life],
    bakes: Sequence[Bake],
    *,
    clock: Clock,
    frame: Frame,
    forms: Sequence[RecordForm],
    questioned: Sequence[Questioned] = (),
    error: str = "",
) -> CulturePage:
    """now is None for a culture that lives no more, or was never fed."""
    note = cultures_page([now], bakes, clock, frame).cultures[0] if now else None
    return CulturePage(
        frame=frame,
        name=life.name,
        jar=note.jar if note else jar(None, None, None, empty=life.is_empty),
        jar_words=note.jar_words if note else jar_words(life),
        made_of=note.made_of if note else _state(life),
        facts=(*note.facts, *_builds(life, bakes, clock)) if note else (),
        chart=note.chart if note else None,
        oddities=tuple(_odd(each, clock) for each in life.oddities),
        doubts=tuple(
            Doubt(
                questioned_words(each.reading, each.after, clock),
                each.reading.entry,
                each.bake,
                each.step,
            )
            for each in questioned
        ),
        advice=tuple(
            Choice(f"/cultures/{life.name}/{path}", words)
            for path, words in (*(YOUNG if is_young(life, clock.now) else ()), *ADVICE)
            if now
        ),
        record_forms=tuple(forms) if life.state != "retired" else (),
        family=tuple(_family(life, lives, clock)),
        history=tuple(
            (clock.text(stand.fed.at), _fed_words(stand)) for stand in life.stands[:-SHOWN - 1:-1]
        ),
        error=error,
    )  # fmt: skip


def place_choices(kitchen: Kitchen) -> tuple[Choice, ...]:
    """The kitchen's places."""
    return tuple(Choice(place.name, place.name) for place in kitchen.places)


def _builds(life: Life, bakes: Sequence[Bake], clock: Clock) -> list[tuple[str, str]]:
    """What bakes in hand will take of it, and what is left for keeping each time."""
    found = []
    for take in takes(bakes, life):
        over = (
            f"{mass(take.left_g)} left, fed back to {mass(take.kept_g)}"
            if take.left_g >= 0
            else f"{mass(-take.left_g)} more than there is: feed it first"
        )
        woken = f", woken with {mass(take.fresh_g)} of flour and water" if take.fresh_g > 0 else ""
        when = clock.text(take.at)
        found.append(("Planned", f"{mass(take.grams)} for {take.what_for}, {when}{woken}; {over}"))
    return found


ODD = {
    "grams": "{value} were taken, and there can be {expected}",
    "seed_g": "{value} were kept, and there can be {expected}",
    "flour": "a feed of {value}; it needs {expected}",
    "culture": "{value} was named, and this needs {expected}",
}


def _odd(found: Oddity, clock: Clock) -> OddityNote:
    """What cannot be, in a sentence, and where it can be put right."""
    said = ODD.get(found.field, "{value}, where this needs {expected}")
    what = said.format(value=found.value, expected=found.expected)
    counts = "It counts anyway" if found.counts else "It is left out"
    path = f"/daybook/entry/{found.source}" if found.source else ""
    return OddityNote(f"{clock.text(found.at)}: {what}. {counts}.", path)


def _state(life: Life) -> str:
    if life.is_empty:
        return NOTHING_LEFT
    return {"retired": "It is retired.", "dried": "It is dried."}.get(
        life.state, "It is not fed yet."
    )


def _family(life: Life, lives: Sequence[Life], clock: Clock) -> list[tuple[str, str]]:
    found = [("Began", clock.text(life.began))]
    if life.origin:
        found.append(("Split from", life.origin))
    if len(life.names) > 1:
        found.append(("Was called", ", ".join(life.names[:-1])))
    children = descendants(lives).get(life.name, ())
    if children:
        found.append(("Split into", ", ".join(children)))
    for taken in life.made[-SHOWN:]:
        found.append(("Used for", f"{taken.what_for}, {mass(taken.grams)}, {clock.text(taken.at)}"))
    return found


def _fed_words(stand: FeedStand) -> str:
    fed: Fed = stand.fed
    flours = ", ".join(f"{mass(grams)} {flour_words(kind)}" for kind, grams in fed.flours_g.items())
    share = f" ({percent(fed.seed_g / fed.flour_g)} of the flour)" if fed.flour_g else ""
    seed = f"{mass(fed.seed_g)} seed{share}, " if fed.seed_g else "begun with "
    places = " then ".join(lower_first(place) for _, place in stand.places)
    assumed = "; assumed, because nobody recorded it" if stand.assumed else ""
    where = f"; {places}" if places else ""
    return f"{seed}{flours}, {mass(fed.water_g)} water{where}{assumed}"
