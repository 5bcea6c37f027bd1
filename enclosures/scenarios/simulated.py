"""Simple invented facilities of any size, to measure with: n filters, n years of ordinary records, as rows for the importer."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from random import Random

from enclosures.scenarios.plain_void import PlainVoid
from enclosures.scenarios.rows import ZONE, Row, Tables, clock, days, entry_id, row, stamp

_CLIMATE = (4.5, 6.5, 10.5, 15.5, 20.5, 24.5, 25.5, 23, 18, 12, 7, 4.5)
_FED_ON = (1, 3, 5, 6)  # weekdays
_EMPTIED_AT = 0.75
_RESIDUAL = 0.07


def simulated_tables(*, n_filters: int, n_years: int, until: date, seed: int = 1) -> Tables:
    """A facility SIM with `n_filters` enclosures of one filter each and `n_years` (>= 1) of records up to `until`.

    Raises ValueError for less than one filter or year.
    """
    if n_filters < 1 or n_years < 1:
        raise ValueError("A facility needs at least one filter and one year.")
    tables: Tables = {
        name: []
        for name in (
            "facility", "enclosures", "filters", "filter_builds", "taxa", "animals", "stays", "measurements", "food_items",
            "feedings", "water_tests", "soundings", "flow_checks", "cleanouts",
        )
    }  # fmt: skip
    tables["facility"].append(row(code="SIM", name="Simulated facility", time_zone=str(ZONE)))
    tables["taxa"].append(row(taxon="Testudo simulata", common_name="invented turtle", feeding_stops_below_c=14))
    tables["food_items"].append(
        row(food_item="pellet", name="Pellet", food_class="pellet", moisture_percent=8, protein_percent=40)
    )
    first = until - timedelta(days=365 * n_years)
    for n in range(1, n_filters + 1):
        _Place(n, first=first, until=until, seed=seed).write(tables)
    return tables


class _Place:
    """One enclosure with its filter, living through its years day by day."""

    def __init__(self, n: int, *, first: date, until: date, seed: int) -> None:
        self.code = f"E{n:04d}"
        self.first, self.until = first, until
        self.draw = Random(f"simulated {seed} {n}")
        self.is_indoor = n % 2 == 0
        self.area_m2 = round(self.draw.uniform(0.1, 0.5), 3)
        self.void_mm = float(self.draw.choice((100, 120, 150, 200)))
        self.surface_m2 = 1.5 if self.is_indoor else round(self.draw.uniform(5, 15), 1)
        # about one to two years from empty to due
        full_l = self.area_m2 * 0.8 * self.void_mm
        self.dry_g = full_l * self.draw.uniform(0.7, 1.6)
        self.stock_g = self.dry_g / 0.011
        self.void = PlainVoid(self.area_m2 * 0.8, self.void_mm, 0 if self.is_indoor else 150 * self.surface_m2)

    def write(self, tables: Tables) -> None:
        self._write_place(tables)
        for day in days(self.first, self.until):
            temp_c = self._temp_c(day)
            fed_g = 0.0
            if day.weekday() in _FED_ON and (warmth := self._warmth(temp_c)):
                as_fed_g = round(self.dry_g * warmth * self.draw.lognormvariate(0, 0.15) / 0.92, 1)
                fed_g = as_fed_g * 0.92
                tables["feedings"].append(self._feeding(day, as_fed_g))
            self.void.live_a_day(dry_feed_g=fed_g, temp_c=temp_c, month=day.month)
            for name, found in self._readings(day, temp_c):
                tables[name].append(found)

    def _write_place(self, tables: Tables) -> None:
        code, animal = self.code, f"S-{self.code}"
        tables["enclosures"].append(
            row(enclosure=code, kind="tank" if self.is_indoor else "pond", indoor=self.is_indoor, surface_m2=self.surface_m2,
                water_volume_l=round(self.area_m2 * 8000), litter_level="none" if self.is_indoor else "near",
                litter_g_m2_year=None if self.is_indoor else 150)
        )  # fmt: skip
        tables["filters"].append(row(filter=f"{code}-F", enclosure=code, kind="upflow", commissioned_on=self.first))
        tables["filter_builds"].append(
            row(filter=f"{code}-F", valid_from=self.first, chamber_area_m2=self.area_m2, void_height_mm=self.void_mm,
                usable_fraction=0.8, baseline_flow_l_per_h=round(self.area_m2 * 5500), baseline_head_mm=12)
        )  # fmt: skip
        tables["animals"].append(row(animal=animal, taxon="Testudo simulata", sex="unknown"))
        tables["stays"].append(row(animal=animal, enclosure=code, from_at=self.first))
        tables["measurements"].append(
            self._event("weighing", self.first, "10:00", animal=animal, mass_g=round(self.stock_g))
        )

    def _temp_c(self, day: date) -> float:
        if self.is_indoor:
            return self.draw.gauss(24.5, 0.7)
        return max(_CLIMATE[day.month - 1] + self.draw.gauss(0, 1.5), 1.0)

    @staticmethod
    def _warmth(temp_c: float) -> float:
        return 0.0 if temp_c < 14 else min(0.4 + 0.6 * (temp_c - 14) / 5, 1.0)

    def _readings(self, day: date, temp_c: float) -> Iterator[tuple[str, Row]]:
        """Tests every other Thursday, flow monthly, the rod four times a year, and a cleanout when it shows three quarters."""
        turn = day.toordinal() + int(self.code[1:])
        if day.weekday() == 3 and turn // 7 % 2 == 0:
            yield from (("water_tests", found) for found in self._test(day, temp_c))
        if turn % 30 == 0:
            share = 1 - 0.2 * min(self.void.fill, 1)
            flow = self.area_m2 * 5500 * share * self.draw.gauss(1, 0.02)
            yield "flow_checks", self._event(
                "flow", day, "11:00", filter=f"{self.code}-F", flow_l_per_h=round(flow),
                head_difference_mm=round(12 + 8 * min(self.void.fill, 1.2)), odour=0,
            )  # fmt: skip
        if turn % 91 == 0:
            yield from (("soundings", found) for found in self._sounding(day))
            if self.void.fill >= _EMPTIED_AT:
                yield "cleanouts", self._cleanout(day)

    def _feeding(self, day: date, offered_g: float) -> Row:
        return self._event(
            "feeding", day, "07:45", enclosure=self.code, food_item="pellet", offered_g=offered_g, line=1, slot="am",
            eaten=self.draw.choices(("all", "most", "some", "none"), (0.72, 0.17, 0.08, 0.03))[0],
        )  # fmt: skip

    def _test(self, day: date, temp_c: float) -> list[Row]:
        tan = round(max(self.draw.gauss(0.05, 0.02), 0.01), 2)
        said = (("temperature", round(temp_c, 1), "degC", ""), ("tan", tan, "mg/L", "N"))
        return [
            self._event(
                "test", day, "15:30", enclosure=self.code, place="tank", analyte=analyte, value=value, unit=unit,
                expressed_as=basis, reading=n,
            )
            for n, (analyte, value, unit, basis) in enumerate(said, start=1)
        ]  # fmt: skip

    def _rod_mm(self) -> float:
        depth = self.void.depth_mm * self.draw.gauss(1, 0.08) + self.draw.gauss(0, 2)
        return float(round(min(max(depth, 0), self.void_mm)))

    def _sounding(self, day: date) -> list[Row]:
        depth = self._rod_mm()
        qualifier = ">=" if math.isclose(depth, self.void_mm) else ""
        return [
            self._event(
                "sounding", day, "10:05", filter=f"{self.code}-F", depth_mm=depth, qualifier=qualifier, reading=1
            )
        ]

    def _cleanout(self, day: date) -> Row:
        before, litres = self._rod_mm(), self.void.litres
        self.void.empty(left=_RESIDUAL)
        return self._event(
            "cleanout", day, "14:00", filter=f"{self.code}-F", outcome="full", depth_before_mm=before,
            depth_after_mm=round(self.void.depth_mm), slurry_l=round(2.6 * litres),
        )  # fmt: skip

    def _event(self, kind: str, day: date, at: str, **said: object) -> Row:
        moment: datetime = clock(day, at)
        return row(
            entry=entry_id("simulated", kind, self.code, day), occurred_at=stamp(moment), entered_at=stamp(moment),
            entered_by="SIM", how="round", **said,
        )  # fmt: skip
