"""One culture in words: what it is, its line, and what it went through."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import urlencode

from pointage.culture.life import (
    Fed,
    FeedStand,
    Life,
    Oddity,
)
from pointage.desk.answers import Bake, CultureNow
from pointage.desk.cultures.family import descendants
from pointage.desk.now.cultures.lives import takes
from pointage.desk.now.cultures.young import is_young
from pointage.desk.now.learned.learning import Questioned
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say
from pointage.web.drawing.jar import jar
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Doubt, Frame
from pointage.web.screens.bench.page import CultureAction, LastDone
from pointage.web.screens.culture.page import CulturePage, OddityNote, RecordForm
from pointage.web.screens.cultures.backups import DAY_BY_DAY, FIRST, STATES, backup_words
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
    ("keep", mark("Keep it going")),
    ("rest", mark("Chill it")),
    ("weeks", mark("Bake days ahead")),
    ("change", mark("Change flour, water or place")),
    ("trouble", mark("Something is wrong")),
)
YOUNG = (("raising", mark("Looking back")),)
GROWN = (("share", mark("Give some away")),)


def when_field(hint: str = mark("now, if left empty")) -> Field:
    """When something was: a field that may be left empty, as its hint says."""
    return Field("happened", say("When"), "", "datetime-local", hint=say(hint))


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
    last: LastDone | None = None,
    due: CultureAction | None = None,
) -> CulturePage:
    """now is None for a culture that lives no more, or was never fed."""
    retired = life.state == "retired"
    note = cultures_page([now], bakes, clock, frame).cultures[0] if now else None
    return CulturePage(
        frame=frame,
        name=life.name,
        jar=note.jar if note else jar(None, None, None, empty=life.is_empty),
        jar_words=note.jar_words if note else jar_words(life),
        made_of=note.made_of if note else _state(life, clock),
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
            Choice(f"/cultures/{life.name}/{path}", say(words))
            for path, words in _asked(life, clock)
            if now
        ) if not retired else (
            Choice(f"/cultures/raise?{urlencode({'name': life.name})}", say("Raise one")),
            Choice("/begin/culture", say("Bring one")),
        ),
        record_forms=tuple(forms) if not retired else (),
        family=tuple(_family(life, lives, clock)),
        used=tuple(
            (clock.text(each.at), f"{each.what_for}, {mass(each.grams)}")
            for each in life.made[: -SHOWN - 1 : -1]
        ),
        history=tuple(
            (clock.text(stand.fed.at), _fed_words(stand)) for stand in life.stands[:-SHOWN - 1:-1]
        ),
        error=error,
        last=last,
        undo=f"/cultures/{life.name}/undo",
        due=due,
        notes=(say(DAY_BY_DAY),) if due and life.state in FIRST else (),
    )  # fmt: skip


def _asked(life: Life, clock: Clock) -> tuple[tuple[str, str], ...]:
    return (*YOUNG, *ADVICE) if is_young(life, clock.now) else (*ADVICE, *GROWN)


def place_choices(kitchen: Kitchen) -> tuple[Choice, ...]:
    """The kitchen's places."""
    return tuple(Choice(place.name, place.name) for place in kitchen.places)


def _builds(life: Life, bakes: Sequence[Bake], clock: Clock) -> list[tuple[str, str]]:
    """What bakes in hand will take of it, and what is left for keeping each time."""
    found = []
    for take in takes(bakes, life):
        over = (
            say("{left} left, fed back to {kept}", left=mass(take.left_g), kept=mass(take.kept_g))
            if take.left_g >= 0
            else say("{mass} more than there is: feed it first", mass=mass(-take.left_g))
        )
        grams, formula, when = mass(take.grams), take.what_for, clock.text(take.at)
        used = say("{mass} for {formula}, {time}", mass=grams, formula=formula, time=when)
        if take.fresh_g > 0:
            fresh = mass(take.fresh_g)
            used = say("{used}, fed with {fresh} of flour and water", used=used, fresh=fresh)
        found.append((say("Planned"), f"{used}; {over}"))
    return found


ODD = {
    "grams": mark("{value} were taken, and there can be {expected}"),
    "seed_g": mark("{value} were kept, and there can be {expected}"),
    "flour": mark("a feed of {value}; it needs {expected}"),
    "culture": mark("{value} was named, and this needs {expected}"),
}


def _odd(found: Oddity, clock: Clock) -> OddityNote:
    """What cannot be, in a sentence, and where it can be put right."""
    said = ODD.get(found.field, mark("{value}, where this needs {expected}"))
    what = say(said, value=found.value, expected=found.expected)
    counts = say("It counts anyway") if found.counts else say("It is left out")
    path = f"/daybook/entry/{found.source}" if found.source else ""
    return OddityNote(f"{clock.text(found.at)}: {what}. {counts}.", path)


def _state(life: Life, clock: Clock) -> str:
    if life.is_empty:
        return say(NOTHING_LEFT)
    if life.state in STATES:
        return backup_words(life, clock)
    return say("It is retired.") if life.state == "retired" else say("It is not fed yet.")


def _family(life: Life, lives: Sequence[Life], clock: Clock) -> list[tuple[str, str]]:
    found = [(say("Began"), clock.text(life.began))]
    if life.origin:
        found.append((say("Split from"), life.origin))
    if len(life.names) > 1:
        found.append((say("Was called"), ", ".join(life.names[:-1])))
    children = descendants(lives).get(life.name, ())
    if children:
        found.append((say("Split into"), ", ".join(children)))
    return found


def _fed_words(stand: FeedStand) -> str:
    fed: Fed = stand.fed
    fresh = ", ".join(f"{mass(grams)} {flour_words(kind)}" for kind, grams in fed.flours_g.items())
    fresh = say("{flours}, {water} water", flours=fresh, water=mass(fed.water_g))
    if not fed.seed_g:
        feed = say("begun with {fresh}", fresh=fresh)
    elif fed.flour_g:
        share = percent(fed.seed_g / fed.flour_g)
        seed = say("{mass} seed ({share} of the flour)", mass=mass(fed.seed_g), share=share)
        feed = f"{seed}, {fresh}"
    else:
        feed = ", ".join((say("{mass} seed", mass=mass(fed.seed_g)), fresh))
    where = say(" then ").join(lower_first(place) for _, place in stand.places)
    assumed = say("assumed, because nobody recorded it") if stand.assumed else ""
    return "; ".join(filter(None, (feed, where, assumed)))
