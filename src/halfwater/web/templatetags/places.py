"""The bar of places."""

from dataclasses import dataclass

from django import template
from django.http import HttpRequest
from django.urls import reverse

from halfwater.book import queries

register = template.Library()

_PLACES = (
    ("Tonight", "tonight", "shared/icons/tonight.html", ("/tonight/",)),
    ("Tanks", "tanks", "shared/icons/tanks.html", ("/tanks/", "/entries/")),
    ("Stock", "stock", "shared/icons/stock.html", ("/stock/",)),
    ("Mixes", "mixes", "shared/icons/mixes.html", ("/mixes/",)),
    ("More", "more", "shared/icons/more.html", ("/more/",)),
)


@dataclass(frozen=True, slots=True)
class Place:
    """One place in the bar."""

    name: str
    url: str
    icon: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class Bar:
    """The bar, with the nursery's name."""

    nursery: str
    places: tuple[Place, ...]


@register.simple_tag
def places(request: HttpRequest) -> Bar:
    """The bar as seen from the page of this request."""
    path = request.path
    return Bar(
        nursery=queries.nursery().name or "halfwater",
        places=tuple(
            Place(name, reverse(url), icon, path.startswith(roots) or (path == "/" and url == "tonight"))
            for name, url, icon, roots in _PLACES
        ),
    )
