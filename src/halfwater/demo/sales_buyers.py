"""Invented buyers in invented places, and what Fennhollow's list says about sending plants there."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Buyer:
    """Somebody who never lived."""

    name: str
    place: str

    @property
    def contact(self) -> str:
        """An address that can reach nobody."""
        return f"{self.name.casefold().replace(' ', '.')}@mail.example"

    @property
    def address(self) -> str:
        """Where parcels go."""
        return f"{len(self.name)} {self.name.split()[-1]} Row, {self.place}"


@dataclass(frozen=True, slots=True)
class Rule:
    """A row of the grower's list."""

    place: str
    kind: str
    text: str
    kind_of_plant: str = ""  # of batches.KINDS; empty: any
    asked_days_ago: int = 60


PLACES = ("Thistlemark", "Lower Wend", "Gorse Island", "Saltmarch", "Old Quarry")
RULES: tuple[Rule, ...] = (
    Rule("Gorse Island", "needs paper", "plant passport, sent with the parcel", asked_days_ago=48),
    Rule("Saltmarch", "not allowed", "on the marsh's list of water weeds", "crypt", 120),
    Rule("Old Quarry", "note", "the carrier comes on Tuesdays only", asked_days_ago=20),
)
_NAMES = """
Tilda Quillmoor, Oswin Ferncastle, Marit Dunnowl, Pelle Brackwater, Ysolde Marrowby, Corwin Tatterfield,
Annis Loomwright, Bram Hollowreed, Dagny Mistlethorn, Edric Pondsworth, Fenna Larkspindle, Garth Mossgrove,
Hanne Wickerby, Ivo Slatebridge, Jorun Appleshard, Kester Nettleham, Linnea Crookdale, Merrick Oatfold,
Nessa Thornapple, Odo Willowmarsh, Petra Stonequill, Quint Rushmere, Runa Copperleaf, Silas Dewberrow,
Thora Gladewick, Ulric Fogmantle, Vesna Hartsedge, Wystan Birchlow, Ximena Pebblebrook, Yorick Sedgemont,
Zelda Cloverhithe, Alaric Tidewell, Briony Umberfen, Caspar Yarrowgate, Delphine Goosewater, Emmet Knotweir
"""
BUYERS: tuple[Buyer, ...] = tuple(
    Buyer(" ".join(name.split()), PLACES[(0, 1, 0, 4, 1, 0, 3, 2, 1)[n % 9]])
    for n, name in enumerate(_NAMES.split(","))
)


def is_allowed(place: str, kind: str) -> bool:
    """Whether the list lets a kind go to a place."""
    return not any(
        rule.place == place and rule.kind == "not allowed" and rule.kind_of_plant in ("", kind)
        for rule in RULES
    )


def notes_for(place: str, kinds: frozenset[str]) -> tuple[str, ...]:
    """What the list says of an order that may go, as the book keeps it with the order."""
    return tuple(
        f"to {rule.place}: {rule.kind} ({rule.text})"
        for rule in RULES
        if rule.place == place and rule.kind != "not allowed" and rule.kind_of_plant in ("", *kinds)
    )
