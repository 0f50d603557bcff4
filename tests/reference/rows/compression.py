"""Station 1 to 2: compression."""

import CoolProp.CoolProp as cp
import fluids

import gases
from rowfile import RowFile


def rows():
    file = RowFile("05_compression.json", "Station 1 to 2: compression")
    file.source("cantera", gases.CANTERA + "; isentrope by entropy and pressure")
    file.source("coolprop", "CoolProp 8.0.0: Air as a real gas (Lemmon et al. 2000), isentrope from 100 kPa")
    file.source("fluids", "fluids 1.3.1: isentropic_T_rise_compression with k = 1.4 throughout")
    file.source("definition", "SAE J1826: corrected flow m sqrt(T/Tref)/(p/pref) (from memory)")
    file.reason("same polynomials", "The same polynomials through another isentrope solver; the trace gases of the air counted as nitrogen or left out.")
    file.reason("libraries", "How far two good libraries agree on an isentropic temperature or enthalpy rise, ideal against real gas: 0.3 %.")
    file.reason("constant gamma", "Heat capacity rises with temperature, a constant ratio of 1.4 leaves that out: below 0.5 % of the outlet temperature up to a pressure ratio of 2.")
    file.reason("formula", "The definition itself: only rounding differs.")
    air = gases.air()
    for t in [288.15, 298.15, 303.15, 320.0]:
        for ratio in [1.2, 1.5, 1.8, 2.0, 2.5, 3.0, 3.5, 4.0]:
            inputs = {"gas": "air", "temperature": (t, "K"), "pressure_ratio": (ratio, "1")}
            ideal_t, work = air.isentropic(t, ratio)
            file.add("isentropic_outlet_temperature", inputs, (ideal_t, "K"), "cantera", "same polynomials", relative=2e-6)
            file.add("isentropic_compression_work", inputs, (work, "J/kg"), "cantera", "same polynomials", relative=1e-5)
            for efficiency in [0.6, 0.65, 0.7, 0.75, 0.8]:
                # Not all five at each point, so that the file stays readable.
                if round(100 * efficiency + 10 * ratio) % 2:
                    continue
                outlet = air.after(t, work / efficiency)
                with_efficiency = {**inputs, "efficiency": (efficiency, "1")}
                file.add("compressor_outlet_temperature", with_efficiency, (outlet, "K"), "cantera", "same polynomials", relative=5e-6)
            s = cp.PropsSI("S", "T", t, "P", 1e5, "Air")
            real_t = cp.PropsSI("T", "S", s, "P", 1e5 * ratio, "Air")
            real_work = cp.PropsSI("H", "S", s, "P", 1e5 * ratio, "Air") - cp.PropsSI("H", "T", t, "P", 1e5, "Air")
            file.add("isentropic_outlet_temperature", inputs, (real_t, "K"), "coolprop", "libraries", relative=3e-3)
            file.add("isentropic_compression_work", inputs, (real_work, "J/kg"), "coolprop", "libraries", relative=3e-3)
    for t, humidity in [(298.15, 0.01), (308.15, 0.02), (308.15, 0.035)]:
        humid = gases.air(humidity)
        for ratio in [1.5, 2.0, 2.5, 3.0]:
            inputs = {"gas": "air", "humidity_ratio": (humidity, "1"), "temperature": (t, "K"), "pressure_ratio": (ratio, "1")}
            ideal_t, work = humid.isentropic(t, ratio)
            file.add("isentropic_outlet_temperature", inputs, (ideal_t, "K"), "cantera", "same polynomials", relative=2e-6)
            file.add("isentropic_compression_work", inputs, (work, "J/kg"), "cantera", "same polynomials", relative=1e-5)
            outlet = {**inputs, "efficiency": (0.7, "1")}
            file.add("compressor_outlet_temperature", outlet, (humid.after(t, work / 0.7), "K"), "cantera", "same polynomials", relative=5e-6)
    for flow, t, ratio, efficiency in [(0.1, 293.15, 1.6, 0.7), (0.2, 298.15, 2.0, 0.72), (0.25, 298.15, 2.6, 0.75), (0.5, 308.15, 3.2, 0.76)]:
        _, work = air.isentropic(t, ratio)
        inputs = {
            "gas": "air",
            "flow": (flow, "kg/s"),
            "temperature": (t, "K"),
            "pressure_ratio": (ratio, "1"),
            "efficiency": (efficiency, "1"),
        }
        file.add("compressor_power", inputs, (flow * work / efficiency, "W"), "cantera", "same polynomials", relative=1e-5)
        file.add("compressor_power", inputs, (flow * real(t, ratio) / efficiency, "W"), "coolprop", "libraries", relative=3e-3)
    for t, ratio, efficiency in [(290.0, 1.5, 1.0), (300.0, 2.0, 1.0), (300.0, 1.5, 0.7), (300.0, 2.0, 0.7)]:
        outlet = fluids.isentropic_T_rise_compression(t, 1.0, ratio, 1.4, efficiency)
        inputs = {"gas": "air", "temperature": (t, "K"), "pressure_ratio": (ratio, "1"), "efficiency": (efficiency, "1")}
        file.add("compressor_outlet_temperature", inputs, (outlet, "K"), "fluids", "constant gamma", relative=5e-3)
    for flow, t, p, reference_t, reference_p in [
        (0.20, 308.15, 95000.0, 298.0, 100000.0),
        (0.20, 308.15, 95000.0, 288.15, 101325.0),
        (0.35, 318.0, 82000.0, 302.6, 96200.0),
        (0.10, 298.0, 100000.0, 298.0, 100000.0),
        (0.15, 283.15, 90000.0, 302.78, 96170.0),
    ]:
        corrected = flow * (t / reference_t) ** 0.5 / (p / reference_p)
        inputs = {
            "flow": (flow, "kg/s"),
            "temperature": (t, "K"),
            "pressure": (p, "Pa"),
            "reference_temperature": (reference_t, "K"),
            "reference_pressure": (reference_p, "Pa"),
        }
        file.add("corrected_flow", inputs, (corrected, "kg/s"), "definition", "formula", relative=1e-9)
    return file


def real(t, ratio):
    s = cp.PropsSI("S", "T", t, "P", 1e5, "Air")
    return cp.PropsSI("H", "S", s, "P", 1e5 * ratio, "Air") - cp.PropsSI("H", "T", t, "P", 1e5, "Air")
