"""What-ifs: typed one a line, planned, and held against the plan that stands."""

from collections.abc import Mapping

from django.urls import reverse

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan
from halfwater.plain.figures import show_money
from halfwater.web.fields import Field, Form

NAME = "what_if"
_HELP = "One a line, such as: release every 6 weeks."


def what_if_form() -> Form:
    """The form that asks."""
    field = Field(NAME, "What if", type="area", help=_HELP, is_wide=True)
    return Form((field,), action=reverse("plan-what-if"))


def what_ifs_typed(typed: Mapping[str, str]) -> tuple[str, ...]:
    """The lines that were typed; at least one is needed."""
    lines = tuple(line.strip() for line in typed.get(NAME, "").splitlines() if line.strip())
    if not lines:
        raise RefusedInput(NAME, "", "at least one change to try")
    return lines


def compared(plan: CuttingPlan, kept: CuttingPlan | None) -> str:
    """What the change brings against the plan that was made last."""
    if kept is None or plan.status != "optimal":
        return ""
    change = round(plan.mean_income_minor - kept.mean_income_minor)
    if change == 0:
        return "It brings as much as the plan that stands."
    word = "more" if change > 0 else "less"
    return f"It brings {show_money(abs(change), plan.currency)} {word} than the plan that stands."
