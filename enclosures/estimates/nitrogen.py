"""From protein fed to nitrogen in the water.

Why not the fish design value 0.092: it assumes solids leave at once. Here they lie in the void for a year or two, and
adult breeders keep almost no nitrogen, so in the long run nearly all of it comes back as ammonia. Turtles excrete part
of it as urea (softshells mostly through the mouth lining, IP12), which turns to ammonia within hours to days: a test
just after feeding reads low. Nearly all excretion data are from softshells; carrying them over to other turtles is an
assumption.
"""

from __future__ import annotations

from dataclasses import dataclass

from enclosures.estimates.checks import BadQuantity, check_fraction, check_not_negative, check_range
from enclosures.estimates.coefficients import default

N_PER_PROTEIN = 1 / 6.25  # exact, by the convention that defines crude protein
UREA_LAG_DAYS = 1.0  # measured ammonia understates the load for about a day after feeding (JUDGEMENT)
UMOL_N_PER_G_BODY_PER_PROTEIN_PERCENT = 0.01 * N_PER_PROTEIN / 14.007 * 1e6


@dataclass(frozen=True, slots=True)
class Excretion:
    """Nitrogen given off, umol N per g body mass and day."""

    total: float
    ammonia: float
    urea: float

    @property
    def ammonia_share(self) -> float:
        return self.ammonia / self.total


def feed_n_g(protein_g: float) -> float:
    """Nitrogen in so much crude protein, g. Raises OutOfRange."""
    check_not_negative(protein_g, "protein_g")
    return protein_g * N_PER_PROTEIN


def tan_g_per_day(protein_g_per_day: float, *, k: float = default("k_tan_adult")) -> float:
    """Ammonia nitrogen load, g/day = protein fed x k. `k` is g TAN per g protein (0-0.16). Raises OutOfRange."""
    check_not_negative(protein_g_per_day, "protein_g_per_day")
    check_range(k, "k", what="Ammonia per protein", low=0, high=N_PER_PROTEIN)
    return protein_g_per_day * k


def tan_range_g_per_day(
    protein_g_per_day: float, *, k: float = default("k_tan_adult"), half_width: float = default("tan_load_half_width")
) -> tuple[float, float]:
    """The load with its usual doubt, plus or minus 40 %. Raises OutOfRange."""
    check_fraction(half_width, "half_width")
    middle = tan_g_per_day(protein_g_per_day, k=k)
    return middle * (1 - half_width), middle * (1 + half_width)


def k_long_run(*, retained_share: float, vacuumed_share: float) -> float:
    """g TAN per g protein when solids stay in the system: 0.16 (1 - kept in growth and eggs - taken out with sludge).

    Raises OutOfRange, and BadQuantity when the shares come to more than all.
    """
    check_fraction(retained_share, "retained_share")
    check_fraction(vacuumed_share, "vacuumed_share")
    if retained_share + vacuumed_share > 1:
        raise BadQuantity(
            "Nitrogen kept and nitrogen vacuumed (retained_share, vacuumed_share) come to more than was fed."
        )
    return N_PER_PROTEIN * (1 - retained_share - vacuumed_share)


def k_fish_TE(*, assimilated: float = 0.80, excreted: float = 0.80, as_tan: float = 0.90) -> float:
    """The fish design chain of Timmons & Ebeling, 0.16 x 0.80 x 0.80 x 0.90; for comparison only. Raises OutOfRange."""
    for name, share in (("assimilated", assimilated), ("excreted", excreted), ("as_tan", as_tan)):
        check_fraction(share, name)
    return 0.16 * assimilated * excreted * as_tan


def soluble_n_g(*, fed_n_g: float, retained_share: float, vacuumed_n_g: float) -> float:
    """Nitrogen that ends dissolved over a long time, g: fed less kept less vacuumed; never below 0.

    Raises OutOfRange.
    """
    check_not_negative(fed_n_g, "fed_n_g")
    check_fraction(retained_share, "retained_share")
    check_not_negative(vacuumed_n_g, "vacuumed_n_g")
    return max(0.0, fed_n_g * (1 - retained_share) - vacuumed_n_g)


def vacuumed_n_share(*, solids_kg_per_kg_feed: float, sludge_n_share: float, feed_n_share: float) -> float:
    """Share of feed nitrogen that leaves with sludge: dry sludge per dry feed x its N over the feed's N.

    Raises OutOfRange.
    """
    check_not_negative(solids_kg_per_kg_feed, "solids_kg_per_kg_feed")
    check_fraction(sludge_n_share, "sludge_n_share")
    check_range(feed_n_share, "feed_n_share", what="Nitrogen in feed", low=0.001, high=0.2)
    return solids_kg_per_kg_feed * sludge_n_share / feed_n_share


def retained_share_from_growth(
    *, gain_g: float, fed_n_g: float, n_of_gain: float = default("nitrogen_of_gain")
) -> float:
    """Share of fed nitrogen kept as growth, from weighings. Above 1 means the feed log is short. Raises OutOfRange."""
    check_not_negative(gain_g, "gain_g")
    check_range(fed_n_g, "fed_n_g", what="Nitrogen fed", low=1e-9, high=1e9, unit="g")
    return gain_g * n_of_gain / fed_n_g


def excretion_LYH05(protein_ration_percent: float) -> Excretion:
    """Ammonia and urea of juvenile Pelodiscus at 30 degC by protein ration (% of body mass per day, 0-2.5).

    Lei, Ye & Hu 2005; decimals restored, and the regressions add up. n 20, r2 0.87, 0.90 and 0.66. Ammonia is held at 0
    below the ration where its line crosses it, so there total and parts differ. Raises OutOfRange.
    """
    check_range(protein_ration_percent, "protein_ration_percent", what="Protein ration", low=0, high=2.5, unit="%")
    return Excretion(
        total=3.6592 + 49.1775 * protein_ration_percent,
        ammonia=max(0.0, -1.1239 + 29.5939 * protein_ration_percent),
        urea=4.7831 + 19.5836 * protein_ration_percent,
    )


def gut_passage_h_P81(temp_c: float) -> float:
    """Hours from mouth to dropping in painted turtles, 16-34 degC (Parmenter 1981, r2 0.76). Raises OutOfRange."""
    check_range(temp_c, "temp_c", what="Temperature", low=16, high=34, unit="°C")
    return 131.53 - 3.33 * temp_c
