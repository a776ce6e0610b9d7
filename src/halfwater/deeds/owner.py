"""The owner's password, asked of everyone once the book is served beyond this machine."""

from django.contrib.auth import authenticate, get_user_model

from halfwater.book import changes, queries


def is_password_set() -> bool:
    """Has an owner's password been set?"""
    return queries.has_owner()


def set_password(password: str) -> None:
    """Keep a new owner's password; every session opened with the old one ends."""
    changes.set_owner_password(password)


def is_right_password(password: str) -> bool:
    """Is this the owner's password? Takes about the same time when none is set."""
    return authenticate(username=queries.OWNER, password=password) is not None


def password_mark() -> str:
    """A mark that changes with the password, to be kept in a session; empty when none is set."""
    owner = get_user_model().objects.filter(username=queries.OWNER, is_active=True).first()
    return owner.get_session_auth_hash() if owner is not None else ""
