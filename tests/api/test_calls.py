"""The interface as a web shop uses it."""

import re
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from halfwater.book import changes, queries
from halfwater.deeds.keys import revoke_key
from halfwater.web.api.calls import api
from tests.api.shops import ANNA, Program, a_program, an_open_line
from tests.book.builders import WHO

pytestmark = pytest.mark.django_db


def ordered(program: Program, line: int, plants: int = 1, key: str = "k-1", **more: Any) -> Any:
    """Place an order."""
    body = {"buyer": ANNA, "lines": [{"line": line, "plants": plants}]} | more
    return program.call("POST", "/orders", body, key)


def test_a_shop_sees_open_releases_and_orders_from_them() -> None:
    """Free plants go down by what was ordered; money is in the smallest coin with its currency."""
    release, line = an_open_line(4)
    program = a_program()
    (told,) = program.call("GET", "/releases").json()["releases"]
    assert (told["key"], told["state"], told["lines"][0]["free"]) == (release, "open", 4)
    answer = ordered(program, line, 3)
    assert answer.status_code == 201
    assert (answer.json()["goods_minor"], answer.json()["currency"]) == (2850, "EUR")
    assert program.call("GET", f"/releases/{release}").json()["lines"][0]["free"] == 1
    assert program.call("GET", "/stock").json() == {"stock": []}


def test_the_same_key_again_is_the_same_order_and_another_request_is_refused() -> None:
    """A retry writes nothing; the key with another content is a conflict."""
    _, line = an_open_line(4)
    program = a_program()
    first, again = ordered(program, line, 2), ordered(program, line, 2)
    assert first.json() == again.json()
    clash = ordered(program, line, 1)
    assert clash.status_code == 409
    assert "asked for something else" in clash.json()["detail"]
    assert len(queries.orders()) == 1


def test_two_programs_may_use_the_same_words_and_do_not_see_each_other() -> None:
    """Each key has its own orders."""
    _, line = an_open_line(4)
    one, other = a_program("One"), a_program("Other")
    number = ordered(one, line).json()["number"]
    assert ordered(other, line).json()["number"] != number
    assert other.call("GET", f"/orders/{number}").status_code == 404
    assert other.call("POST", f"/orders/{number}/cancel", {"reason": "mine"}).status_code == 404
    assert one.call("GET", "/orders").json()["total"] == 1


def test_what_is_sold_out_is_a_conflict_in_words() -> None:
    """No order beyond what is free; the answer says how many there are."""
    _, line = an_open_line(2)
    answer = ordered(a_program(), line, 3)
    assert answer.status_code == 409
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert "2" in answer.json()["detail"]


def test_a_hold_becomes_an_order_or_is_let_go() -> None:
    """Held plants are not free; asked again it is the same hold; ordered, it is gone."""
    release, line = an_open_line(4)
    program = a_program()
    body = {"line": line, "plants": 2, "minutes": 10}
    hold = program.call("POST", "/holds", body, "h-1").json()
    assert program.call("POST", "/holds", body, "h-1").json() == hold
    assert program.call("GET", f"/releases/{release}").json()["lines"][0]["free"] == 2
    order = program.call("POST", "/orders", {"buyer": ANNA, "holds": [hold["uuid"]]}, "k-2")
    assert (order.status_code, order.json()["lines"][0]["plants"]) == (201, 2)
    assert program.call("GET", f"/holds/{hold['uuid']}").json()["state"] == "ordered"
    other = program.call("POST", "/holds", body, "h-2").json()["uuid"]
    assert program.call("DELETE", f"/holds/{other}").status_code == 204
    assert program.call("GET", f"/releases/{release}").json()["lines"][0]["free"] == 2


def test_an_order_is_cancelled_once() -> None:
    """Its plants are free again; asked again it stays cancelled."""
    release, line = an_open_line(4)
    program = a_program()
    number = ordered(program, line, 3).json()["number"]
    for _ in range(2):
        done = program.call("POST", f"/orders/{number}/cancel", {"reason": "changed mind"})
        assert (done.status_code, done.json()["state"]) == (200, "cancelled")
    assert program.call("GET", f"/releases/{release}").json()["lines"][0]["free"] == 4


def test_a_place_that_is_not_allowed_is_refused_for_programs_too() -> None:
    """The grower's list of places stands at the door of every channel."""
    _, line = an_open_line(4)
    changes.save_place_rule(None, who=WHO, place="Northland", kind="not allowed", text="")
    answer = ordered(a_program(), line)
    assert answer.status_code == 409
    assert "authority" in answer.json()["detail"]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"buyer": {"name": ""}, "lines": []}, "name"),
        ({"buyer": ANNA, "lines": [{"line": 1, "plants": 0}]}, "plants"),
        ({"buyer": ANNA, "lines": [], "colour": "red"}, "colour"),
        ({"buyer": ANNA, "placed_at": "2026-11-01T10:00:00"}, "placed_at"),
        ({"buyer": ANNA}, "order"),
    ],
)
def test_what_cannot_be_used_is_named(body: dict[str, Any], field: str) -> None:
    """Each refusal names the field and what would be taken, and writes nothing."""
    answer = a_program().call("POST", "/orders", body, "k")
    assert answer.status_code == 422
    assert field in answer.json()["field"]
    assert answer.json()["accepted"]
    assert queries.orders() == ()
    assert queries.buyers() == ()


def test_what_is_no_json_or_has_no_idempotency_key_is_refused() -> None:
    """A broken body and a missing header are each a problem document."""
    program = a_program()
    assert program.call("POST", "/orders", "{", "k").status_code == 400
    assert program.call("POST", "/orders", {"buyer": ANNA}).status_code == 422
    assert program.call("GET", "/nothing").status_code == 404
    unknown = {"buyer": ANNA, "lines": [{"line": 999, "plants": 1}]}
    assert program.call("POST", "/orders", unknown, "k").status_code == 404
    assert program.call("GET", "/orders?limit=1000").status_code == 422


def test_no_call_answers_without_a_key_in_use() -> None:
    """Every call of the description, without a key, with a wrong and with a revoked one: 401 and no more."""
    program = a_program()
    revoke_key(queries.api_keys()[0].key, WHO, timezone.now())
    paths = api.get_openapi_schema()["paths"]
    assert len(paths) >= 8
    for path, methods in paths.items():
        for method in methods:
            address = re.sub(r"\{[^}]*\}", "1", path.removeprefix("/api/1"))
            for secret in ("", "hw_wrong", program.secret):
                answer = program.call(method.upper(), address, {}, "k", secret)
                assert (answer.status_code, answer.json()["title"]) == (401, "Unauthorized")


def test_the_owner_s_session_opens_no_call() -> None:
    """The pages are open on this machine; calls ask for a key, so that no page elsewhere places orders."""
    assert Client().get("/api/1/releases").status_code == 401
    assert Client().get("/api/1/openapi.json").status_code == 200


def test_beyond_this_machine_the_description_asks_for_a_key() -> None:
    """From elsewhere it is for key holders and the owner."""
    program = a_program()
    away = {"REMOTE_ADDR": "203.0.113.7"}
    assert Client(**away).get("/api/1/openapi.json").status_code == 401
    held = Client(**away).get("/api/1/openapi.json", headers={"Authorization": f"Bearer {program.secret}"})
    assert held.json()["openapi"].startswith("3.")


def test_a_release_is_announced_to_programs() -> None:
    """Each form with its media type; a drafted release is not told."""
    release, _ = an_open_line(2)
    program = a_program()
    answer = program.call("GET", f"/releases/{release}/announcement/json-ld")
    assert answer.headers["Content-Type"] == "application/ld+json"
    assert answer.json()["@graph"][0]["offers"]["price"] == "9.50"
    assert program.call("GET", f"/releases/{release}/announcement/poster").status_code == 422
    drafted = changes.save_release(who=WHO, name="Later")
    assert program.call("GET", f"/releases/{drafted}").status_code == 404


def test_a_secret_is_told_once_and_not_kept() -> None:
    """The book has a digest of it, and the day it was last used."""
    program = a_program()
    program.call("GET", "/releases")
    (facts,) = queries.api_keys()
    assert facts.last_used_on is not None
    assert program.secret not in str(facts)
