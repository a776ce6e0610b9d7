"""Money as it is typed, into its smallest coin."""

import re
from decimal import Decimal

from halfwater.errors import RefusedInput
from halfwater.plain.figures import coin_digits

MOST_MINOR = 100_000_000


def read_money(typed: str, currency: str, field: str = "price") -> int:
    """The amount in the smallest coin: read_money("9.50", "EUR") is 950; a comma is a point."""
    text = re.sub(rf"\s*{re.escape(currency)}\s*", "", typed.strip(), flags=re.I).strip(" €$£")
    places = coin_digits(currency)
    decimals = rf"(?:[.,]\d{{1,{places}}})?" if places else ""
    if not re.fullmatch(rf"\d{{1,8}}{decimals}", text, flags=re.ASCII):
        example = "9.50" if places == 2 else "9"
        raise RefusedInput(field, typed, f"an amount such as {example} {currency}")
    minor = int(Decimal(text.replace(",", ".")).scaleb(places))
    if minor > MOST_MINOR:
        raise RefusedInput(field, typed, "a smaller amount")
    return minor
