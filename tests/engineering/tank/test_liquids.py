"""How much liquids expand, against published answers."""

import pytest

from engineering.tank import LIQUIDS, LinearExpansion, PetroleumExpansion, WaterExpansion


def test_five_litres_of_petrol_warmed_by_ten_degrees():
    """A university's published answer: 0.00095 per °C makes 5 L into 5.0475 L."""
    assert 5 * LinearExpansion(0.00095).volume_ratio(10, 20) == pytest.approx(5.0475, abs=5e-5)


def test_a_textbook_cubic_metre_of_petrol():
    """Serway, College Physics, chapter 10: 0.00096 per °C, 730 kg/m³ at 0 °C, warmed to 20 °C.

    Answers 1.0192 m³, 716.2 kg/m³, and 0.52 kg less in 0.0380 m³ (from memory of the book, three figures).
    """
    ratio = LinearExpansion(0.00096).volume_ratio(0, 20)
    assert ratio == pytest.approx(1.0192, abs=5e-5)
    assert 730 / ratio == pytest.approx(716.2, abs=0.05)
    assert 0.0380 * (730 - 730 / ratio) == pytest.approx(0.52, abs=0.005)


@pytest.mark.parametrize(
    ("density", "alpha", "factor_35", "factor_50"),
    [
        (720, 0.00127770, 0.97426, 0.95474),
        (745, 0.00121315, 0.97557, 0.95705),
        (750, 0.00120093, 0.97582, 0.95748),
        (775, 0.00109943, 0.97787, 0.96111),
        (832, 0.00085889, 0.98274, 0.96969),
        (845, 0.00083724, 0.98317, 0.97045),
    ],
)
def test_petroleum_expands_as_table_54b_says(density, alpha, factor_35, factor_50):
    """API MPMS 11.1 table 54B, worked out apart from this code with the same published constants."""
    law = PetroleumExpansion(density)
    assert law.per_c == pytest.approx(alpha, abs=5e-9)
    assert law.correction(35) == pytest.approx(factor_35, abs=5e-6)
    assert law.correction(50) == pytest.approx(factor_50, abs=5e-6)
    assert law.volume_ratio(15, 50) == pytest.approx(1 / factor_50, abs=1e-5)


def test_modern_petrol_expands_more_than_the_school_figure():
    """Sizing on the school figure 0.00095 per °C would leave a fifth too little space."""
    assert LIQUIDS["petrol"].expansion.volume_ratio(15, 50) > LinearExpansion(0.00095).volume_ratio(15, 50)
    assert LIQUIDS["petrol"].expansion.volume_ratio(15, 50) - 1 == pytest.approx(0.0474, abs=5e-5)


@pytest.mark.parametrize(
    ("density", "by_98", "by_100", "by_97"),
    [(745, 93.79, 95.70, 92.83), (720, 93.56, 95.47, 92.61), (832, 95.03, 96.97, 94.06)],
)
def test_the_fill_limits_of_the_dangerous_goods_rules(density, by_98, by_100, by_97):
    """ADR 4.1.1.4 and 4.3.2.2.1(a), and UN 4.2.1.9.2: k/(1 + α(50 − t_F)) %, α = (d15 − d50)/(35·d50).

    Filled at 15 °C; the densities at 15 and 50 °C from table 54B, worked out apart from this code.
    """
    law = PetroleumExpansion(density)
    d50 = density / law.volume_ratio(15, 50)
    alpha = (density - d50) / (35 * d50)
    for k, percent in ((98, by_98), (100, by_100), (97, by_97)):
        assert k / (1 + alpha * (50 - 15)) == pytest.approx(percent, abs=0.0051)


WATER_KG_M3 = {0: 999.8, 10: 999.7, 15: 999.1, 20: 998.2, 25: 997.0, 50: 988.0, 55: 985.7, 60: 983.2,
               65: 980.6, 70: 977.8, 80: 971.8, 100: 958.4}  # fmt: skip


@pytest.mark.parametrize("temperature_c", WATER_KG_M3)
def test_water_is_as_dense_as_handbook_tables_say(temperature_c):
    """Density of water at 1 atm, the table to one decimal that handbooks share (IAPWS-95).

    Older tables with four decimals stand 0.003 kg/m³ higher near 10 °C: they take 999.972 at the maximum.
    """
    published = WATER_KG_M3[temperature_c]
    assert WaterExpansion().density_kg_m3(temperature_c) == pytest.approx(published, abs=0.05)


@pytest.mark.parametrize("name", LIQUIDS)
def test_every_liquid_says_where_its_figures_come_from(name):
    liquid = LIQUIDS[name]
    assert liquid.source
    assert liquid.lightest_kg_m3 <= liquid.density_kg_m3 <= liquid.heaviest_kg_m3
    assert liquid.coldest_c < liquid.hottest_c


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("petrol", 720, 775),  # EN 228
        ("diesel", 820, 845),  # EN 590, temperate grades
        ("engine_oil", 850, 890),  # Crane TP-410 example 7.24 has 858.6
    ],
)
def test_densities_stay_within_their_standards(name, low, high):
    assert (LIQUIDS[name].lightest_kg_m3, LIQUIDS[name].heaviest_kg_m3) == (low, high)
    assert low <= LIQUIDS[name].density_kg_m3 <= high
