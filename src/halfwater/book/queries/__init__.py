"""Reads of the book: plain frozen data out, few and indexed queries."""

from halfwater.book.queries.chemistry import (
    bare_entries,
    bath_entries,
    meter_checks,
    own_targets,
    plants_in_tanks,
    waters,
)
from halfwater.book.queries.entries import entries, entry, entry_days, last_entries, sightings
from halfwater.book.queries.lineage import lineage, parents
from halfwater.book.queries.mixes import feeds, mixes
from halfwater.book.queries.money import charges, fees, power_uses, purchases, tariffs
from halfwater.book.queries.nursery import OWNER, has_owner, lamps, nursery, pots
from halfwater.book.queries.offers import line_pots, offered_pots, promised_pots
from halfwater.book.queries.orders import buyers, hold, holds, order, order_of_key, orders
from halfwater.book.queries.packing import (
    box_kinds,
    heat_packs,
    liner_kinds,
    parcel,
    parcel_of_uuid,
    parcels,
    plant_room,
    pots_to_pick,
    routes,
    ship_rules,
)
from halfwater.book.queries.past import history
from halfwater.book.queries.past_sales import past_lines
from halfwater.book.queries.plans import cutting_habit, forecasts, newest_plan, prices
from halfwater.book.queries.releases import open_lines, release, releases
from halfwater.book.queries.sales_rows import SALES_TABLES, sales_rows
from halfwater.book.queries.selling import api_key_for, api_keys, buyer_export, place_rules, shop_columns
from halfwater.book.queries.standing import leaf_counts, standing_pot, standing_pots, stays
from halfwater.book.queries.stock import (
    batches,
    counts_by_state,
    gone_pots,
    growing_by_tank,
    spots,
    taxa,
)
from halfwater.book.queries.tanks import tank_named, tanks
from halfwater.book.queries.water import checkpoints, has_water_before, water_rows
from halfwater.book.queries.work import day_counts, kept_days, lamp_changes

__all__ = [
    "OWNER",
    "SALES_TABLES",
    "api_key_for",
    "api_keys",
    "bare_entries",
    "batches",
    "bath_entries",
    "box_kinds",
    "buyer_export",
    "buyers",
    "charges",
    "checkpoints",
    "counts_by_state",
    "cutting_habit",
    "day_counts",
    "entries",
    "entry",
    "entry_days",
    "feeds",
    "fees",
    "forecasts",
    "gone_pots",
    "growing_by_tank",
    "has_owner",
    "has_water_before",
    "heat_packs",
    "history",
    "hold",
    "holds",
    "kept_days",
    "lamp_changes",
    "lamps",
    "last_entries",
    "leaf_counts",
    "line_pots",
    "lineage",
    "liner_kinds",
    "meter_checks",
    "mixes",
    "newest_plan",
    "nursery",
    "offered_pots",
    "open_lines",
    "order",
    "order_of_key",
    "orders",
    "own_targets",
    "parcel",
    "parcel_of_uuid",
    "parcels",
    "parents",
    "past_lines",
    "place_rules",
    "plant_room",
    "plants_in_tanks",
    "pots",
    "pots_to_pick",
    "power_uses",
    "prices",
    "promised_pots",
    "purchases",
    "release",
    "releases",
    "routes",
    "sales_rows",
    "ship_rules",
    "shop_columns",
    "sightings",
    "spots",
    "standing_pot",
    "standing_pots",
    "stays",
    "tank_named",
    "tanks",
    "tariffs",
    "taxa",
    "water_rows",
    "waters",
]
