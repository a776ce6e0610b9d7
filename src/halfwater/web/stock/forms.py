"""The forms of Stock."""

from datetime import date

from halfwater.book import queries
from halfwater.plain.stock import POT_STATES, BatchFacts
from halfwater.web.fields import Field, Form

_NO_BATCH = (("", "no batch"),)


def batch_form(today: date, batch: BatchFacts | None = None) -> Form:
    """A batch: what, when, from which parent."""
    taxa = tuple((str(one.key), one.name) for one in queries.taxa())
    return Form(
        (
            Field("name", "Name of the batch", batch.name if batch else "", help="Such as Nana, June."),
            Field("potted_on", "Potted on", (batch.potted_on if batch else today).isoformat(), type="date"),
            Field(
                "taxon",
                "Taxon",
                str(batch.taxon) if batch else "",
                type="select",
                choices=(("", "pick one"), *taxa),
                help="A profile gives its starting values.",
            ),
            Field(
                "new_taxon",
                "Or a name of your own",
                is_optional=True,
                help="With a taxon picked, it starts from the same values.",
            ),
            Field(
                "parent_note",
                "Parent",
                batch.parent_note if batch else "",
                is_optional=True,
                is_wide=True,
                help="From which plant or plants the sections came.",
            ),
        )
    )


def place_form(tank: str) -> Form:
    """What stands on some spots of a floor."""
    batches = tuple((str(one.key), f"{one.name} ({one.taxon_name})") for one in queries.batches())
    newest = batches[0][0] if batches else ""
    states = tuple((state, state) for state in (*POT_STATES, "empty"))
    return Form(
        (
            Field("tank", "Tank", tank, type="hidden"),
            Field("spots", "Spots", help="Such as A1-A9, B3, or a whole row: C."),
            Field("batch", "Batch", newest, type="select", choices=_NO_BATCH + batches),
            Field("state", "State", "settling", type="choice", choices=states, is_wide=True),
            Field("leaves", "Leaves on each", is_optional=True, inputmode="numeric"),
        )
    )
