"""The build's closure equations, station by station, and its steady states.

Unknown at a given engine speed and manifold pressure: the pressure before the turbine p3, the
manifold temperature and the temperature after the turbine. For a trial p3 the two temperatures are
settled by substitution; p3 itself is a bracketed root (Brent).
"""

import math

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.special import ive

import gas
from compressor_map import CompressorMap

TOLERANCE = 1e-10


def crossflow(units, ratio):
    """Effectiveness of a crossflow exchanger, both streams unmixed, exact, as the series in Bessel
    functions of Bačlić (1978): with B = 2 N √C,
    ε = 1 − e^(−(1+C)N) [I0 + √C I1 − (1−C)/C Σ_{n≥2} C^(n/2) I_n]."""
    if units <= 0.0:
        return 0.0
    if ratio < 1e-9:
        return 1.0 - math.exp(-units)
    b = 2.0 * units * math.sqrt(ratio)
    # ive is scaled by e^−b, and (1 + C) N − b = N (1 − √C)².
    scale = math.exp(-units * (1.0 - math.sqrt(ratio)) ** 2)
    orders = np.arange(2, 400)
    tail = np.sum(ratio ** (orders / 2.0) * ive(orders, b))
    return 1.0 - scale * (ive(0, b) + math.sqrt(ratio) * ive(1, b) - (1.0 - ratio) / ratio * tail)


class Cooler:
    def __init__(self, effectiveness, ratio, exponent):
        self.rated = effectiveness
        self.ratio = ratio
        self.exponent = exponent
        self.units = brentq(lambda n: crossflow(n, ratio) - effectiveness, 0.0, 60.0) if effectiveness > 0 else 0.0
        # Worked out once over the share of rated flow, close enough to read between by straight lines.
        shares = np.linspace(0.0, 4.0, 1601)[1:]
        self._table = [1.0 if effectiveness > 0 else 0.0] + [self._exact(s) for s in shares]

    def _exact(self, share):
        if self.rated <= 0.0:
            return 0.0
        ratio = self.ratio * share
        units = self.units * share**-self.exponent
        if ratio <= 1.0:
            return crossflow(units, ratio)
        # The cooling stream is now the smaller; effectiveness is of the charge.
        return crossflow(units * ratio, 1.0 / ratio) / ratio

    def effectiveness(self, share):
        place = min(share / 4.0 * 1600, 1599.0)
        i = int(place)
        return self._table[i] + (place - i) * (self._table[i + 1] - self._table[i])


# Petrol without ethanol, ethanol, diesel: C, H, O of a mean molecule, lower heating value J/kg,
# density at 15 °C kg/m³, heat of vaporisation J/kg, molar mass of the vapour kg/mol.
PETROL = ((1.0, 1.90, 0.0), 43.45e6, 745.0, 0.35e6, 0.105)
ETHANOL = ((2.0, 6.0, 1.0), 26.9e6, 793.7, 0.919e6, 0.04607)
DIESEL = ((1.0, 1.80, 0.0), 42.5e6, 835.0, 0.27e6, 0.17)


class Fuel:
    def __init__(self, inputs):
        if inputs.diesel:
            parts = [(DIESEL, 1.0)]
        else:
            ethanol = inputs["ethanol_share"]
            parts = [(PETROL, 1.0 - ethanol), (ETHANOL, ethanol)]
        mass = sum(f[2] * v for f, v in parts)
        self.density = mass
        self.elements = [0.0, 0.0, 0.0]
        self.heating_value = self.vaporisation = 0.0
        vapour = 0.0
        for (elements, heat, density, vaporisation, vapour_mass), volume in parts:
            share = density * volume / mass
            atom = sum(n * w for n, w in zip(elements, (12.011e-3, 1.008e-3, 15.999e-3)))
            self.elements = [e + share / atom * n for e, n in zip(self.elements, elements)]
            self.heating_value += share * heat
            self.vaporisation += share * vaporisation
            vapour += share / vapour_mass
        self.vapour_molar_mass = 1.0 / vapour
        self.afr = gas.stoichiometric_ratio(*self.elements)
        self.heating_value = inputs["heating_value"] or self.heating_value
        self.afr = inputs["stoichiometric_ratio"] or self.afr


class Car:
    def __init__(self, inputs):
        x = self.x = inputs
        self.p0 = x["barometer"] or 101325.0 * (1 - 0.0065 * x["altitude"] / 288.15) ** (9.80665 / (287.05287 * 0.0065))
        self.t0 = x["air_temperature"]
        self.w = gas.humidity_ratio(self.p0, self.t0, x["relative_humidity"])
        self.air = gas.humid_air(self.w)
        self.fuel = Fuel(x)
        self.gas = gas.products(*self.fuel.elements, x["lambda"], self.w)
        t = x.turbocharger
        self.map = CompressorMap(t["compressor"]["map"], x["shutoff_head"], x["locked_rotor_loss"])
        self.rated = x["rated_flow"] * x["displacement"]
        self.cooler = Cooler(x["cooler_effectiveness"], x["cooler_capacity_ratio"], x["cooler_flow_exponent"])
        self.t1 = self.t0 + x["inlet_air_rise"]
        self.theta = self.t1 / self.map.t_ref
        self.h1 = self.air.enthalpy(self.t1)
        self.slope = x["overlap_slope"]
        if self.slope is None:
            self.slope = 1.0 / (x["residual_gamma"] * (x["compression_ratio"] - 1.0))
        # Mixture in the cylinder for each kilogram of dry air.
        vapour = x["evaporated_share"] / (x["lambda"] * self.fuel.afr)
        r = 8.31446261815324
        self.charge_r = r / gas.DRY_AIR_MOLAR_MASS + self.w * r / gas.molar_mass("H2O") + vapour * r / self.fuel.vapour_molar_mass
        self.evaporation = vapour * self.fuel.vaporisation
        self._breathing = self._held_curve(x.breathing)
        self._boost = self._held_curve(x.boost_curve) if x.boost_curve else None
        ideal = self._held_curve(x.ideal_cycle)(x["lambda"])
        ideal *= (1 - x["compression_ratio"] ** -x["cycle_exponent"]) / (1 - 9.0 ** -x["cycle_exponent"])
        self.released_share = x["combustion_completeness"] * (1 - x["rich_slope"] * max(1 - x["lambda"], 0.0))
        self.work_share = ideal * x["real_cycle_factor"] * x["spark_factor"]
        wheel = t["turbine"]["inducer_m"]
        swallowing = x["turbine_swallowing"] or x.housing["swallowing"] or 0.0076 * wheel**2 * math.sqrt(x.housing["a_over_r"] / 0.8)
        self.swallowing = swallowing * x["pulse_flow"]
        self.turbine_peak = x["turbine_peak_efficiency"] or t["turbine"]["peak_efficiency"]
        self.turbine_tip = math.pi * wheel / 60
        self.bearing = 0.0 if t["bearing_in_efficiency"] else x["bearing_power"] * (wheel / 0.06) ** 3 / 1e5**2
        diameter = x["gate_diameter"]
        lift = x["gate_lift"]
        if lift is None:
            lift = diameter / 4 if diameter else t["gate"]["lift_m"]
        diameter = diameter or t["gate"]["diameter_m"]
        self.gate_area = min(math.pi * diameter * lift, math.pi / 4 * diameter**2)
        self.shaft_limit = x["shaft_speed_limit"] or t["largest_speed_rev_min"]

    @staticmethod
    def _held_curve(points):
        if len(points) == 1:
            return lambda x: points[0][1]
        xs, ys = zip(*points)
        curve = PchipInterpolator(xs, ys)
        return lambda x: float(curve(min(max(x, xs[0]), xs[-1])))

    def asked(self, speed):
        """Boost asked, Pa gauge."""
        asked = self._boost(speed) if self._boost else self.x["boost_target"]
        return max(asked, self.x["gate_spring"])

    def engine(self, speed, pm, p3, tm_near):
        """Everything from the air outside to the turbine's inlet, manifold temperature settled."""
        x, air = self.x, self.air
        e = {"speed": speed, "pm": pm, "p3": p3}
        breathing = self._breathing(speed) * max(1 + self.slope * (1 - p3 / pm), 0.05)
        n = x["breathing_temperature_exponent"]

        def through(tm):
            ev = breathing * (tm / x["breathing_reference_temperature"]) ** n
            mixed = tm - self.evaporation / air.heat_capacity(tm)
            dry = ev * x["displacement"] * speed / 120 * pm / (self.charge_r * mixed)
            flow = dry * (1 + self.w)
            share = flow / self.rated
            density = self.p0 / (air.gas_constant * self.t0)
            filter_loss = min(x["filter_loss"] * share**2 * x["filter_reference_density"] / density, 0.9 * self.p0)
            p1 = self.p0 - filter_loss
            cooler_loss = x["cooler_loss"] * share**2 * 2e5 / pm
            p2 = pm + cooler_loss
            corrected = flow / x.count * math.sqrt(self.theta) * self.map.p_ref / p1
            n_c, work = self.map.speed_and_work(corrected, p2 / p1)
            work *= self.theta
            t2 = air.temperature(self.h1 + work)
            eps = self.cooler.effectiveness(share)
            e.update(ev=ev, dry=dry, air=flow, p1=p1, p2=p2, corrected_flow=corrected, corrected_speed=n_c, work=work,
                     t2=t2, effectiveness=eps, filter_loss=filter_loss, cooler_loss=cooler_loss, pressure_ratio=p2 / p1)
            return t2 - eps * (t2 - (self.t0 + x["cooling_rise"]))

        # Substitution with a secant step (Steffensen) for the weak feedback.
        tm = tm_near
        for _ in range(60):
            a = through(tm)
            if abs(a - tm) < TOLERANCE * tm:
                break
            b = through(a)
            if abs(b - a) < TOLERANCE * a:
                tm = b
                break
            second = b - 2 * a + tm
            step = (a - tm) ** 2 / second if abs(second) > 1e-12 else 0.0
            tm = tm - step if second and abs(step) < 50 else b
        else:
            raise ArithmeticError("manifold temperature did not settle")
        e["tm"] = tm
        e["shaft"] = e["corrected_speed"] * math.sqrt(self.theta)

        e["fuel"] = e["dry"] / (x["lambda"] * self.fuel.afr)
        e["exhaust"] = e["air"] + e["fuel"]
        e["fuel_power"] = e["fuel"] * self.fuel.heating_value
        e["released"] = e["fuel_power"] * self.released_share
        e["gross"] = e["released"] * self.work_share
        up = x["stroke"] * speed / 30
        e["pmep"] = p3 - pm + x["pumping_loss"] * (up / x["pumping_reference_speed"]) ** 2 * pm / (
            air.gas_constant * tm) / x["pumping_reference_density"]
        e["swept"] = x["displacement"] * speed / 120
        wall = min(0.6, x["wall_heat"] * (speed * pm / (x["wall_heat_reference_speed"] * x["wall_heat_reference_pressure"]))
                   ** -x["wall_heat_exponent"])
        e["wall"] = e["released"] * wall
        h = (e["released"] + e["air"] * air.enthalpy(tm) - e["gross"] + e["pmep"] * e["swept"] - e["wall"]) / e["exhaust"]
        port = self.gas.temperature(h)
        room = port - x["manifold_wall"]
        drop = (e["exhaust"] / self.rated) ** -x["manifold_flow_exponent"] * room / x["manifold_span"]
        drop = x["manifold_drop"] * min(max(drop, -x["manifold_cap"]), x["manifold_cap"])
        e["port"] = port
        e["t3"] = port - (min(drop, room) if room >= 0 else max(drop, room))
        p_max = max(x["peak_pressure_base"] + x["peak_pressure_slope"] * (pm - 1e5), pm)
        bar = 1e5
        e["p_max"] = p_max
        e["fmep"] = x["friction_factor"] * (x["friction_constant"] + x["friction_peak"] * p_max
                                            + (x["friction_speed"] * up + x["friction_speed_squared"] * up**2) * bar)
        e["power"] = e["gross"] - (e["pmep"] + e["fmep"]) * e["swept"]
        return e

    def exhaust_side(self, e, p3, t4_near, turbine_flow):
        """Turbine and tailpipe for a flow rule turbine_flow(p3, t3, p4); adds to e."""
        x = self.x
        each, t3 = e["exhaust"] / x.count, e["t3"]
        h3 = self.gas.enthalpy(t3)
        share = e["exhaust"] / self.rated

        def through(t4):
            loss = x["exhaust_loss"] * share**2 * t4 / 1000 * 101325 / self.p0
            p4 = self.p0 + loss
            ratio = min(p4 / p3, 1.0)
            ideal = max(-self.gas.isentropic_work(t3, ratio), 0.0)
            u = self.turbine_tip * e["shaft"] / x["turbine_best_speed_ratio"]
            steady = self.turbine_peak * (u * math.sqrt(2 * ideal) - u * u / 2)
            work = steady * (1 + x["pulse_gain"] * ratio)
            flow = turbine_flow(p3, t3, p4)
            e.update(p4=p4, exhaust_loss=loss, turbine_flow=flow, turbine_work=work, ideal=ideal, steady=steady)
            return self.gas.temperature(h3 - flow / each * work)

        t4 = t4_near
        for _ in range(100):
            new = through(t4)
            done = abs(new - t4) < TOLERANCE * t4
            t4 = new
            if done:
                break
        else:
            raise ArithmeticError("temperature after the turbine did not settle")
        e["t4"] = t4
        e["compressor_power"] = e["air"] / x.count * e["work"]
        e["bearing_power"] = self.bearing * e["shaft"] ** 2
        e["turbine_power"] = e["turbine_flow"] * e["turbine_work"]
        e["surplus"] = e["turbine_power"] - e["compressor_power"] - e["bearing_power"]
        e["gate_flow"] = each - e["turbine_flow"]
        return e

    def swallows(self, p3, t3, p4):
        if p3 <= p4:
            return 0.0
        return self.swallowing * p3 / math.sqrt(t3) * math.sqrt(1 - (p4 / p3) ** self.x["turbine_exponent"])

    def gate_flux(self, p3, t3, p4):
        """Flow for each m² of gate, discharge included."""
        if p3 <= p4:
            return 0.0
        g, r = self.gas.gamma(t3), self.gas.gas_constant
        sonic = (2 / (g + 1)) ** (g / (g - 1))
        pr = max(p4 / p3, sonic)
        return self.x["gate_discharge"] * p3 / math.sqrt(r * t3) * math.sqrt(2 * g / (g - 1) * (pr ** (2 / g) - pr ** ((g + 1) / g)))

    def _at(self, speed, pm, p3, near, rule):
        e = self.engine(speed, pm, p3, near["tm"] if near else self.t0 + 20)
        return self.exhaust_side(e, p3, near["t4"] if near else 900.0, rule(e))

    def _bracket(self, f, guess, low_end, factor=1.05):
        """Brackets the sign change of f around a guess: below it f > 0, above it f < 0.

        The compressor map looks for a speed from the last one it found, so the last digits of f
        depend on what was asked before. Where the guess is the root itself the sign of f is then
        chance, and the ends keep away from it."""
        low, high = max(guess * (1 - 1e-6), low_end), guess * (1 + 1e-6)
        f_low, f_high = f(low), f(high)
        while f_low < 0:
            high, f_high = low, f_low
            if low <= low_end * (1 + 1e-9):
                raise ArithmeticError("no pressure before the turbine is low enough")
            low = max(low / factor, low_end)
            f_low = f(low)
            factor *= factor
        while f_high > 0:
            low, f_low = high, f_high
            high *= factor
            f_high = f(high)
            factor *= factor
            if high > 1e8:
                raise ArithmeticError("no pressure before the turbine is high enough")
        return low, high

    def state(self, speed, pm, gate_area, near=None):
        """Steady flow at a manifold pressure with the gate open by an area (m² each; 0 is shut).
        Power may be left over on the shaft."""
        def rule(_):
            return self.swallows

        def excess(p3):
            e = self._at(speed, pm, p3, near, rule)
            through = e["turbine_flow"] + gate_area * self.gate_flux(p3, e["t3"], e["p4"])
            # Squares, so that the function is regular where p3 meets p4.
            return (e["exhaust"] / self.x.count) ** 2 - through**2

        guess = near["p3"] if near else self.p0 * 1.02
        low, high = self._bracket(excess, guess, self.p0)
        p3 = brentq(excess, low, high, xtol=1e-6, rtol=1e-13)

        def shares(e):
            each = e["exhaust"] / self.x.count

            def flow(p3, t3, p4):
                turbine = self.swallows(p3, t3, p4)
                gate = gate_area * self.gate_flux(p3, t3, p4)
                return each * turbine / (turbine + gate) if gate > 0 else each
            return flow

        e = self._at(speed, pm, p3, near, shares)
        e["gate_area"] = gate_area
        return e

    def balanced(self, speed, pm, shut):
        """The gate as far open as balances the shaft. `shut` is the state with it shut there."""
        def rule(e):
            each = e["exhaust"] / self.x.count
            return lambda p3, t3, p4: min(self.swallows(p3, t3, p4), each)

        def lack(p3):
            e = self._at(speed, pm, p3, shut, rule)
            return -e["surplus"]

        if shut["surplus"] <= 0.0:
            return shut  # At the drivable boost itself.
        low = self.p0
        p3 = brentq(lack, low, shut["p3"] * (1 + 1e-9), xtol=1e-6, rtol=1e-13)
        e = self._at(speed, pm, p3, shut, rule)
        e["gate_area"] = max(e["gate_flow"], 0.0) / self.gate_flux(p3, e["t3"], e["p4"])
        return e
