"""What-ifs: asked in fields or phrases, planned, and held against the plan that stands."""

from collections.abc import Mapping

from django.urls import reverse

from halfwater.book import queries
from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan
from halfwater.plain.figures import show_money
from halfwater.web.fields import Field, Form

OTHER = "what_if"
_PHRASES = {
    "weeks": "release every {} weeks",
    "minutes": "{} minutes a week",
    "spots": "new tank of {} spots",
    "lost": "batch {} lost",
}
_HELP = "One a line, such as “Bucephalandra standard at 9” or “keep 4 parents”."


def what_if_form() -> Form:
    """The form that asks; what is left empty stays as it is."""
    batches = dict.fromkeys(pot.batch_name for pot in queries.standing_pots())
    lost = (("", "none"), *((name, name) for name in batches))
    fields = (
        Field("weeks", "Weeks from release to release", is_optional=True, inputmode="numeric"),
        Field("minutes", "Minutes a week", is_optional=True, inputmode="numeric"),
        Field("spots", "A new tank, spots", is_optional=True, inputmode="numeric"),
        Field("lost", "A batch is lost", type="select", choices=lost),
        Field(OTHER, "A price, or something else", type="area", help=_HELP, is_optional=True, is_wide=True),
    )
    return Form(fields, action=reverse("plan-what-if"))


def what_ifs_typed(typed: Mapping[str, str]) -> tuple[str, ...]:
    """What was typed as phrases; at least one is needed."""
    fields = [phrase.format(typed[name].strip()) for name, phrase in _PHRASES.items() if typed.get(name)]
    lines = [line.strip() for line in typed.get(OTHER, "").splitlines() if line.strip()]
    if not fields + lines:
        raise RefusedInput(OTHER, "", "at least one change to try")
    return (*fields, *lines)


def compared(plan: CuttingPlan, kept: CuttingPlan | None) -> str:
    """What the change brings against the plan that was made last."""
    if kept is None or plan.status != "optimal":
        return ""
    change = round(plan.mean_income_minor - kept.mean_income_minor)
    if change == 0:
        return "It brings as much as the plan that stands."
    word = "more" if change > 0 else "less"
    return f"It brings {show_money(abs(change), plan.currency)} {word} than the plan that stands."
