"""Money as the book keeps it: purchases, charges, tariffs, other power, what shops take of an order."""

from dataclasses import dataclass
from datetime import date

from halfwater.plain.costing import FeeRule, MonthlyCharge, PowerUse, Purchase, Tariff


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseFacts(Purchase):
    """Something paid for, as the book holds it."""

    key: int
    tank_name: str = ""
    batch_name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeFacts(MonthlyCharge):
    """Something paid every month, as the book holds it."""

    key: int
    tank_name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TariffFacts(Tariff):
    """A price of electricity, as the book holds it."""

    key: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerFacts(PowerUse):
    """A heater, pump or lamp beside those of the tanks, as the book holds it."""

    key: int
    tank_name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFee(FeeRule):
    """What is taken of orders that come by a channel, from a day on."""

    key: int
    channel: str = ""  # one of plain.selling.CHANNELS; "": any that has no rule of its own
    from_on: date | None = None  # None: since ever
    text: str = ""
