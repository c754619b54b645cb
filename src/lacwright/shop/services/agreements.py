"""Agreements with a customer: an approved panel, a priced change, a price."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.models import Piece
from lacwright.shop.queries.preferences import currency
from lacwright.shop.services import work as said
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.pieces import PANEL
from lacwright.shop.services.work import work_of
from lacwright.shop.writing import Answer, Entry, Writer, write

KIND = "agree"
KINDS = ("panel", "change", "price")
MOST = Decimal(10**9)


def agree(
    *, job: str | None = None, piece: str | None = None, what: str, text: str = "",
    price: Decimal | None = None, panel: str | None = None, entry: Entry,
) -> Answer:  # fmt: skip
    """Write down what was agreed.

    Parameters
    ----------
    job, piece : str, optional
        One of the two at least; the customer is the piece's.
    what : str
        "panel" (that panel is how it is to look), "change" (a wish that came later), "price".
    text : str
        In their words.
    price : Decimal, optional
        In the shop's currency; of a change what it adds, below 0 what it takes off.
    panel : str, optional
        Of an approved panel: its name in the record.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For another kind, a panel that is none, a price that cannot be, or if nothing is said.
    """
    facts = {"what": what, "text": text, "panel": panel,
             "price": None if price is None else str(price)}  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        work = work_of(job, piece)
        refs = work.refs
        if work.piece.customer is not None:
            refs["customer"] = work.piece.customer.key
        body = _compose(refs, facts)
        write_body(w, KIND, body)
        return {**{word: refs.get(word) for word in ("job", "piece", "customer")}, **body.facts}

    return write(KIND, {"job": job, "piece": piece, **facts}, entry, do)


def _compose(refs: Mapping[str, str], facts: Mapping[str, Any]) -> Body:
    what = facts["what"]
    if what not in KINDS:
        raise Refusal("--what", f"'{what}' is no kind of agreement", nearest(what, KINDS))
    price = None if facts["price"] is None else _price(Decimal(facts["price"]), what)
    if what == "price" and price is None:
        raise Refusal("--price", "no price is said", "write e.g. --price 480")
    text = said.text_of(facts["text"], "TEXT", needed=what == "change")
    return Body(refs, facts={
        "what": what, "text": text, "panel": _panel(facts["panel"], what),
        "price": None if price is None else str(price), "currency": currency(),
    })  # fmt: skip


def _panel(name: str | None, what: str) -> str | None:
    if name is None:
        if what == "panel":
            raise Refusal("--panel", "no panel is named", "write its name in the record")
        return None
    panel = names.find(Piece, name, "--panel")
    if panel.kind != PANEL:
        raise Refusal("--panel", f"'{panel.key}' is a piece, not a panel",
                      "write the panel down with 'lacwright piece add NAME --panel'")  # fmt: skip
    return panel.key


def _price(price: Decimal, what: str) -> Decimal:
    if not price.is_finite() or abs(price) > MOST or (price < 0 and what != "change"):
        raise Refusal("--price", f"{price} is not a price", "write e.g. 48.50")
    return price if price else price.copy_abs()  # nothing has no sign


def _recompose(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    facts = merged(body, changes, ("what", "text", "panel", "price"))
    return _compose(body["refs"], facts)


RECOMPOSE[KIND] = _recompose
