"""The tables of the book, one noun a file. Only queries and changes read and write them."""

from halfwater.book.models.batch import Batch, Parentage
from halfwater.book.models.box import BoxKind, HeatPackKind, LinerKind, Route, ShipRule
from halfwater.book.models.buyer import Buyer
from halfwater.book.models.checkpoint import Checkpoint
from halfwater.book.models.entry import Entry
from halfwater.book.models.feed import Feed
from halfwater.book.models.forecast import KeptForecast, KeptPlan
from halfwater.book.models.lamp import Lamp
from halfwater.book.models.mix import Mix, MixPart
from halfwater.book.models.nursery import Nursery
from halfwater.book.models.order import Hold, OfferedPot, Order, OrderLine
from halfwater.book.models.parcel import Arrival, Parcel, ParcelItem
from halfwater.book.models.place import ApiKey, PlaceRule, ShopColumns
from halfwater.book.models.pot import Pot
from halfwater.book.models.price import CuttingHabit, Price
from halfwater.book.models.purchase import Charge, Purchase
from halfwater.book.models.release import Line, Release
from halfwater.book.models.spot import Spot, StandingPot
from halfwater.book.models.tank import Tank
from halfwater.book.models.target import Target
from halfwater.book.models.tariff import Fee, PowerUse, Tariff
from halfwater.book.models.taxon import Prior, Taxon
from halfwater.book.models.water import Water

__all__ = [
    "ApiKey",
    "Arrival",
    "Batch",
    "BoxKind",
    "Buyer",
    "Charge",
    "Checkpoint",
    "CuttingHabit",
    "Entry",
    "Fee",
    "Feed",
    "HeatPackKind",
    "Hold",
    "KeptForecast",
    "KeptPlan",
    "Lamp",
    "Line",
    "LinerKind",
    "Mix",
    "MixPart",
    "Nursery",
    "OfferedPot",
    "Order",
    "OrderLine",
    "Parcel",
    "ParcelItem",
    "Parentage",
    "PlaceRule",
    "Pot",
    "PowerUse",
    "Price",
    "Prior",
    "Purchase",
    "Release",
    "Route",
    "ShipRule",
    "ShopColumns",
    "Spot",
    "StandingPot",
    "Tank",
    "Target",
    "Tariff",
    "Taxon",
    "Water",
]
