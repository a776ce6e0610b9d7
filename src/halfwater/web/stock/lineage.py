"""The lineage of a batch or of a taxon: the tree, and the same as a table."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode

from halfwater.book import queries
from halfwater.deeds.lineage import lineage_of
from halfwater.errors import RefusedInput
from halfwater.pictures.lineage import draw_lineage
from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import show_list
from halfwater.plain.lineage import Lineage, LineageBatch


@dataclass(frozen=True, slots=True)
class LineageTab:
    """A taxon whose lineage can be looked at."""

    name: str
    url: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class LineagePage:
    """One lineage."""

    subject: str
    batch_url: str
    answer: str
    tabs: tuple[LineageTab, ...]
    picture: str
    table: ChartTable


def lineage(request: HttpRequest) -> HttpResponse:
    """The lineage that is asked for; else that of the taxon with most batches."""
    batches = queries.batches()
    names = [one.taxon_name for one in batches]
    taxa = sorted(dict.fromkeys(names), key=lambda name: -names.count(name))
    key = request.GET.get("batch", "")
    wanted = next((one.name for one in batches if f"{one.key}" == key), "")
    if key and not wanted:
        raise Http404
    asked = wanted or request.GET.get("of", "") or (taxa[0] if taxa else "")
    if not asked:
        empty = Lineage("the stock", (), 0, "No batch is in the book yet, so there is no lineage.")
        return render(request, "stock/lineage.html", {"page": lineage_page(empty, ())})
    try:
        found = lineage_of(asked)
    except RefusedInput as refused:
        raise Http404 from refused
    return render(request, "stock/lineage.html", {"page": lineage_page(found, tuple(taxa))})


def lineage_page(found: Lineage, taxa: tuple[str, ...]) -> LineagePage:
    """The page of one lineage."""
    urls = {one.key: reverse("batch", args=[one.key]) for one in found.batches}
    own = next((one.key for one in found.batches if one.is_asked), None)
    return LineagePage(
        subject=found.subject,
        batch_url=urls[own] if own else "",
        answer=found.said,
        tabs=tuple(
            LineageTab(name, f"{reverse('lineage')}?{urlencode({'of': name})}", name == found.subject)
            for name in taxa
        ),
        picture=draw_lineage(found, urls) if found.batches else "",
        table=ChartTable(
            f"Lineage of {found.subject}",
            ("Batch", "Potted", "From", "Standing", "Sold", "Lost"),
            tuple(_row(one) for one in found.batches),
        ),
    )


def _row(one: LineageBatch) -> tuple[str, ...]:
    names = list(dict.fromkeys(parent.batch_name for parent in one.parents))
    standing = f"{one.standing}, {one.kept} kept" if one.kept else f"{one.standing}"
    return one.name, f"{one.potted_on:%-d %b %y}", show_list(names), standing, f"{one.sold}", f"{one.lost}"
