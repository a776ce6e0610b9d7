"""A release as a piece of HTML for a page of one's own."""

from html import escape

from halfwater.papers.wording import line_terms, line_title, when_told
from halfwater.plain.announcing import AnnouncedLine, Announcement


def fragment(said: Announcement) -> str:
    """One section with a heading, the terms, and an article a line; every word of the grower's is escaped."""
    note = "".join(f"<p>{escape(one)}</p>\n" for one in said.note.splitlines() if one.strip())
    order = f'<p><a href="{escape(said.address)}">Order here</a></p>\n' if _is_link(said.address) else ""
    lines = "".join(_line(line, said) for line in said.lines)
    return (
        f"<section>\n<h2>{escape(said.name)}</h2>\n<p>{escape(when_told(said))}</p>\n"
        f"{note}{lines}{order}</section>\n"
    )


def _line(line: AnnouncedLine, said: Announcement) -> str:
    title = escape(line_title(line))
    photo = f'<img src="{escape(line.photo)}" alt="{title}" loading="lazy">\n' if line.photo else ""
    text = f"<p>{escape(line.text)}</p>\n" if line.text else ""
    care = f"<p>{escape(line.care)}</p>\n" if line.care else ""
    terms = escape(line_terms(line, said))
    return f"<article>\n<h3>{title}</h3>\n{photo}<p>{terms}</p>\n{text}{care}</article>\n"


def _is_link(address: str) -> bool:
    """Only an address of a page becomes a link: never a script."""
    return address.startswith(("https://", "http://"))
