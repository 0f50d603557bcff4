"""Station m: air flow of the engine."""

import CoolProp.CoolProp as cp

import gases
from rowfile import RowFile


def rows():
    file = RowFile("08_air_demand.json", "Station m: how much air the cylinders take")
    file.source("coolprop", "CoolProp 8.0.0: density of Air; flow = efficiency x density x displacement x speed/120")
    file.source("ideal", "Dalton's law: dry air, water and fuel vapour share the volume; molar masses of IUPAC")
    file.source("us", "Air flow in US units, ft3/min = in3 x rev/min x efficiency/3456 (derived from units)")
    file.source("taylor", "Taylor, The Internal-Combustion Engine in Theory and Practice: residual gas without valve overlap (from memory)")
    file.reason("libraries", "Ideal against real gas below 3 bar: 0.1 %.")
    file.reason("formula", "The same law written in another way: molar masses to six digits.")
    r = gases.ct.gas_constant * 1e-3
    dry_molar = gases.air().molar_mass
    for displacement, speed, efficiency, p, t in [
        (0.0020, 6000, 0.95, 200e3, 318.0),
        (0.005735, 5500, 0.90, 180e3, 325.0),
        (0.0016, 6500, 1.00, 220e3, 323.0),
        (0.0067, 2800, 0.90, 300e3, 320.0),
        (0.0022, 3000, 0.95, 150e3, 310.0),
        (0.0010, 9000, 1.05, 250e3, 330.0),
    ]:
        inputs = {
            "displacement": (displacement, "m3"),
            "speed": (speed, "rev/min"),
            "efficiency": (efficiency, "1"),
            "manifold_pressure": (p, "Pa"),
            "manifold_temperature": (t, "K"),
        }
        swept = efficiency * displacement * speed / 120
        file.add("dry_air_flow", inputs, (swept * cp.PropsSI("D", "T", t, "P", p, "Air"), "kg/s"), "coolprop", "libraries", relative=1e-3)
        ideal = p * dry_molar / (r * t)
        file.add("dry_air_flow", inputs, (swept * ideal, "kg/s"), "ideal", "formula", relative=2e-6)
        cubic_inches = displacement / 0.0254**3
        cubic_feet_a_minute = cubic_inches * speed * efficiency / 3456
        flow = cubic_feet_a_minute * 0.3048**3 / 60 * ideal
        file.add("dry_air_flow", inputs, (flow, "kg/s"), "us", "formula", relative=2e-6)
        for humidity, vapour, vapour_molar in [(0.012, 0.0, 0.1), (0.02, 0.03, 0.105), (0.0, 0.05, 0.04607)]:
            # Partial pressure of the dry air.
            moles = [1 / dry_molar, humidity / gases.molar_mass({"H2O": 1.0}), vapour / vapour_molar]
            partial = p * moles[0] / sum(moles)
            inside = {**inputs, "humidity_ratio": (humidity, "1"), "vapour_ratio": (vapour, "1"), "vapour_molar_mass": (vapour_molar, "kg/mol")}
            file.add("dry_air_flow", inside, (swept * partial * dry_molar / (r * t), "kg/s"), "ideal", "formula", relative=2e-6)
    for efficiency, ratio, pm, p3 in [(0.95, 9.0, 200e3, 200e3), (0.95, 9.0, 200e3, 260e3), (1.0, 10.5, 180e3, 300e3), (0.9, 8.5, 250e3, 225e3)]:
        gamma = 1.36
        # Residual gas expands or is compressed isentropically to manifold pressure: it takes
        # (p3/pm)^(1/gamma) of the clearance; linear in p3/pm about 1.
        expected = efficiency * (1 + (1 - p3 / pm) / (gamma * (ratio - 1)))
        inputs = {
            "efficiency": (efficiency, "1"),
            "gamma": (gamma, "1"),
            "compression_ratio": (ratio, "1"),
            "manifold_pressure": (pm, "Pa"),
            "exhaust_pressure": (p3, "Pa"),
        }
        file.add("volumetric_efficiency", inputs, (expected, "1"), "taylor", "formula", relative=2e-6)
    return file
