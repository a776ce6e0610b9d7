"""Small words the templates need."""

from django import template
from django.urls import reverse

register = template.Library()
_UNDO = {"entry": "entry-undo", "count": "take-undo", "cut": "cut-undo", "round": "tonight-undo"}


@register.filter
def undo_url(token: str) -> str:
    """Where the way back of a message leads: entry:<uuid>, count:<uuid>, cut:<batch> or round:<date>."""
    kind, _, what = token.partition(":")
    return reverse(_UNDO[kind], args=[what])
