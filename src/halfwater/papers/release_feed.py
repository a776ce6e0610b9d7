"""Releases as an Atom feed (RFC 4287)."""

from collections.abc import Sequence

from django.utils.feedgenerator import Atom1Feed

from halfwater.papers.fragment import fragment
from halfwater.papers.wording import when_told
from halfwater.plain.announcing import Announcement


def release_feed(told: Sequence[Announcement], seller: str, feed_id: str, address: str = "") -> str:
    """The feed, the newest release first; `feed_id` is a lasting urn and `address` where the feed lies."""
    feed = Atom1Feed(
        title=f"Releases of {seller}" if seller else "Releases",
        link=address or feed_id,
        description="",
        language="en",
        author_name=seller or "the nursery",
        feed_url=address or None,
        feed_guid=feed_id,
    )
    for said in sorted(told, key=lambda one: one.changed_at, reverse=True):
        feed.add_item(
            title=f"{said.name}: {when_told(said)}",
            link=said.address or f"{feed_id}:{said.release}",
            description=fragment(said),
            unique_id=f"{feed_id}:{said.release}",
            updateddate=said.changed_at,
            pubdate=said.opens_at,
        )
    return feed.writeString("utf-8")
