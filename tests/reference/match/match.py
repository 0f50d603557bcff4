"""Boost at each engine speed, thresholds, and the match.

Convention: with the gate shut, boost rises while the shaft has power to spare; it rests at the
lowest place where the surplus falls through zero. If that lies above what is asked (or there is
none below), the gate holds what is asked. Surge and shaft speed cap boost: the highest boost within
both at or below that. A gate too small for its duty lets boost creep on to the lowest stable root
with the gate wide open. Choke caps nothing itself; where the turbine or the shaft gives out past
choke, choke is named.
"""

import math
import time

from scipy.optimize import brentq, minimize_scalar

from car import Car
from inputs import Inputs

STEP = 2000.0  # Pa
SHARE = 0.9
SPEED_ACCURACY = 0.5  # rev/min
CAPS = ("shaft_speed", "surge")


class Match:
    def __init__(self, inputs):
        self.car = Car(inputs)
        self.x = inputs
        self.boost = None

    def asked(self, speed):
        return self.car.asked(speed) if self.boost is None else max(self.boost, self.x["gate_spring"])

    def _root(self, speed, low, high, area):
        """Root of the surplus between two states of opposite sign."""
        near = low

        def surplus(pm):
            return self.car.state(speed, pm, area, near)["surplus"]

        pm = brentq(surplus, low["pm"], high["pm"], xtol=1e-3, rtol=1e-12)
        return self.car.state(speed, pm, area, near)

    def _climb(self, speed, start, top, area):
        """States from start upward; the last is the lowest stable root, if there is one to top."""
        states = [start]
        while states[-1]["pm"] < top:
            pm = min(states[-1]["pm"] + STEP, top)
            here = self.car.state(speed, pm, area, states[-1])
            if here["surplus"] <= 0:
                return states, self._root(speed, states[-1], here, area)
            states.append(here)
            if len(states) > 2:
                a, b, c = states[-3:]
                if b["surplus"] < a["surplus"] and b["surplus"] < c["surplus"]:
                    # A dip: does it touch zero between the steps?
                    least = minimize_scalar(
                        lambda pm: self.car.state(speed, pm, area, b)["surplus"],
                        bounds=(a["pm"], c["pm"]), method="bounded", options={"xatol": 1.0})
                    if least.fun <= 0:
                        under = self.car.state(speed, float(least.x), area, b)
                        return states[:-2], self._root(speed, a, under, area)
        return states, None

    def _start(self, speed):
        """A state with the gate shut in which the rotor hardly turns."""
        car, pm = self.car, self.car.p0
        e = car.state(speed, pm, 0.0)
        slow = 0.1 * car.map.speeds[0]
        step = 0.01 * car.p0
        while e["corrected_speed"] > slow and pm > 0.3 * car.p0:
            pm -= step
            e = car.state(speed, pm, 0.0, e)
        # Below standstill there is no shaft balance to speak of: back up to where it turns.
        while e["corrected_speed"] <= 0.0 or e["surplus"] <= 0.0:
            step *= 0.5
            pm += step if e["corrected_speed"] <= 0.0 else -step
            e = car.state(speed, pm, 0.0, e)
            if step < 0.5:
                break
        return e

    def _room(self, e, cap):
        car = self.car
        if cap == "shaft_speed":
            return 1 - e["shaft"] / car.shaft_limit
        if cap == "surge":
            line = 1 - car.map.surge_flow(e["pressure_ratio"]) / e["corrected_flow"]
            # Where hardly any pressure is made nothing surges.
            return max(line, 1 - e["pressure_ratio"] / self.x["surge_from_ratio"])
        if e["corrected_speed"] <= 0.0:
            return 1.0
        return 1 - e["corrected_flow"] / car.map.choke_flow(e["corrected_speed"])

    def _tightest(self, e):
        return min((self._room(e, cap), cap) for cap in CAPS)

    def at(self, speed):
        """The answer at an engine speed: (state, what holds boost, drivable boost)."""
        car = self.car
        top = car.p0 + self.asked(speed)
        states, root = self._climb(speed, self._start(speed), top, 0.0)
        if root:
            state, held = root, "drive"
        else:
            state, held = car.balanced(speed, top, states[-1]), "gate"
        drivable = state["pm"]

        if self._tightest(state)[0] < 0:
            # Down from there to the first boost within all caps. Not into vacuum: no gate helps there.
            def shut_at(pm):
                near = min(states, key=lambda s: abs(s["pm"] - pm))
                return car.state(speed, pm, 0.0, near)

            def room(pm):
                return self._tightest(car.balanced(speed, pm, shut_at(pm)))[0]

            high = drivable
            for low in [s["pm"] for s in reversed(states) if s["pm"] > car.p0] + [car.p0]:
                if low >= high:
                    continue
                if room(low) >= 0:
                    pm = brentq(room, low, high * (1 - 1e-12), xtol=1e-2)
                    held = min((abs(self._room(car.balanced(speed, pm, shut_at(pm)), c)), c) for c in CAPS)[1]
                    state = car.balanced(speed, pm, shut_at(pm))
                    break
                high = low
        if held != "drive" and state["gate_area"] > car.gate_area:
            start = car.state(speed, state["pm"], car.gate_area, state)
            _, crept = self._climb(speed, start, 9e5 if not root else root["pm"], car.gate_area)
            state, held = crept or root, "creep"
        if held in ("drive", "shaft_speed") and state["pressure_ratio"] > self.x["surge_from_ratio"]:
            if self._room(state, "choke") < 0:
                held = "choke"
        return state, held, drivable

    def threshold(self, answers, enough):
        before = None
        for speed, answer in answers:
            if enough(speed, answer):
                if before is None:
                    return speed
                low, high = before, speed
                while high - low > SPEED_ACCURACY:
                    middle = 0.5 * (low + high)
                    if enough(middle, self.at(middle)):
                        high = middle
                    else:
                        low = middle
                return high
            before = speed
        return None

    def speeds(self, count):
        low, high = self.x["idle_speed"], self.x["redline"]
        return [low + (high - low) * i / (count - 1) for i in range(count)]

    def boost_for_power(self, power):
        """Boost at which the most power over 24 speeds is what was asked."""
        def excess(boost):
            self.boost = boost
            return max(self.at(n)[0]["power"] for n in self.speeds(24)) - power

        low = self.x["gate_spring"]
        if excess(low) >= 0:
            self.boost = low
            return low
        high = low
        while high < 4e5:
            high = min(high + 4e4, 4e5)
            if excess(high) >= 0:
                self.boost = brentq(excess, high - 4e4, high, xtol=100.0)
                return self.boost
        raise ArithmeticError("the power asked cannot be had")

    def solve(self, count=40):
        started = time.process_time()
        asked_power = self.x["power_target"]
        boost_for_power = self.boost_for_power(asked_power) if asked_power else None
        answers = [(n, self.at(n)) for n in self.speeds(count)]
        p0 = self.car.p0
        drive = self.threshold(answers, lambda n, a: a[2] - p0 >= SHARE * self.asked(n))
        usable = self.threshold(answers, lambda n, a: a[0]["pm"] - p0 >= SHARE * self.asked(n))
        return {
            "name": self.x.name,
            "drive_threshold_rev_min": drive,
            "usable_threshold_rev_min": usable,
            "boost_for_power_pa": boost_for_power,
            "speeds": [self.report(n, *a) for n, a in answers],
            "elapsed_s": time.process_time() - started,
        }

    def report(self, speed, e, held, drivable):
        car, x = self.car, self.x

        def station(p, t, flow):
            return {"pressure_pa": p, "temperature_k": t, "flow_kg_s": flow}

        ideal = car.air.isentropic_work(car.t1, e["pressure_ratio"])
        injector = e["fuel"] / car.fuel.density / x["cylinders"]
        return {
            "engine_speed_rev_min": speed,
            "held": held,
            "boost_asked_pa": self.asked(speed),
            "boost_pa": e["pm"] - car.p0,
            "boost_drivable_pa": drivable - car.p0,
            "outside": station(car.p0, car.t0, e["air"]),
            "compressor_inlet": station(e["p1"], car.t1, e["air"]),
            "compressor_outlet": station(e["p2"], e["t2"], e["air"]),
            "manifold": station(e["pm"], e["tm"], e["air"]),
            "turbine_inlet": station(e["p3"], e["t3"], e["exhaust"]),
            "turbine_outlet": station(e["p4"], e["t4"], e["exhaust"]),
            "pressure_ratio": e["pressure_ratio"],
            "corrected_flow_kg_s": e["corrected_flow"],
            "corrected_speed_rev_min": e["corrected_speed"],
            "compressor_efficiency": ideal / e["work"] if e["work"] > 0 and ideal > 0 else None,
            "shaft_speed_rev_min": e["shaft"],
            "surge_room": 1 - car.map.surge_flow(e["pressure_ratio"]) / e["corrected_flow"],
            "choke_room": self._room(e, "choke"),
            "compressor_power_w": e["compressor_power"],
            "turbine_power_w": e["turbine_power"],
            "bearing_power_w": e["bearing_power"],
            "turbine_efficiency": e["steady"] / e["ideal"] if e["ideal"] > 0 else 0.0,
            "turbine_speed_ratio": car.turbine_tip * e["shaft"] / math.sqrt(2 * e["ideal"]) if e["ideal"] > 0 else 0.0,
            "expansion_ratio": e["p3"] / e["p4"],
            "back_pressure_ratio": e["p3"] / e["pm"],
            "gate_share": max(e["gate_flow"], 0.0) / (e["exhaust"] / x.count),
            "gate_area_m2": e["gate_area"],
            "cooler_effectiveness": e["effectiveness"],
            "filter_loss_pa": e["filter_loss"],
            "cooler_loss_pa": e["cooler_loss"],
            "exhaust_loss_pa": e["exhaust_loss"],
            "volumetric_efficiency": e["ev"],
            "dry_air_kg_s": e["dry"],
            "fuel_kg_s": e["fuel"],
            "torque_nm": e["power"] / (speed * math.pi / 30),
            "power_w": e["power"],
            "wheel_power_w": e["power"] * x["driveline_efficiency"],
            "bmep_pa": e["power"] / e["swept"],
            "gross_imep_pa": e["gross"] / e["swept"],
            "pmep_pa": e["pmep"],
            "fmep_pa": e["fmep"],
            "bsfc_kg_j": e["fuel"] / e["power"] if e["power"] > 0 else None,
            "peak_pressure_pa": e["p_max"],
            "injector_needed_m3_s": self._injector(e, injector) / x["injector_duty"],
            "coolant_w": e["wall"],
        }

    def _injector(self, e, each):
        return each * math.sqrt(self.x["injector_rated_pressure"] / self.x["rail_pressure"])


def solve(path, count=40):
    return Match(Inputs(path)).solve(count)
