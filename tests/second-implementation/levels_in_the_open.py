"""Water levels, and the water at the pump, worked out a second time, apart from the product.

    python3 tests/second-implementation/levels_in_the_open.py > tests/second-implementation/levels_in_the_open.json

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
PSI = 0.45359237 * 9.80665 / INCH**2
G = 9.80665
ROOT3 = math.sqrt(3)


def q(value, unit, at=None):
    return {"value": value, "unit": unit, **({"at": at} if at else {})}


def real(value):
    return complex(value).real


def clock(minutes):
    return f"2026-06-04T{9 + minutes // 60:02d}:{minutes % 60:02d}:00-07:00"


def temperature(celsius, e):
    """As read, or the one that stands in for it."""
    return celsius + e("temperature", 1 / ROOT3) if celsius is not None else 15 + e("temperature", 10 / ROOT3)


def density(t):
    top = (999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3
           + 105.56302e-9 * t**4 - 280.54253e-12 * t**5)
    return top / (1 + 16.87985e-3 * t)


def spread_of_mean(values):
    n = len(values)
    mean = sum(values) / n
    return math.sqrt(sum((v - mean) ** 2 for v in values) / (n - 1) / n)


def gauge(pressures, zero, e, name, accuracy, shared):
    """Mean of the pressures of a gauge that is not on record."""
    mean = sum(pressures) / len(pressures)
    scale = max(2 * abs(mean), 200e3)
    mean = mean + e(shared, 1.0) * accuracy * scale + e(name + " step", 0.01 * scale / math.sqrt(12))
    if zero is None:
        mean = mean + e(name + " zero", 0.01 * scale / ROOT3)
    if len(pressures) > 1:
        mean = mean + e(name + " scatter", spread_of_mean(pressures))
    return mean - (zero or 0.0)


def line(pressures, length, checked, rho, e, name, zero=None):
    """Depth of the water below the gauge of an air line; the line is one for both levels."""
    length = length + e("line", (0.5 if checked else 2) * FOOT / ROOT3)
    pressure = gauge(pressures, zero, e, name, 0.01 / ROOT3, "gauge of the line")
    if not checked:
        # The weight of the air in the line; a length found from a sounded level holds it already.
        pressure = pressure + (101325 + pressure) / (287.05 * 288.15) * G * length
    return length - pressure / (rho * G)


def slope(times, levels):
    n = len(times)
    t, h = sum(times) / n, sum(levels) / n
    return sum((a - t) * (b - h) for a, b in zip(times, levels)) / sum((a - t) ** 2 for a in times)


def trend(minutes, levels, step, e, name):
    """Slope of a series whose levels scatter, or are known to a step, whichever says more."""
    times = [60.0 * (m - minutes[0]) for m in minutes]
    n = len(times)
    t = sum(times) / n
    plain = [real(v) for v in levels]
    b, h = slope(times, plain), sum(plain) / n
    width = sum((a - t) ** 2 for a in times)
    scatter = math.sqrt(sum((v - h - b * (a - t)) ** 2 for a, v in zip(times, plain)) / (n - 2) / width)
    if scatter > step / math.sqrt(width):
        return slope(times, levels) + e(name + " scatter of trend", scatter)
    stepped = [v + e(f"{name} step {i}", step) for i, v in enumerate(levels)]
    return slope(times, stepped)


CASES = []


def case(name, levels, model, celsius=None, run=None, equipment=None, kind="well", flow=True):
    notes = {}
    solved = solve(lambda e: model(e, notes))
    body = {"power": {"method": "meter-display", "point": "supply", "readings": [q(40, "kW")], "multiplier": q(1, "1")}}
    if flow:
        body["flow"] = {"method": "meter-rate", "rates": [q(900, "gpm")],
                        "pipe": {"insideDiameters": [q(8.02, "in")], "diameterBasis": "measured"}}
    if celsius is not None:
        body["waterTemperature"] = q(celsius, "degC")
    if "pumping" in levels:
        body["pumpingLevel"] = levels["pumping"]
    body.update(run or {})
    sheet = {"plant": "AM-93", "kind": kind, "testedOn": "2026-06-04", "tester": "T-09", "runs": [body]}
    if "standing" in levels:
        sheet["standingLevel"] = levels["standing"]
    entry = {
        "id": name,
        "sheet": sheet,
        "results": {"run0": {key: value for key, (value, _) in solved.items()}},
        "standardUncertainties": {"run0": {key: u for key, (_, u) in solved.items()}},
        "intermediates": {key: [real(v) for v in value] if isinstance(value, list) else real(value)
                          for key, value in notes.items()},
    }
    if equipment:
        entry["context"] = {
            "plant": {"code": "AM-93", "kind": kind,
                      "equipment": {"revision": 1, "effectiveFrom": "2020-01-01", **equipment}},
            "tester": {"code": "T-09", "qualifications": []}, "instruments": [],
        }
    CASES.append(entry)


def both(standing, pumping):
    return {"standing-water-level": standing, "pumping-water-level": pumping, "drawdown": pumping - standing}


def air_line_readings(pressures, basis, **more):
    return {"method": "air-line", "airLineLength": q(210, "ft"), "airLineLengthBasis": basis,
            "pressures": [q(p, "psi") for p in pressures], **more}


# 1 air line checked with a sounder, repeats

def checked(e, notes):
    rho = density(temperature(18.5, e))
    standing = line([p * PSI for p in (38.5, 38.4, 38.4)], 210 * FOOT, True, rho, e, "standing")
    pumping = line([p * PSI for p in (27.2, 27.1, 27.0)], 210 * FOOT, True, rho, e, "pumping")
    notes.update({"water-density": rho, "drawdown": pumping - standing})
    return both(standing, pumping)


case("air-line-checked", {
    "standing": air_line_readings((38.5, 38.4, 38.4), "checked-with-sounder"),
    "pumping": air_line_readings((27.2, 27.1, 27.0), "checked-with-sounder"),
}, checked, celsius=18.5)


# 2 air line as installed, zero of the gauge read, measuring point above the datum, temperature not read

def installed(e, notes):
    rho = density(temperature(None, e))
    standing = line([38.5 * PSI], 210 * FOOT, False, rho, e, "standing", zero=0.4 * PSI)
    pumping = line([27.1 * PSI], 210 * FOOT, False, rho, e, "pumping", zero=0.4 * PSI)
    above = [1.2 * FOOT + e(name, 0.1 * FOOT / ROOT3) for name in ("point standing", "point pumping")]
    notes["water-density"] = rho
    return both(standing - above[0], pumping - above[1])


POINT = {"gaugeZero": q(0.4, "psi"), "measuringPointAboveDatum": q(1.2, "ft")}
case("air-line-as-installed", {
    "standing": air_line_readings((38.5,), "as-installed", **POINT),
    "pumping": air_line_readings((27.1,), "as-installed", **POINT),
}, installed)


# 3 transducer with a logged series

LOGGED = (0, 10, 20, 30, 40)
PRESSURES = (164.1, 160.2, 158.9, 158.3, 158.1)


def logged(e, notes):
    rho = density(temperature(20, e))
    depth = 60 + e("sensor", 0.2 * FOOT / ROOT3)
    pressure = gauge([158.1e3], None, e, "sensor", 0.01 / ROOT3, "sensor accuracy")
    series = [depth - p * 1e3 / (rho * G) for p in PRESSURES]
    notes.update({"mean-pressure": 158.1e3, "level-slope": slope([60.0 * m for m in LOGGED], [real(v) for v in series])})
    return {"pumping-water-level": depth - pressure / (rho * G),
            "pumping-level-trend": trend(LOGGED, series, 1 * FOOT / math.sqrt(12), e, "series")}


case("transducer-series", {
    "pumping": {"method": "transducer", "sensorDepth": q(60, "m"), "pressures": [q(158.1, "kPa", clock(40))],
                "series": [q(p, "kPa", clock(m)) for m, p in zip(LOGGED, PRESSURES)]},
}, logged, celsius=20)


# 4 sound, casing colder than the device takes it

def sound(depth, casing, taken, e, name):
    shown = depth + e(name + " echo", 0.3 * FOOT)
    cold = casing + e(name + " casing", 5 / ROOT3)
    return shown * cmath.sqrt((273.15 + cold) / (273.15 + taken))


def cold_casing(e, notes):
    pumping = sound(162.4 * FOOT, 11, 20, e, "pumping")
    notes["acoustic-level"] = pumping
    return {"pumping-water-level": pumping}


case("acoustic-cold-casing", {
    "pumping": {"method": "acoustic", "reading": q(162.4, "ft"), "casingTemperature": q(11, "degC"),
                "temperatureSet": q(20, "degC")},
}, cold_casing)


# 5 sound without temperatures, oil on the water

def sound_on_oil(e, notes):
    shown = 162.4 * FOOT + e("echo", 0.3 * FOOT)
    shown = shown + e("speed of sound", 0.009) * 162.4 * FOOT
    thick = 1.4 * FOOT + e("oil", 0.1 * FOOT / ROOT3)
    level = shown + (1 - (0.88 + e("oil density", 0.03))) * thick
    notes["oil-top-level"] = level
    return {"pumping-water-level": level}


case("acoustic-on-oil", {
    "pumping": {"method": "acoustic", "reading": q(162.4, "ft"), "oil": {"thickness": q(1.4, "ft")}},
}, sound_on_oil)


# 6, 7 sounder through oil: its thickness known, and not known

def sounder(depth, e, name, at=0.0):
    tape = depth + e("sounder scale", 0.0005) * depth + e("sounder offset", 0.02 * FOOT)
    return tape + e(name + " step", 0.01 * FOOT / math.sqrt(12))


def through_oil(e, notes):
    thick = 0.31 + e("oil", 0.1 * FOOT / ROOT3)
    level = sounder(43.2, e, "pumping") - (0.91 + e("oil density", 0.03)) * thick
    notes["oil-interface-level"] = level
    return {"pumping-water-level": level}


case("sounder-through-oil", {
    "pumping": {"method": "electric-sounder", "reading": q(43.2, "m"),
                "oil": {"thickness": q(0.31, "m"), "relativeDensity": q(0.91, "1")}},
}, through_oil)


def hidden_oil(e, notes):
    standing = sounder(30.1, e, "standing")
    pumping = sounder(43.2, e, "pumping") + e("hidden oil", 2 * FOOT / ROOT3)
    notes["drawdown"] = pumping - standing
    return both(standing, pumping)


case("sounder-hidden-oil", {
    "standing": {"method": "electric-sounder", "reading": q(30.1, "m")},
    "pumping": {"method": "electric-sounder", "reading": q(43.2, "m"), "oil": {}},
}, hidden_oil)


# 8, 9 series by sounder: one that scatters, one that is as straight as its tape can tell

def series_of(minutes, depths):
    def model(e, notes):
        levels = [d * FOOT for d in depths]
        fall = trend(minutes, levels, 0.01 * FOOT / math.sqrt(12), e, "series")
        notes["level-slope"] = fall
        return {"pumping-water-level": sounder(depths[-1] * FOOT, e, "pumping"), "pumping-level-trend": fall}
    return model


for name, minutes, depths in (
        ("series-that-scatters", (0, 12, 24, 36, 44), (126.7, 128.0, 128.4, 128.6, 128.6)),
        ("series-as-straight-as-the-tape", (0, 10, 20, 30), (128.00, 128.01, 128.02, 128.03))):
    case(name, {
        "pumping": {"method": "electric-sounder", "reading": q(depths[-1], "ft", clock(minutes[-1])),
                    "series": [q(d, "ft", clock(m)) for m, d in zip(minutes, depths)]},
    }, series_of(minutes, depths))


# 10 column with a shaft tube: friction; suction head over the bowls

def vapour(t):
    n = (1167.0521452767, -724213.16703206, -17.073846940092, 12020.82470247, -3232555.0322333, 14.91510861353,
         -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798)
    kelvin = t + 273.15
    theta = kelvin + n[8] / (kelvin - n[9])
    a = theta**2 + n[0] * theta + n[1]
    b = n[2] * theta**2 + n[3] * theta + n[4]
    c = n[5] * theta**2 + n[6] * theta + n[7]
    return 1e6 * (2 * c / (-b + cmath.sqrt(b * b - 4 * a * c))) ** 4


def viscosity(t, rho):
    tau = (t + 273.15) / 300
    terms = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40))
    return 1e-6 * sum(a * cmath.exp(p * cmath.log(tau)) for a, p in terms) / rho


def factor(reynolds, rough):
    x = complex(8)
    for _ in range(60):
        x = -2 * cmath.log(rough / 3.7 + 2.51 * x / reynolds) / math.log(10)
    return 1 / (x * x)


def flow(e):
    shown = 900 * GPM
    return (shown + e("rate step", 0.01 * shown / math.sqrt(12))) * (1 + e("flow meter", 0.04))


def air(read, e):
    return read + e("barometer", 500 / ROOT3) if read else 98e3 + e("barometer", 4000 / ROOT3)


def column(e, notes):
    t = temperature(19, e)
    rho = density(t)
    level = sounder(128.6 * FOOT, e, "pumping")
    pipe = 8.07 * INCH * (1 + e("column", 0.01 / ROOT3))
    tube = 2.5 * INCH
    width = pipe - tube
    velocity = flow(e) / (math.pi / 4 * (pipe**2 - tube**2))
    reynolds = velocity * width / viscosity(t, rho)
    # Roughness stands relative to the diameter as it is on record.
    rough = 0.0005 / real(width) * (1 + e("rough", 0.6 / ROOT3))
    f = factor(reynolds, rough)
    length = 205 * FOOT + e("column length", 1 * FOOT / ROOT3)
    lost = f * length / width * velocity**2 / (2 * G)
    bowls = 210 * FOOT + e("bowl depth", 1 * FOOT / ROOT3)
    notes.update({"reynolds-number": reynolds, "friction-factor": f, "vapour-pressure": vapour(t),
                  "submergence": bowls - level})
    return {"pumping-water-level": level, "column-friction": lost,
            "npsh-available": (air(None, e) - vapour(t)) / (rho * G) + bowls - level}


case("column-and-bowls", {
    "pumping": {"method": "electric-sounder", "reading": q(128.6, "ft")},
}, column, celsius=19, run={"dischargeOpen": True}, equipment={
    "bowlDepth": q(210, "ft"), "columnInsideDiameter": q(8.07, "in"), "columnTubeDiameter": q(2.5, "in"),
    "columnLength": q(205, "ft"),
})


# 11 booster over a pond with a barometer

def pond(e, notes):
    t = temperature(24, e)
    rho = density(t)
    surface = -2.9 + e("surface", 0.1 * FOOT / ROOT3)
    eye = 0.35 + e("eye", 0.1 * FOOT / ROOT3)
    notes.update({"vapour-pressure": vapour(t), "head-at-impeller": surface - eye})
    return {"npsh-available": (air(94.2e3, e) - vapour(t)) / (rho * G) + surface - eye}


case("booster-over-pond", {}, pond, celsius=24, kind="booster", run={
    "dischargeOpen": True, "barometricPressure": q(94.2, "kPa"),
    "suction": {"method": "open-surface", "waterSurfaceAboveDischargeCentre": q(-2.9, "m")},
}, equipment={"impellerAboveDischargeCentre": q(0.35, "m")})

print(json.dumps({"script": "levels_in_the_open.py", "sheets": CASES}, indent=1))
