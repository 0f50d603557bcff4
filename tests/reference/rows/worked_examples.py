"""Worked examples of textbooks.

The books take heat capacity and its ratio as constant; the core does not. How much that is worth
is worked out here by Cantera for the example's own state, and added to half of the last printed
digit. Nothing else is.
"""

import gases
from rowfile import RowFile

AIR = {"gas": "air"}


def rows():
    file = RowFile("18_worked_examples.json", "Worked examples of textbooks")
    file.source("gupta", "H. N. Gupta, Fundamentals of Internal Combustion Engines, chapter 15, worked examples (text read)")
    file.source("mathur", "M. L. Mathur & R. P. Sharma, Internal Combustion Engine, chapter 17, worked examples (text read)")
    file.source("nag", "P. K. Nag, Power Plant Engineering, chapter 11, worked examples (text read)")
    file.source("sonntag", "Borgnakke & Sonntag, Fundamentals of Thermodynamics, example 9.12; worked out with its constant cp, no printed answer read")
    file.source("dixon", "S. L. Dixon & C. A. Hall, Fluid Mechanics and Thermodynamics of Turbomachinery, worked examples (text read)")
    file.reason("printed", "Half of the last printed digit.")
    file.reason("printed and gas constant", "Half of the last printed digit, and the book's gas constant of 287 J/(kg K) against 287.05.")
    file.reason(
        "constant properties",
        "Half of the last printed digit, and what the book's constant heat capacity and ratio are worth at this state by Cantera 3.2.0 (in the note).",
    )
    air = gases.air()

    def constant(kind, inputs, printed, unit, half, real, book, source, example, disagrees=None):
        """A row whose tolerance holds what constant properties are worth, plus a twentieth of it."""
        worth = abs(real - book)
        note = f"{example}; constant properties {book:.6g} {unit}, Cantera {real:.6g} {unit}"
        file.add(kind, inputs, (printed, unit), source, "constant properties", absolute=half + 1.05 * worth, note=note, disagrees=disagrees)

    # A turbocharger: outlet temperatures and the share of turbine power that the compressor takes.
    ratio, er = 1.8 / 0.98, 1.6 / 1.03
    _, work = air.isentropic(290.0, ratio)
    t2 = air.after(290.0, work / 0.8)
    book = 290 + 290 * (ratio ** (0.4 / 1.4) - 1) / 0.8
    inputs = {**AIR, "temperature": (290.0, "K"), "pressure_ratio": (ratio, "1"), "efficiency": (0.8, "1")}
    constant("compressor_outlet_temperature", inputs, 86.0, "degC", 0.5, t2 - 273.15, book - 273, "gupta", "example 15.6")
    # The fuel is not named: diesel's atoms; air-fuel ratio 20.
    lam = 20 / gases.stoichiometric_ratio((1, 1.8, 0))
    gas = gases.products((1, 1.8, 0), lam)
    _, change = gas.isentropic(850.0, 1 / er)
    book_rise = 1.005 * (book - 290)
    book_drop = 850 * 0.85 * (1 - er ** -(0.33 / 1.33))
    expansion = {**gases.products_inputs((1, 1.8, 0), lam), "temperature": (850.0, "K"), "expansion_ratio": (er, "1"), "efficiency": (0.85, "1")}
    t4 = gas.after(850.0, 0.85 * change)
    constant("turbine_outlet_temperature", expansion, 502.0, "degC", 0.5, t4 - 273.15, 850 - book_drop - 273, "gupta", "example 15.6")
    real = 100 * (work / 0.8) / ((1 + 1 / 20) * 0.85 * -change)
    book_share = 100 * book_rise / ((1 + 1 / 20) * 1.15 * book_drop)
    both = {
        **expansion,
        "air_temperature": (290.0, "K"),
        "pressure_ratio": (ratio, "1"),
        "compressor_efficiency": (0.8, "1"),
        "air_fuel_ratio": (20.0, "1"),
    }
    constant("power_ratio", both, 76.5, "%", 0.05, real, book_share, "gupta", "example 15.6")

    # Gain of brake power from a blower that the engine drives.
    for source, example, swept, specific, speed, filling, t1, ratio, efficiency, mechanical, printed, digit in [
        ("gupta", "example 15.1", 0.0028, 12.5, 3000, 0.85, 288.0, 1.6, 0.74, 0.78, 15.09, 0.005),
        ("mathur", "example 17.1", 0.0030, 14.0, 3500, 0.80, 300.0, 1.7, 0.75, 0.80, 27.7, 0.05),
        ("nag", "example 11.1", 0.0035, 13.1, 3600, 0.82, 298.0, 1.75, 0.70, 0.80, 28.67, 0.005),
    ]:
        p1 = 101300.0
        _, work = air.isentropic(t1, ratio)

        def gain(t2, rise, r):
            minute = swept * speed / 2
            free = minute * ratio * t1 / t2
            flow = p1 * free / 60 / (r * t1)
            return mechanical * (specific * 1e3 * (free - filling * minute) + (ratio - 1) * p1 * minute / 60) - flow * rise / mechanical

        t2 = air.after(t1, work / efficiency)
        book_t2 = t1 + t1 * (ratio ** (0.4 / 1.4) - 1) / efficiency
        real, book = gain(t2, work / efficiency, air.gas_constant), gain(book_t2, 1005 * (book_t2 - t1), 287.0)
        inputs = {
            "displacement": (swept, "m3"),
            "specific_power": (specific, "1"),
            "speed": (speed, "rev/min"),
            "filling": (filling, "1"),
            "temperature": (t1, "K"),
            "pressure": (p1, "Pa"),
            "pressure_ratio": (ratio, "1"),
            "efficiency": (efficiency, "1"),
            "mechanical_efficiency": (mechanical, "1"),
        }
        rounded = "The book rounds the temperature after ideal compression from 349.1 to 350 K on its way; without that its own figures give 28.2 kW" if source == "mathur" else None
        constant("blower_gain", inputs, printed, "kW", digit, real / 1e3, book / 1e3, source, example, rounded)
        if source == "gupta":
            constant(
                "blown_filling",
                {"pressure_ratio": (ratio, "1"), "temperature": (t1, "K"), "efficiency": (efficiency, "1")},
                134.0,
                "%",
                0.5,
                100 * ratio * t1 / t2,
                100 * ratio * t1 / book_t2,
                source,
                example,
            )

    # Air through engines.
    engine = {
        "displacement": (0.0245, "m3"),
        "speed": (1800.0, "rev/min"),
        "efficiency": (0.8, "1"),
        "manifold_pressure": (1.013, "bar"),
        "manifold_temperature": (283.0, "K"),
    }
    air_flow = 275 * 0.24 * 20
    file.add("dry_air_flow", engine, (air_flow, "kg/h"), "gupta", "printed and gas constant", absolute=air_flow * (0.00005 / 0.0245 + 1.9e-4), note="example 15.2: the swept volume is printed as 0.0245 m3")
    engine = {
        "displacement": (3.141592654 / 4 * 0.1**2 * 0.12 * 4, "m3"),
        "speed": (3000.0, "rev/min"),
        "efficiency": (0.9, "1"),
        "manifold_pressure": (1.7, "bar"),
        "manifold_temperature": (328.0, "K"),
    }
    file.add("dry_air_flow", engine, (551.4, "kg/h"), "gupta", "printed and gas constant", absolute=0.1 + 551.4 * 1.9e-4, note="example 15.4: 551.454 without rounding, so the book cut its last digit instead of rounding it")

    # A supercharger.
    _, work = air.isentropic(300.0, 1.5)
    inputs = {**AIR, "temperature": (300.0, "K"), "pressure_ratio": (1.5, "1"), "efficiency": (0.7, "1")}
    book_t2 = 300 + 300 * (1.5 ** (0.4 / 1.4) - 1) / 0.7
    constant("compressor_outlet_temperature", inputs, 352.64, "K", 0.005, air.after(300.0, work / 0.7), book_t2, "sonntag", "example 9.12")
    book_work = 1.004 * (book_t2 - 300)
    constant("compressor_power", {**inputs, "flow": (1.0, "kg/s")}, 52.85, "kW", 0.005, work / 0.7 / 1e3, book_work, "sonntag", "example 9.12, for 1 kg/s")

    # A compressor of 2 kg/s: shaft power, bearing losses included by a mechanical efficiency.
    _, work = air.isentropic(295.0, 4.2)
    inputs = {**AIR, "temperature": (295.0, "K"), "pressure_ratio": (4.2, "1"), "efficiency": (0.83 * 0.97, "1"), "flow": (2.0, "kg/s")}
    book = 2 * 1.005 * 295 * (4.2 ** (1 / 3.5) - 1) / 0.83 / 0.97
    constant("compressor_power", inputs, 373.0, "kW", 0.5, 2 * work / 0.83 / 0.97 / 1e3, book, "dixon", "example 7.5")

    # A small radial turbine: from reduced flow, speed and torque to efficiency and U/C0.
    p, t, diameter = 1e5, 400.0, 0.0725
    flow = 1.44e-5 * p / t**0.5
    omega = 2410 * t**0.5 * 2 * 3.141592654 / 60
    torque = 4.59e-6 * p
    _, change = air.isentropic(t, 1 / 1.5)
    book_work = 1005 * t * (1 - 1.5 ** (-1 / 3.5))
    inputs = {**AIR, "temperature": (t, "K"), "expansion_ratio": (1.5, "1"), "flow": (flow, "kg/s"), "power": (torque * omega, "W")}
    constant("efficiency_from_power", inputs, 73.17, "%", 0.005, 100 * torque * omega / flow / -change, 100 * torque * omega / flow / book_work, "dixon", "example 8.2, overall efficiency")
    u = omega * diameter / 2
    speed = {**AIR, "temperature": (t, "K"), "expansion_ratio": (1.5, "1"), "tip_speed": (u, "m/s")}
    constant("speed_ratio", speed, 0.617, "1", 0.0005, u / (2 * -change) ** 0.5, u / (2 * book_work) ** 0.5, "dixon", "example 8.2")
    return file
