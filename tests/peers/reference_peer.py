"""Copper computed again: gauge areas in decimal arithmetic, heating in a short by integrating its heat balance numerically, and what a
wire can carry by the written rule. The figures of the program come from its own test program in one batch file."""

import bisect
import collections
import decimal
import functools
import math
import os
import pathlib
import subprocess
import sys
import tempfile

from scipy.integrate import quad

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

PI = decimal.Decimal("3.14159265358979323846264338327950288")

# 33 CFR 183.425 Table 5, 30 C ambient: amps by insulation class.
TABLE_5 = {
    "18": "10 10 15 20 20 25 25", "16": "15 15 20 25 25 30 35", "14": "20 20 25 30 35 40 45", "12": "25 25 35 40 45 50 55",
    "10": "40 40 50 55 60 70 70", "8": "55 65 70 70 80 90 100", "6": "80 95 100 100 120 125 135",
    "4": "105 125 130 135 160 170 180", "3": "120 145 150 155 180 195 210", "2": "140 170 175 180 210 225 240",
    "1": "165 195 210 210 245 265 280", "1/0": "195 230 245 245 285 305 325", "2/0": "225 265 285 285 330 355 370",
    "3/0": "260 310 330 330 385 410 430", "4/0": "300 360 385 385 445 475 510",
}
CLASSES = [60, 75, 80, 90, 105, 125, 200]
# Common practice below 18 AWG, 105 C class: effective area (ISO 6722 resistance; SAE 18 by its circular mils), amps.
SMALL = [(1e3 / 58 / 84.8, 5), (1e3 / 58 / 54.4, 9), (1e3 / 58 / 37.1, 12), (1e3 / 58 / 24.7, 15),
         (1537 * math.pi / 4 * 0.0254 ** 2, 17)]


@functools.cache
def gauge_area(name):
    """mm2 by ASTM B258, in 40 decimal digits."""
    number = 1 - int(name[:-2]) if name.endswith("/0") else int(name)
    with decimal.localcontext() as context:
        context.prec = 40
        inches = decimal.Decimal("0.005") * decimal.Decimal(92) ** (decimal.Decimal(36 - number) / 39)
        return PI / 4 * (inches * decimal.Decimal("25.4")) ** 2


def heating_time(mm2, amps, start, end):
    """Seconds until copper is at `end`, nothing lost: volumetric heat 3.45e-3 J/(K mm3), resistivity 17.241e-6 ohm mm
    rising straight from -234.5 C (constants of IEC 60949, from memory)."""
    def seconds_per_kelvin(temperature):
        resistivity = 17.241e-6 * (temperature + 234.5) / 254.5
        return 3.45e-3 / ((amps / mm2) ** 2 * resistivity)

    return quad(seconds_per_kelvin, start, end, epsrel=1e-10)[0]


def carried(mm2, insulation, place):
    rows = SMALL + [(float(gauge_area(awg)), [float(a) for a in amps.split()]) for awg, amps in TABLE_5.items()]
    above = bisect.bisect_right([area for area, _ in rows], mm2)
    share = 1
    if above < len(rows) and isinstance(rows[above][1], list) and mm2 >= rows[above][0] * 0.96:
        share = mm2 / rows[above][0]  # sold as that size, with a little less copper
        above += 1
    row = rows[above - 1][1]
    column = bisect.bisect_right(CLASSES, insulation) - 1
    if isinstance(row, list):
        amps = row[column]
    else:
        thin = [float(a) for a in TABLE_5["18"].split()]
        amps = row * min(1, thin[column] / thin[4], math.sqrt((insulation - 30) / 75))
    return amps * share * math.sqrt(min(1, max(0, insulation - place) / (insulation - 30)))


class Reference(suite.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.rows = collections.defaultdict(list)
        with tempfile.NamedTemporaryFile() as file:
            subprocess.run([suite.PROGRAM.parent / "reference_tests", "--test-case=the batch for the peer"], check=True,
                           stdout=subprocess.DEVNULL, env={**os.environ, "LOOMPROOF_BATCH": file.name})
            for line in pathlib.Path(file.name).read_text().splitlines():
                kind, *fields = line.split()
                cls.rows[kind].append(fields)

    def close(self, got, wanted, share, about):
        self.assertLessEqual(abs(got - wanted), share * abs(wanted) + 1e-12, about)

    def test_gauge_areas_and_resistances(self):
        self.assertEqual(len(self.rows["awg"]), 30)
        for name, mm2, ohm_per_m in self.rows["awg"]:
            area = gauge_area(name)
            self.close(float(mm2), float(area), 1e-14, name)
            self.close(float(ohm_per_m), float(1 / (58 * area)), 1e-14, name)

    def test_heating_in_a_short(self):
        self.assertGreater(len(self.rows["short"]), 50)
        for fields in self.rows["short"]:
            mm2, amps, start, end, seconds = map(float, fields)
            # 226 is a rounded constant: the exact one is 225.67.
            self.close(seconds, heating_time(mm2, amps, start, end), 4e-3, fields)

    def test_what_a_wire_can_carry(self):
        self.assertGreater(len(self.rows["carry"]), 5000)
        for fields in self.rows["carry"]:
            mm2, insulation, place, amps = map(float, fields)
            self.close(amps, carried(mm2, insulation, place), 1e-12, fields)


if __name__ == "__main__":
    suite.main()
