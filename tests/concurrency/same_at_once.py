"""A program: the same thing asked by several threads at once. Prints as JSON what each was told."""

import json
import sys
import threading
from collections.abc import Callable
from datetime import timedelta

from halfwater import config

config.open_book()

from django.db import connection  # noqa: E402

from halfwater.book import changes, queries  # noqa: E402
from halfwater.errors import HalfwaterError  # noqa: E402
from halfwater.plain.selling import NewBuyer, NewHold, NewOrder, WantedLine  # noqa: E402
from tests.book.builders import NOW, WHO  # noqa: E402
from tests.book.shops import ANNA, BEN, a_shop  # noqa: E402

THREADS = 8


def at_once(*deeds: Callable[[], object]) -> list[str]:
    """What each deed gave, or with which sentence it was refused; all begin together."""
    start, told = threading.Barrier(len(deeds)), [""] * len(deeds)

    def run(place: int, deed: Callable[[], object]) -> None:
        start.wait()
        try:
            told[place] = str(deed())
        except HalfwaterError as refused:
            told[place] = f"refused: {refused}"
        except Exception as error:
            told[place] = f"failed: {error!r}"
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=one) for one in enumerate(deeds)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return told


def order(key: str, buyer: NewBuyer, *lines: int, plants: int = 1) -> Callable[[], object]:
    """An order of so many plants of each line."""
    new = NewOrder(key, buyer, tuple(WantedLine(line, plants) for line in lines))
    return lambda: changes.place_order(new, who=WHO, now=NOW).number


def orders_at_once(first: int, second: int) -> dict[str, list[str]]:
    """Orders with one key, on lines in either order, of one new buyer, and beyond a limit."""
    both, many = (first, second), range(THREADS)
    crossed = [
        order(f"cross{n}", NewBuyer("C", f"c{n}@example.org"), *both[:: 1 if n % 2 else -1]) for n in many
    ]
    one_contact = [
        order(f"new{n}", NewBuyer("D", f"{' ' * (n % 3)}d@{'Ee'[n % 2]}xample.org"), both[n % 2])
        for n in many
    ]
    limited = [order(f"limit{n}", NewBuyer("E", "e@example.org"), first, plants=2) for n in many]
    return {
        "same key": at_once(*[order("one", ANNA, *both)] * THREADS),
        "one key, two wishes": at_once(*(order("two", BEN, both[n % 2]) for n in many)),
        "crossed lines": at_once(*crossed),
        "same new buyer": at_once(*one_contact),
        "limit": at_once(*limited),
    }


def main() -> None:
    """One question after the other."""
    shop = a_shop(60, 30, limit_per_buyer=6)
    large = {"release": shop.release, "taxon": shop.taxon, "grade": "large", "price_minor": 1900}
    second = changes.save_line(who=WHO, **large)
    changes.offer_pots(second, shop.pots[30:], who=WHO, now=NOW)
    told = orders_at_once(shop.line, second)
    hold = NewHold("00000000-0000-4000-8000-000000000001", second, 1, NOW + timedelta(hours=1), ANNA)
    told["same hold"] = at_once(
        *[lambda: changes.place_hold(hold, who=WHO, now=NOW).plants] * (THREADS - 1),
        lambda: changes.close_release(shop.release, who=WHO, now=NOW),
    )
    fay = changes.save_buyer(who=WHO, now=NOW, name="Fay", contact="fay@example.org")
    by_hand = NewOrder("fay", NewBuyer("", key=fay), pots=((shop.pots[0], 5),), note="for Fay")
    told["erased while ordering"] = at_once(
        lambda: changes.place_order(by_hand, who=WHO, now=NOW).number,
        lambda: changes.erase_buyer(fay, who=WHO, now=NOW),
    )
    sys.stdout.write(json.dumps(found(told, fay)))


def found(told: dict[str, list[str]], fay: int) -> dict[str, object]:
    """What the answers were, and what the book holds after them."""
    return {
        "told": told,
        "orders": {one.key: [one.buyer.key, one.plants, one.note] for one in queries.orders()},
        "contacts": [one.contact.strip().casefold() for one in queries.buyers() if one.contact],
        "fay": next(one.erased_at is not None for one in queries.buyers() if one.key == fay),
        "holds": [one.state for one in queries.holds(now=NOW)],
    }


main()
