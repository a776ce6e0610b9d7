"""What really happened in a simulated tank, kept from the book."""

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from halfwater.demo.curve import Curve

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Truth:
    """The hidden course of one tank, day by day, and what its days would go on to bring.

    `volume_l`, `depth_mm`, `catch_frac`, `loss_l_day` have one value a day of the book,
    the first two late in the evening, after the spray. `net_l` is what each day adds to the
    bath when nobody siphons or fills, and runs on past the end of the book with the
    grower's habit continued.
    """

    tank: str
    first_on: date
    curve: Curve  # the true one
    volume_l: Floats
    depth_mm: Floats
    catch_frac: Floats  # share of the noted (or planned) spray that reaches the bath
    loss_l_day: Floats  # what leaves the bath each day, spray and siphon apart
    siphoned_l: Floats  # taken out each day, noted or not
    sprayed_l: Floats  # truly sprayed each day, noted or not
    net_l: Floats
    ec_ms_cm: Floats = field(default_factory=lambda: np.zeros(0))  # of the bath before the evening's work

    @property
    def last_on(self) -> date:
        """The last day of the book."""
        return self.first_on + timedelta(days=self.volume_l.size - 1)

    @property
    def passes_on(self) -> date | None:
        """The true siphon date seen from the end of the book."""
        return passage(self, self.last_on)


def volume_if_left(truth: Truth, on: date) -> Floats:
    """Bath on the evenings from `on` to the end of the course if nobody siphons or fills. [L]"""
    start = (on - truth.first_on).days
    free = truth.volume_l[start] + np.concatenate([[0.0], np.cumsum(truth.net_l[start + 1 :])])
    lacking = np.maximum.accumulate(np.maximum(-free, 0.0))  # a dry floor loses no more
    return np.asarray(free + lacking)


def passage(truth: Truth, on: date) -> date | None:
    """The first evening, `on` or later, with the waterline at or over the limit line; None if never."""
    left = volume_if_left(truth, on)
    over = left >= float(truth.curve.volume_of(truth.curve.limit_line_mm))
    return on + timedelta(days=int(np.argmax(over))) if bool(over.any()) else None
