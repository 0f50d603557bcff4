"""Station 3 to 4: expansion, and flow through the gate."""

import CoolProp.CoolProp as cp
import fluids
from scipy.optimize import minimize_scalar

import gases
from rowfile import RowFile

CASES = [
    ("iso-octane", (8, 18, 0), 0.85, [900, 1000, 1100, 1200, 1300]),
    ("iso-octane", (8, 18, 0), 1.0, [900, 1100, 1300]),
    ("petrol CH1.87", (1, 1.87, 0), 0.8, [1000, 1200]),
    ("ethanol", (2, 6, 1), 0.85, [900, 1100]),
    ("diesel CH1.8", (1, 1.8, 0), 1.6, [700, 900, 1100]),
]


def mass_flux(gas, t, p, pressure_ratio):
    """Density times velocity on the isentrope, kg/(s m2)."""
    t2, change = gas.isentropic(t, pressure_ratio)
    return p * pressure_ratio / (gas.gas_constant * t2) * (2 * max(-change, 0.0)) ** 0.5


def choked_flux(gas, t, p):
    """Greatest mass flux with the gas's own heat capacity."""
    found = minimize_scalar(lambda ratio: -mass_flux(gas, t, p, ratio), bounds=(0.3, 0.8), method="bounded", options={"xatol": 1e-10})
    return -found.fun


def constant_flux(gamma, r, t, p, ratio):
    """Mass flux of a perfect gas: from fluids' critical pressure, then Bernoulli's equation for
    compressible flow."""
    throat = max(ratio, fluids.P_critical_flow(p, gamma) / p)
    rho = p / (r * t) * throat ** (1 / gamma)
    velocity = (2 * gamma / (gamma - 1) * r * t * (1 - throat ** ((gamma - 1) / gamma))) ** 0.5
    return rho * velocity


def rows():
    file = RowFile("13_expansion_and_nozzle.json", "Station 3 to 4: expansion, and flow past the gate")
    file.source("cantera", gases.CANTERA + "; isentrope of frozen composition by entropy and pressure")
    file.source("coolprop", "CoolProp 8.0.0: Air as a real gas (Lemmon et al. 2000), isentrope to 100 kPa")
    file.source("nozzle", "Saint-Venant & Wantzel: isentropic nozzle of a perfect gas; critical pressure by fluids 1.3.1 (P_critical_flow)")
    file.source("real nozzle", "Cantera 3.2.0: greatest density times velocity on the isentrope, heat capacity of the gas itself")
    file.source("geometry", "Lifted disc on a seat: the smaller of curtain and seat area (common practice, no source)")
    file.reason("solver", "The same polynomials through another isentrope solver; composition by another solver of the same balance.")
    file.reason("libraries", "How far two good libraries agree on an isentropic temperature or enthalpy change: 0.3 %.")
    file.reason("formula", "The same closed relation written in another way: only rounding differs.")
    file.reason("gamma at inlet", "The core takes the ratio of heat capacities at the inlet; the gas cools on its way to the throat: below 0.3 %, and the libraries' 0.2 %.")
    for _, fuel, lam, temperatures in CASES:
        gas = gases.products(fuel, lam)
        for t in temperatures:
            for ratio in [1.1, 1.3, 1.5, 2.0, 2.5, 3.0, 4.0]:
                inputs = {**gases.products_inputs(fuel, lam), "temperature": (t, "K"), "expansion_ratio": (ratio, "1")}
                after, change = gas.isentropic(t, 1 / ratio)
                file.add("isentropic_expansion_work", inputs, (-change, "J/kg"), "cantera", "solver", relative=2e-5)
                file.add("isentropic_expansion_temperature", inputs, (after, "K"), "cantera", "solver", relative=5e-6)
                if ratio in (1.3, 2.0, 3.0):
                    outlet = {**inputs, "efficiency": (0.7, "1")}
                    file.add("turbine_outlet_temperature", outlet, (gas.after(t, 0.7 * change), "K"), "cantera", "solver", relative=5e-6)
    for t in [600.0, 900.0, 1200.0]:
        for ratio in [1.3, 2.0, 3.0]:
            inputs = {"gas": "air", "temperature": (t, "K"), "expansion_ratio": (ratio, "1")}
            p = 1e5 * ratio
            s = cp.PropsSI("S", "T", t, "P", p, "Air")
            work = cp.PropsSI("H", "T", t, "P", p, "Air") - cp.PropsSI("H", "S", s, "P", 1e5, "Air")
            file.add("isentropic_expansion_work", inputs, (work, "J/kg"), "coolprop", "libraries", relative=3e-3)
            file.add("isentropic_expansion_temperature", inputs, (cp.PropsSI("T", "S", s, "P", 1e5, "Air"), "K"), "coolprop", "libraries", relative=3e-3)
    for gamma in [1.3, 1.3333, 1.35, 1.38, 1.4]:
        for ratio in [0.98, 0.95, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4]:
            t, p, r = 1200.0, 200e3, 288.0
            inputs = {
                "pressure": (p, "Pa"),
                "temperature": (t, "K"),
                "back_ratio": (ratio, "1"),
                "gamma": (gamma, "1"),
                "gas_constant": (r, "J/(kg K)"),
            }
            file.add("nozzle_flux", inputs, (constant_flux(gamma, r, t, p, ratio), "kg/(s m2)"), "nozzle", "formula", relative=1e-8)
    for t, p, inputs, gas in [
        (300.0, 200e3, {"gas": "air"}, gases.air()),
        (450.0, 200e3, {"gas": "air"}, gases.air()),
        (1150.0, 200e3, gases.products_inputs((8, 18, 0), 0.85), gases.products((8, 18, 0), 0.85)),
        (950.0, 200e3, gases.products_inputs((1, 1.8, 0), 1.6), gases.products((1, 1.8, 0), 1.6)),
        (1250.0, 250e3, gases.products_inputs((1, 1.87, 0), 0.8), gases.products((1, 1.87, 0), 0.8)),
    ]:
        state = {**inputs, "temperature": (t, "K"), "pressure": (p, "Pa")}
        file.add("nozzle_flux_of_gas", {**state, "back_ratio": (0.4, "1")}, (choked_flux(gas, t, p), "kg/(s m2)"), "real nozzle", "gamma at inlet", relative=5e-3)
        for ratio in [0.9, 0.7]:
            file.add("nozzle_flux_of_gas", {**state, "back_ratio": (ratio, "1")}, (mass_flux(gas, t, p, ratio), "kg/(s m2)"), "real nozzle", "gamma at inlet", relative=5e-3)
    for diameter, lift, area in [(0.040, 0.004, 3.141592654 * 0.04 * 0.004), (0.040, 0.012, 3.141592654 * 0.04**2 / 4), (0.025, 0.005, 3.141592654 * 0.025 * 0.005)]:
        file.add("largest_gate_area", {"diameter": (diameter, "m"), "lift": (lift, "m")}, (area, "m2"), "geometry", "formula", relative=1e-8)
    return file
