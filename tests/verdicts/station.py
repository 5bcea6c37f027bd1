"""The eight filters of the invented station as the rules see them on 4 October 2025. All of it is invented for the demo."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from enclosures.verdicts.signs import FilterSigns, FlowSign, SoundingSign, Span, StockEvent, WaterSign

TODAY = date(2025, 10, 4)
POND_ON_THE_FIRST_C = (4, 5, 8, 13, 18, 23, 26, 25, 21, 15, 9, 5)  # water on the first of each month


def pond_water(today: date, *, warmer: float = 0.0, n_days: int = 420) -> tuple[float, ...]:
    values = []
    for i in range(n_days):
        day = today + timedelta(days=i)
        after = POND_ON_THE_FIRST_C[day.month % 12]
        first, last = date(day.year, day.month, 1), date(day.year + day.month // 12, day.month % 12 + 1, 1)
        here = POND_ON_THE_FIRST_C[day.month - 1]
        values.append(here + (after - here) * (day - first).days / (last - first).days + warmer)
    return tuple(values)


def soundings(*seen: tuple[str, float]) -> tuple[SoundingSign, ...]:
    return tuple(SoundingSign(on=date.fromisoformat(on), fill=fill, is_at_grid=fill >= 1) for on, fill in seen)


def water_tests(*rows: tuple[str, float, float]) -> tuple[WaterSign, ...]:
    return tuple(
        WaterSign(on=date.fromisoformat(on), analyte=analyte, value=value)
        for on, tan, nitrite in rows
        for analyte, value in (("tan", tan), ("nitrite", nitrite))
    )


def checks(
    *rows: tuple[str, float, float | None, float | None], flow: float, head: float, odours: dict[str, int] | None = None
) -> tuple[FlowSign, ...]:
    return tuple(
        FlowSign(
            on=date.fromisoformat(on),
            flow_l_per_h=read,
            head_difference_mm=head_mm,
            level_over_media_mm=level,
            odour=(odours or {}).get(on),
            baseline_flow_l_per_h=flow,
            baseline_head_mm=head,
        )
        for on, read, head_mm, level in rows
    )


FINE_TESTS = water_tests(("2025-08-21", 0.05, 0.01), ("2025-09-04", 0.06, 0.01), ("2025-09-18", 0.07, 0.02))
D = date.fromisoformat

P1 = FilterSigns(
    filter="P1-F",
    flows=checks(("2025-09-27", 1900, 22, None), flow=2400, head=14),
    waters=FINE_TESTS,
    soundings=soundings(("2025-05-03", 0.51), ("2025-05-31", 0.55), ("2025-08-30", 0.80)),
    is_indoor=False,
    is_pond=True,
    has_trees=True,
    has_nesting_females=True,
    water_temp_c=14.0,
    water_ahead_c=pond_water(TODAY),
    stock_kg=2.9,
    water_volume_l=7800,
    n_animals=4,
    commissioned_on=date(2018, 4, 1),
    last_emptied_on=D("2024-08-24"),
    cleanouts_on=(D("2023-03-25"), D("2024-08-24")),
    last_work_on=D("2024-08-24"),
)
B2 = FilterSigns(
    filter="B2-F",
    waters=water_tests(("2025-09-29", 0.05, 0.02)),
    soundings=soundings(("2025-01-11", 0.60), ("2025-04-05", 0.78)),
    water_temp_c=25.0,
    stock_kg=1.18,
    water_volume_l=620,
    n_animals=1,
    is_skin_sensitive=True,
    commissioned_on=date(2021, 5, 1),
    last_emptied_on=D("2023-10-21"),
    cleanouts_on=(D("2022-10-15"), D("2023-10-21")),
    last_work_on=D("2023-10-21"),
    events_ahead=(StockEvent(on=D("2025-10-25"), text="The map turtles come in"),),
)
P4 = FilterSigns(
    filter="P4-F",
    waters=FINE_TESTS,
    soundings=soundings(("2024-09-21", 0.19), ("2025-05-10", 0.47), ("2025-08-23", 0.58)),
    is_indoor=False,
    is_pond=True,
    has_trees=True,
    water_temp_c=17.0,
    water_ahead_c=pond_water(TODAY, warmer=3),
    stock_kg=0.3,
    water_volume_l=2400,
    n_animals=7,
    n_program_animals=7,
    commissioned_on=D("2024-05-04"),
)
T2 = FilterSigns(
    filter="T2-F",
    waters=water_tests(("2025-09-29", 0.05, 0.02)),
    soundings=soundings(("2025-04-12", 0.20), ("2025-08-02", 0.32)),
    water_temp_c=25.0,
    stock_kg=0.024,
    water_volume_l=80,
    n_animals=1,
    n_program_animals=1,
    n_hatchlings=1,
    commissioned_on=D("2024-08-03"),
)
P2 = FilterSigns(
    filter="P2-F",
    waters=FINE_TESTS,
    soundings=soundings(("2025-06-21", 0.18), ("2025-09-06", 0.34)),
    is_indoor=False,
    is_pond=True,
    has_trees=True,
    water_temp_c=14.0,
    water_ahead_c=pond_water(TODAY),
    stock_kg=5.6,
    water_volume_l=5200,
    n_animals=3,
    commissioned_on=date(2016, 4, 1),
    last_emptied_on=D("2025-03-29"),
    cleanouts_on=(D("2024-07-06"), D("2024-09-14"), D("2025-03-29")),
    last_work_on=D("2025-03-29"),
    rebuilt_on=D("2025-03-29"),
)
B1 = FilterSigns(
    filter="B1-F",
    waters=water_tests(("2025-09-29", 0.05, 0.02)),
    soundings=soundings(("2025-03-01", 0.72), ("2025-07-19", 0.07)),
    water_temp_c=25.0,
    stock_kg=0.6,
    water_volume_l=400,
    n_animals=4,
    commissioned_on=date(2020, 5, 1),
    last_emptied_on=D("2025-07-19"),
    cleanouts_on=(D("2024-03-09"), D("2025-07-19")),
    last_work_on=D("2025-07-19"),
)
P3_FLOWS_BEFORE = checks(
    ("2025-04-27", 2780, 14, None),
    ("2025-04-28", 1450, 14, None),
    ("2025-05-24", 1420, 22, None),
    ("2025-06-14", 1380, 41, None),
    ("2025-06-28", 1290, 58, None),
    ("2025-07-12", 1180, 77, None),
    ("2025-07-26", 1050, 96, None),
    ("2025-08-08", 980, 110, None),
    flow=2800,
    head=14,
    odours={"2025-07-12": 2, "2025-07-26": 2},
)
P3_FLOWS_AFTER = checks(
    ("2025-08-12", 2780, 12, None),
    ("2025-08-30", 2770, 12, None),
    ("2025-09-12", 2760, 12, None),
    flow=2780,
    head=12,
)
P3_TESTS = water_tests(
    ("2025-04-27", 0.05, 0.01),
    ("2025-05-24", 0.15, 0.06),
    ("2025-06-14", 0.3, 0.12),
    ("2025-06-28", 0.45, 0.25),
    ("2025-07-12", 0.6, 0.35),
    ("2025-07-26", 0.7, 0.45),
    ("2025-08-08", 0.75, 0.5),
    ("2025-08-12", 1.2, 0.3),
    ("2025-08-16", 1.0, 0.8),
    ("2025-08-23", 0.5, 0.9),
    ("2025-08-30", 0.2, 0.5),
    ("2025-09-06", 0.1, 0.2),
    ("2025-09-12", 0.05, 0.05),
)
P3 = FilterSigns(
    filter="P3-F",
    flows=P3_FLOWS_BEFORE + P3_FLOWS_AFTER,
    waters=P3_TESTS,
    soundings=soundings(("2025-05-24", 0.12), ("2025-06-28", 20 / 150), ("2025-07-26", 19 / 150), ("2025-08-09", 0.0)),
    is_indoor=False,
    is_pond=True,
    has_trees=True,
    water_temp_c=14.0,
    water_ahead_c=pond_water(TODAY),
    stock_kg=1.6,
    water_volume_l=6500,
    n_animals=3,
    is_skin_sensitive=True,
    commissioned_on=date(2019, 4, 1),
    last_emptied_on=D("2025-08-09"),
    cleanouts_on=(D("2024-09-28"), D("2025-08-09")),
    last_work_on=D("2025-08-09"),
    rebuilt_on=D("2025-08-09"),
    did_rebuild_close_disagreement=True,
)
T1 = FilterSigns(
    filter="T1-F",
    waters=water_tests(("2025-09-29", 0.05, 0.02)),
    soundings=soundings(("2025-07-12", 0.0)),
    water_temp_c=25.0,
    stock_kg=0.05,
    water_volume_l=80,
    n_animals=4,
    n_hatchlings=4,
    commissioned_on=D("2023-08-01"),
    last_emptied_on=D("2025-07-12"),
    cleanouts_on=(D("2024-07-13"), D("2025-07-12")),
    last_work_on=D("2025-07-12"),
)


def p3_on(today: date) -> FilterSigns:
    """P3 before its bed was lifted, as known at the end of a day. The pump swap proposed a baseline nobody confirmed."""
    return replace(
        P3,
        flows=tuple(flow for flow in P3_FLOWS_BEFORE if flow.on <= today),
        waters=tuple(sign for sign in P3_TESTS if sign.on <= today),
        soundings=tuple(s for s in P3.soundings if s.on <= today and s.on < D("2025-08-09")),
        last_emptied_on=D("2024-09-28"),
        cleanouts_on=(D("2024-09-28"),),
        last_work_on=D("2024-09-28"),
        rebuilt_on=None,
        did_rebuild_close_disagreement=False,
        water_ahead_c=pond_water(today),
        water_temp_c=None,
    )


def p2_on_22_june_2024() -> FilterSigns:
    """Too much in, too small a void: the rod stands at the grid."""
    return replace(
        P2,
        flows=checks(
            ("2024-04-13", 2300, None, 8),
            ("2024-05-18", 2150, None, 14),
            ("2024-06-08", 1950, None, 20),
            ("2024-06-22", 1750, None, 28),
            flow=2900,
            head=15,
        ),
        waters=water_tests(
            ("2024-04-13", 0.1, 0.03), ("2024-05-18", 0.25, 0.08), ("2024-06-08", 0.4, 0.15), ("2024-06-22", 0.6, 0.3)
        ),
        soundings=soundings(("2023-09-23", 0.76), ("2024-04-13", 0.98), ("2024-06-22", 1.0)),
        last_emptied_on=D("2022-10-22"),
        cleanouts_on=(D("2022-10-22"),),
        last_work_on=D("2022-10-22"),
        rebuilt_on=None,
        water_ahead_c=pond_water(D("2024-06-22")),
        water_temp_c=22.0,
    )


WINTER_REST = (Span(from_on=date(2024, 11, 2), to_on=date(2025, 3, 20)),)
