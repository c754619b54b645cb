"""A stock list in CSV: lots as he keeps them in a spreadsheet, every fault told by line and column.

The first line names the columns, in any order and in any case: name, kind, amount, grade, wax,
bleached, alcohol, supplier, batch, bought, price, price for, note. Cells are parted by commas,
semicolons or tabs; a decimal comma needs one of the latter two, or quotes.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from lacwright.figures import Refusal, Refusals, nearest
from lacwright.figures.quantities import read_day
from lacwright.figures.spoken import counted
from lacwright.files.whole_file import read_file
from lacwright.shop.amounts import PIECES, read_amount
from lacwright.shop.csv_faults import csv_fault
from lacwright.shop.facts import FLAKES, KINDS, OTHER
from lacwright.solution import read_alcohol, read_grade

MOST_BYTES = 5_000_000
MOST_ROWS = 5_000
MOST_TOLD = 50
"""Faults that are told; a list in another form has one in every line."""

COLUMNS: dict[str, tuple[str, ...]] = {
    "name": ("name", "lot"),
    "kind": ("kind",),
    "amount": ("amount", "quantity"),
    "grade": ("grade",),
    "waxed": ("wax", "waxed"),
    "bleached": ("bleached",),
    "alcohol": ("alcohol", "composition"),
    "supplier": ("supplier",),
    "batch": ("batch",),
    "bought": ("bought", "bought on", "day"),
    "price": ("price",),
    "price_for": ("price for",),
    "note": ("note", "notes", "remark"),
}
"""What a column holds, by the words its heading may use."""

_BY_WORD = {word: name for name, words in COLUMNS.items() for word in words}
_OPTIONS = {"--kind": "kind", "--amount": "amount", "--grade": "grade", "--waxed": "waxed",
            "--bleached": "bleached", "--alcohol": "alcohol", "--price": "price",
            "--price-for": "price_for", "--unit": "amount", "--supplier": "supplier",
            "--batch": "batch", "--bought": "bought", "lot": "name"}  # fmt: skip
"""Columns that a refusal about an option is about."""
_YES = {"yes": True, "y": True, "true": True, "1": True, "x": True,
        "no": False, "n": False, "false": False, "0": False}  # fmt: skip
_WAX = {**_YES, "waxed": True, "dewaxed": False, "none": False}


@dataclass(frozen=True)
class Row:
    """A lot of the list.

    Parameters
    ----------
    line : int
        Where it stands.
    words : mapping of str to str
        What every column is called in the list.
    lot : mapping
        Arguments of `services.lots.new_lot`: name, kind, unit, amount, described.
    unread : frozenset of str
        Columns that could not be read, and are told already.
    """

    line: int
    words: Mapping[str, str]
    lot: Mapping[str, Any]
    unread: frozenset[str] = frozenset()

    def place(self, refusal: Refusal, file: str) -> Refusal:
        """Return a refusal of what is in it with line and column."""
        column = self.words.get(_OPTIONS.get(refusal.where, refusal.where), "")
        return refusal.at(f"{file}, line {self.line}" + (f", {column}" if column else ""))


@dataclass
class StockList:
    """A list as it was read.

    Parameters
    ----------
    file : str
        What it is called.
    rows : list of Row
        The lines that make sense by themselves.
    odd : list of Row
        The others, as far as they could be read: what else is wrong with them is told as well.
    faults : list of (line, Refusal)
        What could not be read in them.
    """

    file: str
    rows: list[Row] = field(default_factory=list)
    odd: list[Row] = field(default_factory=list)
    faults: list[tuple[int, Refusal]] = field(default_factory=list)

    def refuse(self, more: Iterable[tuple[int, Refusal]] = ()) -> None:
        """Refuse the list if anything is wrong with it.

        Raises
        ------
        Refusal
            All faults in the order of the lines, at most `MOST_TOLD`.
        """
        wrong = [refusal for _, refusal in sorted([*self.faults, *more], key=lambda f: f[0])]
        if not wrong:
            return
        told, untold = wrong[:MOST_TOLD], len(wrong) - MOST_TOLD
        if untold > 0:
            told.append(Refusal(self.file, f"{counted(untold, 'more fault')} like these",
                                "mend the first ones and try again"))  # fmt: skip
        raise Refusals(told)

    def fault(self, line: int, refusal: Refusal) -> None:
        """Note what is wrong with a line."""
        self.faults.append((line, refusal))


def load_stock_list(path: str | Path) -> StockList:
    """Return the lots of a file, with what is wrong in it.

    Raises
    ------
    Refusal
        If it cannot be read, or is no list of lots.
    """
    file = Path(path).expanduser()
    data = read_file(file, most_bytes=MOST_BYTES, mend="import it in parts")
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise Refusal(f"{file.name}, line {line}", "it is not UTF-8 text",
                      "save it as CSV in UTF-8") from None  # fmt: skip
    return read_stock_list(text, file.name)


def read_stock_list(text: str, file: str = "FILE") -> StockList:
    """Return the lots of a list as text; see `load_stock_list`."""
    lines = _lines(text, file)
    first = next(lines, None)
    if first is None:
        raise Refusal(file, "it is empty", "its first line names the columns: name, kind, amount")
    stock = StockList(file)
    columns = _columns(first, stock)
    stock.refuse()
    seen: dict[str, int] = {}
    count = 0
    for line, cells in lines:
        count += 1
        if count > MOST_ROWS:
            raise Refusal(file, f"it has more than {MOST_ROWS} lines", "import it in parts")
        row = _row(line, cells, columns, stock)
        if row is None:
            continue
        name = str(row.lot["name"]).strip()
        before = seen.setdefault(name.casefold(), line) if name else line
        if before != line:
            twice = Refusal("name", f"'{name}' stands in line {before} already",
                            "give every lot its own name")  # fmt: skip
            stock.fault(line, row.place(twice, file))
            row = replace(row, unread=row.unread | {"name"})
        (stock.odd if row.unread else stock.rows).append(row)
    if not count:
        raise Refusal(file, "it has no lines but its first", "write one line for each lot")
    return stock


def _lines(text: str, file: str) -> Iterator[tuple[int, Sequence[str]]]:
    """Yield number and cells of every line that has any."""
    head = next((line for line in text.splitlines() if line.strip()), "")
    mark = max(";\t,", key=head.count)  # "," last: it is also a decimal comma
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield begins, [cell.strip() for cell in cells]
            begins = reader.line_num + 1
    except csv.Error as error:
        raise Refusal(f"{file}, line {begins}", csv_fault(error),
                      "a quote that opens must close, and a quote in a text is written twice"
                      ) from None  # fmt: skip


def _columns(first: tuple[int, Sequence[str]], stock: StockList) -> list[tuple[str, str]]:
    """Return name and heading of every column, "" for one without heading."""
    line, heads = first
    where = f"{stock.file}, line {line}"
    out: list[tuple[str, str]] = []
    for head in heads:
        plain = " ".join(re.sub(r"[_\s]+", " ", head.lower()).split())
        name = _BY_WORD.get(plain, "")
        if not name and plain:
            stock.fault(line, Refusal(where, f"no column is called '{head}'",
                                      nearest(plain, _BY_WORD)))  # fmt: skip
        if name and any(name == other for other, _ in out):
            stock.fault(line, Refusal(where, f"two columns hold the same ('{head}')",
                                      "leave one of them out"))  # fmt: skip
        out.append((name, head))
    for needed in ("name", "kind") if not stock.faults else ():
        if all(name != needed for name, _ in out):
            stock.fault(line, Refusal(where, f"no column is called {needed}",
                                      "name the columns: name, kind, amount"))  # fmt: skip
    return out


def _row(
    line: int, cells: Sequence[str], columns: Sequence[tuple[str, str]], stock: StockList
) -> Row | None:  # fmt: skip
    """Return the lot of a line, as far as it can be read; None if its cells are out of step."""
    where = f"{stock.file}, line {line}"
    if any(cells[len(columns) :]):
        stock.fault(line, Refusal(
            where, f"it has {len(cells)} cells, the heading has {len(columns)}",
            "a decimal comma needs quotes, or another mark between the cells",
        ))  # fmt: skip
        return None
    unread: set[str] = set()
    words = {name: head for name, head in columns if name}
    said: dict[str, str] = {}
    for (name, _), cell in zip(columns, cells, strict=False):
        if cell and not name:
            unread.add("")
            stock.fault(line, Refusal(where, f"'{cell}' stands under no heading",
                                      "give the column a heading"))  # fmt: skip
        elif cell:
            said[name] = cell

    def read(column: str, how: Callable[[str, str], Any], nothing: Any = None) -> Any:
        if column not in said:
            return nothing
        try:
            return how(said[column], f"{where}, {words[column]}")
        except Refusal as refusal:
            unread.add(column)
            stock.fault(line, refusal)
            return nothing

    for needed in ("name", "kind"):
        if needed not in said:
            unread.add(needed)
            stock.fault(line, Refusal(f"{where}, {words[needed]}", "nothing is given",
                                      f"write the {needed} of the lot"))  # fmt: skip
    kind = read("kind", _kind, "")
    unit = _unit(said.get("amount", ""))

    def amount(text: str, at: str) -> Any:
        # Of a kind that nobody knows an amount of whatever sort is one.
        return read_amount(text, at, of=kind or OTHER, unit=unit)

    given = {
        "amount": read("amount", amount),
        "grade": read("grade", _grade_of(kind), ""), "alcohol": read("alcohol", _alcohol, ""),
        "waxed": read("waxed", _one_of(_WAX)), "bleached": read("bleached", _one_of(_YES)),
        "density_g_ml": None, "supplier": said.get("supplier", ""),
        "batch": said.get("batch", ""), "bought": read("bought", read_day),
        "price": read("price", _price), "price_for": read("price_for", amount),
        "order_below": None, "note": said.get("note", ""),
    }  # fmt: skip
    lot = {"name": said.get("name", ""), "kind": kind, "unit": unit,
           "amount": given.pop("amount"), "described": given}  # fmt: skip
    return Row(line, words, lot, frozenset(unread))


def _grade_of(kind: str) -> Callable[[str, str], str]:
    """Return what reads a grade; what a grade does not fit is told where the lot is made."""

    def read(text: str, where: str) -> str:
        if kind == FLAKES:
            read_grade(text, where=where)
        return text

    return read


def _alcohol(text: str, where: str) -> str:
    read_alcohol(text, where=where)
    return text


def _kind(text: str, where: str) -> str:
    kind = text.lower()
    if kind not in KINDS:
        raise Refusal(where, f"'{text}' is not a kind of lot", nearest(kind, KINDS))
    return kind


def _unit(amount: str) -> str:
    """Return how a lot is kept: counted, if its amount is a number of pieces."""
    counted = re.fullmatch(r"[\d.,]+\s*(pc|pcs|piece|pieces|sheet|sheets|pad|pads)", amount.lower())
    return PIECES if counted else "g"


def _one_of(words: Mapping[str, bool]) -> Callable[[str, str], bool]:
    def read(text: str, where: str) -> bool:
        if text.lower() not in words:
            raise Refusal(where, f"'{text}' is neither yes nor no", "write yes or no, or nothing")
        return words[text.lower()]

    return read


def _price(text: str, where: str) -> Decimal:
    """Read a price; a comma is a decimal comma where one or two digits follow it."""
    plain = re.sub(r"[\s'’]", "", text)
    if re.fullmatch(r"\d+,\d{1,2}", plain):
        plain = plain.replace(",", ".")
    try:
        if not re.fullmatch(r"\d+(\.\d{1,4})?", plain):
            raise InvalidOperation
        return Decimal(plain)
    except InvalidOperation:
        raise Refusal(where, f"'{text}' is not a price", "write e.g. 48.50") from None
