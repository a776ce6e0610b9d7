"""Writes to the book: each one transaction, each with who did it."""

from halfwater.book.changes.buyers import erase_buyer, save_buyer
from halfwater.book.changes.checkpoints import keep_checkpoints
from halfwater.book.changes.collection import bring_collection
from halfwater.book.changes.entries import note_entries, rewrite_entry, void_entry
from halfwater.book.changes.holds import let_hold_go, place_hold
from halfwater.book.changes.lineage import save_lineage
from halfwater.book.changes.mixes import save_feed, save_mix
from halfwater.book.changes.money import (
    remove_money_row,
    save_charge,
    save_fee,
    save_power,
    save_purchase,
    save_tariff,
)
from halfwater.book.changes.nursery import save_lamp, save_nursery, save_pot
from halfwater.book.changes.order_back import take_step_back
from halfwater.book.changes.order_changes import cancel_order, substitute
from halfwater.book.changes.order_course import mark_arrived, mark_packed, mark_paid, mark_sent, set_ship_day
from halfwater.book.changes.orders import place_order
from halfwater.book.changes.owner import set_owner_password
from halfwater.book.changes.packing import (
    remove_kind,
    remove_route,
    save_box,
    save_heat_pack,
    save_liner,
    save_route,
    save_ship_rule,
)
from halfwater.book.changes.parcels import (
    add_to_parcel,
    change_parcel,
    note_arrival,
    send_parcel,
    start_parcel,
    take_out,
    tick_pot,
)
from halfwater.book.changes.photos import keep_photo
from halfwater.book.changes.places import remove_place_rule, save_place_rule
from halfwater.book.changes.plans import (
    keep_forecasts,
    keep_plan,
    save_cutting_habit,
    save_price,
    settle_forecasts,
)
from halfwater.book.changes.pots import (
    count_pot,
    cut_pot,
    lose_pot,
    measure_rhizome,
    move_pot,
    place_pots,
    set_grade,
    set_pot,
    set_state,
)
from halfwater.book.changes.pots_for_sale import offer_pots, take_back_pots
from halfwater.book.changes.refunds import pay_back, take_refund_back
from halfwater.book.changes.releases import (
    close_release,
    open_release,
    remove_line,
    remove_release,
    save_line,
    save_release,
)
from halfwater.book.changes.shops import make_api_key, note_key_used, revoke_api_key, save_shop_columns
from halfwater.book.changes.stock import remove_batch, save_batch, set_spots
from halfwater.book.changes.tables import import_tables
from halfwater.book.changes.tanks import save_tank
from halfwater.book.changes.taxa import load_starting_taxa, save_taxon
from halfwater.book.changes.waters import remove_target, remove_water, save_target, save_water

__all__ = [
    "add_to_parcel",
    "bring_collection",
    "cancel_order",
    "change_parcel",
    "close_release",
    "count_pot",
    "cut_pot",
    "erase_buyer",
    "import_tables",
    "keep_checkpoints",
    "keep_forecasts",
    "keep_photo",
    "keep_plan",
    "let_hold_go",
    "load_starting_taxa",
    "lose_pot",
    "make_api_key",
    "mark_arrived",
    "mark_packed",
    "mark_paid",
    "mark_sent",
    "measure_rhizome",
    "move_pot",
    "note_arrival",
    "note_entries",
    "note_key_used",
    "offer_pots",
    "open_release",
    "pay_back",
    "place_hold",
    "place_order",
    "place_pots",
    "remove_batch",
    "remove_kind",
    "remove_line",
    "remove_money_row",
    "remove_place_rule",
    "remove_release",
    "remove_route",
    "remove_target",
    "remove_water",
    "revoke_api_key",
    "rewrite_entry",
    "save_batch",
    "save_box",
    "save_buyer",
    "save_charge",
    "save_cutting_habit",
    "save_fee",
    "save_feed",
    "save_heat_pack",
    "save_lamp",
    "save_line",
    "save_lineage",
    "save_liner",
    "save_mix",
    "save_nursery",
    "save_place_rule",
    "save_pot",
    "save_power",
    "save_price",
    "save_purchase",
    "save_release",
    "save_route",
    "save_ship_rule",
    "save_shop_columns",
    "save_tank",
    "save_target",
    "save_tariff",
    "save_taxon",
    "save_water",
    "send_parcel",
    "set_grade",
    "set_owner_password",
    "set_pot",
    "set_ship_day",
    "set_spots",
    "set_state",
    "settle_forecasts",
    "start_parcel",
    "substitute",
    "take_back_pots",
    "take_out",
    "take_refund_back",
    "take_step_back",
    "tick_pot",
    "void_entry",
]
