"""The model against its own earlier tables ("computed": they check that nothing moved, not truth).

Made by a trial of the same equations with resin of 1.15 g/ml and other steps; now 1.14 g/ml.
"""

import numpy as np
import pytest

from lacwright.drying import Board, Task, WetCoat, dry_many

pytestmark = pytest.mark.crosscheck

SPIRIT_190 = {"ethanol": 92.4176, "water": 7.5824}
FLAT, TALL = Board(), Board(vertical=True)
COATS = {"pad": (12, FLAT), "thin": (40, FLAT), "spray": (60, TALL), "brush": (100, FLAT)}
# touch, print-free, recoat [min], sandable [h], film minimum [C], haze index at touch-dry.
TABLE = {
    ("20 C 45 %", "pad"): (0.98, 1.17, 1.7, 0.153, 17.5, 0.27),
    ("20 C 45 %", "thin"): (3.5, 5.9, 11.5, 1.6, 16.1, 0.34),
    ("20 C 45 %", "spray"): (4.5, 10.1, 22.7, 3.4, 15.2, 0.40),
    ("20 C 45 %", "brush"): (9.4, 25.1, 60.4, 9.4, 14.8, 0.44),
    ("30 C 45 %", "pad"): (0.53, 0.75, 1.23, 0.187, 26.6, 0.27),
    ("30 C 45 %", "brush"): (5.5, 21.4, 53.8, 12.2, 23.0, 0.58),
    ("10 C 45 %", "thin"): (6.5, 8.6, 14.5, 1.6, 7.2, 0.31),
    ("10 C 45 %", "brush"): (16.9, 31.5, 69.2, 9.1, 6.3, 0.37),
    ("air 0.5 m/s", "spray"): (3.1, 8.8, 21.4, 3.4, 14.2, 0.49),
    ("air 0.5 m/s", "brush"): (5.7, 21.9, 57.3, 9.4, 13.4, 0.62),
}
ROOMS = {"20 C 45 %": (20, 0.45, 0.1), "30 C 45 %": (30, 0.45, 0.1), "10 C 45 %": (10, 0.45, 0.1),
         "air 0.5 m/s": (20, 0.45, 0.5)}  # fmt: skip


@pytest.mark.parametrize(("room", "coat"), TABLE)
def test_computed_table(room, coat):
    touch, printed, recoat, sand, film, haze = TABLE[room, coat]
    (wet, board), (temp, rh, speed) = COATS[coat], ROOMS[room]
    told = dry_many(tasks=[Task(WetCoat(wet, 2, SPIRIT_190), (), board)], temp_c=temp, rh=rh,
                    speed_m_s=speed, until="sandable")  # fmt: skip
    # 1 % less resin, times to two digits, other steps: 5 % of a time, 0.15 K, 0.04 of the index.
    assert told.touch_dry_s[0, 0] / 60 == pytest.approx(touch, rel=0.05)
    assert told.print_free_s[0, 0] / 60 == pytest.approx(printed, rel=0.05)
    assert told.recoat_s[0, 0] / 60 == pytest.approx(recoat, rel=0.05)
    assert told.sandable_s[0, 0] / 3600 == pytest.approx(sand, rel=0.07)
    assert told.film_min_c[0, 0] == pytest.approx(film, abs=0.15)
    assert told.haze_index[0, 0] == pytest.approx(haze, abs=0.04)


CRITICAL = {  # per cent, 20 C: haze index 1, and the dew point; the lower of the two decides
    "maple, still air": (Board(), 0.1, SPIRIT_190, 65, 77),
    "spruce 2.8 mm free": (Board("spruce", 2.8, True), 0.1, SPIRIT_190, 59, 72),
    "air 0.5 m/s": (Board(), 0.5, SPIRIT_190, 59, 71),
    "200 proof": (Board(), 0.1, {"ethanol": 1}, 77, 77),
    "3 K colder": (Board(temp_c=17), 0.1, SPIRIT_190, 59, 72),
    "methanol": (Board(), 0.1, {"methanol": 1}, 60, 69),
    "isopropanol 99": (Board(), 0.1, {"isopropanol": 99, "water": 1}, 87, 78),
    "5 % n-butanol": (Board(), 0.1, {"ethanol": 87.8, "water": 7.2, "n-butanol": 5}, 75, 78),
}


@pytest.mark.parametrize("name", CRITICAL)
def test_computed_critical_humidity_of_a_brush_coat(name):
    board, speed, alcohol, haze, dew = CRITICAL[name]
    rh = np.arange(0.40, 0.99, 0.01)
    told = dry_many(tasks=[Task(WetCoat(100, 2, alcohol), (), board)], temp_c=20, rh=rh,
                    speed_m_s=speed, until="touch_dry")  # fmt: skip
    at = np.interp(1.0, told.haze_index[:, 0], rh)
    below = np.interp(0.0, -told.dew_margin_k[:, 0], rh)
    # Printed to 1 point; other steps move the haze index by a point of humidity. The trial does
    # not state how methanol and butanol take to the resin; as much as ethanol is a guess here.
    loose = {"methanol": 4, "5 % n-butanol": 3}.get(name, 1.6)
    assert 100 * at == pytest.approx(haze, abs=loose)
    # Nor how the cold piece was chilled through.
    assert 100 * below == pytest.approx(dew, abs=2.2 if name == "3 K colder" else 1.6)
