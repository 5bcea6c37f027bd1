from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from enclosures.figures.fillbar import fillbar_svg
from enclosures.figures.said_and_came import said_and_came_svg
from enclosures.figures.sparkline import sparkline_svg
from enclosures.forecast.inputs import Quantiles
from enclosures.forecast.past_forecasts import SaidInTenths
from tests.figures.charts import TODAY

Q = Quantiles(p10=0.75, p50=0.88, p90=1.03)


def shares(svg: str, cls: str) -> tuple[float, float]:
    """x and width of a rect in shares of the void; the axis ends at 110 %."""
    tag = re.search(rf'<rect class="{cls}"[^>]*>', svg)[0]
    x, width = (float(re.search(rf'{name}="([\d.]+)%"', tag)[1]) * 1.1 / 100 for name in ("x", "width"))
    return x, width


def test_fillbar_speaks_the_three_tones_of_sludge():
    svg = fillbar_svg(Q, 0.7)
    assert shares(svg, "f-low") == pytest.approx((0, 0.75), abs=0.001)
    assert shares(svg, "f-mid") == pytest.approx((0, 0.88), abs=0.001)
    assert shares(svg, "f-high") == pytest.approx((0.88, 0.15), abs=0.001)
    assert 'class="f-due" x1="63.64%"' in svg  # 0.7 / 1.1


def test_fillbar_of_a_measured_depth_is_all_dark():
    svg = fillbar_svg(Quantiles(p10=0.8, p50=0.8, p90=0.8))
    assert shares(svg, "f-low") == pytest.approx((0, 0.8), abs=0.001)
    assert "f-mid" not in svg
    assert "f-high" not in svg


def test_fillbar_of_an_unknown_filter_has_an_axis_and_no_sludge():
    svg = fillbar_svg(None)
    assert "f-due" in svg
    assert "<rect" not in svg


def test_fillbar_past_the_axis_stops_at_its_end():
    svg = fillbar_svg(Quantiles(p10=1.2, p50=1.5, p90=3.0))
    assert shares(svg, "f-low") == pytest.approx((0, 1.1), abs=0.001)
    assert shares(svg, "f-high") == pytest.approx((1.1, 0), abs=0.001)


def test_fillbar_is_hidden_from_readers_unless_it_is_named():
    assert 'aria-hidden="true"' in fillbar_svg(Q)
    assert 'aria-label="P1: 88 %"' in fillbar_svg(Q, label="P1: 88 %")
    assert "style=" not in fillbar_svg(Q)


VALUES = [(TODAY - timedelta(days=14 * i), 0.05) for i in range(20, -1, -1)]


def test_sparkline_draws_line_last_dot_and_look_line_where_it_fits():
    svg = sparkline_svg(VALUES, analyte="tan", look_lines=[0.5])
    assert svg.count("k-look") == 1
    assert "k-last" in svg
    assert "k-look" not in sparkline_svg(VALUES, analyte="tan", look_lines=[5.0])


def test_sparkline_grows_its_scale_for_a_high_reading():
    values = [*VALUES, (TODAY + timedelta(days=1), 8.0)]
    heights = [
        float(y)
        for y in re.findall(
            r" ([\d.]+)(?= |\")", re.search(r'points="([^"]+)"', sparkline_svg(values, analyte="tan"))[0]
        )
    ]
    assert min(heights) >= 0


@pytest.mark.parametrize("values", [[], [(date(2025, 1, 1), 1.0)]])
def test_sparkline_copes_with_next_to_nothing(values):
    assert sparkline_svg(values).startswith("<svg")


def test_the_bar_of_a_share_ends_where_it_came_and_is_marked_where_it_was_said():
    """Said 8 in 10, came 15 of 20; luck alone allows 60 to 100 %."""
    share = SaidInTenths(tenths=8, n=20, n_by=15, n_fillings=5, low=0.6, high=1.0)
    svg = said_and_came_svg(share)
    assert '<rect class="s-came" x="0" y="30%" width="75.0%"' in svg
    assert '<line class="s-said" x1="80.0%"' in svg
    assert '<rect class="s-luck" x="60.0%" y="0" width="40.0%"' in svg
    assert 'aria-hidden="true"' in svg
