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
    ("Stock", "stock", "shared/icons/stock.html", ("/stock/", "/score/")),
    ("Plan", "plan", "shared/icons/plan.html", ("/plan/",)),
    ("Sales", "sales", "shared/icons/sales.html", ("/sales/",)),
    ("Mixes", "mixes", "shared/icons/mixes.html", ("/mixes/",)),
    ("More", "more", "shared/icons/more.html", ("/more/",)),
)
_DESK_ONLY = ("Mixes",)  # five fit on a phone; there it stands under More


@dataclass(frozen=True, slots=True)
class Place:
    """One place in the bar."""

    name: str
    url: str
    icon: str
    is_here: bool
    is_desk_only: bool


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
            Place(
                name=name,
                url=reverse(url),
                icon=icon,
                is_here=path.startswith(roots) or (path == "/" and url == "tonight"),
                is_desk_only=name in _DESK_ONLY,
            )
            for name, url, icon, roots in _PLACES
        ),
    )
