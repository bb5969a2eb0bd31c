"""An ingredient of one's own: what is known of it, and a record of the package that it is like.

What nobody knows of it is as in the record that it is like, and is said to be; its allergens never
are. docs/ingredients.md says more.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from pointage.data.records import OWN, Record, keep_record, own_record, shipped
from pointage.errors import Complaint, Faults, InputError
from pointage.formula.ingredients import ingredient
from pointage.formula.label.allergens import checked
from pointage.formula.names import LONGEST_NAME, resolve
from pointage.language import say
from pointage.mixture.flours import LIMITS

KNOWN = ("water", "protein", "ash")
LIMIT = {"water": "moisture", "protein": "protein", "ash": "ash"}
PER_GRAM = 4.0
"""kcal in a gram of protein or of carbohydrate: Regulation (EU) No 1169/2011, Annex XIV."""


@dataclass(frozen=True, slots=True)
class OwnIngredient:
    """What is known of an ingredient of one's own; None where nothing is.

    id: what formulas, stores and plans name it by. like: a record of the package. water, protein:
    percent as bought; ash: percent of the dry matter. allergens: words of
    data/label/allergens.toml, () for none. price_per_kg: in `currency`. gone: no longer offered.
    """

    id: str
    name: str
    like: str
    water: float | None = None
    protein: float | None = None
    ash: float | None = None
    allergens: tuple[str, ...] | None = None
    price_per_kg: float | None = None
    currency: str = ""
    gone: bool = False

    @property
    def borrowed(self) -> tuple[str, ...]:
        """The figures of KNOWN that are those of what it is like."""
        return tuple(figure for figure in KNOWN if getattr(self, figure) is None)


def new_id(name: str, seed: str) -> str:
    """An identifier of a name: its letters, and six digits that `seed` decides."""
    flat = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    slug = re.sub(r"[^a-z0-9]+", "-", flat).strip("-")[:40].strip("-") or OWN
    return f"{slug}-{hashlib.sha256(seed.encode()).hexdigest()[:6]}"


def check_own(own: OwnIngredient) -> OwnIngredient:
    """`own` where it can be used, its words as the tables have them.

    Raises InputError, its fields "name", "id", "like", "water", "protein", "ash" and "allergens".
    """
    faults = Faults()
    if not 0 < len(own.name.strip()) <= LONGEST_NAME or not own.name.isprintable():
        most = say("a name of 1 to {most} characters", most=LONGEST_NAME)
        faults.found.append(InputError("name", repr(own.name[:40]), most))
    if own.id in shipped():
        faults.found.append(InputError("id", repr(own.id), say("one that no other ingredient has")))
    if own.like not in shipped():
        faults.found.append(
            InputError(
                "like",
                repr(own.like),
                say("one of the ingredients that are known without your own"),
            )
        )
    faults.check()
    flour = ingredient(own.like).kind == "flour"
    for figure in KNOWN:
        value = getattr(own, figure)
        if value is not None:
            faults.take(_check_figure, figure, value, flour)
    allergens = own.allergens
    if allergens is not None:
        allergens = faults.take(checked, allergens, "allergens")
    faults.check()
    own = replace(own, allergens=allergens)
    grams = record_of(own)["grams"]
    if grams["carbohydrate"] < 0:
        most = 100 - grams["fat"]
        given = say(
            "{sum:g} % of water, protein and ash",
            sum=round(grams["water"] + grams["protein"] + grams["ash"], 1),
        )
        expected = say("{most:g} % together at most, beside its fat", most=round(most, 1))
        raise InputError("water" if own.water is not None else "protein", given, expected)
    return own


def check_new_name(name: str, own: str = "") -> None:
    """Raises InputError, field "name", for a name that another ingredient has; own: its own id."""
    found = resolve(name)
    if found is not None and found.name != own:
        taken = Complaint(
            say("{name!r} is {label} already", name=name, label=say(ingredient(found.name).label))
        )
        raise InputError("name", taken, say("another name, such as one with its mill"))


def _check_figure(figure: str, value: float, flour: bool) -> None:
    if flour:
        LIMITS[LIMIT[figure]].check(value, figure)
    elif not 0 <= value <= 100:
        raise InputError(figure, f"{value:g}", say("a percentage from 0 to 100"))


def of_body(body: Mapping[str, Any], *, gone: bool = False) -> OwnIngredient:
    """What an entry of the daybook says of one."""
    allergens, price = body.get("allergens"), body.get("price")
    return OwnIngredient(
        body["ingredient"], body["name"], body["like"],
        body.get("water"), body.get("protein"), body.get("ash"),
        None if allergens is None else tuple(allergens),
        price, body.get("currency") or "", gone,
    )  # fmt: skip


def record_of(own: OwnIngredient) -> Record:
    """Its record: that of what it is like, with what is known of its own.

    Carbohydrate is by difference, 100 − water − protein − fat − ash, as in the tables; the energy
    moves by 4 kcal for each gram of it and of protein.
    """
    like = shipped()[own.like]
    grams = dict(like["grams"])
    before = grams["protein"] + grams["carbohydrate"]
    if own.borrowed != KNOWN:
        own_grams = {"water": own.water, "protein": own.protein}
        grams |= {key: value for key, value in own_grams.items() if value is not None}
        if own.ash is not None:
            grams["ash"] = round(own.ash * (100 - grams["water"]) / 100, 9)
        rest = sum(grams[key] for key in ("water", "protein", "fat", "ash"))
        rest += (grams.get("alcohol") or 0) + (grams.get("organic_acids") or 0)
        grams["carbohydrate"] = round(100 - rest, 9)
    moved = grams["protein"] + grams["carbohydrate"] - before
    record = {
        **like,
        "label": own.name,
        "grams": grams,
        "allergens": own.allergens or (),
        "allergens_known": own.allergens is not None,
        "like": own.like,
        "gone": own.gone,
        OWN: own,
    }
    if like.get("energy") is not None:
        record["energy"] = round(max(0.0, like["energy"] + PER_GRAM * moved), 1)
    return record


def keep_own(own: OwnIngredient) -> None:
    """Let it be known here, or put it right. It has been checked."""
    keep_record(own.id, record_of(own))


def own_ingredient(name: str) -> OwnIngredient | None:
    """What is known of an ingredient of one's own by its identifier; None for any other name."""
    record = own_record(name)
    found = None if record is None else record[OWN]
    return found if isinstance(found, OwnIngredient) else None


def of_table(table: Mapping[str, Any]) -> OwnIngredient:
    """What an [[ingredient]] of a formula file says. Raises InputError as `check_own` does."""
    said = {key: table.get(key) for key in ("id", "name", "like", *KNOWN, "allergens")}
    name, faults = str(said["name"] or ""), Faults()
    water, protein, ash = (faults.take(_number, said[key], key) for key in KNOWN)
    faults.check()
    allergens = said["allergens"]
    own = OwnIngredient(
        str(said["id"] or ""),
        name,
        str(said["like"] or ""),
        water,
        protein,
        ash,
        None if allergens is None else tuple(map(str, allergens)),
    )
    if not own.id:
        check_new_name(name)
        own = replace(own, id=new_id(name, repr(own)))
    return check_own(own)


def _number(given: object, field: str) -> float | None:
    if given is None:
        return None
    try:
        return float(str(given).strip().removesuffix("%").replace(",", "."))
    except ValueError:
        raise InputError(field, repr(given), say("a percentage such as 11.5")) from None


def as_table(own: OwnIngredient) -> Mapping[str, str | float | Sequence[str]]:
    """The same as an [[ingredient]] of a file: what travels with a formula, so not its price."""
    table: dict[str, Any] = {"name": own.name, "id": own.id, "like": own.like}
    table |= {key: getattr(own, key) for key in KNOWN if getattr(own, key) is not None}
    if own.allergens is not None:
        table["allergens"] = list(own.allergens)
    return table


def price_per_g(name: str, currency: str) -> Fraction | None:
    """What a gram of an ingredient of one's own costs, by what was recorded of it."""
    own = own_ingredient(name)
    if own is None or own.price_per_kg is None or own.currency != currency:
        return None
    return Fraction(str(own.price_per_kg)) / 1000
