"""A release as a table by RFC 4180: commas, quotes where needed, CRLF after every row."""

import csv
from io import StringIO

from halfwater.plain.announcing import Announcement
from halfwater.plain.figures import bare_money

COLUMNS = ("release", "opens_at", "closes_at", "line", "taxon", "grade", "price", "currency", "plants")
COLUMNS += ("limit_per_buyer", "text", "care", "photo")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def price_list(said: Announcement) -> str:
    """One row a line under a row of headings; text that a spreadsheet would run as a formula gets a quote."""
    table = StringIO(newline="")
    rows = csv.writer(table, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    opens, closes = (at.isoformat() if at else "" for at in (said.opens_at, said.closes_at))
    for line in said.lines:
        price = bare_money(line.price_minor, said.currency)
        limit = "" if line.limit_per_buyer is None else line.limit_per_buyer
        words = [_tame(text) for text in (line.text, line.care, line.photo)]
        told = [_tame(said.name), opens, closes, line.key, _tame(line.taxon_name), line.grade]
        rows.writerow([*told, price, said.currency, line.free, limit, *words])
    return table.getvalue()


def _tame(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
