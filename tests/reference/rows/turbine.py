"""Station 3 to 4: the turbine's flow and efficiency."""

from scipy.optimize import brentq

import gases
from rowfile import RowFile


def flow(swallowing, k, p3, t3, p4):
    return swallowing * p3 / t3**0.5 * (1 - (p3 / p4) ** -k) ** 0.5


def rows():
    file = RowFile("14_turbine.json", "Station 3 to 4: the turbine")
    file.source("eriksson", "Eriksson & Nielsen, Modeling and Control of Engines and Drivelines (2014): m sqrt(T03)/p03 = k0 sqrt(1 - ER^-k1); Stodola's law has k1 = 2 (from memory)")
    file.source("inverse", "The same law solved for the inlet pressure by scipy 1.17.1 (brentq)")
    file.source("cantera", gases.CANTERA + "; C0 = sqrt(2 x isentropic work)")
    file.source("watson", "Watson & Janota 1982: efficiency eta_max (1 - ((U/C0 - b)/b)^2) (from memory), C0 by Cantera 3.2.0")
    file.reason("formula", "The published formula: only rounding differs.")
    file.reason("solver", "The same polynomials through another isentrope solver; composition by another solver of the same balance.")
    file.reason("search", "Both solvers stop within 1e-9 of the pressure.")
    for swallowing in [2.2e-5, 3.5e-5]:
        for k in [1.6, 2.0]:
            for ratio in [1.05, 1.3, 1.8, 2.5, 3.5]:
                p4, t3 = 105e3, 1150.0
                p3 = p4 * ratio
                base = {
                    "swallowing": (swallowing, "kg K^0.5/(s Pa)"),
                    "exponent": (k, "1"),
                    "temperature": (t3, "K"),
                    "outlet_pressure": (p4, "Pa"),
                }
                m = flow(swallowing, k, p3, t3, p4)
                file.add("turbine_flow", {**base, "inlet_pressure": (p3, "Pa")}, (m, "kg/s"), "eriksson", "formula", relative=1e-8)
                found = brentq(lambda p: flow(swallowing, k, p, t3, p4) - m * 1.03, p4 * (1 + 1e-12), p4 * 20, xtol=1e-7, rtol=1e-14)
                file.add("turbine_inlet_pressure", {**base, "flow": (m * 1.03, "kg/s")}, (found, "Pa"), "inverse", "search", relative=1e-8)
    for fuel, lam, t in [((8, 18, 0), 0.85, 1000.0), ((1, 1.87, 0), 0.8, 1200.0), ((1, 1.8, 0), 1.6, 900.0)]:
        gas = gases.products(fuel, lam)
        for ratio in [1.3, 1.8, 2.6]:
            _, change = gas.isentropic(t, 1 / ratio)
            c0 = (2 * -change) ** 0.5
            for u in [150.0, 350.0]:
                inputs = {**gases.products_inputs(fuel, lam), "temperature": (t, "K"), "expansion_ratio": (ratio, "1"), "tip_speed": (u, "m/s")}
                file.add("speed_ratio", inputs, (u / c0, "1"), "cantera", "solver", relative=2e-5)
                best, peak = 0.66, 0.72
                efficiency = peak * (1 - ((u / c0 - best) / best) ** 2)
                shape = {**inputs, "peak_efficiency": (peak, "1"), "best_speed_ratio": (best, "1")}
                file.add("turbine_efficiency", shape, (efficiency, "1"), "watson", "solver", relative=5e-5)
    return file
