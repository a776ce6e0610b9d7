"""A release as schema.org products and offers, in JSON-LD."""

from typing import Any

from halfwater.papers.wording import line_title
from halfwater.plain.announcing import AnnouncedLine, Announcement
from halfwater.plain.figures import bare_money

_SCHEMA = "https://schema.org"


def products(said: Announcement) -> dict[str, Any]:
    """A graph with one Product a line, each with its Offer; json.dumps makes the text of it."""
    return {"@context": _SCHEMA, "@graph": [_product(line, said) for line in said.lines]}


def script_text(dumped: str) -> str:
    """JSON that may stand inside a script element: no word of the grower's can end the element."""
    return dumped.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


def _product(line: AnnouncedLine, said: Announcement) -> dict[str, Any]:
    product: dict[str, Any] = {
        "@type": "Product",
        "name": line_title(line),
        "sku": f"{said.release}-{line.key}",
        "description": " ".join(part for part in (line.text, line.care) if part) or line_title(line),
        "size": line.grade,
        "offers": _offer(line, said),
    }
    if line.photo:
        product["image"] = line.photo
    return product


def _offer(line: AnnouncedLine, said: Announcement) -> dict[str, Any]:
    offer: dict[str, Any] = {
        "@type": "Offer",
        "price": bare_money(line.price_minor, said.currency),
        "priceCurrency": said.currency,
        "availability": f"{_SCHEMA}/{_availability(line, said)}",
        "inventoryLevel": {"@type": "QuantitativeValue", "value": line.free},
    }
    if said.opens_at:
        offer["availabilityStarts"] = said.opens_at.isoformat()
    if said.closes_at:
        offer["availabilityEnds"] = said.closes_at.isoformat()
    if line.limit_per_buyer:
        offer["eligibleQuantity"] = {"@type": "QuantitativeValue", "maxValue": line.limit_per_buyer}
    if said.seller:
        offer["seller"] = {"@type": "Organization", "name": said.seller}
    if said.address:
        offer["url"] = said.address
    return offer


def _availability(line: AnnouncedLine, said: Announcement) -> str:
    if said.state == "closed":
        return "Discontinued"
    if line.free == 0:
        return "SoldOut"
    return "PreOrder" if said.opens_at and said.opens_at > said.changed_at else "InStock"
