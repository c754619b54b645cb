"""The record of the shop: what was observed, what follows from it, and what it answers.

`opening.open_record(find_home(...))` comes first: only then can the modules with tables be
imported (`services` write, `queries` read). See `ledger` for the arithmetic, `replay` for
correction and late arrival, `writing` for tokens and transactions.
"""

from lacwright.shop.home import Home, find_home
from lacwright.shop.opening import close_record, open_record

__all__ = ["Home", "close_record", "find_home", "open_record"]
