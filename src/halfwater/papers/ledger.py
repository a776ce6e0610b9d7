"""A ledger as a table by RFC 4180: commas, quotes where needed, CRLF after every row."""

import csv
from collections.abc import Sequence
from io import StringIO

from halfwater.plain.costing import LedgerRow
from halfwater.plain.figures import bare_money

COLUMNS = ("date", "kind", "text", "in", "out", "currency", "order", "reckoned", "owed")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def ledger_table(payments: Sequence[LedgerRow], currency: str) -> str:
    """One row a payment under a row of headings; text that a spreadsheet would run gets a quote."""
    table = StringIO(newline="")
    rows = csv.writer(table, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for one in payments:
        rows.writerow(
            (
                one.on.isoformat(),
                one.kind,
                f"'{one.text}" if one.text.startswith(_FORMULA_STARTS) else one.text,
                bare_money(one.in_minor, currency) if one.in_minor else "",
                bare_money(one.out_minor, currency) if one.out_minor else "",
                currency,
                "" if one.order is None else one.order,
                "yes" if one.is_reckoned else "no",
                bare_money(one.owed_minor, currency) if one.owed_minor else "",
            )
        )
    return table.getvalue()
