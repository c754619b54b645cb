"""Facts of the trade as tables: every row has a mark and a source."""

from lacwright.trade.table import Row, Table, names, table

__all__ = ["Row", "Table", "names", "table"]
