"""The mix of an address."""

from django.http import Http404

from halfwater.book import queries
from halfwater.plain.mixes import MixFacts


def known_mix(key: int) -> MixFacts:
    """The mix of this key; where there is none the page is not there."""
    found = next((one for one in queries.mixes() if one.key == key), None)
    if found is None:
        raise Http404
    return found
