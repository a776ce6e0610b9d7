"""The interface under any input that its description allows, and much that it does not."""

from collections.abc import Iterator

import pytest
import schemathesis
from django.core.wsgi import get_wsgi_application
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance

from halfwater.book import queries
from halfwater.web.api.views import description
from tests.api.shops import a_program, an_open_line

pytestmark = pytest.mark.django_db
SCHEMA = schemathesis.openapi.from_dict(description())
SCHEMA.app = get_wsgi_application()


@pytest.fixture
def secret() -> Iterator[str]:
    """The key of a program that may order six plants; afterwards no pot stands behind two orders."""
    _, line = an_open_line(6)
    yield a_program().secret
    promised = [pot.order for pot in queries.line_pots(line) if pot.order is not None]
    wanted = [one for order in queries.orders() for one in order.lines]
    assert len(promised) == sum(one.plants - one.cancelled for one in wanted) <= 6


@SCHEMA.parametrize()
@settings(
    max_examples=25, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
def test_no_input_breaks_a_call_or_its_description(case: schemathesis.Case, secret: str) -> None:
    """No server error; status, type and form of every answer are those described; no answer without a key."""
    if "Authorization" not in (case.headers or {}):
        assert case.call().status_code == 401
        return
    headers = {"Authorization": f"Bearer {secret}"}
    response = case.call_and_validate(headers=headers, excluded_checks=[positive_data_acceptance])
    is_sound = case.meta is not None and case.meta.generation.mode.is_positive
    if response.status_code == 422 and is_sound:
        # A description cannot say "not later than now", nor how many plants two parts want together.
        assert response.json()["field"] in ("placed_at", "plants")
