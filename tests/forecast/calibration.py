"""Simulation-based calibration: draw a filter from the model's own prior, read it as the model says it is read, and rank the truth among
the particles. Ranks must be uniform. Talts et al. 2018, arXiv 1804.06788; band: Dvoretzky-Kiefer-Wolfowitz with Massart's constant (memory)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from enclosures.forecast import priors
from enclosures.forecast.history import History, history_for
from enclosures.forecast.inputs import CleanoutDone, FeedPortion, FilterEvidence, Geometry, SoundingSeen
from enclosures.forecast.likelihood import ROD_MM, rod_spread_mm
from enclosures.forecast.posterior import Posterior
from enclosures.forecast.run import run_history, unpack

START = date(2022, 3, 1)
N_DAYS = 700
CLEANED_ON_DAYS = (130, 260, 390, 520)  # by the calendar, so that a cleanout's date says nothing of the fill
UNREAD_DAY = (
    390  # without it the regularity of the calendar is judged by the feed, which is given, and not by what is read
)
READ_ON_DAYS = (70, 200, 330, 450, 560, 650)
PARAMETERS = ("s", "phi", "k20", "kr20", "c0", "c_inf", "kappa", "gamma", "rod", "litter", "noise_sd")
N_RANKS = 64
AS_OF = START + timedelta(days=N_DAYS)


def blank_filter(rng: np.random.Generator, *, code: str = "F") -> FilterEvidence:
    """A log of two years with feed that swings, so that calendar cleanouts are told from cleanouts by need."""
    level = np.repeat(np.exp(rng.normal(0, 0.5, N_DAYS // 65 + 1)), 65)[:N_DAYS]
    feedings = tuple(
        FeedPortion(on=START + timedelta(days=day), dry_g=float(20.0 * level[day]), food_class="pellet", eaten="all")
        for day in range(1, N_DAYS)
        if day % 2
    )
    return FilterEvidence(
        filter=code,
        enclosure=code,
        commissioned_on=START,
        builds=(Geometry(valid_from=START, chamber_area_m2=0.25, void_height_mm=250.0),),
        feedings=feedings,
        soundings=tuple(
            SoundingSeen(entry=f"{code}:s{day}", on=START + timedelta(days=day), depths_mm=(1.0,), minute=600)
            for day in READ_ON_DAYS
        ),
        cleanouts=tuple(
            CleanoutDone(
                entry=f"{code}:c{day}", on=START + timedelta(days=day), outcome="full", minute=700,
                depth_before_mm=None if day == UNREAD_DAY else 1.0, depth_after_mm=1.0, slurry_l=1.0,
            )
            for day in CLEANED_ON_DAYS
        ),
        surface_m2=2.0,
        litter_level="near",
    )  # fmt: skip


def read_as_the_model_says(
    evidence: FilterEvidence, z: np.ndarray, rng: np.random.Generator
) -> tuple[FilterEvidence, float]:
    """The same filter with readings drawn from the likelihood at z, and its true volume (L) at the end."""
    history = history_for(evidence, as_of=AS_OF)
    assert history is not None
    drawn = unpack(z[None, :], history)
    state, volumes = run_history(history, drawn)
    soundings, cleanouts = [], []
    for event, volume in zip(history.events, volumes[:, 0], strict=True):
        area, height = event.geometry.usable_area_m2, event.geometry.void_height_mm
        at_pipe = float(drawn.gamma[event.cycle, 0] * volume / area)
        spread = float(rod_spread_mm(np.array(at_pipe), drawn.rod[0]))
        read = at_pipe + spread * rng.standard_t(4)
        is_at_grid = read >= height
        if event.sounding is not None:
            seen = replace(event.sounding, depths_mm=(min(read, height),), qualifier=">=" if is_at_grid else "")
            soundings.append(seen)
            continue
        assert event.cleanout is not None
        kept = float(np.asarray(drawn.kept_share(event))[0])
        is_unread = event.cleanout.depth_before_mm is None
        stood = max(at_pipe if is_unread else max(at_pipe, height) if is_at_grid else read, 1.0)
        after = stood * (kept + np.hypot(0.02, ROD_MM / stood) * rng.standard_t(4))
        taken = volume * (1 - kept) * priors.SLURRY_DILUTION * np.exp(priors.SLURRY_SPREAD * rng.standard_normal())
        cleanouts.append(
            replace(
                event.cleanout,
                depth_before_mm=None if is_unread else min(read, height),
                depth_before_qualifier=">=" if is_at_grid and not is_unread else "",
                depth_after_mm=float(after),
                slurry_l=float(taken),
            )
        )
    return replace(evidence, soundings=tuple(soundings), cleanouts=tuple(cleanouts)), float(state.volume_l[0])


def drawn_from_the_prior(evidence: FilterEvidence, rng: np.random.Generator) -> np.ndarray:
    """One z of the whole prior."""
    history = history_for(evidence, as_of=AS_OF)
    assert history is not None
    return rng.standard_normal(len(history.names))


def names_of(evidence: FilterEvidence) -> tuple[str, ...]:
    history = history_for(evidence, as_of=AS_OF)
    assert history is not None
    return history.names


def ranks_of(posterior: Posterior, history: History, z: np.ndarray, volume_l: float, rng: np.random.Generator):
    """Rank (0-1) of the truth among N_RANKS independent-looking draws, per parameter and for today's volume."""
    chosen = rng.choice(posterior.n, N_RANKS, replace=False, p=posterior.weights)
    out = {}
    for name in PARAMETERS:
        at = history.names.index(name)
        out[name] = rank(z[at], posterior.z[chosen, at], rng)
    out["volume"] = rank(volume_l, posterior.state.volume_l[chosen], rng)
    return out


def rank(truth: float, draws: np.ndarray, rng: np.random.Generator) -> float:
    """(number below + a uniform) / (draws + 1): exactly uniform when truth and draws are exchangeable."""
    return (float(np.sum(draws < truth)) + rng.random()) / (len(draws) + 1)


def widest_departure(ranks: list[float]) -> float:
    """Largest distance of the ranks' distribution from uniform."""
    x = np.sort(np.array(ranks))
    n = len(x)
    return float(max(np.max(np.arange(1, n + 1) / n - x), np.max(x - np.arange(n) / n)))


def band(n: int, *, n_tests: int, level: float = 0.01) -> float:
    """Half-width that n uniform ranks leave anywhere with chance `level` over n_tests distributions at once."""
    return float(np.sqrt(np.log(2 * n_tests / level) / (2 * n)))
