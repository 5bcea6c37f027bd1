"""Nitrate and water changes: closed forms, worked by hand from the balance."""

from __future__ import annotations

from typing import Any

from tests.worked_examples.example import Example


def _worked(function: str, expected: float, within: float, **inputs: Any) -> Example:
    return Example(
        call=f"water_changes.{function}",
        inputs=inputs,
        expected=expected,
        within=within,
        source="PRACTICE",
        how_read="lib",
        where="mass balance of well-mixed water, worked by hand",
    )


EXAMPLES = [
    _worked("rise_mg_l_per_day", 2.0, 1e-9, production_g_per_day=2, water_volume_m3=1),
    _worked("peak_mg_l_batch", 56, 1e-6, rise_mg_l=14, change_share=0.25),
    _worked("trough_mg_l_batch", 42, 1e-6, rise_mg_l=14, change_share=0.25),
    _worked("peak_mg_l_batch", 61, 1e-6, rise_mg_l=14, change_share=0.25, source_mg_l=5),
    _worked("trough_mg_l_batch", 47, 1e-6, rise_mg_l=14, change_share=0.25, source_mg_l=5),
    _worked("peak_mg_l_after_cycles", 52.846, 1e-3, rise_mg_l=14, change_share=0.25, n_cycles=10),
    _worked("steady_mg_l_continuous", 45, 1e-3, production_g_per_day=2, exchange_m3_per_day=0.05, source_mg_l=5),
    _worked(
        "level_mg_l_continuous",
        32.124,
        1e-3,
        start_mg_l=10,
        days=20,
        production_g_per_day=2,
        exchange_m3_per_day=0.05,
        water_volume_m3=1,
        source_mg_l=5,
    ),
    _worked("change_share_to_reach", 0.5333, 1e-3, now_mg_l=80, target_mg_l=40, source_mg_l=5),
    _worked("n_changes_to_reach", 3.887, 1e-3, now_mg_l=80, target_mg_l=20, change_share=0.30),
    _worked("evaporation_rise_mg_l_per_day", 0.05, 1e-9, evaporation_l_per_day=10, source_mg_l=5, water_volume_l=1000),
    _worked("exchange_m3_per_day_for_limit", 0.05, 1e-9, production_g_per_day=2, limit_mg_l=45, source_mg_l=5),
]
