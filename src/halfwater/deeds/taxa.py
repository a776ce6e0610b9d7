"""What the grower says of a taxon for buyers: its care note."""

from collections.abc import Mapping

from halfwater.book import changes, queries
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.announcing import care_for
from halfwater.plain.stock import TaxonFacts


def save_care(taxon: int, typed: Mapping[str, str], who: str) -> TaxonFacts:
    """Write the care note of a taxon; empty: the usual one of its group is told again."""
    sheet = Sheet(typed, queries.nursery().units)
    with sheet.writing():
        changes.save_taxon(taxon, who=who, care=sheet.text("care"))
    return known_taxon(taxon)


def care_of(taxon: TaxonFacts) -> str:
    """The care note that buyers are told."""
    return taxon.care or care_for(taxon.group, taxon.name)


def known_taxon(key: int) -> TaxonFacts:
    """A taxon of the book."""
    found = next((one for one in queries.taxa() if one.key == key), None)
    if found is None:
        raise RefusedInput("taxon", key, "the key of a taxon in the book")
    return found
