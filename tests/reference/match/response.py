"""The way to boost at a constant engine speed: scipy's solve_ivp on the equations as written here.

States are shaft speed, the pressure of the volume between compressor and valves, and the temperature
of the exhaust manifold's wall. At an instant the compressor's flow is found from its line, the
pressure before the turbine from its swallowing, the temperature after it by substitution.

    python response.py             writes builds/response/expected.json
    python response.py --check     integrates again, compares, writes nothing

With --check what is found may differ from what is kept by five parts in a million: the tolerances of
the integration, which leave 1e-6 of a state, and rounding to seven digits.
"""

import argparse
import json
import math
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from car import Car
from inputs import Inputs

BUILDS = Path(__file__).resolve().parents[2] / "builds"
KEPT = BUILDS / "response" / "expected.json"
SHARE = 0.9
IRON = 600.0  # J/(kg K), cast iron between 600 and 1000 K
TOLERANCE = 5e-6
# Build, engine speed in rev/min, share of the way from a cold to a hot manifold (None: settled at light load).
CASES = (
    ("01-four-2.0-e10-1.7-bar", 4000, 0.0),
    ("01-four-2.0-e10-1.7-bar", 5000, 0.0),
    ("01-four-2.0-e10-1.7-bar", 6500, 1.0),
    ("02-four-2.0-e85-1.7-bar", 4500, 1.0),
    ("03-four-2.0-quick", 2000, 1.0),
    ("03-four-2.0-quick", 2500, 0.0),
    ("03-four-2.0-quick", 4000, 0.5),
    ("04-four-2.2-900-m", 3500, 0.0),
    ("04-four-2.2-900-m", 5000, 0.0),
    ("05-v8-5.0-pair", 3500, 0.0),
    ("06-six-3.0-e85", 4000, 0.0),
    ("06-six-3.0-e85", 5500, 1.0),
    ("07-diesel-four-2.0", 2200, 1.0),
    ("07-diesel-four-2.0", 3000, 0.0),
    ("15-hot-3000-m", 5000, 0.0),
    ("18-diesel-v8-pair", 3000, 0.0),
    ("19-no-cooler", 5000, 0.0),
    ("01-four-2.0-e10-1.7-bar", 4500, None),
    ("04-four-2.2-900-m", 3500, None),
    ("06-six-3.0-e85", 4500, None),
)


class Unfindable(ArithmeticError):
    pass


class Way:
    def __init__(self, build, speed, warm):
        self.x = x = Inputs(BUILDS / f"{build}.json")
        self.car, self.speed, self.warm = Car(x), speed, warm
        t = x.turbocharger
        self.inertia = x["rotor_inertia"] or t.get("inertia_kg_m2") or (
            x["compressor_wheel_inertia"] * t["compressor"]["wheel"]["exducer_m"] ** 5
            + x["turbine_wheel_inertia"] * t["turbine"]["inducer_m"] ** 5)
        self.pipes = x["pipe_volume"] * x["displacement"]
        self.plenum = x["plenum_volume"] * x["displacement"]
        self.iron = x["manifold_mass"] * IRON
        self.near = None

    # ---- compressor ----
    def delivered(self, n, flow, p):
        """Pressure behind the cooler and work, at corrected speed n, flow in kg/s, manifold at p."""
        car, x = self.car, self.x
        share = flow / car.rated
        density = car.p0 / (car.air.gas_constant * car.t0)
        p1 = car.p0 - min(x["filter_loss"] * share**2 * x["filter_reference_density"] / density, 0.9 * car.p0)
        w = flow / x.count * math.sqrt(car.theta) * car.map.p_ref / p1
        y, work = car.map.head_and_work(n, w)
        ratio = max(1.0 + y, 1e-9) ** 3.5
        return p1 * ratio - x["cooler_loss"] * share**2 * 2e5 / p, work * car.theta

    def charge(self, n, flow, p):
        """Temperature behind the cooler and work of the compressor."""
        car, x = self.car, self.x
        _, work = self.delivered(n, flow, p)
        t2 = car.air.temperature(car.h1 + work)
        return t2 - car.cooler.effectiveness(flow / car.rated) * (t2 - car.t0 - x["cooling_rise"]), work

    def inflow(self, n, p, air):
        """Flow through the compressor beside the engine's."""
        step = 1e-3 * air
        slope = (self.delivered(n, air + step, p)[0] - self.delivered(n, air - step, p)[0]) / (2 * step)
        z = max(slope + self.x["filling_slope"] * p / air, 0.0)

        def excess(flow):
            return self.delivered(n, flow, p)[0] - z * (flow - air) - p

        if excess(air) > 0.0:
            low, high = air, 1.02 * air
            while excess(high) > 0.0:
                low, high = high, 1.3 * high
        else:
            low, high = 0.98 * air, air
            while excess(low) < 0.0:
                low, high = 0.8 * low, low
                if low < 1e-4 * air:
                    return low
        return brentq(excess, low, high, xtol=1e-13, rtol=1e-13)

    # ---- engine and turbine ----
    def engine(self, p, tm, p3):
        """Air in, gas out, ports' temperature."""
        car, x, n = self.car, self.x, self.speed
        ev = car._breathing(n) * max(1 + car.slope * (1 - p3 / p), 0.05)
        ev *= (tm / x["breathing_reference_temperature"]) ** x["breathing_temperature_exponent"]
        mixed = tm - car.evaporation / car.air.heat_capacity(tm)
        dry = ev * x["displacement"] * n / 120 * p / (car.charge_r * mixed)
        air, fuel = dry * (1 + car.w), dry / (x["lambda"] * car.fuel.afr)
        heat = fuel * car.fuel.heating_value * car.released_share
        up = x["stroke"] * n / 30
        pmep = p3 - p + x["pumping_loss"] * (up / x["pumping_reference_speed"]) ** 2 * p / (
            car.air.gas_constant * tm) / x["pumping_reference_density"]
        wall = min(0.6, x["wall_heat"] * (n * p / x["wall_heat_reference_speed"] / x["wall_heat_reference_pressure"])
                   ** -x["wall_heat_exponent"])
        left = heat * (1 - car.work_share - wall) + pmep * x["displacement"] * n / 120 + air * car.air.enthalpy(tm)
        return air, air + fuel, car.gas.temperature(left / (air + fuel))

    def settled(self, ports, gas_flow):
        """Share of the way to the outer temperature that the manifold cools the gas in the end."""
        x = self.x
        room = ports - x["manifold_wall"]
        share = x["manifold_drop"] * (gas_flow / self.car.rated) ** -x["manifold_flow_exponent"] / x["manifold_span"]
        if abs(room) > 1.0:
            share = min(share, x["manifold_cap"] * x["manifold_drop"] / abs(room))
        return min(share, 0.999)

    def instant(self, spin, p, wall, throttled=False):
        car, x = self.car, self.x
        n_shaft = spin * 30 / math.pi
        n = n_shaft / math.sqrt(car.theta)
        air, p3, t4 = self.near or (car.rated * p / 2e5 * self.speed / 7000, 1.1 * car.p0, 900.0)
        flow = None
        for _ in range(200):
            flow = air if throttled else self.inflow(n, p, air)
            tm, work = self.charge(n, flow, p)
            new_air, gas_flow, ports = self.engine(p, tm, p3)
            e = self.settled(ports, gas_flow)
            f = x["manifold_wall_share"]
            effect = e / (1 - f * (1 - e))
            t3 = ports - effect * (ports - wall)
            p4 = car.p0 + x["exhaust_loss"] * (gas_flow / car.rated) ** 2 * t4 / 1000 * 101325 / car.p0
            each = gas_flow / x.count
            high = 2 * p4
            while car.swallows(high, t3, p4) < each:
                high *= 1.5
            new_p3 = brentq(lambda q: car.swallows(q, t3, p4) - each, p4, high, xtol=1e-7, rtol=1e-14)
            u = car.turbine_tip * n_shaft / x["turbine_best_speed_ratio"]
            ideal = -car.gas.isentropic_work(t3, p4 / new_p3)
            gain = car.turbine_peak * (u * math.sqrt(2 * ideal) - u * u / 2) * (1 + x["pulse_gain"] * p4 / new_p3)
            new_t4 = car.gas.temperature(car.gas.enthalpy(t3) - gain)
            miss = max(abs(new_air / air - 1), abs(new_p3 / p3 - 1), abs(new_t4 / t4 - 1))
            air, p3, t4 = new_air, new_p3, new_t4
            if miss < 1e-10:
                break
        else:
            raise Unfindable
        self.near = (air, p3, t4)
        net = each * gain - flow / x.count * work - car.bearing * n_shaft**2
        cp = car.gas.heat_capacity(ports)
        warming = gas_flow * cp * (effect * (ports - wall) - e / (f * (1 - e)) * (wall - x["manifold_wall"])) / self.iron
        filling = car.air.gas_constant * tm / (self.pipes + self.plenum) * (flow - air)
        return {"net": net, "rates": (net / (self.inertia * spin), filling, warming), "n": n, "flow": flow,
                "ports": ports, "gas": gas_flow}

    def start(self):
        car, x = self.car, self.x
        wall = car.t0
        if self.warm:
            # The gate holds what is asked: its settled state.
            p = car.p0 + car.asked(self.speed)
            near = None
            for step in range(40):
                near = car.state(self.speed, car.p0 * 1.001 + (p - car.p0 * 1.001) * (step + 1) / 40, 0.0, near)
            held = car.balanced(self.speed, p, near)
            e = self.settled(held["port"], held["exhaust"])
            hot = x["manifold_wall"] + x["manifold_wall_share"] * (1 - e) * (held["port"] - x["manifold_wall"])
            wall += self.warm * (hot - wall)
        light = x["light_load"]
        if self.warm is None:
            wall = brentq(lambda t: self.light(light, t)[2] - t, 250.0, 1300.0, xtol=1e-7)
        spin, at, _ = self.light(light, wall)
        pipes = self.delivered(at["n"], at["flow"], light)[0]
        return spin, (pipes * self.pipes + light * self.plenum) / (self.pipes + self.plenum), wall

    def light(self, light, wall):
        """Shaft in balance at light load beside a wall: its speed, the instant, where the wall would settle."""

        def surplus(spin):
            return self.instant(spin, light, wall, throttled=True)["net"]

        low = 200 * math.pi / 30
        high = 100 * low
        while surplus(high) > 0.0:
            low, high = high, 1.5 * high
        spin = brentq(surplus, low, high, xtol=1e-6, rtol=1e-12)
        at = self.instant(spin, light, wall, throttled=True)
        x = self.x
        e = self.settled(at["ports"], at["gas"])
        settles = x["manifold_wall"] + x["manifold_wall_share"] * (1 - e) * (at["ports"] - x["manifold_wall"])
        return spin, at, settles

    def run(self):
        y0 = self.start()
        self.near = None
        goal = self.car.p0 + SHARE * self.car.asked(self.speed)

        def there(_, y):
            return y[1] - goal

        there.terminal, there.direction = True, 1
        found = solve_ivp(lambda _, y: self.instant(*y)["rates"], (0.0, 20.0), y0, method="DOP853", events=there,
                          rtol=1e-7, atol=(1e-3, 1e-1, 1e-3))
        if not found.t_events[0].size:
            raise Unfindable(f"no boost within 20 s: {found.message}")
        spin, _, wall = found.y_events[0][0]
        rpm = 30 / math.pi
        return {"start_shaft_rev_min": y0[0] * rpm, "start_pressure_pa": y0[1], "time_s": float(found.t_events[0][0]),
                "shaft_rev_min": spin * rpm, "wall_k": wall}


def solve(case):
    return case, Way(*case).run()


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="compare with what is kept, and write nothing")
    check = parser.parse_args().check
    kept = {(r["build"], r["speed_rev_min"], r["warm"]): r for r in json.loads(KEPT.read_text())} if check else {}
    rows, problems = [], []
    with ProcessPoolExecutor() as pool:
        for (build, speed, warm), found in pool.map(solve, CASES):
            row = {"build": build, "speed_rev_min": speed, "warm": warm}
            row |= {k: float(f"{v:.7g}") for k, v in found.items()}
            rows.append(row)
            print(json.dumps(row), flush=True)
            if check:
                old = kept.pop((build, speed, warm), None)
                if old is None:
                    problems.append(f"{build} at {speed}: nothing is kept")
                    continue
                for key, value in found.items():
                    if not abs(value / old[key] - 1) <= TOLERANCE:
                        problems.append(f"{build} at {speed}: {key} {old[key]} kept, {value:.10g} found")
    problems += [f"{build} at {speed}: kept, and no such case" for build, speed, _ in kept]
    if not check:
        KEPT.parent.mkdir(exist_ok=True)
        KEPT.write_text("[\n " + ",\n ".join(json.dumps(r) for r in rows) + "\n]\n", encoding="utf-8")
    for problem in problems:
        print(f"differs: {problem}")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
