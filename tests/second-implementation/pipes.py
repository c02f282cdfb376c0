"""Flow in pipes worked out a second time, apart from the product: sheets, intermediates, results.

    python3 tests/second-implementation/pipes.py > tests/second-implementation/pipes.json

Written from the text of the method, with the standard library only. It shares no code with the product and works
otherwise: a sheet is a function of its errors, and the effect of an error is found by a complex step, where the product
carries declared derivatives through a graph. Units in and out are SI unless a name says otherwise.
"""

import cmath
import json
import math
import sys

sys.dont_write_bytecode = True

from complex_step import solve

INCH = 0.0254
FOOT = 0.3048
GPM = 231 * INCH**3 / 60
ACRE_FOOT = 43560 * FOOT**3
G = 9.80665


def density(celsius):
    """Water, kg/m3 (Kell 1975)."""
    t = celsius
    top = (999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3
           + 105.56302e-9 * t**4 - 280.54253e-12 * t**5)
    return top / (1 + 16.87985e-3 * t)


def measured_diameter(diameter, e, name, from_table=False):
    size = complex(diameter).real
    half = 0.01 * size if from_table else max(0.001, 0.005 * size)
    return diameter + e(name + " diameter", half / math.sqrt(3))


def from_outside(outside, wall, lining=0.0):
    return outside - 2 * wall - 2 * lining


def area_of(diameter):
    return math.pi * diameter**2 / 4


def repeats(values, e, name):
    """Mean of repeats: their scatter, or the step of the display where that is larger (1 % of what is shown)."""
    n = len(values)
    mean = sum(values) / n
    scatter = 0.0
    if n > 1:
        scatter = math.sqrt(sum((v - mean) ** 2 for v in values) / (n - 1)) / math.sqrt(n)
    step = 0.01 * abs(mean) / math.sqrt(12)
    return mean + e(name + " random", max(scatter, step))


def scale(share, e, instrument):
    return 1 + e("scale of " + instrument, share)


def short_run(straight, diameter, e, name):
    """Half a percent for each missing quarter of eight diameters."""
    have = complex(straight / diameter).real
    if have >= 8:
        return 1.0
    return 1 + e(name + " short run", 0.005 * math.ceil((8 - have) / 8 * 4 - 1e-9))


def zero_taken_off(shown, zero, e, name):
    return shown - (zero + e(name + " zero", 0.2 * abs(zero)))


def air_over_water(celsius, given, e):
    """Share of an inch of water that balances the velocity head, air at 15 degC and atmospheric pressure above it."""
    t = celsius + e("temperature", (1 if given else 10) / math.sqrt(3))
    return 1 - 101325 / (287.05 * 288.15) / density(t)


def liquid(relative, e):
    s = relative + e("liquid", 0.005 * relative / math.sqrt(3))
    return s - 1 if relative > 1 else 1 - s


def tube(coefficient, e, name):
    return coefficient * (1 + e("tube " + name, 0.015))


def speed(coefficient, column, factor):
    return coefficient * cmath.sqrt(2 * G * column * factor)


def centre_velocity(columns, kind, step, coefficient, factor, e, name):
    """Centre velocity from one value, the ends of a swing, or repeats; columns and step in m."""
    u = step / math.sqrt(12)
    if kind == "value":
        return speed(coefficient, columns[0] + e(name + " step", u), factor)
    if kind == "swing":
        low, high = columns
        column = (low + high) / 2 + e(name + " step", u) + e(name + " swing", (high - low) / 2 / math.sqrt(3))
        return speed(coefficient, column, factor)
    n = len(columns)
    plain = [complex(speed(coefficient, c, factor)).real for c in columns]
    mean = sum(plain) / n
    scatter = math.sqrt(sum((v - mean) ** 2 for v in plain) / (n - 1)) / math.sqrt(n)
    of_step = sum(v / (2 * c) * u for v, c in zip(plain, columns)) / n
    if scatter > of_step:
        return sum(speed(coefficient, c, factor) for c in columns) / n + e(name + " scatter", scatter)
    shared = e(name + " step", u)
    return sum(speed(coefficient, c + shared, factor) for c in columns) / n


def pipe_factor(given, e):
    return given * (1 + e("pipe factor", 0.03)) if given else 0.82 * (1 + e("pipe factor", 0.05))


def fluctuation(e, name):
    return 1 + e(name + " fluctuation", 0.003)


def register(start, end, modulus, multiplier, digit, elapsed, e, name):
    """Flow in m3/s from two readings of a register in m3."""
    volume = (end - start + (modulus if end < start else 0)) * multiplier
    volume = volume + e(name + " digit", digit * multiplier / math.sqrt(6))
    return volume / (elapsed + e(name + " timing", 0.15))


# Parts of sheets

def q(value, unit):
    return {"value": value, "unit": unit}


def inches(*values):
    return [q(v, "in") for v in values]


def gpm(*values):
    return [q(v, "gpm") for v in values]


def sheet_of(run, instrument=None):
    sheet = {"plant": "AM-90", "kind": "well", "purpose": "flow-and-power", "testedOn": "2026-06-02", "tester": "T-09",
             "runs": [run]}
    if instrument:
        sheet["instruments"] = {"flow": instrument}
    return sheet


CASES = []


def case(name, run, model, instrument=None):
    """A sheet, what a model makes of it, and the steps in between that a model notes, by the id of their formula."""
    notes = {}
    solved = solve(lambda e: model(e, notes))
    if "comparison-flow" in solved or "growers-meter-flow" in solved:
        notes["relative-flow-difference"] = solved.get("flow-difference", solved.get("growers-meter-error"))[0]
    elif run["flow"]["method"] == "several-pipes":
        notes.setdefault("sum-of-flows", solved["flow"][0])
    CASES.append({
        "id": name,
        "sheet": sheet_of(run, instrument),
        "results": {"run0": {key: value for key, (value, _) in solved.items()}},
        "standardUncertainties": {"run0": {key: u for key, (_, u) in solved.items()}},
        "intermediates": {key: complex(value).real for key, value in notes.items()},
    })


# 1 centre line, the edition's factor, air over water, temperature not read

def centre_default(e, notes):
    diameter = measured_diameter(9.95 * INCH, e, "pipe")
    factor = air_over_water(15, False, e)
    centre = centre_velocity([3.4 * INCH], "value", 0.1 * INCH, tube(1.0, e, "any"), factor, e, "centre")
    mean = pipe_factor(None, e) * centre * fluctuation(e, "centre")
    notes.update({"manometer-factor-air": factor, "pitot-velocity": centre, "profile-velocity": mean})
    return {"flow": mean * area_of(diameter)}


AIR = {"fluid": "air-over-water"}
case("centre-line-default-factor", {
    "flow": {"method": "centre-line-velocity", "pipe": {"insideDiameters": inches(9.95), "diameterBasis": "measured"},
             "tube": {"coefficient": q(1, "1")}, "manometer": AIR, "centre": {"value": 3.4, "unit": "in"}},
}, centre_default)


# 2 centre line, factor of an earlier traverse, a swing, heavy liquid, short straight run, diameter from a table

def centre_swing(e, notes):
    diameter = measured_diameter(202.7e-3, e, "pipe", from_table=True)
    factor = liquid(2.95, e)
    centre = centre_velocity([0.038, 0.044], "swing", 0.002, tube(0.84, e, "pit"), factor, e, "centre")
    mean = pipe_factor(0.795, e) * centre * fluctuation(e, "centre") * short_run(1.1, 202.7e-3, e, "pipe")
    notes.update({"manometer-factor-fluid": factor, "pitot-velocity": centre, "profile-velocity": mean})
    return {"flow": mean * area_of(diameter)}


case("centre-line-swing-under-water", {
    "flow": {"method": "centre-line-velocity",
             "pipe": {"insideDiameters": [q(202.7, "mm")], "diameterBasis": "pipe-table",
                      "straightUpstream": q(1.1, "m")},
             "tube": {"coefficient": q(0.84, "1"), "instrument": "pit-3"},
             "manometer": {"fluid": "liquid-under-water", "relativeDensity": q(2.95, "1"), "resolution": q(2, "mm")},
             "centre": {"low": 38, "high": 44, "unit": "mm"}, "pipeFactor": q(0.795, "1")},
}, centre_swing)


# 3 centre line, repeats, pipe measured round the outside, stem of the tube taken off

def centre_repeats(e, notes):
    inside = from_outside(858e-3 / math.pi, 6.4e-3, 1.5e-3)
    diameter = measured_diameter(inside, e, "pipe")
    factor = air_over_water(18, True, e)
    columns = [0.071, 0.078, 0.066, 0.083]
    centre = centre_velocity(columns, "repeats", 0.001, tube(0.995, e, "any"), factor, e, "centre")
    mean = pipe_factor(0.81, e) * centre * fluctuation(e, "centre")
    blocked = 9.5e-3 * 0.128
    left = area_of(diameter) - blocked - e("stem", 0.2 / math.sqrt(3) * blocked)
    notes.update({"diameter-from-outside": inside, "pipe-area": area_of(inside),
                  "area-beside-probe": area_of(inside) - blocked, "profile-velocity": mean})
    return {"flow": mean * left}


case("centre-line-repeats-circumference-stem", {
    "waterTemperature": q(18, "degC"),
    "flow": {"method": "centre-line-velocity",
             "pipe": {"outsideCircumference": q(858, "mm"), "wallThickness": q(6.4, "mm"),
                      "liningThickness": q(1.5, "mm"), "diameterBasis": "outside-and-wall",
                      "probeStem": {"width": q(9.5, "mm"), "immersion": q(128, "mm")}},
             "tube": {"coefficient": q(0.995, "1")}, "manometer": {**AIR, "resolution": q(1, "mm")},
             "centre": {"repeats": [71, 78, 66, 83], "unit": "mm"}, "pipeFactor": q(0.81, "1")},
}, centre_repeats)


# 4 clamp-on rate with a zero, sensors where they should be

def clamp_zero(e, notes):
    shown = repeats([v * GPM for v in (842, 846, 839)], e, "rates")
    moving = zero_taken_off(shown, 6.5 * GPM, e, "rates")
    notes.update({"mean-rate": shown, "zeroed-rate": moving})
    return {"flow": moving * scale(0.02, e, "clamp")}


STEEL = {"outsideDiameter": q(8.625, "in"), "wallThickness": q(0.25, "in"), "diameterBasis": "outside-and-wall"}
case("clamp-on-rate-with-zero", {
    "flow": {"method": "ultrasonic-rate", "pipe": STEEL, "rates": gpm(842, 846, 839), "zeroFlow": q(6.5, "gpm"),
             "pipeMaterial": "steel", "lining": "none", "mounting": "v", "signalShare": q(0.8, "1"),
             "spacingAsked": q(7.1, "in"), "spacingSet": q(7.15, "in"), "instrument": "clamp-2"},
}, clamp_zero)


# 5 clamp-on rate, sensors too far apart: the scale is less known

def clamp_spacing(e, notes):
    shown = repeats([v * GPM for v in (842, 846, 839)], e, "rates")
    notes.update({"mean-rate": shown})
    return {"flow": shown * scale(0.03, e, "clamp")}


case("clamp-on-rate-spacing-off", {
    "flow": {"method": "ultrasonic-rate", "pipe": STEEL, "rates": gpm(842, 846, 839), "mounting": "z",
             "spacingAsked": q(7.1, "in"), "spacingSet": q(7.3, "in"), "instrument": "clamp-2"},
}, clamp_spacing)


# 6 clamp-on velocity with a zero, lining not measured, factor of the certificate

def clamp_velocity(e, notes):
    diameter = measured_diameter(from_outside(273e-3, 7.8e-3), e, "pipe")
    shown = repeats([1.512, 1.498], e, "velocities")
    moving = zero_taken_off(shown, -0.011, e, "velocities") * scale(0.03, e, "any clamp")
    notes.update({"zeroed-velocity": moving, "pipe-area": area_of(diameter)})
    return {"flow": 0.985 * moving * area_of(diameter)}


case("clamp-on-velocity-lined", {
    "flow": {"method": "ultrasonic-velocity",
             "pipe": {"outsideDiameter": q(273, "mm"), "wallThickness": q(7.8, "mm"),
                      "diameterBasis": "outside-and-wall"},
             "velocities": [q(1.512, "m/s"), q(1.498, "m/s")], "zeroFlow": q(-0.011, "m/s"),
             "lining": "cement-mortar", "pipeMaterial": "ductile-iron", "mounting": "w",
             "correctionFactor": q(0.985, "1")},
}, clamp_velocity)


# 7 two pipes read with one clamp-on meter: its scale error is common

def two_one_instrument(e, notes):
    meter = scale(0.02, e, "clamp-2")
    first = repeats([v * GPM for v in (421, 424)], e, "first") * meter
    second = repeats([v * GPM for v in (388, 380)], e, "second") * meter
    return {"flow": first + second}


def clamp_on(rates, **more):
    return {"method": "ultrasonic-rate", "pipe": STEEL, "rates": gpm(*rates), **more}


case("two-pipes-one-instrument", {
    "flow": {"method": "several-pipes", "pipes": [clamp_on((421, 424)), clamp_on((388, 380))]},
}, two_one_instrument, instrument="clamp-2")


# 8 two pipes read with two instruments: their errors are independent

def two_instruments(e, notes):
    first = repeats([v * GPM for v in (421, 424)], e, "first") * scale(0.02, e, "clamp-2")
    second = repeats([v * GPM for v in (388, 380)], e, "second") * scale(0.02, e, "clamp-4")
    return {"flow": first + second}


case("two-pipes-two-instruments", {
    "flow": {"method": "several-pipes",
             "pipes": [clamp_on((421, 424), instrument="clamp-2"), clamp_on((388, 380), instrument="clamp-4")]},
}, two_instruments)


# 9 three pipes by three methods, one of them running back, and water that leaves before

def three_pipes(e, notes):
    diameter = measured_diameter(9.95 * INCH, e, "first")
    factor = air_over_water(15, False, e)
    centre = centre_velocity([3.4 * INCH], "value", 0.1 * INCH, tube(1.0, e, "any"), factor, e, "first")
    first = pipe_factor(None, e) * centre * fluctuation(e, "first") * area_of(diameter)
    second = register(118.20 * ACRE_FOOT, 118.24 * ACRE_FOOT, None, 0.1, 0.01 * ACRE_FOOT, 1200, e, "second")
    second = second * scale(0.04, e, "propeller")
    third = repeats([-31 * GPM], e, "third") * scale(0.04, e, "meter of third")
    leaving = 14 * GPM * (1 + e("leaving", 0.1))
    notes.update({"sum-of-flows": first + second + third})
    return {"flow": first + second + third + leaving}


case("three-pipes-three-methods", {
    "flowLeavingBeforeMeter": q(14, "gpm"),
    "flow": {"method": "several-pipes", "pipes": [
        {"method": "centre-line-velocity", "pipe": {"insideDiameters": inches(9.95), "diameterBasis": "measured"},
         "tube": {"coefficient": q(1, "1")}, "manometer": AIR, "centre": {"value": 3.4, "unit": "in"}},
        {"method": "meter-totaliser", "start": q(118.20, "acre-ft"), "end": q(118.24, "acre-ft"),
         "step": q(0.01, "acre-ft"), "multiplier": q(0.1, "1"), "elapsed": q(20, "min"), "instrument": "prop-1"},
        {"method": "meter-rate", "rates": gpm(-31), "instrument": "prop-7"},
    ]},
}, three_pipes)


# 10 two unnamed propeller meters, one as tested flow and one beside it: two instruments

def compared_unnamed(e, notes):
    tested = repeats([v * GPM for v in (640, 646)], e, "tested") * scale(0.04, e, "tested")
    other = repeats([v * GPM for v in (668, 671, 660)], e, "other") * scale(0.04, e, "other")
    return {"flow": tested, "comparison-flow": other, "flow-difference": other / tested - 1}


case("comparison-of-unnamed-meters", {
    "flow": {"method": "meter-rate", "rates": gpm(640, 646)},
    "comparisonFlow": {"method": "meter-rate", "rates": gpm(668, 671, 660)},
}, compared_unnamed)


# 11 the same, but both readings were made with one instrument: its scale drops out of the difference

def compared_same(e, notes):
    meter = scale(0.04, e, "prop-1")
    tested = repeats([v * GPM for v in (640, 646)], e, "tested") * meter
    other = repeats([v * GPM for v in (668, 671, 660)], e, "other") * meter
    return {"flow": tested, "comparison-flow": other, "flow-difference": other / tested - 1}


case("comparison-with-one-instrument", {
    "flow": {"method": "meter-rate", "rates": gpm(640, 646), "instrument": "prop-1"},
    "comparisonFlow": {"method": "meter-rate", "rates": gpm(668, 671, 660), "instrument": "prop-1"},
}, compared_same)


# 12 the grower's register beside a clamp-on meter; the register starts anew, and its own scale is what is asked

def growers_register(e, notes):
    tested = repeats([v * GPM for v in (842, 846, 839)], e, "tested") * scale(0.02, e, "clamp")
    gallon = 231 * INCH**3
    other = register(999_412 * gallon, 3_921 * gallon, 1_000_000 * gallon, 1, gallon, 312, e, "register")
    notes.update({"totaliser-volume": (3_921 - 999_412 + 1_000_000) * gallon})
    return {"flow": tested, "growers-meter-flow": other, "growers-meter-error": other / tested - 1}


case("growers-register", {
    "flow": clamp_on((842, 846, 839), instrument="clamp-2"),
    "growersMeter": {"method": "meter-totaliser", "start": q(999_412, "gal"), "end": q(3_921, "gal"),
                     "modulus": q(1_000_000, "gal"), "step": q(1, "gal"), "multiplier": q(1, "1"),
                     "elapsed": q(312, "s"), "meterSerial": "F-20"},
}, growers_register)


# 13 the grower's rate, with water that leaves before both; the meter is compared where the flow was measured

def growers_rate(e, notes):
    tested = repeats([52.1e-3, 52.6e-3], e, "tested") * scale(0.02, e, "clamp")
    leaving = 1.2e-3 * (1 + e("leaving", 0.1))
    other = repeats([47.9e-3], e, "other")
    return {"flow": tested + leaving, "growers-meter-flow": other, "growers-meter-error": other / tested - 1}


case("growers-rate-with-water-leaving", {
    "flowLeavingBeforeMeter": q(1.2, "L/s"),
    "flow": {"method": "ultrasonic-rate", "pipe": STEEL, "rates": [q(52.1, "L/s"), q(52.6, "L/s")]},
    "growersMeter": {"method": "meter-rate", "rates": [q(47.9, "L/s")]},
}, growers_rate)


# 14 flow of two pipes beside one meter that reads both

def sum_beside_one(e, notes):
    meter = scale(0.02, e, "clamp-2")
    tested = (repeats([421 * GPM, 424 * GPM], e, "first") + repeats([388 * GPM, 380 * GPM], e, "second")) * meter
    other = repeats([v * GPM for v in (772, 769)], e, "other") * scale(0.04, e, "common meter")
    return {"flow": tested, "comparison-flow": other, "flow-difference": other / tested - 1}


case("two-pipes-beside-one-meter", {
    "flow": {"method": "several-pipes", "pipes": [clamp_on((421, 424)), clamp_on((388, 380))]},
    "comparisonFlow": {"method": "meter-rate", "rates": gpm(772, 769)},
}, sum_beside_one, instrument="clamp-2")


print(json.dumps({"script": "pipes.py", "sheets": CASES}, indent=2))
