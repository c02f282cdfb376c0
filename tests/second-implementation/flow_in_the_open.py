"""Flow measured in the open, worked out a second time, apart from the product: sheets, intermediates, results.

    python3 tests/second-implementation/flow_in_the_open.py > tests/second-implementation/flow_in_the_open.json

Written from the text of the method, with the standard library only. It shares no code with the product and works
otherwise: each number carries its derivatives by every error that it rests on, where the product goes backwards through
a graph of formulas with declared derivatives. Units are SI unless a name says otherwise.
"""

import json
import math

INCH, FOOT = 0.0254, 0.3048
CUBIC_FOOT = FOOT**3
GALLON = 231 * INCH**3
G = 9.80665
DEGREE = math.pi / 180


class Number:
    """A value with its derivatives by errors, each in units of the error's standard uncertainty."""

    def __init__(self, value, by=None):
        self.value = float(value)
        self.by = by or {}

    @staticmethod
    def of(x):
        return x if isinstance(x, Number) else Number(x)

    def chain(self, value, slope):
        return Number(value, {name: slope * d for name, d in self.by.items()})

    def __add__(self, other):
        other = Number.of(other)
        by = dict(self.by)
        for name, d in other.by.items():
            by[name] = by.get(name, 0.0) + d
        return Number(self.value + other.value, by)

    def __mul__(self, other):
        other = Number.of(other)
        left = self.chain(self.value, other.value)
        right = other.chain(other.value, self.value)
        return Number(self.value * other.value, (left + right).by)

    def __pow__(self, exponent):
        return self.chain(self.value**exponent, exponent * self.value ** (exponent - 1))

    def __neg__(self):
        return self * -1

    def __sub__(self, other):
        return self + -Number.of(other)

    def __truediv__(self, other):
        return self * Number.of(other) ** -1

    __radd__ = __add__
    __rmul__ = __mul__

    def __rsub__(self, other):
        return -self + other

    def __rtruediv__(self, other):
        return self**-1 * other

    @property
    def u(self):
        return math.sqrt(sum(d * d for d in self.by.values()))


def sin(x):
    return x.chain(math.sin(x.value), math.cos(x.value))


def cos(x):
    return x.chain(math.cos(x.value), -math.sin(x.value))


def tan(x):
    return sin(x) / cos(x)


def arccos(x):
    return x.chain(math.acos(x.value), -1 / math.sqrt(1 - x.value**2))


def root(x):
    return x**0.5


counter = [0]


def error(u):
    """Zero with a standard uncertainty, independent of every other error."""
    counter[0] += 1
    return Number(0, {counter[0]: u})


def rectangular(half_width):
    return error(half_width / math.sqrt(3))


def within(share):
    """Factor of one, off by a share with that standard uncertainty."""
    return 1 + error(share)


# Readings of a sheet

SIZE = {"ft": FOOT, "in": INCH, "m": 1.0, "cm": 0.01, "mm": 0.001, "deg": DEGREE, "s": 1.0, "min": 60.0,
        "gal": GALLON, "L": 0.001, "m3": 1.0, "ft3": CUBIC_FOOT, "gpm": GALLON / 60, "psi": 0.45359237 * G / INCH**2,
        "kPa": 1000.0, "1": 1.0, "Wh/rev": 3600.0, "rev": 1.0}


def q(value, unit):
    return {"value": value, "unit": unit}


def si(reading):
    return reading["value"] * SIZE[reading["unit"]]


def mean(values):
    return sum(values[1:], values[0]) / len(values)


def scatter_of_mean(values):
    m = sum(values) / len(values)
    return math.sqrt(sum((v - m) ** 2 for v in values) / (len(values) - 1)) / math.sqrt(len(values))


def head_of(flow):
    """Head read to 3 mm, or as its repeats scatter where that is more."""
    u = 0.003 / math.sqrt(3)
    repeats = [si(r) for r in flow.get("headRepeats", [])]
    if len(repeats) > 1:
        u = max(u, scatter_of_mean(repeats))
    return si(flow["head"]) + error(u)


def crest_of(flow):
    return si(flow["crestLength"]) + rectangular(0.002)


def diameter_of(pipe):
    inside = [si(d) for d in pipe["insideDiameters"]]
    size = inside[0] if len(inside) == 1 else math.sqrt(inside[0] * inside[1])
    half = 0.01 * size if pipe["diameterBasis"] == "pipe-table" else max(0.001, 0.005 * size)
    return size + rectangular(half)


def circle(diameter):
    return math.pi / 4 * diameter**2


# F15 to F24: each takes the readings of flow and a place for its steps, and gives flow in m3/s and, if known, an area


def tank(flow, steps):
    volumes, rates = [], []
    for filling in flow["fillings"]:
        if "volume" in filling:
            volumes.append(Number(si(filling["volume"])))
        else:
            box = si(flow["tankLength"]) * si(flow["tankWidth"]) * si(filling["rise"])
            volumes.append(Number(box))
            steps.setdefault("tank-volume", []).append(box)
        rates.append(volumes[-1] / (si(filling["elapsed"]) + error(0.15)))
    values = [r.value for r in rates]
    average = mean(rates)
    if len(values) > 1 and scatter_of_mean(values) > average.u:
        average = average.value + error(scatter_of_mean(values))
    steps["tank-flow"] = values
    steps["mean-rate"] = average.value
    return average * within(0.01 / math.sqrt(3))


def v_notch(flow, steps):
    angle = si(flow["notchAngle"]) + rectangular(0.5 * DEGREE)
    th = angle * (1 / DEGREE)
    if flow["notchAngle"]["value"] == 90:
        c, k = 0.578, 0.00085
    else:
        c = 0.607165052 + th * -0.000874466963 + th * th * 6.10393334e-6
        k = FOOT * (0.0144902648 + th * -0.00033955535 + th * th * 3.29819003e-6 + th * th * th * -1.06215442e-8)
    rate = 8 / 15 * c * math.sqrt(2 * G) * tan(angle * 0.5) * (head_of(flow) + k) ** 2.5
    steps["v-notch-flow"] = rate.value
    return rate * within(0.02)


ISO_1438 = [(0, 0.587, -0.0023, 0.0024), (0.2, 0.589, -0.0018, 0.0024), (0.4, 0.591, 0.0058, 0.0027),
            (0.5, 0.592, 0.011, 0.0030), (0.6, 0.593, 0.018, 0.0036), (0.7, 0.594, 0.030, 0.0041),
            (0.8, 0.596, 0.045, 0.0042), (0.9, 0.598, 0.064, 0.0035), (1.0, 0.602, 0.075, -0.0009)]


def between_lines(share, column):
    for low, high in zip(ISO_1438, ISO_1438[1:]):
        if low[0] <= share.value <= high[0]:
            part = (share - low[0]) / (high[0] - low[0])
            return (1 - part) * low[column] + part * high[column]
    raise ValueError("share of the channel: %s" % share.value)


def rectangular_weir(flow, steps):
    b, h = crest_of(flow), head_of(flow)
    suppressed = flow["contraction"] == "suppressed"
    if "crestHeight" not in flow or not (suppressed or "channelWidth" in flow):
        n = 0 if suppressed else 2
        rate = 3.33 * (b / FOOT - 0.1 * n * h / FOOT) * (h / FOOT) ** 1.5 * CUBIC_FOOT
        steps["francis-weir-flow"] = rate.value
        return rate * within(0.02)
    share = Number(1) if suppressed else b / si(flow["channelWidth"])
    a, c, kb = (between_lines(share, column) for column in (1, 2, 3))
    coefficient = a + c * h / si(flow["crestHeight"])
    rate = coefficient * (2 / 3 * math.sqrt(2 * G)) * (b + kb) * (h + 0.001) ** 1.5
    steps["rectangular-weir-flow"] = rate.value
    return rate * within(0.02)


def cipolletti(flow, steps):
    rate = 3.367 * (crest_of(flow) / FOOT) * (head_of(flow) / FOOT) ** 1.5 * CUBIC_FOOT
    steps["cipolletti-weir-flow"] = rate.value
    return rate * within(0.025)


def orifice(flow, steps):
    hole = circle(si(flow["orificeDiameter"]) + rectangular(0.0005))
    rate = si(flow["coefficient"]) * hole * root(2 * G * head_of(flow))
    steps["orifice-flow"] = rate.value
    return rate * within(0.02)


def trajectory(flow, steps):
    x, y = si(flow["distance"]), si(flow["fall"])
    slope = si(flow["slope"]) if "slope" in flow else 0.0
    v = x / (math.cos(slope) * math.sqrt(2 * (x * math.tan(slope) + y) / G))
    d = diameter_of(flow["pipe"])
    area = circle(d)
    steps["jet-velocity"] = v
    if "depth" in flow:
        th = 2 * arccos(1 - 2 * si(flow["depth"]) / d)
        area = d * d * (th - sin(th)) / 8
        steps["segment-area"] = area.value
    steps["flow-in-pipe"] = v * area.value
    return v * area * within(0.05)


def vertical(flow, steps):
    d, h = diameter_of(flow["pipe"]), si(flow["height"])
    if h <= 0.37 * d.value:
        rate = 5.47 * d**1.25 * h**1.35
        steps["vertical-overflow-flow"] = rate.value
        return rate * within(0.15 / math.sqrt(3))
    rate = 5.01 * (d / INCH) ** 1.99 * (h / INCH) ** 0.53 * (GALLON / 60)
    steps["vertical-jet-flow"] = rate.value
    return rate * within(0.10 / math.sqrt(3))


PARSHALL = {0.25: (0.992, 1.547), 0.5: (2.06, 1.58), 0.75: (3.07, 1.53), 1: (4.00, 1.522), 1.5: (6.00, 1.538),
            3: (12.00, 1.566), 8: (32.00, 1.607), 10: (39.38, 1.6)}


def parshall(flow, steps):
    c, n = PARSHALL[round(si(flow["throat"]) / FOOT, 6)]
    rate = c * (head_of(flow) / FOOT) ** n * CUBIC_FOOT
    steps["parshall-flow"] = rate.value
    return rate * within(0.03)


METHODS = {"tank": tank, "weir-v-notch": v_notch, "weir-rectangular": rectangular_weir, "weir-cipolletti": cipolletti,
           "pipe-end-orifice": orifice, "jet-trajectory": trajectory, "vertical-jet": vertical,
           "parshall-flume": parshall}


# The rest of a plant, without uncertainties


def density(t):
    """Kell 1975, kg/m3, t in degC."""
    top = (999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3 + 105.56302e-9 * t**4
           - 280.54253e-12 * t**5)
    return top / (1 + 16.87985e-3 * t)


def whole_plant(sheet, rate, steps):
    """Everything that follows from flow, levels, pressure and a timed disk."""
    run = sheet["runs"][0]
    rho = density(run["waterTemperature"]["value"])
    out = {"water-density": rho}
    if "flowLeavingBeforeMeter" in run:
        rate += si(run["flowLeavingBeforeMeter"])
        steps["flow-at-tap"] = rate
    out["flow"] = rate
    if sheet["kind"] == "well":
        pumping, standing = si(run["pumpingLevel"]["reading"]), si(sheet["standingLevel"]["reading"])
        out["lift"] = pumping + si(sheet["dischargeCentreAboveDatum"])
        out["drawdown"] = pumping - standing
        out["specific-capacity"] = rate / out["drawdown"]
    else:
        out["lift"] = -si(run["suction"]["waterSurfaceAboveDischargeCentre"])
    gauge = run["dischargePressure"]
    steps["pressure-head"] = si(gauge["reading"]) / (rho * G)
    out["gauge-head"] = steps["pressure-head"] + si(gauge["gaugeHeightAboveDischargeCentre"])
    out["field-head"] = out["lift"] + out["gauge-head"]
    d = si(run["flow"]["pipe"]["insideDiameters"][0])
    out["pipe-velocity"] = rate / (math.pi * d**2 / 4)
    out["velocity-head"] = out["pipe-velocity"] ** 2 / (2 * G)
    out["total-dynamic-head"] = out["field-head"] + out["velocity-head"]
    out["water-power"] = rho * G * rate * out["total-dynamic-head"]
    meter = run["power"]
    steps["disk-power"] = [si(meter["kh"]) * si(t["revolutions"]) * si(meter["multiplier"]) / si(t["elapsed"])
                           for t in meter["timings"]]
    out["input-power"] = steps["mean-power"] = sum(steps["disk-power"]) / len(steps["disk-power"])
    out["overall-plant-efficiency"] = out["water-power"] / out["input-power"]
    out["energy-per-volume"] = out["input-power"] / rate
    out["energy-per-volume-and-head"] = out["energy-per-volume"] / out["total-dynamic-head"]
    if "economics" in sheet:
        out["cost-per-volume"] = out["energy-per-volume"] * sheet["economics"]["energyRate"]["value"] / 3.6e6
    return out


# Sheets

SHEETS = []


def begin(kind="well", purpose="flow-and-power"):
    return {"plant": "AM-90", "kind": kind, "purpose": purpose, "testedOn": "2026-06-02", "tester": "T-09"}


def flow_only(name, withheld=None, **flow):
    steps = {}
    rate = METHODS[flow["method"]](flow, steps)
    one = {"id": name, "sheet": {**begin(), "runs": [{"flow": flow}]}, "results": {}, "intermediates": steps}
    if withheld:
        one["withheld"] = {"run0": {"flow": withheld}}
    else:
        one["results"] = {"run0": {"flow": rate.value}}
        one["standardUncertainties"] = {"run0": {"flow": rate.u}}
    SHEETS.append(one)


def whole(name, kind, run, **sheet):
    steps = {}
    rate = METHODS[run["flow"]["method"]](run["flow"], steps)
    full = {**begin(kind, "full"), **sheet, "runs": [run]}
    SHEETS.append({"id": name, "sheet": full, "results": {"run0": whole_plant(full, rate.value, steps)},
                   "intermediates": steps})


def pipe(value, unit="in", basis="measured", second=None):
    inside = [q(value, unit)] + ([q(second, unit)] if second else [])
    return {"insideDiameters": inside, "diameterBasis": basis}


def fill(elapsed, **what):
    return {**what, "elapsed": q(elapsed, "s")}


def feet(*values):
    return [q(v, "ft") for v in values]


def disk(kh, revolutions, *seconds):
    timings = [{"revolutions": q(revolutions, "rev"), "elapsed": q(s, "s")} for s in seconds]
    return {"method": "meter-revolutions", "point": "supply", "kh": q(kh, "Wh/rev"), "multiplier": q(1, "1"),
            "otherLoads": "none", "timings": timings}


def sounded(value, unit="ft"):
    return {"method": "electric-sounder", "mark": "access-edge", "reading": q(value, unit)}


flow_only("tank-marked-watch-governs", method="tank",
          fillings=[fill(s, volume=q(500, "gal")) for s in (62.1, 62.3, 62.2)])
flow_only("tank-measured-scatter-governs", method="tank", tankLength=q(2.44, "m"), tankWidth=q(1.83, "m"),
          fillings=[fill(s, rise=q(r, "cm")) for s, r in ((74.2, 41.0), (71.8, 40.6), (76.9, 41.3), (73.0, 39.9))])
flow_only("tank-once", method="tank", pipe=pipe(4.026), fillings=[fill(95.4, volume=q(900, "L"))])
flow_only("notch-90", method="weir-v-notch", notchAngle=q(90, "deg"), head=q(0.88, "ft"),
          headRepeats=feet(0.88, 0.88, 0.89), crestHeight=q(2.6, "ft"), headDistance=q(5, "ft"),
          tailwaterBelowCrest=q(0.5, "ft"), ventilated=True)
flow_only("notch-60-metric", method="weir-v-notch", notchAngle=q(60, "deg"), head=q(23.4, "cm"),
          crestHeight=q(0.75, "m"))
flow_only("notch-28-unsteady", method="weir-v-notch", notchAngle=q(28, "deg"), head=q(0.95, "ft"),
          headRepeats=feet(0.93, 0.98, 0.91, 0.99))
flow_only("notch-100-at-the-limit", method="weir-v-notch", notchAngle=q(100, "deg"), head=q(1.25, "ft"))
flow_only("rectangular-suppressed", method="weir-rectangular", contraction="suppressed", crestLength=q(1.2, "m"),
          crestHeight=q(0.61, "m"), head=q(182, "mm"))
flow_only("rectangular-contracted-wide-channel", method="weir-rectangular", contraction="contracted",
          crestLength=q(2.5, "ft"), channelWidth=q(8.2, "ft"), crestHeight=q(2, "ft"), head=q(0.57, "ft"))
flow_only("rectangular-contracted-two-thirds", method="weir-rectangular", contraction="contracted",
          crestLength=q(0.9, "m"), channelWidth=q(1.37, "m"), crestHeight=q(0.5, "m"), head=q(0.173, "m"),
          headRepeats=[q(v, "m") for v in (0.171, 0.173, 0.18)])
flow_only("rectangular-contracted-hardly", method="weir-rectangular", contraction="contracted",
          crestLength=q(4, "ft"), channelWidth=q(4.3, "ft"), crestHeight=q(1.8, "ft"), head=q(0.62, "ft"))
flow_only("rectangular-channel-not-measured", method="weir-rectangular", contraction="contracted",
          crestLength=q(3, "ft"), head=q(0.74, "ft"))
flow_only("rectangular-suppressed-floor-not-measured", method="weir-rectangular", contraction="suppressed",
          crestLength=q(36, "in"), head=q(7.25, "in"))
flow_only("cipolletti", method="weir-cipolletti", crestLength=q(2, "ft"), head=q(0.51, "ft"), crestHeight=q(1.5, "ft"))
flow_only("orifice-7-in-10", method="pipe-end-orifice", pipe=pipe(10.02), coefficient=q(0.71, "1"),
          coefficientBasis="own-calibration", orificeDiameter=q(7, "in"), head=q(31.5, "in"), tapDistance=q(24, "in"))
flow_only("orifice-metric", method="pipe-end-orifice", pipe=pipe(202.7, "mm"), coefficient=q(0.64, "1"),
          coefficientBasis="published-table", orificeDiameter=q(102, "mm"), head=q(88.5, "cm"),
          headRepeats=[q(v, "cm") for v in (88, 89.5, 87.9)])
flow_only("jet-level", method="jet-trajectory", pipe=pipe(6.065), distance=q(18, "in"), fall=q(12, "in"))
flow_only("jet-rising", method="jet-trajectory", pipe=pipe(8.07, second=7.98), distance=q(1.1, "m"), fall=q(13, "in"),
          slope=q(6.5, "deg"))
flow_only("jet-falling", method="jet-trajectory", pipe=pipe(154, "mm", "pipe-table"), distance=q(46, "cm"),
          fall=q(33, "cm"), slope=q(-9, "deg"))
flow_only("jet-partly-full", method="jet-trajectory", pipe=pipe(10.02), distance=q(14, "in"), fall=q(10, "in"),
          depth=q(6.3, "in"))
flow_only("vertical-jet", method="vertical-jet", pipe=pipe(6.065), height=q(17.5, "in"))
flow_only("vertical-overflow", method="vertical-jet", pipe=pipe(0.303, "m"), height=q(0.071, "m"))
flow_only("vertical-between", "vertical-jet-between-ranges", method="vertical-jet", pipe=pipe(8), height=q(6, "in"))
flow_only("flume-3-in", method="parshall-flume", throat=q(3, "in"), head=q(0.48, "ft"), downstreamHead=q(0.2, "ft"))
flow_only("flume-3-ft-unsteady", method="parshall-flume", throat=q(0.9144, "m"), head=q(0.36, "m"),
          headRepeats=[q(v, "m") for v in (0.35, 0.37, 0.352, 0.368)], freeFlowSeen=True)
flow_only("flume-10-ft", method="parshall-flume", throat=q(10, "ft"), head=q(1.62, "ft"), downstreamHead=q(1.1, "ft"))
flow_only("flume-submerged", "flume-submerged", method="parshall-flume", throat=q(18, "in"), head=q(0.9, "ft"),
          downstreamHead=q(0.7, "ft"))
flow_only("weir-drowned", "weir-drowned", method="weir-cipolletti", crestLength=q(3, "ft"), head=q(0.6, "ft"),
          tailwaterBelowCrest=q(-0.05, "ft"))

whole("well-over-notch", "well", {
    "waterTemperature": q(16.5, "degC"), "pumpingLevel": sounded(71.6),
    "dischargePressure": {"reading": q(2.1, "psi"), "gaugeHeightAboveDischargeCentre": q(0.5, "ft")},
    "flow": {"method": "weir-v-notch", "pipe": pipe(8.02), "notchAngle": q(75, "deg"), "head": q(0.91, "ft")},
    "power": disk(21.6, 8, 34.8, 35.1, 34.9)},
    dischargeCentreAboveDatum=q(2.4, "ft"), standingLevel=sounded(55.2),
    economics={"energyRate": q(0.21, "USD/kWh")})
whole("booster-through-flume-with-side-outlet", "booster", {
    "waterTemperature": q(22, "degC"), "suction": {"method": "open-surface", "waterSurfaceAboveDischargeCentre": q(-11.3, "ft")},
    "dischargePressure": {"reading": q(21, "kPa"), "gaugeHeightAboveDischargeCentre": q(0.1, "m")},
    "flow": {"method": "parshall-flume", "pipe": pipe(10.02), "throat": q(9, "in"), "head": q(0.97, "ft"),
             "downstreamHead": q(0.4, "ft")},
    "flowLeavingBeforeMeter": q(60, "gpm"), "power": disk(14.4, 10, 50.3, 50.6, 50.2, 50.5)})
whole("well-into-weir-box", "well", {
    "waterTemperature": q(14, "degC"), "pumpingLevel": sounded(33.45, "m"),
    "dischargePressure": {"reading": q(9.5, "kPa"), "gaugeHeightAboveDischargeCentre": q(0, "m")},
    "flow": {"method": "weir-rectangular", "pipe": pipe(254, "mm"), "contraction": "contracted",
             "crestLength": q(0.6, "m"), "channelWidth": q(1.45, "m"), "crestHeight": q(0.4, "m"),
             "head": q(0.131, "m")},
    "power": disk(57.6, 7, 46.1, 46.3, 46.0)},
    dischargeCentreAboveDatum=q(0.8, "m"), standingLevel=sounded(26.9, "m"))
whole("well-through-orifice", "well", {
    "waterTemperature": q(18, "degC"), "pumpingLevel": sounded(140.2),
    "dischargePressure": {"reading": q(1.4, "psi"), "gaugeHeightAboveDischargeCentre": q(0, "ft")},
    "flow": {"method": "pipe-end-orifice", "pipe": pipe(7.98), "coefficient": q(0.68, "1"),
             "coefficientBasis": "own-calibration", "orificeDiameter": q(5.5, "in"), "head": q(35, "in"),
             "tapDistance": q(24, "in")},
    "power": disk(43.2, 9, 42.6, 42.9, 42.7)},
    dischargeCentreAboveDatum=q(1.9, "ft"), standingLevel=sounded(118.7),
    economics={"energyRate": q(0.174, "USD/kWh")})

print(json.dumps({"script": "flow_in_the_open.py", "sheets": SHEETS}, indent=1))
