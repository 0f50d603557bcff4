"""Pressure and heat lost on the way: filter, cooler, manifold, exhaust system."""

import fluids
import gases
import ht
from rowfile import RowFile


def rows():
    file = RowFile("04_losses.json", "Losses: filter, charge cooler, exhaust manifold, exhaust system")
    file.source("fluids", "fluids 1.3.1: dP_from_K, the loss of a fitting of constant loss coefficient, K rho V^2/2 (Crane TP-410)")
    file.source("ht", "ht 1.2.0: turbulent_Dittus_Boelter; heat taken from a gas by a wall of constant temperature, small against its heat")
    file.reason("formula", "The same law written in another way: only rounding differs.")
    file.reason("gas constant", "The same law; density by R = 287.051 against the quoted 287.05.")
    area = 3e-3
    for rated, flow, p, t in [
        (2000.0, 0.10, 101325.0, 288.15),
        (2000.0, 0.25, 101325.0, 298.15),
        (2000.0, 0.25, 85000.0, 308.15),
        (3500.0, 0.40, 95000.0, 313.15),
        (1000.0, 0.05, 70000.0, 263.15),
        (4000.0, 0.30, 101325.0, 318.15),
    ]:
        rated_flow, reference = 0.2, 1.2
        k = rated / (0.5 * reference * (rated_flow / (reference * area)) ** 2)
        rho = p / (gases.air().gas_constant * t)
        loss = fluids.dP_from_K(K=k, rho=rho, V=flow / (rho * area))
        inputs = {
            "gas": "air",
            "rated_loss": (rated, "Pa"),
            "rated_flow": (rated_flow, "kg/s"),
            "reference_density": (reference, "kg/m3"),
            "pressure": (p, "Pa"),
            "temperature": (t, "K"),
            "flow": (flow, "kg/s"),
        }
        file.add("filter_loss", inputs, (loss, "Pa"), "fluids", "gas constant", relative=2e-6)
    for rated, flow, p in [(8000.0, 0.1, 1.5e5), (8000.0, 0.2, 2e5), (8000.0, 0.3, 2.5e5), (12000.0, 0.25, 1.8e5), (5000.0, 0.15, 3e5)]:
        rated_flow, t, r = 0.2, 320.0, 287.05
        rho = lambda pressure: pressure / (r * t)
        k = rated / (0.5 * rho(2e5) * (rated_flow / (rho(2e5) * area)) ** 2)
        loss = fluids.dP_from_K(K=k, rho=rho(p), V=flow / (rho(p) * area))
        inputs = {"rated_loss": (rated, "Pa"), "rated_flow": (rated_flow, "kg/s"), "flow": (flow, "kg/s"), "pressure": (p, "Pa")}
        file.add("cooler_loss", inputs, (loss, "Pa"), "fluids", "formula", relative=1e-9)
    for rated, flow, p, t in [
        (15000.0, 0.1, 101325.0, 900.0),
        (15000.0, 0.2, 101325.0, 1000.0),
        (15000.0, 0.3, 95000.0, 1100.0),
        (25000.0, 0.25, 85000.0, 1150.0),
        (8000.0, 0.15, 101325.0, 700.0),
    ]:
        rated_flow, r = 0.2, 289.0
        rho = lambda pressure, temperature: pressure / (r * temperature)
        quoted = rho(101325.0, 1000.0)
        k = rated / (0.5 * quoted * (rated_flow / (quoted * area)) ** 2)
        here = rho(p, t)
        loss = fluids.dP_from_K(K=k, rho=here, V=flow / (here * area))
        inputs = {
            "rated_loss": (rated, "Pa"),
            "rated_flow": (rated_flow, "kg/s"),
            "temperature": (t, "K"),
            "pressure": (p, "Pa"),
            "flow": (flow, "kg/s"),
        }
        file.add("exhaust_loss", inputs, (loss, "Pa"), "fluids", "formula", relative=1e-9)
    for t, ratio in [(1200.0, 0.25), (1200.0, 0.5), (1200.0, 2.0), (1000.0, 0.5), (1000.0, 1.5), (800.0, 0.7)]:
        # Drop of temperature: h A (T - wall)/(flow cp), h by Dittus & Boelter, at one viscosity.
        number = lambda share: ht.conv_internal.turbulent_Dittus_Boelter(Re=40000.0 * share, Pr=0.7, heating=False) / share
        drop = number(ratio) / number(1.0) * (t - 400.0) / 800.0
        inputs = {"temperature": (t, "K"), "flow_ratio": (ratio, "1"), "exponent": (0.2, "1")}
        file.add("manifold_drop_ratio", inputs, (drop, "K"), "ht", "formula", relative=1e-9)
    return file
