"""Keys by which programs, such as a web shop, are let in; and what one of them has asked for."""

import hashlib
import hmac
from datetime import datetime
from uuid import UUID

from django.conf import settings

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day
from halfwater.plain.selling import ApiKeyFacts, OrderFacts


def make_key(name: str, who: str, now: datetime) -> str:
    """Make a key and give its secret, which is told this once."""
    return changes.make_api_key(name, who=who, now=now)[1]


def revoke_key(key: int, who: str, now: datetime) -> None:
    """Let a key open nothing any more."""
    changes.revoke_api_key(key, who=who, now=now)


def key_of(secret: str, now: datetime) -> ApiKeyFacts | None:
    """The key that a secret opens, noted as used today; None where there is none or it was revoked."""
    found = queries.api_key_for(secret)
    if found is not None:
        changes.note_key_used(found.key, local_day(now, queries.nursery()))
    return found


def order_key(key: int, asked: str) -> str:
    """How the book tells this program's requests from another's under the same words."""
    return f"key {key}: {asked}"


def hold_uuid(key: int, asked: str) -> UUID:
    """The uuid of a hold that a program asks for: the same for the same words, and not to be guessed."""
    told = hmac.new(str(settings.SECRET_KEY).encode(), order_key(key, asked).encode(), hashlib.sha256)
    return UUID(bytes=told.digest()[:16], version=4)


def is_own_order(key: int, order: OrderFacts) -> bool:
    """Was this order placed with this key?"""
    return order.key.startswith(order_key(key, ""))
