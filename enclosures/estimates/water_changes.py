"""Nitrate (or any salt) that builds up, and the water changes that take it down.

L is production in g/day, V the water in m3, so L/V is mg/L per day (g/m3 = mg/L). All concentrations share one basis;
source water is never assumed clean.
"""

from __future__ import annotations

import math

from enclosures.estimates.checks import BadQuantity, check_mg_l, check_not_negative, check_positive, check_range


def nitrate_n_g_per_day(
    *, tan_nitrified_g_per_day: float, denitrified_share: float = 0.0, yield_n: float = 0.98
) -> float:
    """Nitrate nitrogen made, g/day; void and bed may remove 0-30 % again. Raises OutOfRange."""
    check_not_negative(tan_nitrified_g_per_day, "tan_nitrified_g_per_day")
    check_range(denitrified_share, "denitrified_share", what="Share denitrified", low=0, high=1)
    check_range(yield_n, "yield_n", what="Nitrate per ammonia", low=0, high=1)
    return tan_nitrified_g_per_day * yield_n * (1 - denitrified_share)


def rise_mg_l_per_day(*, production_g_per_day: float, water_volume_m3: float) -> float:
    """Rise without any change, mg/L per day. Raises BadQuantity."""
    check_not_negative(production_g_per_day, "production_g_per_day")
    check_positive(water_volume_m3, "water_volume_m3")
    return production_g_per_day / water_volume_m3


def peak_mg_l_batch(*, rise_mg_l: float, change_share: float, source_mg_l: float = 0.0) -> float:
    """Level just before each change once it has settled: source + rise per interval / share changed.

    Raises OutOfRange.
    """
    check_mg_l(rise_mg_l, "rise_mg_l")
    check_mg_l(source_mg_l, "source_mg_l")
    _check_change_share(change_share)
    return source_mg_l + rise_mg_l / change_share


def trough_mg_l_batch(*, rise_mg_l: float, change_share: float, source_mg_l: float = 0.0) -> float:
    """Level just after each change once it has settled. Raises OutOfRange."""
    return peak_mg_l_batch(rise_mg_l=rise_mg_l, change_share=change_share, source_mg_l=source_mg_l) - rise_mg_l


def peak_mg_l_after_cycles(*, rise_mg_l: float, change_share: float, n_cycles: int, source_mg_l: float = 0.0) -> float:
    """Level just before the n-th change, begun with source water. Raises OutOfRange."""
    check_range(n_cycles, "n_cycles", what="Number of changes", low=1, high=100_000)
    peak = peak_mg_l_batch(rise_mg_l=rise_mg_l, change_share=change_share, source_mg_l=source_mg_l)
    return source_mg_l + (peak - source_mg_l) * (1 - (1 - change_share) ** n_cycles)


def after_change_mg_l(*, before_mg_l: float, change_share: float, source_mg_l: float = 0.0) -> float:
    """Level after one change. Raises OutOfRange."""
    check_mg_l(before_mg_l, "before_mg_l")
    check_mg_l(source_mg_l, "source_mg_l")
    check_range(change_share, "change_share", what="Share changed", low=0, high=1)
    return before_mg_l + change_share * (source_mg_l - before_mg_l)


def change_share_to_reach(*, now_mg_l: float, target_mg_l: float, source_mg_l: float = 0.0) -> float:
    """Share to change at once to come down to a target. Raises BadQuantity when source water cannot get there."""
    _check_reachable(now_mg_l=now_mg_l, target_mg_l=target_mg_l, source_mg_l=source_mg_l)
    if now_mg_l <= target_mg_l:
        return 0.0
    return (now_mg_l - target_mg_l) / (now_mg_l - source_mg_l)


def n_changes_to_reach(*, now_mg_l: float, target_mg_l: float, change_share: float, source_mg_l: float = 0.0) -> float:
    """Number of equal changes, not rounded, to come down to a target with no rise between. Raises BadQuantity."""
    _check_reachable(now_mg_l=now_mg_l, target_mg_l=target_mg_l, source_mg_l=source_mg_l)
    check_range(change_share, "change_share", what="Share changed", low=0.001, high=0.999)
    if now_mg_l <= target_mg_l:
        return 0.0
    return math.log((target_mg_l - source_mg_l) / (now_mg_l - source_mg_l)) / math.log(1 - change_share)


def steady_mg_l_continuous(
    *, production_g_per_day: float, exchange_m3_per_day: float, source_mg_l: float = 0.0
) -> float:
    """Level that a constant exchange settles at: source + production / exchange. Raises BadQuantity."""
    check_not_negative(production_g_per_day, "production_g_per_day")
    check_positive(exchange_m3_per_day, "exchange_m3_per_day")
    check_mg_l(source_mg_l, "source_mg_l")
    return source_mg_l + production_g_per_day / exchange_m3_per_day


def level_mg_l_continuous(
    *,
    start_mg_l: float,
    days: float,
    production_g_per_day: float,
    exchange_m3_per_day: float,
    water_volume_m3: float,
    source_mg_l: float = 0.0,
) -> float:
    """Level after some days of constant exchange in well-mixed water. Raises BadQuantity."""
    check_mg_l(start_mg_l, "start_mg_l")
    check_not_negative(days, "days")
    check_positive(water_volume_m3, "water_volume_m3")
    steady = steady_mg_l_continuous(
        production_g_per_day=production_g_per_day, exchange_m3_per_day=exchange_m3_per_day, source_mg_l=source_mg_l
    )
    return steady + (start_mg_l - steady) * math.exp(-exchange_m3_per_day * days / water_volume_m3)


def exchange_m3_per_day_for_limit(*, production_g_per_day: float, limit_mg_l: float, source_mg_l: float = 0.0) -> float:
    """Daily exchange that holds a limit, m3. Raises BadQuantity when source water is already at the limit."""
    check_not_negative(production_g_per_day, "production_g_per_day")
    _check_reachable(now_mg_l=limit_mg_l, target_mg_l=limit_mg_l, source_mg_l=source_mg_l)
    return production_g_per_day / (limit_mg_l - source_mg_l)


def evaporation_rise_mg_l_per_day(*, evaporation_l_per_day: float, source_mg_l: float, water_volume_l: float) -> float:
    """Rise of a salt from topping up what evaporated, mg/L per day. Raises BadQuantity."""
    check_not_negative(evaporation_l_per_day, "evaporation_l_per_day")
    check_mg_l(source_mg_l, "source_mg_l")
    check_positive(water_volume_l, "water_volume_l")
    return evaporation_l_per_day * source_mg_l / water_volume_l


def _check_change_share(change_share: float) -> None:
    check_range(change_share, "change_share", what="Share changed", low=0.001, high=1)


def _check_reachable(*, now_mg_l: float, target_mg_l: float, source_mg_l: float) -> None:
    for name, value in (("now_mg_l", now_mg_l), ("target_mg_l", target_mg_l), ("source_mg_l", source_mg_l)):
        check_mg_l(value, name)
    if target_mg_l <= source_mg_l:
        raise BadQuantity(
            f"Changing water cannot bring this down to {target_mg_l:g} mg/L (target_mg_l): "
            f"the source water holds {source_mg_l:g} mg/L (source_mg_l)."
        )
