"""Plans of textbooks: two small problems with their shadow prices, and a year's boats."""

import numpy as np
import pytest

from halfwater.planning.problem import Draft
from halfwater.planning.solve import solved


def test_wyndor() -> None:
    """hillier-lieberman, the Wyndor Glass example: 2 and 6 batches, 36, shadow prices 0, 1.5, 1."""
    draft = Draft()
    x = draft.columns(2, [3.0, 5.0])
    draft.put(draft.rows(3, "plants", high=[4.0, 12.0, 18.0])[:, None], x, [[1, 0], [0, 2], [3, 2]])
    answer = solved(draft.finished())
    assert answer.x == pytest.approx([2, 6])
    assert answer.value == pytest.approx(36)
    assert answer.row_worth == pytest.approx([0, 1.5, 1])


@pytest.mark.parametrize("tables", [np.inf, 5.0])
def test_dakota(tables: float) -> None:
    """winston-or, Dakota: 2, 0, 8, 280, shadow prices 0, 10, 10; a limit of 5 on tables changes nothing."""
    draft = Draft()
    x = draft.columns(3, [60.0, 30.0, 20.0], high=[np.inf, tables, np.inf])
    rows = draft.rows(3, "wood and work", high=[48.0, 20.0, 8.0])
    draft.put(rows[:, None], x, [[8, 6, 1], [4, 2, 1.5], [2, 1.5, 0.5]])
    answer = solved(draft.finished())
    assert answer.x == pytest.approx([2, 0, 8])
    assert answer.value == pytest.approx(280)
    assert answer.row_worth == pytest.approx([0, 10, 10])


def test_sailco() -> None:
    """winston-or, the Sailco example: 78 450 in all; 40, 40, 40, 25 in regular time, 0, 10, 35, 0 over it."""
    demand = np.array([40.0, 60.0, 75.0, 25.0])
    draft = Draft()
    regular = draft.columns(4, -400.0, high=40.0)
    over = draft.columns(4, -450.0)
    stock = draft.columns(4, -20.0)
    opening = np.array([10.0, 0.0, 0.0, 0.0])
    balance = draft.rows(4, "balance", demand - opening, demand - opening)
    draft.put(balance, regular, 1.0)
    draft.put(balance, over, 1.0)
    draft.put(balance, stock, -1.0)
    draft.put(balance[1:], stock[:-1], 1.0)
    answer = solved(draft.finished())
    assert -answer.value == pytest.approx(78450)
    assert answer.x[regular] == pytest.approx([40, 40, 40, 25])
    assert answer.x[over] == pytest.approx([0, 10, 35, 0])
    assert answer.x[stock] == pytest.approx([10, 0, 0, 0])
