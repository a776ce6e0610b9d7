"""The words that every form of an announcement shares."""

from datetime import datetime
from zoneinfo import ZoneInfo

from halfwater.plain.announcing import AnnouncedLine, Announcement
from halfwater.plain.figures import show_date, show_money


def told_at(at: datetime, time_zone: str) -> str:
    """An instant on the nursery's clock: "Sat 14 Mar 2026, 19:00 (CET)"."""
    local = at.astimezone(ZoneInfo(time_zone))
    return f"{show_date(local.date())}, {local:%H:%M} ({local.tzname()})"


def when_told(said: Announcement) -> str:
    """When it can be ordered, in one sentence."""
    if said.state == "closed":
        return "This release is closed."
    if said.state == "sold out":
        return "Sold out."
    opens = f"Opens {told_at(said.opens_at, said.time_zone)}" if said.opens_at else "Open"
    closes = f", closes {told_at(said.closes_at, said.time_zone)}" if said.closes_at else ""
    return f"{opens}{closes}."


def line_title(line: AnnouncedLine) -> str:
    """What is sold: taxon and grade."""
    return f"{line.taxon_name}, {line.grade}"


def line_terms(line: AnnouncedLine, said: Announcement) -> str:
    """Price, how many, and how many a buyer."""
    price = f"{show_money(line.price_minor, said.currency)} each"
    if said.state == "closed":
        return price
    left = "sold out" if line.free == 0 else f"{line.free} to be had"
    limit = f", at most {line.limit_per_buyer} a buyer" if line.limit_per_buyer else ""
    return f"{price}, {left}{limit}"
