"""Numbers and amounts as growers write them: fractions, decimal commas, counting words."""

import math
import re
from collections.abc import Sequence

from halfwater.errors import RefusedInput

_VULGAR = {
    "¼": "1/4",
    "½": "1/2",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅒": "1/10",
}
_PLAIN_SIGNS = {
    "\u2044": "/",
    "\u2215": "/",
    "\u00a0": " ",
    "\u2009": " ",
    "\u202f": " ",
    "\u2007": " ",
    "\t": " ",
    "\u2212": "-",
    "\u2013": "-",
    "\u2011": "-",
    "\u00b5": "u",
    "\u03bc": "u",
    "\u00b7": " ",
    "\u22c5": " ",
    "\u2033": '"',
    "\u201d": '"',
    "\u201c": '"',
    "''": '"',
    "\u2032": "'",
    "\u2019": "'",
    "\u00ba": "°",
    "\u00b2": "2",
    "\u00b3": "3",
    "\u207b": "-",
    "\u00b9": "1",
    "\u2103": "°C",
    "\u2109": "°F",
}
_COUNTING = {
    "half": "1/2",
    "quarter": "1/4",
    "third": "1/3",
    "a": "1",
    "an": "1",
    "one": "1",
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "eight": "8",
    "nine": "9",
    "ten": "10",
    "twelve": "12",
}
_COUNTED = re.compile(
    r"^(?:(?:a|one) )?(half|quarter|third)(?: (?:of )?an?)?(?= |$)|^(" + "|".join(_COUNTING) + r")(?= )",
    re.IGNORECASE,
)
_FRACTION = r"\d+[ ]?/[ ]?\d+"
_NUMBER = re.compile(
    rf"""(?P<mixed>(?P<whole>\d+)(?:[ ]|[ ]?-[ ]?|[ ]and[ ])(?P<part>{_FRACTION}))
      | (?P<fraction>{_FRACTION})
      | (?P<decimal>(?:\d{{1,3}}(?:[ ]\d{{3}})+(?![\d])(?:[.,]\d+)?|\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?)""",
    re.VERBOSE,
)


def plain_signs(text: str) -> str:
    """Text with typographic signs brought to the plain ones.

    Primes become quote marks, vulgar fractions become digits, the micro sign
    becomes u, thin spaces become spaces; runs of spaces shrink to one.

    Parameters
    ----------
    text : str
        Anything typed.

    Returns
    -------
    str
        The same amount in plain signs.

    Notes
    -----
    A vulgar fraction after a digit is set off by a space, so 1½ reads as 1 1/2.

    Source: own definition

    Examples
    --------
    >>> plain_signs("1½″")
    '1 1/2"'
    """
    for sign, plain in _VULGAR.items():
        text = re.sub(rf"(?<=\d){sign}", f" {plain}", text).replace(sign, plain)
    for sign, plain in _PLAIN_SIGNS.items():
        text = text.replace(sign, plain)
    return re.sub(r" +", " ", text).strip()


def split_amount(text: str, field: str, accepted: str) -> tuple[float, str]:
    """Number at the head of a typed amount, and the text behind it.

    Understands decimals with point or comma, thousands set off by spaces,
    fractions, mixed numbers and a few counting words (half, a quarter, two).

    Parameters
    ----------
    text : str
        A typed amount in plain signs.
    field : str
        What the amount is for, used in a refusal.
    accepted : str
        What would be taken, used in a refusal.

    Returns
    -------
    tuple
        The number, and what is left of the text, stripped.

    Raises
    ------
    RefusedInput
        If no number stands at the head, if it is infinite, if a fraction has
        nought below the line, or if a comma could be read in two ways.

    Notes
    -----
    One comma before exactly three digits is refused, since 1,200 is twelve
    hundred to some and one and a fifth to others; after a leading nought or
    more than three digits it can only be a decimal comma.

    Source: own definition

    Examples
    --------
    >>> split_amount("2,6 ml/l", "dose", "a dose")
    (2.6, 'ml/l')
    >>> split_amount("half a gallon", "fill", "a volume")
    (0.5, 'gallon')
    """
    counted = _COUNTED.match(text)
    if counted:
        word = (counted.group(1) or counted.group(2)).lower()
        text = _COUNTING[word] + text[counted.end() :]
    match = _NUMBER.match(text)
    if match is None:
        raise RefusedInput(field, text, accepted)
    if match["mixed"]:
        number = float(match["whole"]) + _fraction(match["part"], field, text, accepted)
    elif match["fraction"]:
        number = _fraction(match["fraction"], field, text, accepted)
    else:
        number = _decimal(match["decimal"], field, text, accepted)
    if not math.isfinite(number):
        raise RefusedInput(field, text, accepted)
    return number, text[match.end() :].strip()


def split_amounts(text: str, field: str, accepted: str) -> Sequence[tuple[float, str]]:
    """Parts of an amount written in several units, such as 5 ft 6 in.

    Parameters
    ----------
    text : str
        A typed amount in plain signs.
    field : str
        What the amount is for, used in a refusal.
    accepted : str
        What would be taken, used in a refusal.

    Returns
    -------
    sequence of tuple
        Number and unit of each part, in the order written.

    Raises
    ------
    RefusedInput
        If a part has no number, or one of several parts has no unit.

    Notes
    -----
    Digits inside a unit (100 gal, m2) are not understood here.

    Source: own definition

    Examples
    --------
    >>> split_amounts("5 ft 6 in", "length", "a length")
    [(5.0, 'ft'), (6.0, 'in')]
    """
    parts: list[tuple[float, str]] = []
    rest = text
    while rest:
        number, rest = split_amount(rest, field, accepted)
        unit = re.match(r"[^\d]*", rest)
        word = unit.group(0) if unit else ""
        if re.search(r"[ (]-$|^-$", word):
            raise RefusedInput(field, text, accepted)
        rest = rest[len(word) :]
        parts.append((number, re.sub(r"(,| and|\+)$", "", word.strip()).strip()))
    if len(parts) > 1 and not all(unit for _, unit in parts):
        raise RefusedInput(field, text, accepted)
    return parts


def _fraction(text: str, field: str, whole_text: str, accepted: str) -> float:
    above, below = (int(part) for part in text.split("/"))
    if below == 0:
        raise RefusedInput(field, whole_text, accepted)
    return above / below


def _decimal(digits: str, field: str, whole_text: str, accepted: str) -> float:
    """Settle which of point and comma sets off the decimals."""
    head, mark, power = re.sub(r"\s", "", digits).partition("e" if "e" in digits else "E")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", head):
        raise RefusedInput(field, whole_text, f"{_two_readings(head)} ({accepted})")
    if re.fullmatch(r"\d{1,3}(,\d{3})+\.\d+|\d{1,3}(,\d{3}){2,}", head):
        head = head.replace(",", "")
    elif re.fullmatch(r"\d{1,3}(\.\d{3})+,\d+|\d{1,3}(\.\d{3}){2,}", head):
        head = head.replace(".", "").replace(",", ".")
    head = head.replace(",", ".")
    if not re.fullmatch(r"\d+\.?\d*|\.\d+", head):
        raise RefusedInput(field, whole_text, accepted)
    try:
        return float(f"{head}e{power}" if mark else head)
    except (ValueError, OverflowError):
        raise RefusedInput(field, whole_text, accepted) from None


def _two_readings(head: str) -> str:
    return f"write {head.replace(',', '')} or {head.replace(',', '.').rstrip('0').rstrip('.')}"
