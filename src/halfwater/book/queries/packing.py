"""What is at hand for packing, the ways and rules, and parcels with what is in them."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import fields
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from halfwater.book.models import (
    Arrival,
    BoxKind,
    HeatPackKind,
    LinerKind,
    OfferedPot,
    Parcel,
    Route,
    ShipRule,
)
from halfwater.book.models import ParcelItem as Item
from halfwater.book.models.order import LIVE
from halfwater.book.queries.offers import BY_PLACE
from halfwater.plain.growing import Span
from halfwater.plain.packing import (
    ArrivalNote,
    BoxFacts,
    KeptRoute,
    LinerFacts,
    PackFacts,
    ParcelFacts,
    ParcelItem,
    PlantRoom,
    SaidThen,
)
from halfwater.plain.transit import (
    GrowerRules,
    HeatPack,
    Leg,
    Liner,
    PostageBand,
    RouteStop,
    ShippingBox,
    WallLayer,
)

_ITEM = (
    "parcel_id", "pot_id", "pot__batch__name", "pot__number", "pot__spot__tank__name", "pot__spot__name",
    "order_line__taxon_id", "order_line__taxon__name", "order_line__taxon__group", "order_line__grade",
    "order_line__order_id", "order_line_id", "pot__leaves", "packed_at",
)  # fmt: skip
_ARRIVAL = (
    "parcel_id", "on", "alive", "damaged", "late_days", "logger_low_c", "logger_high_c", "note", "photo",
)  # fmt: skip
_SPANS = ("coldest", "hottest", "bare_coldest", "bare_hottest")


def box_kinds(at_hand_only: bool = False) -> tuple[BoxFacts, ...]:
    """The kinds of boxes by name."""
    rows = BoxKind.objects.order_by("name", "pk")
    return tuple(_box(row) for row in (rows.filter(is_at_hand=True) if at_hand_only else rows))


def liner_kinds(at_hand_only: bool = False) -> tuple[LinerFacts, ...]:
    """The kinds of liners by name."""
    rows = LinerKind.objects.order_by("name", "pk")
    return tuple(_liner(row) for row in (rows.filter(is_at_hand=True) if at_hand_only else rows))


def heat_packs(at_hand_only: bool = False) -> tuple[PackFacts, ...]:
    """The kinds of heat packs by name."""
    rows = HeatPackKind.objects.order_by("name", "pk")
    return tuple(_pack(row) for row in (rows.filter(is_at_hand=True) if at_hand_only else rows))


def routes() -> tuple[KeptRoute, ...]:
    """The ways by name."""
    return tuple(
        KeptRoute(
            row.pk, row.name, row.place, tuple(RouteStop(**one) for one in row.stops), row.hand_over_h,
            tuple(row.rest_days), _legs(row.legs), row.legs_on,
        )
        for row in Route.objects.order_by("name", "pk")
    )  # fmt: skip


def ship_rules() -> GrowerRules | None:
    """The grower's own rules of shipping; None before any was said."""
    row = ShipRule.objects.first()
    if row is None:
        return None
    own = {field.name: getattr(row, field.name) for field in fields(GrowerRules)}
    return GrowerRules(**own | {"ship_weekdays": tuple(row.ship_weekdays)})


def plant_room() -> PlantRoom:
    """What the grower said that plants take in a box."""
    row = ShipRule.objects.first()
    names = [field.name for field in fields(PlantRoom)]
    return PlantRoom() if row is None else PlantRoom(**{name: getattr(row, name) for name in names})


def parcels(
    ship_on: date | None = None,
    states: Collection[str] | None = None,
    order: int | None = None,
    since: date | None = None,
) -> tuple[ParcelFacts, ...]:
    """The parcels, the newest first: of a ship day, in some states, of an order, that left since a day."""
    rows = Parcel.objects.order_by("-started_at", "-pk")
    if ship_on is not None:
        rows = rows.filter(ship_on=ship_on)
    if states is not None:
        rows = rows.filter(state__in=tuple(states))
    if order is not None:
        rows = rows.filter(pk__in=Item.objects.filter(order_line__order=order).values("parcel"))
    if since is not None:
        rows = rows.filter(Q(sent_at__isnull=True) | Q(sent_at__date__gte=since))
    return _parcels(rows)


def parcel(key: int) -> ParcelFacts | None:
    """One parcel; None when the book has no such."""
    return next(iter(_parcels(Parcel.objects.filter(pk=key))), None)


def parcel_of_uuid(uuid: Any) -> ParcelFacts | None:
    """The parcel that was begun with an id; None when there is none."""
    return next(iter(_parcels(Parcel.objects.filter(uuid=uuid))), None)


def pots_to_pick(orders: Collection[int]) -> tuple[tuple[ParcelItem, int | None], ...]:
    """The plants of orders in walking order, each with the parcel it is to go into, if any."""
    within = Item.objects.filter(pot=OuterRef("pot"), order_line=OuterRef("order_line"))
    rows = OfferedPot.objects.filter(LIVE, order_line__order__in=tuple(orders)).annotate(
        within=Subquery(within.values("parcel")[:1]), packed_at=Subquery(within.values("packed_at")[:1])
    )
    found = []
    columns = ("within", *_ITEM[1:])
    for parcel, pot, batch, number, tank, spot, *rest in rows.order_by(*BY_PLACE).values_list(*columns):
        found.append((ParcelItem(pot, f"{batch} {number}", tank or "", spot or "", *rest), parcel))
    return tuple(found)


def _parcels(rows: QuerySet[Parcel]) -> tuple[ParcelFacts, ...]:
    """Three queries, however many parcels there are; what an order does not want any more is told apart."""
    found = list(rows.select_related("box", "liner", "pack"))
    keys = [row.pk for row in found]
    own = OfferedPot.objects.filter(LIVE, pot=OuterRef("pot"), order_line=OuterRef("order_line"))
    items: dict[tuple[int, bool], list[ParcelItem]] = defaultdict(list)
    held = Item.objects.filter(parcel__in=keys).annotate(wanted=Exists(own)).order_by(*BY_PLACE)
    for is_wanted, of, pot, batch, number, tank, spot, *rest in held.values_list("wanted", *_ITEM):
        item = ParcelItem(pot, f"{batch} {number}", tank or "", spot or "", *rest)
        items[of, bool(is_wanted)].append(item)
    arrivals = {
        row[0]: ArrivalNote(*row[1:])
        for row in Arrival.objects.filter(parcel__in=keys).values_list(*_ARRIVAL)
    }
    return tuple(
        _parcel(row, tuple(items[row.pk, True]), tuple(items[row.pk, False]), arrivals.get(row.pk))
        for row in found
    )


def _parcel(
    row: Parcel, items: tuple[ParcelItem, ...], gone: tuple[ParcelItem, ...], arrival: ArrivalNote | None
) -> ParcelFacts:
    return ParcelFacts(
        key=row.pk,
        uuid=str(row.uuid),
        ship_on=row.ship_on,
        state=row.state,
        box=_box(row.box) if row.box else None,
        items=items,
        liner=_liner(row.liner) if row.liner else None,
        pack=_pack(row.pack) if row.pack else None,
        packs=row.packs,
        route=row.route_id,
        place=row.place,
        legs=_legs(row.legs),
        said=_said(row.said),
        weight_kg=row.weight_kg,
        tracking=row.tracking,
        postage_paid_minor=row.postage_paid_minor,
        note=row.note,
        started_at=row.started_at,
        sent_at=row.sent_at,
        arrival=arrival,
        who=row.who,
        gone=gone,
    )


def _box(row: BoxKind) -> BoxFacts:
    box = ShippingBox(
        row.name, row.length_mm, row.width_mm, row.height_mm,
        tuple(WallLayer(**one) for one in row.layers), row.empty_kg, row.most_plants, row.most_kg,
        row.cost_minor, tuple(PostageBand(**one) for one in row.postage),
    )  # fmt: skip
    return BoxFacts(row.pk, box, row.is_at_hand)


def _liner(row: LinerKind) -> LinerFacts:
    layer = WallLayer(row.material, row.thickness_mm)
    return LinerFacts(row.pk, Liner(row.name, layer, row.cost_minor), row.is_at_hand)


def _pack(row: HeatPackKind) -> PackFacts:
    return PackFacts(row.pk, HeatPack(row.name, row.label_h, row.mean_w, row.cost_minor), row.is_at_hand)


def _legs(rows: Collection[Mapping[str, Any]]) -> tuple[Leg, ...]:
    return tuple(Leg(**one) for one in rows)


def _said(kept: Mapping[str, Any] | None) -> SaidThen | None:
    if kept is None:
        return None
    return SaidThen(**{name: Span(**value) if name in _SPANS else value for name, value in kept.items()})
