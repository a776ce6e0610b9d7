"""Money: the answer with its bars, tables and what-ifs; sheets that are kept, changed and taken out."""

import pytest
from django.test import Client

from halfwater.book import queries
from halfwater.deeds import packing
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_packing import an_order, goods, packed
from tests.web.books import small_book


def _page(client: Client, url: str) -> str:
    answer = client.get(url)
    assert answer.status_code == 200, url
    return answer.content.decode()


def _post(client: Client, url: str, **typed: str) -> tuple[int, str]:
    answer = client.post(url, typed, follow=True)
    return answer.status_code, answer.content.decode()


PURCHASE = {"text": "Shelf", "kind": "equipment", "amount": "240.00", "on": "2026-06-01", "life_months": "60"}


def test_money_answers_and_shows_what_it_rests_on(client: Client) -> None:
    """After a sale: sentence, bars with table, figures, tables by taxon and plant, empty space, working."""
    goods()
    key = packed(an_order("2").number)
    packing.send_parcel(key, {"postage": "5.90"}, WHO, NOW)
    _post(client, "/money/costs/purchase/add/", **PURCHASE)
    page = _page(client, "/money/")
    for part in ('class="answer"', 'id="money"', "The same as a table", "By taxon", "By plant", "By release",
                 "Empty space, apart", "Break-even", "How this was worked out", "Cautions"):  # fmt: skip
        assert part in page, part


def test_an_empty_book_has_a_money_page(client: Client) -> None:
    """Nothing bought, nothing sold: no fault, and what to do."""
    small_book()
    assert "Add a purchase" in _page(client, "/money/")


def test_months_and_rules_that_cannot_be_are_said(client: Client) -> None:
    """A rule or a month that is none is answered beside its field, the page stands."""
    small_book()
    for query in ("rule=none", "since=soon"):
        answer = client.get(f"/money/?{query}")
        assert answer.status_code == 422
        assert b"cannot be used here" in answer.content
    assert _page(client, "/money/?since=2026-01&until=2026-06&rule=all+spots")


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("what-if=tank&spots=40&price=300&life_months=60&sold=100", 'role="status"'),
        ("what-if=taxon&name=Moss&spots=20&days=100+150+250&price=6&loss=10", 'role="status"'),
    ],
    ids=["tank", "taxon"],
)
def test_one_more_is_reckoned_on_the_same_page(client: Client, query: str, said: str) -> None:
    """What one more tank or taxon would bring stands above its form; a wrong number is said."""
    goods()
    packing.send_parcel(packed(an_order("2").number), {}, WHO, NOW)
    assert said in _page(client, f"/money/?{query}")
    answer = client.get(f"/money/?{query.replace('spots=', 'spots=x')}")
    assert answer.status_code == 422


def test_each_sheet_is_kept_changed_and_taken_out(client: Client) -> None:
    """Purchase, charge, tariff, power and fee: kept as typed, shown to be typed over, taken out again."""
    small_book()
    sheets = {
        "purchase": PURCHASE,
        "charge": {"text": "Rent", "kind": "room", "amount": "80", "from": "2026-01-01"},
        "tariff": {"price": "0.325", "from": "2026-01-01"},
        "power": {"text": "Heater", "power": "30", "hours": "10", "dimmer": "100", "from": "2026-01-01"},
        "fee": {"text": "Bank", "channel": "", "share": "2.9", "fixed": "0.30", "on_postage": "yes"},
    }
    rows = {
        "purchase": queries.purchases, "charge": queries.charges, "tariff": queries.tariffs,
        "power": queries.power_uses, "fee": queries.fees,
    }  # fmt: skip
    for noun, typed in sheets.items():
        assert _post(client, f"/money/costs/{noun}/add/", **typed)[0] == 200, noun
        (one,) = rows[noun]()
        page = _page(client, f"/money/costs/{noun}/{one.key}/")
        kept = {name: text for name, text in typed.items() if name not in ("kind", "channel", "on_postage")}
        for name, text in kept.items():
            assert f'value="{text}' in page, (noun, name)
        assert _post(client, f"/money/costs/{noun}/{one.key}/", **typed)[0] == 200
        assert len(rows[noun]()) == 1
    assert "Heater" in _page(client, "/money/costs/")
    for noun in sheets:
        (one,) = rows[noun]()
        _post(client, f"/money/costs/{noun}/{one.key}/remove/")
        assert rows[noun]() == ()
        assert client.get(f"/money/costs/{noun}/{one.key}/").status_code == 404
    code, page = _post(client, "/money/costs/purchase/add/", **PURCHASE | {"amount": "much"})
    assert (code, "“much" in page) == (422, True)


def test_minutes_are_noted_and_can_be_taken_back(client: Client) -> None:
    """Minutes and their task become an entry; the way back stands beside the message."""
    small_book()
    code, page = _post(client, "/money/costs/", minutes="40", task="pack", tank="", at="")
    assert (code, "Undo" in page) == (200, True)
    (entry,) = queries.entries(kinds=("work",))
    assert (entry.value, entry.word) == (40.0, "pack")
    code, page = _post(client, "/money/costs/", minutes="many", task="pack", tank="", at="")
    assert (code, "minutes and a task" in page.lower()) == (422, True)


def test_the_ledger_is_a_file(client: Client) -> None:
    """It downloads as CSV; days the wrong way round are said on the page."""
    small_book()
    _post(client, "/money/costs/purchase/add/", **PURCHASE)
    answer = client.get("/money/ledger/?from=2026-05-01&to=")
    assert answer.headers["Content-Type"].startswith("text/csv")
    assert b"Shelf" in answer.content
    answer = client.get("/money/ledger/?from=2026-05-02&to=2026-05-01", follow=True)
    assert b"is-refusal" in answer.content
