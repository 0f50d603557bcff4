"""Station 2 to m: the charge cooler."""

from ht.hx import NTU_from_effectiveness, effectiveness_from_NTU

from rowfile import RowFile

UNMIXED = "crossflow"


def effectiveness(units, ratio):
    """Exact relation of a crossflow exchanger, both streams unmixed."""
    return effectiveness_from_NTU(NTU=units, Cr=ratio, subtype=UNMIXED)


def transfer_units(rated, ratio):
    from scipy.optimize import brentq

    return brentq(lambda units: effectiveness(units, ratio) - rated, 1e-6, 60.0, xtol=1e-13)


def off_rated(rated, ratio, exponent, share):
    """Effectiveness of the charge at another flow, the cooling stream steady."""
    units = transfer_units(rated, ratio) * share**-exponent
    here = ratio * share
    if here <= 1:
        return effectiveness(units, here)
    return effectiveness(units * here, 1 / here) / here


def rows():
    file = RowFile("07_charge_cooler.json", "Station 2 to m: the charge cooler")
    file.source("ht", "ht 1.2.0: effectiveness_from_NTU, crossflow, both streams unmixed, exact (integral of Bessel functions)")
    file.reason("exact", "Series against integral of the same exact relation: only rounding differs.")
    file.reason("curve", "The core tabulates effectiveness over flow and reads between by a monotone cubic.")
    file.reason("handed over", "Effectiveness is handed over with ten digits, and the temperature follows.")
    for units in [0.2, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0]:
        for ratio in [0.1, 0.25, 0.5, 0.75, 1.0]:
            inputs = {"transfer_units": (units, "1"), "capacity_ratio": (ratio, "1")}
            file.add("crossflow_effectiveness", inputs, (effectiveness(units, ratio), "1"), "ht", "exact", relative=1e-7)
    for rated, ratio in [(0.7, 0.2), (0.8, 0.35), (0.55, 0.5)]:
        for exponent in [0.2, 0.4]:
            for share in [0.15, 0.4, 0.7, 1.0, 1.3, 2.2]:
                inputs = {
                    "rated_effectiveness": (rated, "1"),
                    "capacity_ratio": (ratio, "1"),
                    "exponent": (exponent, "1"),
                    "rated_flow": (0.2, "kg/s"),
                    "flow": (0.2 * share, "kg/s"),
                }
                expected = off_rated(rated, ratio, exponent, share)
                file.add("cooler_effectiveness", inputs, (expected, "1"), "ht", "curve", relative=2e-4)
    # Charge and cooling flow kg/s and inlet temperatures K, conductance W/K.
    for charge, hot, cooling, cold, conductance in [
        (0.20, 400.0, 1.2, 300.0, 350.0),
        (0.30, 430.0, 1.0, 308.0, 300.0),
        (0.12, 380.0, 1.5, 298.0, 300.0),
        (0.25, 450.0, 0.8, 313.0, 450.0),
    ]:
        units, ratio = conductance / (charge * 1010.0), charge * 1010.0 / (cooling * 1006.0)
        share = effectiveness(units, ratio)
        inputs = {
            "rated_effectiveness": (share, "1"),
            "capacity_ratio": (ratio, "1"),
            "rated_flow": (charge, "kg/s"),
            "flow": (charge, "kg/s"),
            "temperature": (hot, "K"),
            "coolant": (cold, "K"),
        }
        file.add("cooler_outlet_temperature", inputs, (hot - share * (hot - cold), "K"), "ht", "handed over", relative=1e-8)
    return file
