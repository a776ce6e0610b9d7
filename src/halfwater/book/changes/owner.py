"""The owner's password."""

from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from halfwater.book.queries.nursery import OWNER
from halfwater.errors import RefusedInput


@transaction.atomic
def set_owner_password(password: str) -> None:
    """Set the password that opens the book beyond this machine; earlier log-ins end."""
    try:
        validate_password(password)
    except ValidationError as error:
        wanted = " ".join(error.messages).rstrip(".")
        raise RefusedInput("password", "…", f"at least 10 signs that are hard to guess ({wanted})") from error
    users = get_user_model().objects
    owner, _ = users.select_for_update().get_or_create(username=OWNER)
    owner.set_password(password)
    owner.is_active = True
    owner.save()
