"""The void: degradable and lasting dry mass, and the wet volume they take up, for many particles at once.

Two forms of one model. `step_day` is the reference, one day as written down; `step_block` takes several days of even load at once, exact in
the masses and within a fraction of a percent in volume, which is what makes a whole history affordable a dozen times over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .priors import Floats

TINY_KG = 1e-30
LEAST_EXTRA_AGE_DAYS = 0.05


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class VoidParameters:
    """One value per particle (or scalars): phi share, k20 and kr20 per day at 20 degC, theta, c0 and c_inf kg/m3, kappa per day."""

    phi: Floats
    k20: Floats
    theta: Floats
    kr20: Floats
    c0: Floats
    c_inf: Floats
    kappa: Floats


@dataclass(slots=True, eq=False)
class VoidState:
    """Degradable and lasting dry mass (kg) and settled wet volume (L), one value per particle."""

    labile_kg: Floats
    lasting_kg: Floats
    volume_l: Floats

    @classmethod
    def empty(cls, n: int) -> VoidState:
        return cls(labile_kg=np.zeros(n), lasting_kg=np.zeros(n), volume_l=np.zeros(n))

    def copy(self) -> VoidState:
        return VoidState(
            labile_kg=self.labile_kg.copy(), lasting_kg=self.lasting_kg.copy(), volume_l=self.volume_l.copy()
        )

    def keep(self, share: Floats | float) -> None:
        """Leave `share` (0-1) of everything behind, in place."""
        self.labile_kg *= share
        self.lasting_kg *= share
        self.volume_l *= share


def step_day(state: VoidState, parameters: VoidParameters, *, load_kg: Floats | float, temp_c: float) -> VoidState:
    """The state a day later: decay takes volume with mass, the day's load arrives at c0, the rest settles towards c_inf.

    load_kg dry solids reaching the void that day (>= 0); temp_c water temperature in the void.
    """
    p = parameters
    warm = np.power(p.theta, temp_c - 20.0)
    k, kr = p.k20 * warm, p.kr20 * warm
    before = state.labile_kg + state.lasting_kg
    labile, lasting = state.labile_kg * np.exp(-k), state.lasting_kg * np.exp(-kr)
    volume = state.volume_l * np.where(before > 0, (labile + lasting) / np.maximum(before, TINY_KG), 1.0)
    labile = labile + p.phi * load_kg * _survival(k)
    lasting = lasting + (1.0 - p.phi) * load_kg * _survival(kr)
    volume = volume + load_kg / p.c0 * 1000.0
    settled = (labile + lasting) / p.c_inf * 1000.0
    return VoidState(
        labile_kg=labile, lasting_kg=lasting, volume_l=settled + (volume - settled) * np.exp(-np.asarray(p.kappa))
    )


def _survival(k: Floats) -> Floats:
    """(1 - e^-k) / k, which is 1 at k = 0."""
    k = np.asarray(k, dtype=float)
    return np.where(k > 1e-12, -np.expm1(-k) / np.where(k > 1e-12, k, 1.0), 1.0)


def run_daily(state: VoidState, parameters: VoidParameters, *, load_kg: Floats, temp_c: Floats) -> VoidState:
    """`step_day` over the rows of load_kg (days, or days x particles) and temp_c (days)."""
    for day in range(len(temp_c)):
        state = step_day(state, parameters, load_kg=load_kg[day], temp_c=float(temp_c[day]))
    return state


class BlockStepper:
    """Advances a state by blocks of days, sharing what depends only on temperature and length between blocks alike."""

    def __init__(self, parameters: VoidParameters) -> None:
        p = parameters
        self._p = p
        self._log_theta = np.log(p.theta)
        self._per_c0 = 1000.0 / p.c0
        self._per_c_inf = 1000.0 / p.c_inf
        self._ekappa = np.exp(-p.kappa)
        self._settling = 1.0 - self._ekappa
        self._fresh = self._per_c0 * self._ekappa
        self._by_length: dict[int, Floats] = {}
        self._by_kind: dict[tuple[float, int], tuple[Floats, ...]] = {}
        n = len(self._per_c0)
        self._b = [np.empty(n) for _ in range(8)]

    def _kind(self, temp_c: float, days: int) -> tuple[Floats, ...]:
        """Decay over the block, what a steady daily kilogram leaves, and the daily losses, for both pools."""
        key = (temp_c, days)
        found = self._by_kind.get(key)
        if found is None:
            p = self._p
            warm = np.exp(self._log_theta * (temp_c - 20.0))
            k, kr = p.k20 * warm, p.kr20 * warm
            left, left_r = np.exp(-k * days), np.exp(-kr * days)
            gain, gain_r = p.phi * (1.0 - left) / k, (1.0 - p.phi) * -np.expm1(-kr * days) / kr
            loss, loss_r = -0.5 * np.expm1(-k), -0.5 * np.expm1(-kr)
            aged = p.phi * k  # what a day's age costs a fresh kilogram, in mass and in volume
            shrunk = (p.kappa * (1.0 / p.c0 - 1.0 / p.c_inf) + aged / p.c0) * 1000.0
            found = (left, left_r, gain, gain_r, loss, loss_r, aged, shrunk)
            self._by_kind[key] = found
        return found

    def advance(
        self, state: VoidState, *, days: int, load_kg: Floats, temp_c: float, extra_age_days: float = 0.0
    ) -> None:
        """`days` daily steps of load_kg / days each, in place.

        temp_c is best rounded, so that like blocks share their factors. extra_age_days: how much older the load is at the end of the
        block than an even load would be (fed early in the week, not at its end), corrected to first order.
        """
        left, left_r, gain, gain_r, loss, loss_r, aged, shrunk = self._kind(temp_c, days)
        settle = self._by_length.get(days)
        if settle is None:
            settle = self._by_length[days] = -days * np.asarray(self._p.kappa)
        labile, lasting, volume = state.labile_kg, state.lasting_kg, state.volume_l
        per_day, mass0, lost, x, a, a_n, s0, s1 = self._b
        np.multiply(load_kg, 1.0 / days, out=per_day)
        np.add(labile, lasting, out=mass0)
        # loss per day of the mid-block mixture: pools averaged over start and end of the block
        np.multiply(labile, loss, out=lost)
        np.multiply(lasting, loss_r, out=x)
        lost += x
        labile *= left
        np.multiply(per_day, gain, out=x)
        labile += x
        lasting *= left_r
        np.multiply(per_day, gain_r, out=x)
        lasting += x
        np.multiply(labile, loss, out=x)
        lost += x
        np.multiply(lasting, loss_r, out=x)
        lost += x
        np.add(labile, lasting, out=s1)  # mass at the end
        np.add(mass0, s1, out=x)
        x *= 0.5
        x += TINY_KG
        lost /= x
        # daily factor on the volume a = (1 - lost) e^-kappa, and over the block a^days
        np.subtract(1.0, lost, out=a)
        a *= self._ekappa
        np.multiply(lost, lost, out=a_n)
        a_n *= 0.5
        a_n += lost
        a_n *= -days
        a_n += settle
        np.exp(a_n, out=a_n)
        # W_n = a^n W_0 + S0 (fresh p + c M_0/c_inf) + S1 c (M_n - M_0)/(n c_inf);  S0 = sum a^j, S1 = sum j a^(n-j)
        s1 -= mass0
        s1 *= 1.0 / days
        np.subtract(1.0, a, out=x)
        np.subtract(1.0, a_n, out=s0)
        s0 /= x
        a *= s0
        np.subtract(float(days), a, out=a)
        a /= x
        s1 *= a
        mass0 *= s0
        mass0 += s1
        mass0 *= self._per_c_inf
        mass0 *= self._settling
        volume *= a_n
        volume += mass0
        per_day *= self._fresh
        per_day *= s0
        volume += per_day
        if abs(extra_age_days) > LEAST_EXTRA_AGE_DAYS:
            np.multiply(load_kg, extra_age_days, out=x)
            np.multiply(x, aged, out=a)
            labile -= a
            x *= shrunk
            volume -= x
