"""The walk of the bath filter from knot to knot.

State of one bath: volume, catch and loss as the waterline has them; the strength of seven salts; and, on
the log scale, the share of a spray's salts that arrives and what the plants take. Water and salts are
filtered together, so that a bath whose volume is doubtful is not thought to know its salts. EC readings
move the salts only: the water stays the waterline's.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.bath_facts import SALTS, SEEN_MS_CM, EcMisfit, KeptSalts, TankSalts
from halfwater.science.bath_past import BathPast, BathStep
from halfwater.science.uptake import HALF_MG_L, NITROGEN_USES_MS_CM, SHARES, UREA_LEAVES_MS_CM
from halfwater.science.waterline import WaterNoise

Floats = NDArray[np.float64]
WATER, FIRST, ARRIVES, TAKEN, SIZE = 3, 3, 10, 11, 12  # places in the state
_MISFIT_SD = 5.0
_RESET_CV_FRAC = 0.15  # how unlike the old bath a new one of another strength may be
_FILL_CV_FRAC = 0.10
UREA_PER_DAY = math.log(2.0) / starting.UREA_HALF_DAYS
LEAST_HELD_L = 0.05  # a film on the glass: no strength without end in a dry tank
_SEEN = np.concatenate((np.zeros(FIRST), SEEN_MS_CM, np.zeros(2)))
SCARCE_MS_CM = 0.02  # where so little is left of the rest, acid finds half the bicarbonate
# Where the noise of a stretch stands in the flat covariance: VV, Vc twice, Vl twice, and the diagonal's.
_NOISY = np.array([0, 1, SIZE, 2, 2 * SIZE, *((SIZE + 1) * p for p in (1, 2, FIRST, ARRIVES, TAKEN))])
# Where the parts of the transition stand in its flat form: salts on volume, catch, loss, themselves,
# arriving and taken; and nitrogen on urea.
_ROWS = [FIRST + j for j in range(len(SALTS))]
_TARGETS = np.array(
    [1, 2]
    + [r * SIZE for r in _ROWS]
    + [r * SIZE + 1 for r in _ROWS]
    + [r * SIZE + 2 for r in _ROWS]
    + [r * SIZE + r for r in _ROWS]
    + [r * SIZE + ARRIVES for r in _ROWS]
    + [r * SIZE + TAKEN for r in _ROWS]
    + [(FIRST + 2) * SIZE + FIRST + 1]
)
_SEEN_LIST: list[float] = SEEN_MS_CM.tolist()


@dataclass(slots=True)
class _Moved:
    """The salts over one stretch: what they were and are, and how that hangs on the state before."""

    old: list[float]
    left_l: float
    now_l: float
    decay: float  # of urea
    salts: list[float] = field(default_factory=list)
    bases: list[float] = field(default_factory=list)  # before plants and urea
    gains: list[float] = field(default_factory=list)
    arrivals: list[float] = field(default_factory=list)
    slopes: list[float] = field(default_factory=list)


class BathWalk:
    """The filter on its way: mutable, as ten years are a thousand knots."""

    def __init__(
        self, tank: TankSalts, past: BathPast, noise: WaterNoise, mean: Floats, cov: Floats,
        waits: tuple[float, float],
    ) -> None:  # fmt: skip
        self.past, self.held, self.noise = past, max(past.held_l, LEAST_HELD_L), noise
        leaves = 1.0 - tank.leaf_takes_frac
        self.arriving = [starting.SALT_ARRIVES_FRAC] + [starting.SALT_ARRIVES_FRAC * leaves] * 6
        self.uptake = [tank.uptake_n_mg_day * share for share in SHARES]
        self.waits, self.waits_ec = waits
        self.x: list[float] = mean.tolist()
        self.cov = cov
        self.move = np.eye(SIZE)
        self.seen: list[tuple[float, float, float, float]] = []
        self.kept: list[KeptSalts] = []
        self.misfits: list[EcMisfit] = []

    def take(self, step: BathStep) -> None:
        """One stretch and what was seen at its end."""
        if step.span_days or step.moved_l or step.sprayed_l or step.noise_vv:
            self._advance(step)
        if step.is_reading:
            self._read_depth(step)
        elif step.is_lowering:
            self._set_volume(step.seen_l, step.seen_var)
        if step.ec_ms_cm is not None:
            self._read_ec(step.day, step.ec_ms_cm)
        ec, column = self._ec()
        self.seen.append((step.day, ec, float(_SEEN @ column), self.x[0]))
        if step.is_kept:
            self.kept.append(self.kept_at(step.day, len(self.kept)))

    def kept_at(self, day: float, noon: int) -> KeptSalts:
        """The state as it stands, for keeping."""
        return KeptSalts(
            day, tuple(self.x), tuple(self.cov.ravel().tolist()), self.waits, self.waits_ec,
            self.past.habits[noon], self.past.last_entry_days[noon], self.past.siphon,
        )  # fmt: skip

    def _advance(self, step: BathStep) -> None:
        """The mean over one stretch, then its covariance."""
        x, span = self.x, step.span_days
        left = max(x[0] - step.siphoned_l, 0.0) + self.held
        volume = max(x[0] + x[1] * step.sprayed_l - x[2] * span + step.moved_l, 0.0)
        now = volume + self.held
        decay = math.exp(-UREA_PER_DAY * span)
        came = (1.0 - decay) / (UREA_PER_DAY * span) if span else 1.0
        arriving, taking = math.exp(x[ARRIVES]) / now, math.exp(x[TAKEN]) * span / now
        moved = _Moved(x[FIRST:ARRIVES], left, now, decay)
        columns = zip(moved.old, step.sprayed, step.filled, self.arriving, strict=True)
        arrivals = [arriving * share * brought for _, brought, _, share in columns]
        kept = [own * left / now for own in moved.old]
        moved.bases = [k + a + f / now for k, a, f in zip(kept, arrivals, step.filled, strict=True)]
        urea = kept[1] * decay + (moved.bases[1] - kept[1]) * came
        before = moved.bases.copy()
        before[2] += before[1] - urea  # ammonium of it
        before[0] += UREA_LEAVES_MS_CM * (before[1] - urea)
        before[1] = urea
        for old, base, most, half in zip(kept, before, self.uptake, HALF_MG_L, strict=True):
            after, gain, slope = _taken(old, base, most * taking, half)
            moved.salts.append(after)
            moved.gains.append(gain)
            moved.slopes.append(slope)
        moved.gains[1] = decay
        uses = NITROGEN_USES_MS_CM * before[0] / (before[0] + SCARCE_MS_CM) if before[0] > 0.0 else 0.0
        moved.salts[0] -= uses * (before[2] - moved.salts[2])
        moved.slopes[0] = uses * moved.slopes[2]
        moved.arrivals = [g * a for g, a in zip(moved.gains, arrivals, strict=True)]
        self._spread(step, moved)
        x[0] = volume
        x[FIRST:ARRIVES] = moved.salts

    def _spread(self, step: BathStep, moved: _Moved) -> None:
        """The covariance over one stretch: transition, then noise."""
        s, span, now, gains = step.sprayed_l, step.span_days, moved.now_l, moved.gains
        lean = [g * b / now for g, b in zip(gains, moved.bases, strict=True)]
        own = [g / now for g in gains]
        self.move.put(
            _TARGETS,
            [
                s, -span,
                *[o * c - b for o, c, b in zip(own, moved.old, lean, strict=True)],
                *[-b * s for b in lean],
                *[b * span for b in lean],
                *[o * moved.left_l for o in own],
                *moved.arrivals, *moved.slopes,
                own[2] * (1.0 - moved.decay) * moved.left_l,
            ],
        )  # fmt: skip
        cov = self.move @ self.cov @ self.move.T
        noise = self.noise
        cov.ravel()[_NOISY] += (
            step.noise_vv - step.spray_var, step.noise_vc, step.noise_vc, step.noise_vl, step.noise_vl,
            noise.catch_var_day * span, noise.loss_var_day * span, starting.EC_NOISE_VAR_DAY * span,
            starting.ARRIVES_DRIFT_VAR_DAY * span, starting.UPTAKE_DRIFT_VAR_DAY * span,
        )  # fmt: skip
        if step.spray_var and s:
            per_litre = 1.0 / (starting.CATCH_FRAC * s)  # one litre more caught brings water and salts
            salts = [a * per_litre - b for a, b in zip(moved.arrivals, lean, strict=True)]
            cov += step.spray_var * _square([1.0, 0.0, 0.0, *salts, 0.0, 0.0])
        if any(step.filled):
            cov += _FILL_CV_FRAC**2 * _square([0.0] * FIRST + [f / now for f in step.filled] + [0.0, 0.0])
        self.cov = cov

    def _read_depth(self, step: BathStep) -> None:
        """A ruler reading, as the waterline takes it; salts follow by what they share with the volume."""
        off = step.seen_l - self.x[0]
        total = self.cov[0, 0] + step.seen_var
        if off * off <= _MISFIT_SD**2 * total:
            column = self.cov[:, 0].copy()
            self._shift(column * (off / total), 0)
            self.cov -= _square(column) / total
            self.waits = 0.0
        elif self.waits and (off - self.waits) ** 2 <= _MISFIT_SD**2 * (2 * step.seen_var + step.noise_vv):
            self._set_volume(step.seen_l, step.seen_var)
        else:
            self.waits = off

    def _set_volume(self, volume_l: float, variance: float) -> None:
        self.x[0] = volume_l
        self.cov[0, :] = self.cov[:, 0] = 0.0
        self.cov[0, 0] = variance
        self.waits = 0.0

    def _read_ec(self, day: float, seen: float) -> None:
        ec, column = self._ec()
        meter = (starting.METER_CV_FRAC * seen) ** 2 + starting.METER_SD_MS_CM**2
        total = float(_SEEN @ column) + meter
        off = seen - ec
        if off * off <= _MISFIT_SD**2 * total:
            self._shift(column * (off / total), FIRST)
            step = _square(column) / total
            step[:WATER, :WATER] = 0.0  # a Schmidt update: the water is only considered
            self.cov = self.cov - step
            self.waits_ec = 0.0
        elif self.waits_ec and (off - self.waits_ec) ** 2 <= _MISFIT_SD**2 * (2 * meter + 0.02 * seen**2):
            self._take_as_read(ec, seen, meter)
        else:
            self.waits_ec = off
            self.misfits.append(EcMisfit(day, seen, ec))

    def _take_as_read(self, ec: float, seen: float, meter: float) -> None:
        """A bath that was changed without a note: all its salts by one factor, then loosely known."""
        factor = seen / ec if ec > 0.0 else 1.0
        salts = np.array(self.x[FIRST:ARRIVES]) * factor
        salts[0] += seen - float(SEEN_MS_CM @ salts)
        self.x[FIRST:ARRIVES] = salts.tolist()
        inside = slice(FIRST, ARRIVES)
        self.cov[inside, :] = self.cov[:, inside] = 0.0
        wide = np.abs(salts) * _RESET_CV_FRAC
        tied = np.diag(wide**2)
        seen_part = SEEN_MS_CM @ tied
        tied -= np.outer(seen_part, seen_part) / (float(SEEN_MS_CM @ seen_part) + meter)
        self.cov[inside, inside] = tied
        self.waits_ec = 0.0

    def _shift(self, by: Floats, first: int) -> None:
        """Move the mean, from one place of the state on; no nutrient falls below nought."""
        x = self.x
        for place, change in enumerate(by.tolist()[first:], first):
            x[place] += change
        for place in range(FIRST + 1, ARRIVES):
            if x[place] < 0.0:
                x[place] = 0.0

    def _ec(self) -> tuple[float, Floats]:
        """EC, and its covariance with the whole state."""
        ec = sum(a * b for a, b in zip(_SEEN_LIST, self.x[FIRST:ARRIVES], strict=True))
        return ec, self.cov @ _SEEN


def _taken(old: float, base: float, most: float, half: float) -> tuple[float, float, float]:
    """What plants leave of a strength, and how that hangs on the strength and on their appetite's log.

    `base` is `old` with what came in over the stretch. The end is first found by a backward Euler step, for
    the mean pace by Simpson's rule; at that pace the stretch is then exact. The slopes are the Euler step's.
    """
    if most <= 0.0 or base <= 0.0:
        return base, 1.0, 0.0
    b = base - most - half
    end = (b + math.sqrt(b * b + 4.0 * half * base)) / 2.0
    bound = end + half
    gain = 1.0 / (1.0 + most * half / (bound * bound))
    middle = (old + end) / 2.0 + half
    pace = most * (1.0 / (old + half) + 4.0 / middle + 1.0 / bound) / 6.0
    stays = math.exp(-pace)
    after = old * stays + (base - old) * (1.0 - stays) / pace
    return after, gain, -gain * most * end / bound


def _square(values: Floats | list[float]) -> Floats:
    column = np.asarray(values)
    return np.asarray(column[:, None] * column)
