"""What the pages say when there is nothing at an address, and when the program itself is at fault."""

import pytest
from django.test import Client

from halfwater.web.stock import views as stock
from tests.web.books import small_book


def test_an_address_without_a_page_leads_back(client: Client) -> None:
    """A tank that has been renamed is said to be gone, in the look of the book, with a way on."""
    small_book()
    answer = client.get("/tanks/at/Nowhere/")
    assert answer.status_code == 404
    page = answer.content.decode()
    assert "<h1>Not in the book</h1>" in page
    assert 'href="/tanks/"' in page


def test_a_fault_of_the_program_is_owned(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """The page owns the mistake and shows nothing of the inside; the log shows the trace."""
    small_book()

    def fail() -> None:
        raise ZeroDivisionError("inner words")

    monkeypatch.setattr(stock.queries, "batches", fail)
    answer = Client(raise_request_exception=False).get("/stock/")
    assert answer.status_code == 500
    assert "<h1>A fault</h1>" in answer.content.decode()
    assert "inner words" not in answer.content.decode()
    assert "inner words" in caplog.text
