"""A formula on its way: the fields of its table as they are typed, and the formula they make.

Nothing is calculated here that the formula's reader does not calculate: what was typed becomes a
file, and the reader's errors find their way back to the fields. A draft is kept in the address of
its page: it survives a reload, and nothing half-written is stored.
"""

from __future__ import annotations

import json
import re
import tomllib
import unicodedata
import zlib
from base64 import urlsafe_b64decode, urlsafe_b64encode
from binascii import Error
from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from typing import Any

from pointage.errors import Complaint, Faults, InputError
from pointage.formula.file.figures import exact, mass
from pointage.formula.file.read import read_formula
from pointage.formula.file.shape import ProcessTable
from pointage.formula.file.write import WrittenSide, write_formula
from pointage.formula.formula import MARKS, WORDS, Formula, StageKind
from pointage.formula.ingredients import split
from pointage.language import say
from pointage.quantities import print_number
from pointage.toml import place_of, row_of

SOURCE = "formula"
TOTAL = "total"
HEAD = ("name", "about", "culture", "pieces", "piece", "author", "year", "licence")
STAGE = ("name", "kind", "seed", "temperature", "place", "least", "most", "when", "words")
NOT_TYPED = (*MARKS, "varies", "because", "flour", "typed")
"""What the form has no field for, and a draft keeps as it is."""
LONGEST = 60_000  # bytes of a formula's text; forty stages with a dozen ingredients are half of it
BLANK = """
name = {formula}
pieces = 2
piece = "900g"
[total]
wheat-white = 100
water = 70
salt = 2
[[stage]]
name = {levain}
kind = "levain"
flour = 15
water = 100
seed = "fit"
[[stage]]
name = {dough}
kind = "dough"
"""
_NUMBER = re.compile(r"-?[\d.,/\s]*\d")
RISES = ("bulk_rise", "proof_rise", "retard_rise")
PROCESS = tuple(ProcessTable.model_fields)


def new_formula() -> Formula:
    """What a formula begins with that is entered by hand, named in the reader's language."""
    names = {"formula": say("New formula"), "levain": say("Levain"), "dough": say("Dough")}
    return read_formula(BLANK.format(**{k: json.dumps(name) for k, name in names.items()}), "new")


def pack(text: str) -> str:
    """A draft's text as letters that an address may have."""
    return urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def packed(formula: Formula) -> str:
    """A formula as such letters."""
    return pack(write_formula(formula))


def unpacked(letters: str) -> Formula:
    """The formula again. Raises InputError for what was cut short, what is endless, and what is no
    formula."""
    wrong = InputError("draft", repr(letters[:12] + "…"), say("the whole address of the draft"))
    try:
        content = urlsafe_b64decode(letters + "=" * (-len(letters) % 4))
        reader = zlib.decompressobj()
        found = reader.decompress(content, LONGEST)
        if not reader.eof:
            raise wrong
        text = found.decode()
    except (Error, zlib.error, ValueError):
        raise wrong from None
    return read_formula(text, "draft")


class TypedCells(StrEnum):
    """Which cells are typed; the others follow."""

    TOTAL = "total"  # the total and the stages in percent of all flour; the dough has the rest
    TOTAL_GRAMS = "total-grams"
    STAGES_GRAMS = "grams"  # every stage; the total follows
    STAGES = "percent"  # every stage in percent of its own flour


class Draft:
    """The table of a formula as it is entered from one side.

    Columns are "total" and the numbers of the stages from 0; rows are ingredients, then "@0", "@1"
    … for what a column takes of those stages. `extra` are rows that hold nothing yet.
    """

    def __init__(self, formula: Formula, side: TypedCells, extra: Sequence[str] = ()) -> None:
        self.formula = formula
        self.side = side
        self.extra = tuple(name for name in dict.fromkeys(extra) if name not in formula.total)

    @property
    def columns(self) -> tuple[str, ...]:
        return (TOTAL, *(str(i) for i in range(len(self.formula.stages))))

    @property
    def rows(self) -> tuple[str, ...]:
        """Ingredients, then all stages but the dough, which is in no other."""
        dough = self.formula.dough
        taken = (f"@{i}" for i, each in enumerate(self.formula.stages) if each is not dough)
        return (*self.formula.total, *self.extra, *taken)

    @property
    def in_grams(self) -> bool:
        return self.side in (TypedCells.TOTAL_GRAMS, TypedCells.STAGES_GRAMS)

    def is_open(self, column: str, row: str) -> bool:
        """Whether the cell is typed, not calculated."""
        if column == TOTAL:
            total = self.side in (TypedCells.TOTAL, TypedCells.TOTAL_GRAMS)
            return total and not row.startswith("@")
        if row == f"@{column}":
            return False
        dough = self.formula.stages[int(column)] is self.formula.dough
        added = row.startswith("@") and self.formula.stages[int(row[1:])].kind is StageKind.ADDITION
        if added and not dough:
            return False  # what goes in after the mix goes into the dough alone
        if self.side is TypedCells.STAGES_GRAMS:
            return not (dough and row.startswith("@"))
        return not dough or self.side is TypedCells.STAGES

    @cached_property
    def amounts(self) -> dict[tuple[str, str], Fraction]:
        """What is in the cells, by column and row, where there is something."""
        formula, found = self.formula, {}
        unit = gram_of(formula) if self.in_grams else Fraction(1)
        for name, part in formula.total.items():
            found[TOTAL, name] = part * unit
        number = {each.name: f"@{i}" for i, each in enumerate(formula.stages)}
        for column, stage in enumerate(formula.stages):
            for name, part in stage.ingredients.items():
                found[str(column), name] = part * unit
            for name, share in stage.parts_of.items():
                found[str(column), number[name]] = 100 * share
        if self.side is TypedCells.STAGES:
            for column, table in enumerate(_tables(formula, WrittenSide.PERCENT)["stage"]):
                for name, text in table["percent"].items():
                    value = exact(str(text), name, "a percentage")[0]
                    found[str(column), number.get(name, name)] = value
        return found

    @cached_property
    def fields(self) -> dict[str, str]:
        """Every field of the form, as it is shown before anything is typed."""
        tables = _tables(self.formula, WrittenSide.GRAMS)
        found = {name: str(tables.get(name, "")) for name in HEAD}
        found["piece"] = f"{print_number(float(self.formula.piece_g), 2)}g"
        found["cautions"] = "\n".join(self.formula.cautions)
        found["may_contain"] = ", ".join(self.formula.may_contain)
        for i, table in enumerate(tables["stage"]):
            found |= {f"stage-{i}-{key}": str(table.get(key, "")) for key in STAGE}
        for key in PROCESS:
            value = tables.get("process", {}).get(key, "")
            parts = value if isinstance(value, list) else [value]
            found[f"process-{key}"] = ", ".join(map(str, parts))
        found |= {f"words-{key}": self.formula.words.get(key, "") for key in WORDS}
        for column in self.columns:
            for row in self.rows:
                if self.is_open(column, row):
                    found[cell(column, row)] = shown(self.amounts.get((column, row)))
        return found

    def read(self, typed: Mapping[str, str]) -> Formula:
        """The formula with what was typed; a field left as it was shown keeps its exact value.

        Raises InputError, its field the name of a field of the form, "stage-2", "total" or "form".
        """
        faults = Faults()
        try:
            found = self.of_table(self.table(typed, faults))
        except InputError as error:
            now = self.fields | dict(typed)
            names = [now[f"stage-{i}-name"].strip() for i in range(len(self.formula.stages))]
            faults.found.extend(error.at(lambda fault: self._field(fault, names)).faults)
        faults.check()
        return found

    @property
    def text(self) -> str:
        """The file that it would be."""
        return write_formula(self.formula)

    @staticmethod
    def of_table(table: Mapping[str, Any]) -> Formula:
        """The formula of a file's tables. Raises the reader's own InputError."""
        return read_formula(_toml(table), SOURCE)

    def table(self, typed: Mapping[str, str], faults: Faults | None = None) -> dict[str, Any]:
        """The tables of a file that says what was typed; faults: cells that are no numbers, which
        stay as they were."""
        faults = faults or Faults()
        now = self.fields | {
            name: text.strip().replace("\r\n", "\n") for name, text in typed.items()
        }
        table: dict[str, Any] = {key: now[key] for key in HEAD if now[key]}
        table |= {
            key: _whole(now[key]) for key in ("pieces", "year") if now[key] or key == "pieces"
        }
        if self.in_grams:
            table.pop("piece", None)  # it follows from the grams
        elif now["piece"] == self.fields["piece"]:
            table["piece"] = as_text(self.formula.piece_g)
        if "piece" in table and "/" not in table["piece"] and table["piece"][-1:].isdecimal():
            table["piece"] += "g"
        table["cautions"] = _listed(now["cautions"].splitlines())
        table["may_contain"] = _listed(now["may_contain"].split(","))
        names = [now[f"stage-{i}-name"] for i in range(len(self.formula.stages))]
        if self.side in (TypedCells.TOTAL, TypedCells.TOTAL_GRAMS):
            table["total"] = self._column(TOTAL, now, names, faults)
        table["stage"] = [self._stage(i, now, names, faults) for i in range(len(names))]
        if self.side is TypedCells.TOTAL_GRAMS:
            table["piece"] = self._out_of_grams(table)
        own = _tables(self.formula, WrittenSide.GRAMS)
        table |= {key: own[key] for key in NOT_TYPED if key in own}
        table["words"] = {key: text for key in WORDS if (text := now[f"words-{key}"])}
        process = {key: now[f"process-{key}"] for key in PROCESS if now[f"process-{key}"]}
        if process:
            table["process"] = {key: _process_value(key, text) for key, text in process.items()}
        return table

    def _stage(
        self, i: int, now: Mapping[str, str], names: Sequence[str], faults: Faults
    ) -> dict[str, Any]:
        table: dict[str, Any] = {
            key: now[f"stage-{i}-{key}"] for key in STAGE if now[f"stage-{i}-{key}"]
        }
        column = self._column(str(i), now, names, faults)
        if self.side is TypedCells.STAGES:
            return table | {"percent": column}
        own = {name: text for name, text in column.items() if name not in names}
        taken = {name: text for name, text in column.items() if name in names}
        key = "grams" if self.side is TypedCells.STAGES_GRAMS else "takes"
        return table | ({"parts_of": taken} if taken else {}) | ({key: own} if own else {})

    def _column(
        self, column: str, now: Mapping[str, str], names: Sequence[str], faults: Faults
    ) -> dict[str, str]:
        """The open cells of a column that hold something, as texts of a formula file."""
        found = {}
        for row in self.rows:
            name = cell(column, row)
            if not self.is_open(column, row) or not now.get(name):
                continue
            text = _spelt(now[name])
            is_mass = self.in_grams and not row.startswith("@")
            if now[name] == self.fields[name]:
                text = as_text(self.amounts[column, row])
            elif is_mass and _NUMBER.fullmatch(text) and "/" not in text:
                text += "g"
            elif not is_mass and not _NUMBER.fullmatch(text.removesuffix("%").strip()):
                expected = say("a percentage of the flour, 0 to 500")
                faults.found.append(InputError(name, repr(text), expected))
                text = as_text(self.amounts.get((column, row), Fraction()))
            found[names[int(row[1:])] if row.startswith("@") else row] = text
        return found

    def _out_of_grams(self, table: dict[str, Any]) -> str:
        """Make percents of a total and stages in grams; the mass of a piece that they come to."""
        faults = Faults()
        grams = {
            name: faults.take(mass, text, place_of(SOURCE, TOTAL, name))
            for name, text in table["total"].items()
        }
        taken = [
            {
                name: faults.take(mass, text, place_of(row_of(SOURCE, "stage", i), "takes", name))
                for name, text in stage.get("takes", {}).items()
            }
            for i, stage in enumerate(table["stage"])
        ]
        faults.check()
        flour = sum((each for name, each in grams.items() if split(name).flour), Fraction())
        if not flour:
            raise InputError(place_of(SOURCE, TOTAL), Complaint(say("no flour")), say("some flour"))
        table["total"] = {name: as_text(100 * each / flour) for name, each in grams.items()}
        for stage, masses in zip(table["stage"], taken, strict=True):
            if masses:
                stage["takes"] = {name: as_text(100 * g / flour) for name, g in masses.items()}
        pieces = table["pieces"]
        if not isinstance(pieces, int) or pieces < 1:
            return as_text(self.formula.piece_g)  # the reader will say what is wrong with it
        return as_text(sum(grams.values(), Fraction()) / pieces)

    def _field(self, fault: InputError, names: Sequence[str]) -> str:
        """The form's field for the reader's; names: of the stages."""
        match fault.path:
            case ("stage", int(i), str(key)):
                return self._known(f"stage-{i}-{key}", f"stage-{i}")
            case ("stage", int(i), _, str(name)):
                row = f"@{names.index(name)}" if name in names else name
                return self._known(cell(str(i), row), f"stage-{i}")
            case ("stage", int(i), *_):
                return f"stage-{i}"
            case ("total",):
                return TOTAL
            case ("total", str(name)):
                return self._known(cell(TOTAL, name), TOTAL)
        return self._known("-".join(map(str, fault.path)), "form")

    def _known(self, field: str, otherwise: str) -> str:
        return field if field in self.fields else otherwise


def _spelt(text: str) -> str:
    """ "2½" as "2 1/2", which a formula's file takes too."""
    return re.sub(
        r"\s*([¼-¾⅐-⅞])",
        lambda it: f" {unicodedata.normalize('NFKC', it[1]).replace(chr(0x2044), '/')}",
        text,
    ).strip()


def cell(column: str, row: str) -> str:
    """The name of a cell's field."""
    return f"cell-{column}-{row}"


def shown(value: Fraction | None) -> str:
    """An amount as a cell shows it."""
    return "" if value is None else print_number(float(value), 2)


def as_text(value: Fraction) -> str:
    """An amount as a formula file takes it, exact: "34 4/19".

    "34 0/1" where it is whole: with a fraction a mass needs no unit.
    """
    whole, rest = divmod(value, 1)
    return f"{whole} {rest.numerator}/{rest.denominator}"


def gram_of(formula: Formula) -> Fraction:
    """Grams for each percent of the flour, in the batch that the formula is usually made for."""
    return formula.pieces * formula.piece_g / sum(formula.total.values(), Fraction())


def _tables(formula: Formula, side: WrittenSide) -> dict[str, Any]:
    """The tables of the formula's own file, its numbers as they are written."""
    return tomllib.loads(write_formula(formula, side), parse_float=str)


def _listed(parts: Iterable[str]) -> list[str]:
    return [part.strip() for part in parts if part.strip()]


def _whole(text: str) -> int | str:
    return int(text) if text.isdecimal() and len(text) < 10 else text


def _process_value(key: str, text: str) -> Any:
    try:
        if key in RISES:
            return [float(each) for each in text.strip("[]").split(",")]
        if key == "shape_keeps":
            return float(text)
    except ValueError:
        return text  # the reader will say what is wrong with it
    return _whole(text) if key == "folds" else text


def _toml(table: Mapping[str, Any]) -> str:
    """Tables as the text of a file; those within tables stand on one line."""
    return "\n".join(f"{key} = {_value(value)}" for key, value in table.items()) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_value(key)} = {_value(it)}" for key, it in value.items()) + " }"
    if isinstance(value, Iterable) and not isinstance(value, str):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, str | bool):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(value)
