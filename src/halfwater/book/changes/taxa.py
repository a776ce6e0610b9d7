"""Changes of taxa and their starting values."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from simple_history.utils import bulk_create_with_history

from halfwater.book.changes import checks
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Prior, Taxon
from halfwater.book.profiles import profiles
from halfwater.errors import RefusedInput
from halfwater.plain.stock import PriorFact

_TAXON = {
    "name": checks.name_of(120),
    "group": checks.words("a group of at most 120 signs", 120),
    "care": checks.words("a care note of at most 2000 signs", 2000),
}
_VALUE = checks.number("a number", -1e6, 1e6)


@transaction.atomic
def save_taxon(
    key: int | None = None, *, who: str, priors: Sequence[PriorFact] | None = None, **fields: Any
) -> int:
    """Write a taxon (name, group, care) and give its key.

    `priors`, when given, replace the starting values of the same quantities.
    A new taxon with the group of a shipped profile and no `priors` starts from that profile.
    """
    taxon = int(save_row(Taxon, key, fields, _TAXON, ("name",), who))
    if key is None and priors is None:
        priors = profiles().get(str(fields.get("group", "")), ())
    _write_priors(taxon, priors or (), who)
    return taxon


@transaction.atomic
def load_starting_taxa(who: str = "halfwater") -> int:
    """Put the shipped profiles into the book as taxa, those missing only, and give how many were new."""
    known = {name.lower() for name in Taxon.objects.values_list("name", flat=True)}
    missing = [name for name in profiles() if name.lower() not in known]
    for name in missing:
        save_taxon(who=who, name=name, group=name)
    return len(missing)


def _write_priors(taxon: int, priors: Sequence[PriorFact], who: str) -> None:
    """Those that the taxon has already one by one; new ones together, since a new book has a hundred."""
    standing = {row.quantity: row for row in Prior.objects.filter(taxon=taxon)} if priors else {}
    fresh: dict[str, Prior] = {}
    for prior in priors:
        if row := standing.get(prior.quantity):
            _fill(row, prior, who).save()
        else:
            fresh[prior.quantity] = _fill(Prior(taxon_id=taxon, quantity=prior.quantity), prior, who)
    if fresh:
        bulk_create_with_history(list(fresh.values()), Prior)


def _fill(row: Prior, prior: PriorFact, who: str) -> Prior:
    for name in ("mean", "low", "high"):
        _VALUE(name, getattr(prior, name))
    if not prior.low <= prior.mean <= prior.high:
        raise RefusedInput(prior.quantity, prior.mean, f"a mean between {prior.low:g} and {prior.high:g}")
    row.mean, row.low, row.high = float(prior.mean), float(prior.low), float(prior.high)
    row.tag = checks.one_of(("P", "C", "M", "D", "G"))("tag", prior.tag)
    row.source = checks.words("a source of 1 to 200 signs", 200, needed=True)("source", prior.source)
    row.changed_by = who  # type: ignore[attr-defined]
    return row
