"""From particles to volumes: unpack z into parameters, and carry every particle through a history or a future."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from . import priors
from .history import Event, History
from .priors import COMPONENTS, Floats
from .void_model import BlockStepper, VoidParameters, VoidState


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Drawn:
    """What a set of particles z means for one history: parameters and per-event, per-period factors (one value per particle)."""

    z: Floats
    column: dict[str, int]
    void: VoidParameters
    s: Floats
    food: Floats  # (sources, n): factor on s per food class and gap
    period: Floats  # (periods, n): feed noise, mean 1
    leaf_period: Floats  # the same for leaves, which swing further
    litter_g: Floats
    autumn: Floats
    rod: Floats
    gamma: Floats  # (cycles, n)
    noise_sd: Floats
    unlogged: Floats | None
    stepper: BlockStepper

    @property
    def n(self) -> int:
        return self.z.shape[0]

    def component(self, name: str) -> Floats:
        return self.z[:, self.column[name]]

    def kept_share(self, event: Event) -> Floats | float:
        """Share of the sludge a cleanout leaves, or of the litres a rebuild carries over."""
        if event.kind == "rebuild":
            return COMPONENTS["rebuild"].value(self.component(event.name))
        assert event.cleanout is not None
        if event.cleanout.outcome == "attempted":
            return 1.0
        return COMPONENTS["resid_" + event.cleanout.outcome].value(self.component(event.name))


def unpack(z: Floats, history: History) -> Drawn:
    """The meaning of particles z (n, components of history.names)."""
    column = {name: i for i, name in enumerate(history.names)}

    def of(name: str) -> Floats:
        return COMPONENTS[name].value(z[:, column[name]])

    c0 = of("c0")
    void = VoidParameters(
        phi=of("phi"),
        k20=of("k20"),
        theta=of("theta"),
        kr20=of("kr20"),
        c0=c0,
        c_inf=np.maximum(of("c_inf"), 1.1 * c0),
        kappa=of("kappa"),
    )
    noise_sd = of("noise_sd")
    period_z = z[:, [column[f"noise:{i}"] for i in range(history.n_periods)]].T
    mound_z = z[:, [column[f"mound:{i}"] for i in range(history.n_cycles)]].T
    return Drawn(
        z=z,
        column=column,
        void=void,
        s=of("s"),
        food=_food_factors(z, column, history),
        period=np.exp(noise_sd * period_z - 0.5 * noise_sd**2),
        leaf_period=leaf_swing(noise_sd, period_z),
        litter_g=history.litter_median * np.exp(history.litter_spread * z[:, column["litter"]]),
        autumn=of("autumn") if "autumn" in column else np.zeros(z.shape[0]),
        rod=of("rod"),
        gamma=of("gamma") * COMPONENTS["mound"].value(mound_z),
        noise_sd=noise_sd,
        unlogged=of("unlogged") if "unlogged" in column else None,
        stepper=BlockStepper(void),
    )


def _food_factors(z: Floats, column: dict[str, int], history: History) -> Floats:
    rows = []
    for name in history.load.classes:
        key = f"food:{name}"
        factor = priors.food_factor(name, z[:, column[key]] if key in column else None)
        rows.append(np.broadcast_to(factor, z.shape[:1]))
    for number, mix in enumerate(history.load.gap_mix):
        rows.append(mix * COMPONENTS["gap"].value(z[:, column[f"gap:{number}"]]))
    return np.array(rows)


def loads_kg(history: History, drawn: Drawn, rows: slice = slice(None)) -> Floats:
    """Dry solids reaching the void per block and particle, for some rows of blocks: feed with its noise, then leaves."""
    n = drawn.n
    amounts, factors = [history.sources_kg[rows], history.leftover_kg[rows, None]], [drawn.food * drawn.s]
    factors.append(np.full((1, n), priors.ETA_LEFTOVER))
    if history.unlogged_kg is not None and drawn.unlogged is not None:
        amounts.append(history.unlogged_kg[rows, None])
        factors.append((drawn.s * drawn.unlogged)[None, :])
    out = np.hstack(amounts) @ np.vstack(factors)
    periods = history.block_period[rows]
    for first, last in _runs(periods):
        out[first:last] *= drawn.period[periods[first]]
    if history.has_litter:
        out += litter_kg(history, drawn, rows)
    return out


def litter_kg(history: History, drawn: Drawn, rows: slice = slice(None)) -> Floats:
    """The background part of `loads_kg`."""
    amounts = np.column_stack([history.litter_base[rows], history.litter_autumn[rows]])
    out = amounts @ np.vstack([drawn.litter_g * (1.0 - drawn.autumn), drawn.litter_g * drawn.autumn])
    if not history.evidence.is_indoor:
        periods = history.block_period[rows]
        for first, last in _runs(periods):
            out[first:last] *= drawn.leaf_period[periods[first]]
    return out


def leaf_swing(noise_sd: Floats, z: Floats) -> Floats:
    """Factor on the leaves of one period, mean 1: autumns and storms differ more than feeding does."""
    sd = priors.LEAF_SWING * noise_sd
    return np.exp(sd * z - 0.5 * sd**2)


def _runs(periods: np.ndarray) -> Iterator[tuple[int, int]]:
    """(first, after the last) row of each stretch of blocks in one period."""
    edges = [0, *(int(at) + 1 for at in np.flatnonzero(np.diff(periods))), len(periods)]
    return pairwise(edges if len(periods) else [])


def opening_state(history: History, drawn: Drawn) -> VoidState:
    """The void at the start: clean, or a fill nobody knows, of half-settled sludge."""
    n = drawn.n
    if history.start_kind == "clean":
        return VoidState.empty(n)
    z = drawn.component("start")
    geometry = history.first_geometry
    if history.start_kind == "unknown":
        fill = priors.UNKNOWN_START_MAX_FILL * normal_cdf(z)
    else:
        fill = geometry.due_fill * np.exp(priors.START_BEFORE_CLEANOUT_SPREAD * z)
    volume = fill * geometry.usable_void_l
    mass = volume / 1000.0 * np.sqrt(drawn.void.c0 * drawn.void.c_inf)
    labile = mass * drawn.void.phi * 0.4  # most of what could decay has
    return VoidState(labile_kg=labile, lasting_kg=mass - labile, volume_l=volume)


def run_history(
    history: History,
    drawn: Drawn,
    *,
    state: VoidState | None = None,
    rows: range | None = None,
    trace: list[Floats] | None = None,
) -> tuple[VoidState, Floats]:
    """State after the last of `rows` (all blocks when None), and the volume (L) just before each event met (events of rows, n).

    `state` is changed in place; None opens the account. With `trace` a list, the volume after each block is appended to it.
    """
    state = opening_state(history, drawn) if state is None else state
    rows = range(len(history.blocks)) if rows is None else rows
    loads = loads_kg(history, drawn, slice(rows.start, rows.stop))
    seen: list[Floats] = []
    for row in rows:
        block = history.blocks[row]
        if block.days:
            drawn.stepper.advance(
                state,
                days=block.days,
                load_kg=loads[row - rows.start],
                temp_c=block.temp_c,
                extra_age_days=block.extra_age_days,
            )
        for number in block.events:
            seen.append(state.volume_l.copy())
            event = history.events[number]
            if event.kind != "sounding":
                state.keep(drawn.kept_share(event))
        if trace is not None:
            trace.append(state.volume_l.copy())
    return state, np.array(seen) if seen else np.empty((0, drawn.n))


def normal_cdf(x: Floats) -> Floats:
    """Standard normal distribution function, relative error below 2e-7 (Chebyshev fit of erfc; Numerical Recipes, memory)."""
    y = np.abs(np.asarray(x, dtype=float)) / np.sqrt(2.0)
    t = 1.0 / (1.0 + 0.5 * y)
    poly = -1.26551223 + t * (
        1.00002368
        + t
        * (
            0.37409196
            + t
            * (
                0.09678418
                + t
                * (
                    -0.18628806
                    + t * (0.27886807 + t * (-1.13520398 + t * (1.48851587 + t * (-0.82215223 + t * 0.17087277))))
                )
            )
        )
    )
    upper = 0.5 * t * np.exp(-y * y + poly)
    return np.where(np.asarray(x) > 0, 1.0 - upper, upper)
