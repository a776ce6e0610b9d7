"""A linear problem with some whole numbers, as arrays: columns, rows, and the rule each row stands for."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Problem:
    """Maximise gain · x with low <= x <= high and row_low <= rows · x <= row_high, stored row by row."""

    gain: Floats
    low: Floats
    high: Floats
    is_whole: Flags
    row_low: Floats
    row_high: Floats
    starts: Whole
    columns: Whole
    values: Floats
    rule: Whole  # of each row: its place in `rules`
    rules: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[int, int]:
        """Rows and columns."""
        return len(self.row_low), len(self.gain)

    def row_values(self, x: Floats) -> Floats:
        """What each row comes to at x."""
        rows, _ = self.size
        owner = np.repeat(np.arange(rows), np.diff(self.starts))
        return np.asarray(np.bincount(owner, self.values * x[self.columns], minlength=rows), dtype=float)


@dataclass(slots=True)
class Draft:
    """A problem being written: whole blocks of columns and rows are added at a time."""

    _gain: list[Floats] = field(default_factory=list)
    _low: list[Floats] = field(default_factory=list)
    _high: list[Floats] = field(default_factory=list)
    _whole: list[Flags] = field(default_factory=list)
    _entries: list[tuple[Whole, Whole, Floats]] = field(default_factory=list)
    _row_low: list[Floats] = field(default_factory=list)
    _row_high: list[Floats] = field(default_factory=list)
    _rule: list[Whole] = field(default_factory=list)
    _rules: dict[str, int] = field(default_factory=dict)
    _column_count: int = 0
    _row_count: int = 0

    def columns(
        self,
        shape: int | tuple[int, ...],
        gain: ArrayLike = 0.0,
        high: ArrayLike = np.inf,
        is_whole: bool = False,
    ) -> Whole:
        """New columns from 0 to `high`; their numbers, in the shape asked for."""
        count = int(np.prod(shape))
        numbers = np.arange(self._column_count, self._column_count + count, dtype=np.int64)
        self._column_count += count
        self._gain.append(np.broadcast_to(np.asarray(gain, dtype=float), shape).ravel())
        self._low.append(np.zeros(count))
        self._high.append(np.broadcast_to(np.asarray(high, dtype=float), shape).ravel())
        self._whole.append(np.full(count, is_whole))
        return numbers.reshape(shape)

    def rows(
        self, shape: int | tuple[int, ...], rule: str, low: ArrayLike = -np.inf, high: ArrayLike = np.inf
    ) -> Whole:
        """New rows with their limits; their numbers, in the shape asked for."""
        count = int(np.prod(shape))
        numbers = np.arange(self._row_count, self._row_count + count, dtype=np.int64)
        self._row_count += count
        self._row_low.append(np.broadcast_to(np.asarray(low, dtype=float), shape).ravel())
        self._row_high.append(np.broadcast_to(np.asarray(high, dtype=float), shape).ravel())
        self._rule.append(np.full(count, self._rules.setdefault(rule, len(self._rules)), dtype=np.int64))
        return numbers.reshape(shape)

    def put(self, rows: ArrayLike, columns: ArrayLike, values: ArrayLike) -> None:
        """Entries of rows; the three are stretched to one shape, and nought is left out."""
        r, c, v = np.broadcast_arrays(np.asarray(rows), np.asarray(columns), np.asarray(values, dtype=float))
        keep = v != 0.0
        self._entries.append((r[keep], c[keep], v[keep]))

    def finished(self) -> Problem:
        """The problem, its entries sorted by row; entries of one place are added up."""
        row, column, value = (
            np.concatenate([e[i] for e in self._entries] or [np.zeros(0)]) for i in range(3)
        )
        width = max(self._column_count, 1)
        place, back = np.unique(row.astype(np.int64) * width + column.astype(np.int64), return_inverse=True)
        summed = np.bincount(back.ravel(), value, minlength=len(place))
        starts = np.searchsorted(place, np.arange(self._row_count + 1, dtype=np.int64) * width)
        return Problem(
            gain=_joined(self._gain), low=_joined(self._low), high=_joined(self._high),
            is_whole=np.concatenate(self._whole or [np.zeros(0, dtype=bool)]),
            row_low=_joined(self._row_low), row_high=_joined(self._row_high),
            starts=starts.astype(np.int64), columns=place % width, values=summed.astype(float),
            rule=np.concatenate(self._rule or [np.zeros(0, dtype=np.int64)]), rules=tuple(self._rules),
        )  # fmt: skip


def _joined(parts: list[Floats]) -> Floats:
    return np.concatenate(parts) if parts else np.zeros(0)
