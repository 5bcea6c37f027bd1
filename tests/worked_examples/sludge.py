"""The sludge day step: a reference run, its closed forms, and septic tanks as the household analogue."""

from __future__ import annotations

from tests.worked_examples.example import Example

# s 0.20, phi 0.40, k20 0.010, theta 1.05, kr 0.0001, c0 35, c_inf 90, kappa 0.010, 0.100 kg dry feed a day, daily step.
# "lib": computed apart from this code, python 3.11. degC: {day: litres}.
REFERENCE_LITRES: dict[float, dict[int, float]] = {
    15: {30: 15.021, 180: 57.525, 365: 87.960, 730: 137.496},
    20: {30: 14.858, 180: 55.714, 365: 85.315, 730: 134.181},
    25: {30: 14.660, 180: 53.893, 365: 82.952, 730: 131.183},
}
REFERENCE_MASSES_DAY_365: dict[float, tuple[float, float]] = {
    15: (0.96254, 4.31796),
    20: (0.77921, 4.30103),
    25: (0.62088, 4.27955),
}
FIRST_DAY_AT_LITRES_25C = {100: 489, 150: 883}
BRUMATION_LITRES = (82.952, 59.072)  # after 365 fed days at 25 degC, and 120 unfed days at 6 degC
LITRES_WITHOUT_DECAY_OR_COMPACTION = 208.571  # 0.2 x 0.1 x 365 / 35 m3

# Gray 1995, abstract (read): 28 tanks, litres of sludge per person and day as a mean since emptying.
GRAY_FIRST_6_MONTHS = 0.254
GRAY_AFTER_60_MONTHS = 0.178
GRAY_MEAN = 0.234
SEPTIC = [
    Example(
        call="sludge.septic_sludge_l_GRAY95",
        inputs={"people": 1, "months": months},
        expected=rate * months * 365.25 / 12,
        rel=1e-9,
        source="GRAY95",
        how_read="read",
        where=f"abstract, {months} months",
    )
    for months, rate in ((6, GRAY_FIRST_6_MONTHS), (60, GRAY_AFTER_60_MONTHS))
] + [
    Example(
        call="sludge.septic_months_to_l_GRAY95",
        inputs={"people": 4, "capacity_l": 2720 * (1 - 0.48)},
        expected=60,
        rel=0.12,
        source="GRAY95",
        how_read="read",
        where="abstract: a 2720 L tank for four wants emptying every 5 years, 48 % left for settling",
    ),
    Example(
        call="sludge.straight_line_months_VDH",
        inputs={"fill_now": 0.18, "months_since_emptied": 26, "fill_due": 0.30},
        expected=43,
        within=0.5,
        source="VDH",
        how_read="read",
        where="worked example: 18 % in 26 months, pump at 30 %",
    ),
]
