"""Air and its species: heat capacity, enthalpy, entropy."""

import CoolProp.CoolProp as cp

import gases
from rowfile import RowFile

TEMPERATURES = [220, 250, 275, 288.15, 300, 325, 350, 400, 450, 500, 600, 800, 1000, 1300, 1600]

# Tables of air as an ideal gas after Keenan & Kaye, Gas Tables (1945), as in Moran & Shapiro,
# table A-22: K, enthalpy kJ/kg, relative pressure. From memory.
KEENAN = [
    (300, 300.19, 1.3860),
    (400, 400.98, 3.806),
    (500, 503.02, 8.411),
    (600, 607.02, 16.28),
    (700, 713.27, 28.80),
    (800, 821.95, 47.75),
    (900, 932.93, 75.29),
    (1000, 1046.04, 114.0),
    (1200, 1277.79, 238.0),
    (1400, 1515.42, 450.5),
]


def coolprop_air(quantity, t):
    return cp.PropsSI(quantity, "T", t, "P", 101325.0, "Air")


def rows():
    file = RowFile("03_gas_properties.json", "Air and its species")
    file.source("cantera", gases.CANTERA)
    file.source("air", "CoolProp 8.0.0: Air at 101.325 kPa (Lemmon et al. 2000)")
    file.source("fluids", "CoolProp 8.0.0: heat capacity of the ideal gas from each fluid's reference equation")
    file.source("keenan", "Keenan & Kaye, Gas Tables (1945), as in Moran & Shapiro, table A-22 (from memory)")
    file.reason("same polynomials", "The same published polynomials: a check that every coefficient was copied right. The join at 1000 K moves by parts in 1e6.")
    file.reason("composition", "The same polynomials; the trace gases of the air counted as nitrogen or left out.")
    file.reason("libraries", "How far two good libraries agree on air, ideal against real gas included: 0.3 %, and 0.5 % below 280 K, where air at 1 atm is less ideal.")
    file.reason("species", "How far the polynomials of 1993 and the reference equations of the fluids agree: 0.5 %.")
    file.reason("table of 1945", "Spectroscopic data of 1945, air with another composition: within 0.3 % of today's.")
    air = gases.air()
    file.add("gas_constant", {"gas": "air"}, (air.gas_constant, "J/(kg K)"), "cantera", "composition", relative=2e-6)
    for t in TEMPERATURES:
        inputs = {"gas": "air", "temperature": (t, "K")}
        file.add("heat_capacity", inputs, (air.cp(t), "J/(kg K)"), "cantera", "composition", relative=5e-6)
        file.add("gamma", inputs, (air.gamma(t), "1"), "cantera", "composition", relative=5e-6)
        file.add("enthalpy", inputs, (air.h(t), "J/kg"), "cantera", "composition", absolute=max(2.0, 5e-6 * abs(air.h(t))))
        file.add("entropy", inputs, (air.s(t), "J/(kg K)"), "cantera", "composition", absolute=0.01)
        back = {"gas": "air", "enthalpy": (air.h(t), "J/kg")}
        file.add("temperature_from_enthalpy", back, (t, "K"), "cantera", "composition", absolute=0.005)
        if t <= 1300:
            relative = 3e-3 if t >= 280 else 5e-3
            file.add("heat_capacity", inputs, (coolprop_air("C", t), "J/(kg K)"), "air", "libraries", relative=relative)
            file.add("gamma", inputs, (coolprop_air("C", t) / coolprop_air("O", t), "1"), "air", "libraries", relative=relative)
            rise = coolprop_air("H", t) - coolprop_air("H", 298.15)
            file.add("enthalpy", inputs, (rise, "J/kg"), "air", "libraries", relative=3e-3)
            rise = coolprop_air("S", t) - coolprop_air("S", 298.15)
            file.add("entropy", inputs, (rise, "J/(kg K)"), "air", "libraries", relative=4e-3)
    for humidity in [0.005, 0.01, 0.02, 0.035]:
        humid = gases.air(humidity)
        extra = {"gas": "air", "humidity_ratio": (humidity, "1")}
        file.add("gas_constant", extra, (humid.gas_constant, "J/(kg K)"), "cantera", "composition", relative=2e-6)
        for t in [288.15, 308.15, 400, 500]:
            inputs = {**extra, "temperature": (t, "K")}
            file.add("heat_capacity", inputs, (humid.cp(t), "J/(kg K)"), "cantera", "composition", relative=5e-6)
            file.add("gamma", inputs, (humid.gamma(t), "1"), "cantera", "composition", relative=5e-6)
    for formula in gases.SPECIES:
        gas = gases.Gas({formula: 1.0})
        file.add("gas_constant", {"gas": formula}, (gas.gas_constant, "J/(kg K)"), "cantera", "same polynomials", relative=1e-6)
        for t in [250, 400, 700, 999, 1001, 1400, 2000, 3000]:
            inputs = {"gas": formula, "temperature": (t, "K")}
            file.add("heat_capacity", inputs, (gas.cp(t), "J/(kg K)"), "cantera", "same polynomials", relative=2e-6)
            file.add("enthalpy", inputs, (gas.h(t), "J/kg"), "cantera", "same polynomials", relative=1e-5)
            file.add("entropy", inputs, (gas.s(t), "J/(kg K)"), "cantera", "same polynomials", relative=1e-5)
        for t in [300, 500, 800, 1200]:
            if formula == "H2" and t > 1000 or formula == "CO" and t > 500:
                continue  # outside of the reference equation
            heat = gases.ideal_molar_heat_capacity(formula, t) / gas.molar_mass
            file.add("heat_capacity", {"gas": formula, "temperature": (t, "K")}, (heat, "J/(kg K)"), "fluids", "species", relative=5e-3)
    first = KEENAN[0]
    for t, h, p in KEENAN[1:]:
        inputs = {"gas": "air", "temperature": (t, "K"), "from": (first[0], "K")}
        file.add("enthalpy", inputs, (h - first[1], "kJ/kg"), "keenan", "table of 1945", relative=3e-3)
        # Twice the exponent cp/R of a relative error in temperature.
        file.add("pressure_ratio_of_isentrope", inputs, (p / first[2], "1"), "keenan", "table of 1945", relative=1e-2)
    return file
