"""The shaft: pressure before a turbine that drives a given compressor."""

from scipy.optimize import brentq

import gases
from rowfile import RowFile

CASES = [
    # flow, T1, pressure ratio, efficiency, fuel, lambda, T3, p4, turbine and mechanical efficiency
    (0.20, 298.15, 2.0, 0.72, (8, 18, 0), 0.85, 1150.0, 105e3, 0.65, 0.97),
    (0.12, 293.15, 1.6, 0.70, (8, 18, 0), 0.90, 1100.0, 105e3, 0.62, 0.96),
    (0.25, 298.15, 2.6, 0.75, (1, 1.8, 0), 1.60, 900.0, 105e3, 0.66, 0.97),
    (0.35, 303.15, 2.4, 0.74, (1, 1.87, 0), 0.80, 1220.0, 112e3, 0.70, 1.00),
    (0.10, 288.15, 1.4, 0.68, (2, 6, 1), 0.85, 1050.0, 102e3, 0.60, 0.95),
]


def rows():
    file = RowFile("15_shaft_balance.json", "The shaft: what the turbine gives against what the compressor takes")
    file.source("cantera", gases.CANTERA + "; expansion ratio at which both powers are equal, by scipy 1.17.1 (brentq)")
    file.reason("solver", "The same energy balance solved by another program: polynomials, composition and root each differ by parts in 1e6, and pressure moves more than power near a ratio of 1.")
    air = gases.air()
    for flow, t1, ratio, efficiency, fuel, lam, t3, p4, turbine, mechanical in CASES:
        _, work = air.isentropic(t1, ratio)
        power = flow * work / efficiency
        exhaust = flow * (1 + 1 / (lam * gases.stoichiometric_ratio(fuel)))
        gas = gases.products(fuel, lam)
        for gate in [0.0, 0.1, 0.2]:
            surplus = lambda er: exhaust * (1 - gate) * turbine * mechanical * -gas.isentropic(t3, 1 / er)[1] - power
            er = brentq(surplus, 1.001, 12.0, xtol=1e-12)
            inputs = {
                **gases.products_inputs(fuel, lam),
                "flow": (flow, "kg/s"),
                "air_temperature": (t1, "K"),
                "pressure_ratio": (ratio, "1"),
                "compressor_efficiency": (efficiency, "1"),
                "temperature": (t3, "K"),
                "outlet_pressure": (p4, "Pa"),
                "efficiency": (turbine, "1"),
                "mechanical_efficiency": (mechanical, "1"),
                "gate_share": (gate, "1"),
            }
            file.add("balanced_inlet_pressure", inputs, (er * p4, "Pa"), "cantera", "solver", relative=3e-5)
    return file
