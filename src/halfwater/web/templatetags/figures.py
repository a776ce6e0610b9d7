"""Small words the templates need."""

from django import template
from django.urls import reverse

register = template.Library()


@register.filter
def undo_url(token: str) -> str:
    """Where the way back of a message leads: entry:<uuid> or round:<date>."""
    kind, _, what = token.partition(":")
    return reverse("entry-undo" if kind == "entry" else "tonight-undo", args=[what])
