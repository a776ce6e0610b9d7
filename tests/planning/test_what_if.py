"""What-ifs: phrases, typed fields, and what is refused."""

from dataclasses import fields
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import PlanFacts
from halfwater.plain.stock import PriceFact
from halfwater.planning.what_if import WhatIf, changed, examples_for, read_what_if
from tests.planning.floors import MONDAY, facts_of

FACTS = facts_of((12, 8))


def _differs(after: PlanFacts) -> set[str]:
    return {one.name for one in fields(PlanFacts) if getattr(after, one.name) != getattr(FACTS, one.name)}


@pytest.mark.parametrize(
    ("phrase", "meant"),
    [
        ("release every 6 weeks", WhatIf("release every", weeks=6)),
        ("What if  a release every 2 weeks.", WhatIf("release every", weeks=2)),
        ("release every week", WhatIf("release every", weeks=1)),
        ("releases every other week", WhatIf("release every", weeks=2)),
        ("next release on 2026-02-14", WhatIf("next release", on=date(2026, 2, 14))),
        ("Bucephalandra standard at 9.50", WhatIf("price", taxon=2, grade="standard", price_minor=950)),
        ("price bucephalandra Large 12", WhatIf("price", taxon=2, grade="large", price_minor=1200)),
        ("price nana small 0", WhatIf("price", taxon=1, grade="small", price_minor=0)),
        (
            "at most 20 anubias nana small a release",
            WhatIf("most per release", taxon=1, grade="small", pots=20),
        ),
        ("new tank of 60 spots", WhatIf("new tank", pots=60)),
        ("one more tank", WhatIf("new tank")),
        ("batch Bucephalandra lost", WhatIf("lost batch", batch="Bucephalandra")),
        ("lose batch Anubias nana", WhatIf("lost batch", batch="Anubias nana")),
        ("90 minutes a week", WhatIf("minutes", minutes=90.0)),
        ("1,5 hours a week", WhatIf("minutes", minutes=90.0)),
        ("no limit of minutes", WhatIf("minutes")),
        ("keep 4 parents", WhatIf("least kept", pots=4)),
    ],
)
def test_a_phrase_is_read_as_it_is_meant(phrase: str, meant: WhatIf) -> None:
    """Capitals, spaces and small words do not matter; names are found by a part of them."""
    assert read_what_if(phrase, FACTS) == meant


def test_the_examples_are_all_understood_and_can_all_be_done() -> None:
    """Each phrase that a refusal offers works as it stands, and changes something."""
    for phrase in examples_for(FACTS):
        if phrase != "no limit of minutes":  # which is how it already is
            assert _differs(changed(FACTS, phrase)), phrase


def test_only_what_was_asked_changes() -> None:
    """The rhythm leaves the prices alone, a price leaves its cap and the other prices alone."""
    assert _differs(changed(FACTS, "release every 6 weeks")) == {"habit"}
    after = changed(FACTS, "nana standard at 20")
    assert _differs(after) == {"prices"}
    assert set(after.prices) - set(FACTS.prices) == {PriceFact(1, "standard", 2000, 15)}
    assert len(after.prices) == len(FACTS.prices)
    assert (
        changed(FACTS, "nana standard at 10").prices
        == FACTS.prices[:1] + FACTS.prices[2:] + FACTS.prices[1:2]
    )


def test_a_lost_batch_leaves_its_spots_free() -> None:
    """The pots of the batch are gone from the taxon, and their spots are free in their tank."""
    after = changed(FACTS, "batch bucephalandra lost")
    assert [len(taxon.pots) for taxon in after.taxa] == [12, 0]
    assert set(after.tanks[0].free) == {pot.spot for pot in FACTS.taxa[1].pots}
    assert after.tanks[1] == FACTS.tanks[1]


def test_a_new_tank_is_empty_and_as_large_as_the_largest() -> None:
    """Two new tanks have names, keys and spots of their own."""
    twice = changed(changed(FACTS, "new tank"), "new tank of 10 spots")
    assert [(tank.name, tank.spots, len(tank.free)) for tank in twice.tanks[2:]] == [
        ("new tank 1", 35, 35), ("new tank 2", 10, 10),
    ]  # fmt: skip
    assert len({tank.key for tank in twice.tanks}) == 4


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("what_if", ""), ("what_if", "make me rich"), ("what_if", "release every blue weeks"),
        ("what_if", WhatIf("dance")), ("weeks", "release every 0 weeks"), ("weeks", "release every 60 weeks"),
        ("weeks", "release every -3 weeks"), ("on", "release on tomorrow"),
        ("on", "next release on 2020-01-01"), ("on", "next release on 2026-02-30"),
        ("taxon", "Cryptocoryne standard at 9"), ("price", "nana small -5"),
        ("price", "nana small at 9.505"), ("taxon", WhatIf("price", taxon=9, grade="small", price_minor=1)),
        ("grade", WhatIf("price", taxon=1, grade="huge", price_minor=1)),
        ("price", WhatIf("price", taxon=1, grade="small")), ("spots", "new tank of 0 spots"),
        ("spots", "new tank of 99999 spots"), ("batch", "batch Z9 lost"), ("minutes", "99999 minutes a week"),
        ("minutes", WhatIf("minutes", minutes=float("nan"))), ("minutes", WhatIf("minutes", minutes=-1.0)),
        ("pots", WhatIf("least kept", pots=-1)), ("pots", WhatIf("least kept")),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_refused_with_what_can(field: str, bad: str | WhatIf) -> None:
    """The refusal names the field and says what would be accepted."""
    with pytest.raises(RefusedInput) as refused:
        changed(FACTS, bad)
    assert refused.value.field == field
    assert len(refused.value.accepted) > 5


def test_a_name_that_two_taxa_share_is_refused_with_both() -> None:
    """A part of a name that fits two taxa names them all."""
    with pytest.raises(RefusedInput, match=r"Anubias nana and Bucephalandra"):
        changed(FACTS, "a standard at 9")


@given(phrase=st.text(alphabet="release every6wkpricnatdx .-0", max_size=40))
@settings(max_examples=60, deadline=None)
def test_any_phrase_is_done_or_refused(phrase: str) -> None:
    """No phrase ends in anything but a changed nursery or a refusal that offers phrases."""
    refusal = ""
    try:
        assert changed(FACTS, phrase).on == MONDAY
    except RefusedInput as refused:
        refusal = refused.sentence
    assert not refusal or "cannot be" in refusal
