"""`pointage sheet`: a sheet of paper as PDF, or a recipe as linked data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from pointage.cli.declared import Argument, KitchenFile, Option

if TYPE_CHECKING:
    from pointage.desk.sheets.sheets import PlainSheets, Sheets
    from pointage.desk.sheets.subject import SheetKind, SheetSubject
    from pointage.documents.blocks import Sheet
    from pointage.documents.paper import Paper
    from pointage.formula.formula import Formula
    from pointage.mixture.flours import Flours


def sheet(
    subject: Annotated[
        str,
        Argument(
            metavar="SUBJECT",
            help="A formula's file or name, a file of wishes, a culture's name, new (a culture to "
            "begin), week or larder.",
        ),
    ],
    *,
    out: Annotated[str, Option("-o", metavar="FILE", help="The file to write.")],
    kind: Annotated[
        str | None,
        Option(
            help="bench, handout, label or linked-data of a formula; culture, or travel for "
            "whoever is given a piece of it; week or shopping. "
            "Else the first that the subject has, or linked-data where FILE ends in .jsonld."
        ),
    ] = None,
    paper: Annotated[str, Option(help="a4 or letter.")] = "a4",
    pieces: Annotated[str | None, Option(help="How many pieces; else the formula's.")] = None,
    ready: Annotated[
        str | None,
        Option(help="Plan the bake of a bench sheet for this time, such as 2026-12-05T09:00."),
    ] = None,
    kitchen: KitchenFile = None,
    now: Annotated[
        str | None,
        Option(help="The time to print at, such as 2026-12-01T12:00; else the current time."),
    ] = None,
    address: Annotated[
        str | None,
        Option(help="The address of your pages, printed as a code, such as http://kitchen:8000."),
    ] = None,
    style: Annotated[
        str | None, Option(help="The rules of a label: us or eu; else by the paper.")
    ] = None,
    serving: Annotated[str | None, Option(help="The serving of a label, such as 50g.")] = None,
    loss: Annotated[str | None, Option(help="What the oven takes, such as 12%.")] = None,
    may_contain: Annotated[
        list[str] | None, Option(help="An allergen that may be in it; may be repeated.")
    ] = None,
    labels: Annotated[
        str | None, Option(help="Labels on a sheet: 4, 6 or 8; else one by itself.")
    ] = None,
    maker: Annotated[str | None, Option(help="Who makes it, and where, for a label.")] = None,
    best_before: Annotated[
        str | None, Option(help="The best-before date of a label, such as 2026-12-08.")
    ] = None,
    storage: Annotated[str | None, Option(help="How the bread is kept, for a label.")] = None,
    no_nutrition: Annotated[
        bool, Option("--no-nutrition", help="A label without its nutrition.")
    ] = False,
    flour_kind: Annotated[
        str | None, Option(help="The flour of a new culture, such as rye-whole.")
    ] = None,
    at: Annotated[
        str | None,
        Option(
            help="The temperature of a new culture's place, or of the room that a culture goes to, "
            "such as 24C."
        ),
    ] = None,
    vessel: Annotated[
        str | None, Option(help="The volume of a new culture's vessel, such as 2l.")
    ] = None,
    daily_flour: Annotated[
        str | None, Option(help="Fresh flour of each feed of a new culture, such as 50g.")
    ] = None,
    days: Annotated[str | None, Option(help="Days of a new culture, 1 to 30.")] = None,
    author: Annotated[str | None, Option(help="Who gives away a culture.")] = None,
    year: Annotated[str | None, Option(help="The year of its sheet, such as 2026.")] = None,
    licence: Annotated[str | None, Option(help="Its licence, such as CC BY 4.0.")] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Print a sheet: bench, class, label, culture, week, shopping."""
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.cli.sheets.out import check_out, write_out
    from pointage.errors import Faults
    from pointage.quantities import parse_count

    faults = Faults()
    written = faults.take(check_out, out, "-o")
    given = _Given(
        batch={"pieces": pieces},
        plan={"ready": ready},
        label={
            "style": style, "serving": serving, "loss": loss, "may_contain": may_contain,
            "labels": labels, "maker": maker, "best_before": best_before, "storage": storage,
            "no_nutrition": no_nutrition,
        },
        new={"flour_kind": flour_kind, "vessel": vessel, "daily_flour": daily_flour, "days": days},
        room={"at": at},
        rights={"author": author, "year": year, "licence": licence},
    )  # fmt: skip
    count = faults.maybe(parse_count, pieces, "--pieces")
    text = faults.take(read_text, subject, "SUBJECT") if _is_file(subject) else None
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    faults.check()
    from pointage.desk.sheets.subject import NEW, WORDS, SheetKind, SheetSubject, of_name, of_text
    from pointage.documents.paper import read_paper

    size = faults.take(read_paper, paper, "--paper")
    faults.check()
    if kind is None and out.lower().endswith((".jsonld", ".json")):
        kind = SheetKind.LINKED_DATA.value
    here = _Here(now, kitchen_text, kitchen, size, _address(address))
    sheets = None
    if text is not None:
        found = of_text(text, subject)
    elif subject.strip().casefold() == NEW:
        found = SheetSubject(NEW, WORDS[NEW])
    else:
        sheets = here.sheets()
        found = of_name(subject, sheets.present)
    which = found.kind(kind, "--kind")
    _refuse_what_is_idle(which, subject, given)
    warnings: list[str] = []
    if found.formula is not None and which is SheetKind.LABEL:
        flours = here.flours() if sheets is None else sheets.present.flours
        made, warnings = _label(found.formula, flours, size, given.label)
    elif found.formula is not None and ready is None:
        made = _of_formula(sheets or here.plain(), found.formula, which, count)
    elif text is None and found.name == NEW:
        made = _new(here.plain(), given.new | given.room)
    else:
        sheets = sheets or here.sheets()
        made = sheets.as_pdf(_sheet(sheets, found, which, count, given))
    write_out(written, made)
    if json:
        from pointage.cli.table import print_json
        from pointage.documents.paper import pages_of

        printed = {"paper": size.value, "pages": pages_of(made)} if made[:4] == b"%PDF" else {}
        print_json({
            "file": out, "kind": which.value, **printed, "bytes": len(made), "warnings": warnings,
        })  # fmt: skip


def _is_file(subject: str) -> bool:
    from pointage.cli.files import is_file

    return subject.lower().endswith(".toml") or ("/" in subject) or is_file(subject)


def _address(text: str | None) -> str:
    """The address without its last slash. Raises InputError for one that no browser opens."""
    from urllib.parse import urlsplit

    from pointage.errors import InputError
    from pointage.language import say

    if text is None:
        return ""
    plain = text.strip().rstrip("/")
    parts = urlsplit(plain)
    if parts.scheme not in ("http", "https") or not parts.netloc or len(plain) > 500:
        raise InputError("--address", repr(text), say("an address such as http://kitchen:8000"))
    return plain


@dataclass(frozen=True, slots=True)
class _Here:
    """When, in which kitchen and on which paper; no more of a kitchen is read than is asked for."""

    said: str | None
    kitchen_text: str | None
    kitchen: str | None
    paper: Paper
    address: str

    def sheets(self) -> Sheets:
        from pointage.desk.at_hand import at_hand_at
        from pointage.desk.sheets.sheets import Sheets

        here, now = at_hand_at(self.said, None, self.kitchen_text, self.kitchen)
        return Sheets(here, now, self.paper, self.address)

    def plain(self) -> PlainSheets:
        from pointage.desk.at_hand import standing_at_hand_at
        from pointage.desk.sheets.sheets import PlainSheets

        here, now = standing_at_hand_at(self.said, self.kitchen_text, self.kitchen)
        return PlainSheets(here, now, self.paper, self.address)

    def flours(self) -> Flours:
        """Of the sacks in use, all that a label asks of a kitchen."""
        from pointage.desk.at_hand import sacks_at_hand_at

        if self.kitchen_text is None:
            return sacks_at_hand_at(self.said)
        return self.plain().present.flours


@dataclass(frozen=True, slots=True)
class _Given:
    """What was typed, by what it is for."""

    batch: dict[str, Any]
    plan: dict[str, Any]
    label: dict[str, Any]
    new: dict[str, Any]
    room: dict[str, Any]
    rights: dict[str, Any]


def _refuse_what_is_idle(kind: SheetKind, subject: str, given: _Given) -> None:
    """Refuse options that the kind of sheet takes nothing from. Raises InputError."""
    from pointage.cli.options import refuse_idle
    from pointage.desk.sheets.subject import NEW, OF_FORMULA, SheetKind
    from pointage.errors import Faults
    from pointage.language import say

    faults = Faults()
    if kind not in OF_FORMULA or kind is SheetKind.LABEL:
        with faults:
            refuse_idle(say("a bench sheet or a handout"), **given.batch)
    if kind is not SheetKind.BENCH:
        with faults:
            refuse_idle(say("a bench sheet"), **given.plan)
    if kind is not SheetKind.LABEL:
        with faults:
            refuse_idle(say("a label"), **given.label)
    if subject.strip().casefold() != NEW:
        with faults:
            refuse_idle(say("a new culture"), **given.new)
        if kind is not SheetKind.TRAVEL:
            with faults:
                refuse_idle(say("a new culture, or a sheet of the kind travel"), **given.room)
    if kind is not SheetKind.TRAVEL:
        with faults:
            refuse_idle(say("a sheet of the kind travel"), **given.rights)
    faults.check()


def _of_formula(
    sheets: PlainSheets, formula: Formula, kind: SheetKind, pieces: int | None
) -> bytes:
    from pointage.cli.options import as_options
    from pointage.desk.sheets.subject import SheetKind

    with as_options(pieces=pieces):
        if kind is SheetKind.LINKED_DATA:
            from pointage.desk.sheets.linked_data import linked_data_text

            return linked_data_text(formula, sheets.present.kitchen, pieces).encode()
        make = sheets.handout if kind is SheetKind.HANDOUT else sheets.bench
        return sheets.as_pdf(make(formula, pieces))


def _new(sheets: PlainSheets, given: dict[str, Any]) -> bytes:
    from pointage.cli.options import as_options

    with as_options(**given):
        return sheets.as_pdf(sheets.new_culture(_begun(given)))


def _sheet(
    sheets: Sheets, found: SheetSubject, kind: SheetKind, pieces: int | None, given: _Given
) -> Sheet:
    from pointage.cli.options import as_options

    with as_options(**given.plan, **given.batch, **given.room, **given.rights):
        if found.formula is not None:
            plan = sheets.planned(found.formula, given.plan["ready"], pieces)
            return sheets.bench(found.formula, pieces, plan)
        if found.wishes:
            return _of_wishes(sheets, found, kind)
        return _of_kitchen(sheets, found.name, kind, given)


def _of_kitchen(sheets: Sheets, name: str, kind: SheetKind, given: _Given) -> Sheet:
    from pointage.desk.sheets.subject import SheetKind

    match kind:
        case SheetKind.WEEK:
            return sheets.week()
        case SheetKind.SHOPPING:
            return sheets.shopping()
        case SheetKind.TRAVEL:
            return _travel(sheets, name, given)
    return sheets.culture(name)


def _travel(sheets: Sheets, name: str, given: _Given) -> Sheet:
    from pointage.desk.cultures.given import read_room
    from pointage.desk.cultures.share_culture import read_rights
    from pointage.errors import Faults

    faults = Faults()
    room_c = faults.maybe(read_room, given.room["at"], "--at")
    faults.check()
    return sheets.travel(name, room_c, read_rights(*(each or "" for each in given.rights.values())))


def _of_wishes(sheets: Sheets, found: SheetSubject, kind: SheetKind) -> Sheet:
    from pathlib import Path

    from pointage.cli.files import read_text
    from pointage.desk.sheets.subject import SheetKind
    from pointage.desk.sheets.wishes import wishes_shopping, wishes_week

    def beside(name: str, field: str) -> str:
        return read_text(str(Path(found.name).parent / name), field)

    made = wishes_week if kind is SheetKind.WEEK else wishes_shopping
    return made(found.wishes, found.name, beside, sheets.present, sheets.now)


def _label(
    formula: Formula, flours: Flours, paper: Paper, given: dict[str, Any]
) -> tuple[bytes, list[str]]:
    """The label, and what stands below it for who prints it. Raises InputError."""
    from pointage.cli.options import as_options
    from pointage.desk.sheets.label import LabelPrinter, LabelWishes, read_best_before

    best = given["best_before"]
    with as_options(**given):
        wishes = LabelWishes(
            maker=given["maker"] or "",
            best_before="" if best is None else read_best_before(best, "--best-before"),
            storage=given["storage"],
            labels=given["labels"] or "1",
            nutrition=not given["no_nutrition"],
        )
        asked = {name: given[name] for name in ("style", "serving", "loss")}
        asked["may_contain"] = tuple(given["may_contain"] or ())
        printer = LabelPrinter(flours, paper, wishes)
        return printer.pdf(formula, **asked), list(printer.notes(formula, **asked))


def _begun(given: dict[str, str | None]) -> dict[str, object]:
    """What `raise_culture` is asked, as it was typed. Raises InputError with every fault."""
    from pointage.desk.cultures.raising import Tub
    from pointage.errors import Faults
    from pointage.mixture.flours import flour_record
    from pointage.quantities import parse_count, parse_mass, parse_temperature, parse_volume

    faults = Faults()
    kind = given["flour_kind"]
    if kind is not None:
        faults.take(flour_record, kind, field="--flour-kind")
    celsius = faults.maybe(parse_temperature, given["at"], "--at")
    litres = faults.maybe(parse_volume, given["vessel"], "--vessel")
    flour_g = faults.maybe(parse_mass, given["daily_flour"], "--daily-flour")
    days = faults.maybe(parse_count, given["days"], "--days")
    faults.check()
    asked = {
        "kind": kind,
        "celsius": None if celsius is None else celsius.celsius,
        "room_c": None if celsius is None else celsius.celsius,
        "tub": None if litres is None else Tub(float(litres)),
        "daily_flour_g": flour_g,
        "days": days,
    }
    return {name: value for name, value in asked.items() if value is not None}
