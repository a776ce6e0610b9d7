"""A release told to buyers: as newsletter, HTML, CSV, JSON-LD or Atom, with its photos."""

import json
from collections.abc import Sequence
from datetime import datetime
from io import BytesIO
from uuid import NAMESPACE_URL, uuid5
from zipfile import ZIP_DEFLATED, ZipFile

from halfwater.book import queries
from halfwater.deeds.photos import photo_file
from halfwater.deeds.taxa import care_of
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.papers.fragment import fragment
from halfwater.papers.newsletter import newsletter
from halfwater.papers.price_list import price_list
from halfwater.papers.products import products
from halfwater.papers.release_feed import release_feed
from halfwater.plain.announcing import AnnouncedLine, Announcement
from halfwater.plain.selling import ReleaseFacts
from halfwater.plain.stock import TaxonFacts

# form -> (file name's end, media type)
FORMS = {
    "newsletter": ("txt", "text/plain; charset=utf-8"),
    "html": ("html", "text/html; charset=utf-8"),
    "csv": ("csv", "text/csv; charset=utf-8; header=present"),
    "json-ld": ("jsonld", "application/ld+json"),
    "atom": ("atom", "application/atom+xml; charset=utf-8"),
}


def announcement(key: int, now: datetime, address: str = "") -> Announcement:
    """A release as buyers may know it; a drafted one is told as it would open."""
    facts = queries.release(key, now)
    if facts is None:
        raise RefusedInput("release", key, "a release of the book")
    return _told(facts, now, address)


def announce(key: int, form: str, now: datetime, address: str = "") -> str:
    """The text of a release in one of the forms."""
    if form not in FORMS:
        raise RefusedInput("form", form, f"one of {', '.join(FORMS)}")
    said = announcement(key, now, address)
    if not said.lines:
        raise RefusedByBook(f"{said.name} has no line yet: there is nothing to announce.", said.name)
    if form == "newsletter":
        return newsletter(said)
    if form == "html":
        return fragment(said)
    if form == "csv":
        return price_list(said)
    if form == "json-ld":
        return json.dumps(products(said), ensure_ascii=False, indent=2) + "\n"
    return feed_of((said,), now, address)


def releases_feed(now: datetime, address: str = "") -> str:
    """The Atom feed of every release that was opened, closed ones included."""
    told = [one for one in queries.releases(now) if one.state != "drafted" and one.lines]
    return feed_of([_told(one, now, "") for one in told], now, address)


def feed_of(told: Sequence[Announcement], now: datetime, address: str) -> str:
    """Announcements as one feed."""
    nursery = queries.nursery()
    return release_feed(told, nursery.name, _feed_id(nursery.name), address)


def announcement_files(key: int, now: datetime, address: str = "") -> bytes:
    """All forms of an announcement and the photos of its lines, as one zip file."""
    said = announcement(key, now, address)
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_DEFLATED) as files:
        for form, (end, _) in FORMS.items():
            files.writestr(f"release.{end}", announce(key, form, now, address))
        for line in said.lines:
            file = photo_file(line.photo) if line.photo else None
            if file is not None:
                files.write(file, line.photo)
    return packed.getvalue()


def _told(facts: ReleaseFacts, now: datetime, address: str) -> Announcement:
    nursery = queries.nursery()
    taxa = {one.key: one for one in queries.taxa()}
    lines = tuple(
        AnnouncedLine(
            one.key, one.taxon_name, one.grade, one.price_minor, one.free, one.limit_per_buyer, one.text,
            _care(taxa.get(one.taxon)), one.photo,
        )
        for one in facts.lines
    )  # fmt: skip
    instants = [facts.opened_at, facts.closed_at, *(one.sold_out_at for one in facts.lines)]
    return Announcement(
        facts.key, facts.name, facts.state, nursery.name, nursery.currency, nursery.time_zone,
        max((at for at in instants if at is not None), default=now),
        facts.opens_at, facts.closes_at, lines, facts.note, address, _feed_id(nursery.name),
    )  # fmt: skip


def _care(taxon: TaxonFacts | None) -> str:
    return "" if taxon is None else care_of(taxon)


def _feed_id(name: str) -> str:
    """A lasting id of the nursery's feed: the same as long as its name is."""
    return uuid5(NAMESPACE_URL, f"halfwater:releases:{name}").urn
