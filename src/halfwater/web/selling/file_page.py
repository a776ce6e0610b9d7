"""The page of a shop's file as plain data."""

from collections.abc import Mapping
from dataclasses import dataclass

from halfwater.book import queries
from halfwater.deeds.order_files import OrderPreview
from halfwater.deeds.order_rows import NEEDED, WORDS
from halfwater.pictures.table import ChartTable
from halfwater.web.fields import Field, Form
from halfwater.web.selling.words import plants_said

_MOST_SHOWN = 12
_SAYS = {
    "reference": "Order's own number", "article": "Article", "variant": "Grade or option",
    "plants": "How many", "name": "Buyer", "contact": "Contact", "address": "Address", "place": "Place",
    "placed_at": "When ordered", "postage": "Postage", "paid": "Whether paid", "note": "Note",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ArticleField:
    """An article that names no line yet, with the lines it may mean."""

    article: str
    number: int
    field: Field


@dataclass(frozen=True, slots=True)
class FilePage:
    """A file that is chosen, or one that was looked at."""

    form: Form
    answer: str = "Each order comes once, however often the file is brought. Look at the file first."
    shop: str = ""
    data: str = ""  # the file carried on, as base64; empty: it is chosen again
    is_looked: bool = False
    columns: tuple[Field, ...] = ()
    articles: tuple[ArticleField, ...] = ()
    orders: ChartTable | None = None
    bad: tuple[str, ...] = ()
    more_bad: int = 0


def file_page(looked: OrderPreview, shop: str, data: str, told: Mapping[str, str]) -> FilePage:
    """What the file's columns mean, which articles are not known, which orders are new."""
    missing = [article for article in looked.articles if article not in told]
    new = sum(one.reference not in looked.known for one in looked.orders)
    carry = () if data else (Field("file", "The file again", type="file", accepts=".csv,text/csv"),)
    return FilePage(
        form=Form(carry),
        answer=_answer(looked, new, len(missing)),
        shop=shop,
        data=data,
        is_looked=True,
        columns=_columns(looked),
        articles=_articles(looked.articles, told),
        orders=_orders(looked),
        bad=tuple(one.sentence for one in looked.bad[:_MOST_SHOWN]),
        more_bad=max(0, len(looked.bad) - _MOST_SHOWN),
    )


def _answer(looked: OrderPreview, new: int, missing: int) -> str:
    said = f"{plants_said(len(looked.orders), 'order')} in the file, {new} of them new"
    if looked.bad:
        return f"{said}; {plants_said(len(looked.bad), 'cell')} cannot be used, so nothing would be brought."
    if missing:
        return f"{said}; say what {plants_said(missing, 'article')} stand{'s' if missing == 1 else ''} for."
    return f"{said}. Nothing is written yet."


def _columns(looked: OrderPreview) -> tuple[Field, ...]:
    choices = (("", "none"), *((one, one) for one in dict.fromkeys(looked.headings) if one))
    return tuple(
        Field(
            f"column_{word}",
            _SAYS[word],
            looked.columns.get(word, ""),
            type="select",
            choices=choices,
            is_optional=word not in NEEDED,
        )
        for word in WORDS
    )


def _articles(unknown: tuple[str, ...], told: Mapping[str, str]) -> tuple[ArticleField, ...]:
    lines = [
        (f"{one.key}-{line.key}", f"{one.name}: {line.taxon_name}, {line.grade}")
        for one in queries.releases()
        if one.state in ("open", "sold out")
        for line in one.lines
    ]
    choices = (("", "not said yet"), *lines)
    return tuple(
        ArticleField(
            article,
            number,
            Field(f"meant_{number}", f"“{article}”", told.get(article, ""), type="select", choices=choices),
        )
        for number, article in enumerate(dict.fromkeys((*unknown, *told)))
    )


def _orders(looked: OrderPreview) -> ChartTable:
    rows = tuple(
        (
            one.reference,
            "in the book" if one.reference in looked.known else "new",
            one.name,
            ", ".join(f"{line.plants} {line.article}" for line in one.lines),
            "paid" if one.is_paid else "",
        )
        for one in looked.orders[:_MOST_SHOWN]
    )
    rest = len(looked.orders) - len(rows)
    caption = f"The first {len(rows)} of {len(looked.orders)} orders" if rest > 0 else "The orders"
    return ChartTable(caption, ("Order", "State", "Buyer", "Plants", "Paid"), rows)
