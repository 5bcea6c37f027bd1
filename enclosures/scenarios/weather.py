"""Water temperature of any day: indoors steady, outdoors by the season, the day's weather and one heat wave."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache

from enclosures.scenarios.rows import stream
from enclosures.scenarios.station import FIRST_OF_MONTH_C, INDOOR

_HEAT_WAVE = (date(2024, 7, 27), date(2024, 8, 4), 4.5)
_TUNNEL_C = 3.0
_SPELL_DAYS = 5  # weather comes in spells, not day by day


def water_temp_c(enclosure: str, day: date) -> float:
    if enclosure in INDOOR:
        return 25 + stream("indoors", enclosure, day).gauss(0, 0.7)
    found = season_c(day) + _weather(day)
    if _HEAT_WAVE[0] <= day <= _HEAT_WAVE[1]:
        found += _HEAT_WAVE[2]
    if enclosure == "P4":
        found += _TUNNEL_C
    return max(found + stream("pond", enclosure, day).gauss(0, 0.3), 1.0)


def season_c(day: date) -> float:
    """The ordinary pond temperature of the day, between the first of this month and the first of the next."""
    start = day.replace(day=1)
    after = (start + timedelta(days=32)).replace(day=1)
    share = (day - start).days / (after - start).days
    return FIRST_OF_MONTH_C[start.month - 1] * (1 - share) + FIRST_OF_MONTH_C[after.month - 1] * share


@cache
def _weather(day: date) -> float:
    """Departure from the season, SD 1.2 °C, the same over all ponds."""
    noise = [stream("weather", day - timedelta(days=back)).gauss(0, 1) for back in range(_SPELL_DAYS)]
    return 1.2 * sum(noise) / _SPELL_DAYS**0.5
