"""What was paid and what is paid, as the book has it."""

from datetime import date

from halfwater.book.models import Charge, Fee, PowerUse, Purchase, Tariff
from halfwater.plain.money import ChargeFacts, PowerFacts, PurchaseFacts, ShopFee, TariffFacts


def purchases(since: date | None = None) -> tuple[PurchaseFacts, ...]:
    """The purchases, the newest first."""
    rows = Purchase.objects.order_by("-on", "-pk").select_related("tank", "batch")
    return tuple(
        PurchaseFacts(
            key=row.pk, on=row.on, kind=row.kind, text=row.text, amount_minor=row.amount_minor,
            life_months=row.life_months, enough_for=row.enough_for, tank=row.tank_id, batch=row.batch_id,
            ended_on=row.ended_on, got_back_minor=row.got_back_minor,
            tank_name=row.tank.name if row.tank else "", batch_name=row.batch.name if row.batch else "",
        )
        for row in (rows if since is None else rows.filter(on__gte=since))
    )  # fmt: skip


def charges() -> tuple[ChargeFacts, ...]:
    """What is paid every month, those that began last first."""
    return tuple(
        ChargeFacts(
            key=row.pk, kind=row.kind, text=row.text, amount_minor=row.amount_minor, from_on=row.from_on,
            to_on=row.to_on, tank=row.tank_id, tank_name=row.tank.name if row.tank else "",
        )
        for row in Charge.objects.order_by("-from_on", "-pk").select_related("tank")
    )  # fmt: skip


def tariffs() -> tuple[TariffFacts, ...]:
    """The prices of electricity, the newest first."""
    rows = Tariff.objects.order_by("-from_on")
    return tuple(TariffFacts(key=row.pk, from_on=row.from_on, kwh_minor=float(row.kwh_minor)) for row in rows)


def power_uses() -> tuple[PowerFacts, ...]:
    """Heaters, pumps and lamps beside the tanks' own, those that began last first."""
    return tuple(
        PowerFacts(
            key=row.pk, text=row.text, power_w=row.power_w, hours=row.hours, dimmer_frac=row.dimmer_frac,
            from_on=row.from_on, to_on=row.to_on, tank=row.tank_id,
            tank_name=row.tank.name if row.tank else "",
        )
        for row in PowerUse.objects.order_by("-from_on", "-pk").select_related("tank")
    )  # fmt: skip


def fees() -> tuple[ShopFee, ...]:
    """What channels take of orders, the newest first."""
    return tuple(
        ShopFee(
            key=row.pk, channel=row.channel, from_on=row.from_on, text=row.text, fixed_minor=row.fixed_minor,
            share_frac=row.share_frac, is_on_postage=row.is_on_postage,
        )
        for row in Fee.objects.order_by("channel", "-from_on", "-pk")
    )  # fmt: skip
