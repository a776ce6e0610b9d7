"""A program with a key, and an open release for it to order from."""

import json
from datetime import timedelta
from typing import Any

from django.test import Client
from django.utils import timezone

from halfwater.book import changes
from halfwater.deeds.keys import make_key
from tests.book.builders import WHO, a_tank

ANNA = {"name": "Anna", "contact": "anna@example.org", "place": "Northland"}


def a_program(name: str = "Shop") -> "Program":
    """A program that holds a new key."""
    return Program(make_key(name, WHO, timezone.now()))


def an_open_line(pots: int = 4) -> tuple[int, int]:
    """A release with a line of so many pots, open now; gives both keys."""
    tank = a_tank()
    changes.set_spots(tank, [f"A{n}" for n in range(1, pots + 1)])
    taxon = changes.save_taxon(who=WHO, name="Moss fern")
    potted_on = (timezone.now() - timedelta(days=200)).date()
    batch = changes.save_batch(who=WHO, name="MF-1", taxon=taxon, potted_on=potted_on)
    keys = changes.place_pots(tank, pots, batch, "ready", 9, who=WHO)
    release = changes.save_release(who=WHO, name="November")
    line = changes.save_line(who=WHO, release=release, taxon=taxon, grade="standard", price_minor=950)
    changes.offer_pots(line, keys, who=WHO, now=timezone.now())
    changes.open_release(release, who=WHO, now=timezone.now())
    return release, line


class Program:
    """Calls as a program makes them."""

    def __init__(self, secret: str) -> None:
        self.secret = secret
        self._client = Client()

    def call(self, method: str, path: str, body: Any = None, key: str = "", secret: str | None = None) -> Any:
        """Call, and give the answer."""
        headers = {"Authorization": f"Bearer {self.secret if secret is None else secret}"}
        headers |= {"Idempotency-Key": key} if key else {}
        return self._client.generic(
            method, f"/api/1{path}", body if isinstance(body, str) else _json(body),
            content_type="application/json", headers=headers,
        )  # fmt: skip


def _json(body: Any) -> str:
    return "" if body is None else json.dumps(body)
