"""Input power, fuel and motors worked out a second time, apart from the product: sheets, intermediates, results.

    python3 tests/second-implementation/power_in_the_open.py > tests/second-implementation/power_in_the_open.json

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
GALLON = 231 * INCH**3
GPM = GALLON / 60
CUBIC_FOOT = FOOT**3
ACRE_FOOT = 43560 * CUBIC_FOOT
HORSEPOWER = 550 * FOOT * 0.45359237 * 9.80665
PSI = 0.45359237 * 9.80665 / INCH**2
KWH = 3.6e6
BTU = 1055.05585262
ROOT3 = math.sqrt(3)


def q(value, unit):
    return {"value": value, "unit": unit}


def size(value):
    return abs(complex(value).real)


# Flow is the same on every sheet: one rate of a meter without a certificate.

FLOW = {"method": "meter-rate", "rates": [q(640, "gpm")]}


def flow(e):
    shown = 640 * GPM
    return (shown + e("rate step", 0.01 * shown / math.sqrt(12))) * (1 + e("flow meter", 0.04))


def timed(seconds, e):
    return seconds + e("reaction", 0.15)


def electronic(power, e):
    return power * (1 + e("meter class", ELECTRONIC / ROOT3))


ELECTRONIC = 0.005


def register(start, end, step, multiplier, modulus=0.0):
    """Energy in J; start, end, step and modulus in kWh."""
    def energy(e):
        turned = modulus if end < start else 0.0
        return (end - start + turned) * KWH * multiplier + e("digit", step * KWH * multiplier / math.sqrt(6))
    return energy


def shown(watts, e, name):
    """A display, known to one percent of what it shows as its step."""
    return watts + e(name, 0.01 * abs(watts) / math.sqrt(12))


def drive(e, efficiency=0.97):
    return efficiency + e("drive", 0.015 / ROOT3)


def ratio(value, e, name):
    return value * (1 + e(name, 0.006 / ROOT3))


CASES = []


def case(name, power, model, kind="booster", equipment=None, run=None, economics=None):
    notes = {}
    solved = solve(lambda e: model(e, notes))
    sheet = {"plant": "AM-92", "kind": kind, "purpose": "flow-and-power", "testedOn": "2026-06-03", "tester": "T-09",
             "runs": [{"flow": FLOW, "power": power, **(run or {})}]}
    if economics:
        sheet["economics"] = economics
    entry = {
        "id": name,
        "sheet": sheet,
        "results": {"run0": {key: value for key, (value, _) in solved.items()}},
        "standardUncertainties": {"run0": {key: u for key, (_, u) in solved.items()}},
        "intermediates": {key: complex(value).real for key, value in notes.items()},
    }
    if equipment:
        entry["context"] = {
            "plant": {"code": "AM-92", "kind": kind,
                      "equipment": {"revision": 1, "effectiveFrom": "2020-01-01", **equipment}},
            "tester": {"code": "T-09", "qualifications": []}, "instruments": [],
        }
    CASES.append(entry)


def electric(power, e):
    """What follows from power and flow of an electric plant."""
    return {"input-power": power, "energy-per-volume": power / flow(e)}


# 1 register over half an hour

def half_hour(e, notes):
    energy = register(18241.32, 18245.82, 0.02, 1)(e)
    notes.update({"register-energy": energy, "interval-power": energy / 1800})
    return electric(electronic(energy / timed(1800, e), e), e)


case("register-half-hour", {
    "method": "meter-register", "point": "supply", "start": q(18241.32, "kWh"), "end": q(18245.82, "kWh"),
    "step": q(0.02, "kWh"), "multiplier": q(1, "1"), "elapsed": q(1800, "s"), "otherLoads": "none",
}, half_hour)


# 2 register that starts anew, behind transformers, with another load; its step is the last digit written

def rolled(e, notes):
    energy = register(99998.7, 1.2, 0.1, 40, 100000)(e)
    notes.update({"register-energy": energy})
    metered = electronic(energy / timed(2700, e), e)
    other = 1.7 * HORSEPOWER * (1 + e("other", 0.05))
    return electric(metered - other, e)


case("register-starts-anew", {
    "method": "meter-register", "point": "supply", "start": q(99998.7, "kWh"), "end": q(1.2, "kWh"),
    "modulus": q(100000, "kWh"), "multiplier": q(40, "1"), "elapsed": q(45, "min"),
    "otherLoads": "measured", "otherLoad": q(1.7, "hp"),
}, rolled)


# 3 register behind a drive whose efficiency is not on record

def behind_drive(e, notes):
    energy = register(411.0, 452.5, 0.5, 1)(e)
    behind = electronic(energy / timed(3600, e), e)
    power = behind / drive(e)
    notes.update({"interval-power": energy / 3600, "drive-input-power": power})
    return electric(power, e)


case("register-behind-drive", {
    "method": "meter-register", "point": "drive-output", "start": q(411, "kWh"), "end": q(452.5, "kWh"),
    "step": q(0.5, "kWh"), "multiplier": q(1, "1"), "elapsed": q(1, "h"),
}, behind_drive)


# 4 demand register

def demand(e, notes):
    power = shown(0.913e3, e, "demand") * 80
    notes.update({"metered-power": power})
    return electric(electronic(power, e), e)


case("demand-register", {
    "method": "meter-demand", "point": "supply", "demand": q(0.913, "kW"), "interval": q(15, "min"),
    "steadyOverInterval": True, "multiplier": q(80, "1"),
}, demand)


# 5, 6 two wattmeters behind transformers

def wattmeters(first, second, current, voltage=None):
    def model(e, notes):
        w1, w2 = shown(first, e, "first"), shown(second, e, "second")
        angle = cmath.atan(ROOT3 * (w1 - w2) / (w1 + w2))
        total = (w1 + w2) * (1 + e("class", 0.01 / ROOT3)) * ratio(current, e, "ct")
        if voltage:
            total = total * ratio(voltage, e, "pt")
        notes.update({"two-wattmeter-power": w1 + w2, "two-wattmeter-power-factor": cmath.cos(angle),
                      "primary-power": total})
        return {**electric(total, e), "power-factor": cmath.cos(angle)}
    return model


case("two-wattmeters", {
    "method": "two-wattmeters", "point": "supply", "first": q(1.21, "kW"), "second": q(0.63, "kW"),
    "currentTransformer": q(40, "1"),
}, wattmeters(1210, 630, 40))
case("two-wattmeters-one-negative", {
    "method": "two-wattmeters", "point": "supply", "first": q(412, "W"), "second": q(-37, "W"),
    "currentTransformer": q(20, "1"), "voltageTransformer": q(20, "1"), "otherLoads": "off",
}, wattmeters(412, -37, 20, 20))


# 7 volts and amperes behind current transformers

def volts_amps(e, notes):
    volts = sum(v + e(f"volt {v}", 1 / math.sqrt(12)) for v in (478, 480, 481)) / 3 * (1 + e("voltage", 0.01))
    amps = sum(a + e(f"ampere {a}", 0.1 / math.sqrt(12)) for a in (2.31, 2.36, 2.33)) / 3 * (1 + e("current", 0.015))
    factor = 0.85 * (1 + e("pf", 0.02))
    power = ROOT3 * volts * amps * factor * ratio(40, e, "ct")
    notes.update({"three-phase-power": ROOT3 * volts * amps * factor, "primary-power": power})
    return electric(power, e)


case("volts-amps-behind-transformers", {
    "method": "volts-amps", "point": "supply", "phases": "three",
    "voltages": [q(v, "V") for v in (478, 480, 481)], "currents": [q(a, "A") for a in (2.31, 2.36, 2.33)],
    "powerFactor": q(0.85, "1"), "currentTransformer": q(40, "1"),
}, volts_amps)


# Engines

BASE_C = (60 - 32) / 1.8
EXPANSION = {"diesel": 0.00084, "gasoline": 0.00122, "propane": 0.003}
HEAT = {"diesel": 137381 * BTU / GALLON, "gasoline": 120214 * BTU / GALLON, "propane": 91452 * BTU / GALLON,
        "natural-gas": 1036 * BTU / CUBIC_FOOT}


def heat(fuel, given, e):
    if given:
        return given * (1 + e("heat", 0.01 / ROOT3))
    return HEAT[fuel] * (1 + e("heat", 0.03 / ROOT3))


def fuelled(rate, heating, e, notes, gas=False, price=None):
    water = flow(e)
    notes.update({"fuel-rate": rate, "fuel-power": rate * heating, "fuel-per-volume": rate / water})
    kind = "gas" if gas else "fuel"
    out = {"input-power": rate * heating, f"{kind}-rate": rate, f"{kind}-per-volume": rate / water}
    if price:
        out["cost-per-volume"] = rate / water * price
    return out


def liquid(fuel, volume, seconds, celsius=None, given=None, price=None):
    def model(e, notes):
        metered = volume * (1 + e("volume", 0.01 / ROOT3))
        if celsius is None:
            base = metered * (1 + e("temperature not read", 0.01 / ROOT3))
        else:
            base = metered * (1 - EXPANSION[fuel] * (celsius + e("temperature", 2 / ROOT3) - BASE_C))
            notes["liquid-fuel-at-base"] = base
        return fuelled(base / timed(seconds, e), heat(fuel, given, e), e, notes, price=price)
    return model


case("diesel-warm", {
    "method": "fuel-volume", "fuel": "diesel", "volume": q(4.16, "gal"), "elapsed": q(2700, "s"),
    "fuelTemperature": q(94, "degF"),
}, liquid("diesel", 4.16 * GALLON, 2700, (94 - 32) / 1.8, price=4.1 / GALLON),
    economics={"energyRate": {"value": 4.1, "unit": "USD/gal"}})
case("gasoline-heat-given", {
    "method": "fuel-volume", "fuel": "gasoline", "volume": q(9.3, "L"), "elapsed": q(20, "min"),
    "heatingValue": q(33.9, "MJ/L"),
}, liquid("gasoline", 9.3e-3, 1200, given=33.9e9, price=1.31 / 1e-3),
    economics={"energyRate": {"value": 1.31, "unit": "EUR/L"}})
case("propane-cold", {
    "method": "fuel-volume", "fuel": "propane", "volume": q(6.4, "gal"), "elapsed": q(0.5, "h"),
    "fuelTemperature": q(4, "degC"),
}, liquid("propane", 6.4 * GALLON, 1800, 4))


def gas(volume, seconds, pressure, celsius, air=None, given=None, price=None):
    def model(e, notes):
        metered = volume * (1 + e("volume", 0.01 / ROOT3))
        gauge = pressure + e("gauge", 1000 / ROOT3)
        around = (air if air else 98000) + e("air", (500 if air else 4000) / ROOT3)
        kelvin = celsius + e("temperature", 2 / ROOT3) + 273.15
        base = metered * (gauge + around) / (14.73 * PSI) * (BASE_C + 273.15) / kelvin
        notes["gas-at-base"] = base
        return fuelled(base / timed(seconds, e), heat("natural-gas", given, e), e, notes, gas=True, price=price)
    return model


case("natural-gas-no-barometer", {
    "method": "fuel-volume", "fuel": "natural-gas", "volume": q(399, "ft3"), "elapsed": q(1800, "s"),
    "gasPressure": q(5, "psi"), "gasTemperature": q(78, "degF"),
}, gas(399 * CUBIC_FOOT, 1800, 5 * PSI, (78 - 32) / 1.8, price=9.8 / (1000 * CUBIC_FOOT)),
    economics={"energyRate": {"value": 9.8, "unit": "USD/1000 ft3"}})
case("natural-gas-barometer-and-heat", {
    "method": "fuel-volume", "fuel": "natural-gas", "volume": q(11.3, "m3"), "elapsed": q(35, "min"),
    "gasPressure": q(34.5, "kPa"), "gasTemperature": q(26, "degC"), "barometricPressure": q(95.8, "kPa"),
    "heatingValue": q(39.1, "MJ/m3"),
}, gas(11.3, 2100, 34500, 26, air=95800, given=39.1e6))


def corrected(e, notes):
    metered = 512 * CUBIC_FOOT * (1 + e("volume", 0.01 / ROOT3))
    return fuelled(metered / timed(1800, e), heat("natural-gas", None, e), e, notes, gas=True)


case("natural-gas-meter-corrects", {
    "method": "fuel-volume", "fuel": "natural-gas", "volume": q(512, "ft3"), "elapsed": q(1800, "s"),
    "meterCorrects": True,
}, corrected)


# Motors: the same display, with different records of the plant

DISPLAY = {"method": "meter-display", "point": "supply", "readings": [q(38.2, "kW")], "multiplier": q(1, "1")}


def display(e):
    return electronic(shown(38200, e, "display"), e)


def motor(nominal, rated, e, notes, new=True, fed_by_drive=False):
    efficiency = nominal if new else 1 - (1 - nominal) * 1.25
    efficiency = efficiency + e("losses", (0.2 if new else 0.25) * (1 - efficiency) / ROOT3)
    if fed_by_drive:
        efficiency = efficiency + e("on drive", 0.01)
    power = display(e)
    into = power * drive(e, 0.965) if fed_by_drive else power
    out = into * efficiency
    notes.update({"motor-output-power": out})
    return {**electric(power, e), "motor-load": out / rated, "motor-output-power": out}


def drive_fed(e, notes):
    out = motor(0.936, 60 * HORSEPOWER, e, notes, fed_by_drive=True)
    return {**out, "pump-shaft-power": out["motor-output-power"]}


case("motor-on-a-drive", DISPLAY, drive_fed, equipment={
    "driver": "electric-motor", "ratedPower": q(60, "hp"), "motorEfficiency": 0.936, "coupling": "direct",
    "drive": "variable-frequency", "driveEfficiency": 0.965,
})


def table_between_rows(e, notes):
    # Open, four poles, 45 hp lies between
    # 94.1 % at 40 and 94.5 % at 50 hp.
    share = math.log(45 / 40) / math.log(50 / 40)
    out = motor((94.1 + share * 0.4) / 100, 45 * HORSEPOWER, e, notes, new=False)
    belt = 0.925 + e("belt", 0.025 / ROOT3)
    # Line shaft of 1.5 in and 180 ft at the speed read.
    speed = (1180 + 1184) / 2 / 60
    friction = 711 * (1 + e("friction", 0.2))
    loss = friction * speed * (1.5 * INCH) ** 2 * 180 * FOOT
    notes.update({"line-shaft-loss": loss})
    return {**out, "pump-shaft-power": out["motor-output-power"] * belt - loss}


case("motor-from-table-belt-line-shaft", DISPLAY, table_between_rows, kind="well", equipment={
    "driver": "electric-motor", "ratedPower": q(45, "hp"), "motorEnclosure": "open", "motorState": "age-unknown",
    "synchronousSpeed": q(1800, "rpm"), "coupling": "belt", "lineShaftLength": q(180, "ft"),
    "lineShaftDiameter": q(1.5, "in"),
}, run={"speeds": [q(1180, "rpm"), q(1184, "rpm")]})


def at_fifty_hertz(e, notes):
    x = math.log10(45)
    out = motor((0.0773 * x**3 - 1.8951 * x**2 + 9.2984 * x + 83.7025) / 100, 45e3, e, notes)
    gear = 0.96 + e("gear", 0.025 / ROOT3)
    loss = 1100 * (1 + e("loss", 0.15 / ROOT3))
    return {**out, "pump-shaft-power": out["motor-output-power"] * gear - loss}


case("motor-of-fifty-hertz-gear-stated-loss", DISPLAY, at_fifty_hertz, kind="well", equipment={
    "driver": "electric-motor", "ratedPower": q(45, "kW"), "motorEnclosure": "enclosed", "motorState": "new",
    "synchronousSpeed": q(1500, "rpm"), "coupling": "gear", "transmissionEfficiency": 0.96,
    "lineShaftLoss": q(1.1, "kW"),
})

print(json.dumps({"script": "power_in_the_open.py", "sheets": CASES}, indent=1))
