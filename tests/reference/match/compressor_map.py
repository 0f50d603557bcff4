"""A compressor map from its table of lines, in the coordinates of a test bed.

A line of constant corrected speed N is taken over the share s of its measured flow range (0 at
surge, 1 at the last point): head y = PR^(2/7) − 1 over N², and work over N². Both run by PCHIP
along the line, and at constant s by PCHIP over speed from line to line. At a corrected flow and
speed the head is then explicit; speed from flow and head is one bracketed root.

Stated rules beyond the measured range:
- slower than the slowest line (faster than the fastest): similarity with that line, W ~ N, y ~ N²;
- left of surge: a cubic in flow from the shut-off head (a given share of the head at surge, level)
  to the surge point with the line's own slope there, held between −½ and 1 times y/W;
- right of the last point: dW/dy falls evenly to zero where the head is gone, W at most a quarter up;
- below no head: N/W falls straight with y/W² to a standstill at the locked rotor's loss;
- work over N² goes on straight in W/N with the mean slope of the three nearest points, at most level.
- choke: the first place to the right of the top where one per cent more flow costs ten of head.
"""

import math
from bisect import bisect_right

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

import gas

HEAD_EXPONENT = 2 / 7
CHOKE_SLOPE = 10.0
ALONG, BETWEEN = 1000, 40


def head(pressure_ratio):
    return pressure_ratio**HEAD_EXPONENT - 1.0


class CompressorMap:
    def __init__(self, data, shutoff_head, locked_rotor_loss):
        air = gas.humid_air(0.0)
        self.t_ref = data["reference"]["temperature_k"]
        self.p_ref = data["reference"]["pressure_pa"]
        self.shutoff = shutoff_head
        self._last = data["lines"][0]["speed_rev_min"]
        lines = data["lines"]
        speeds = np.array([l["speed_rev_min"] for l in lines])
        self.speeds = speeds.tolist()
        s_grid = np.linspace(0.0, 1.0, ALONG + 1)

        rows, psi, lam = [], [], []
        largest_flow = 0.0
        for line, n in zip(lines, speeds):
            w = np.array([p["flow_kg_s"] for p in line["points"]])
            ratio = np.array([p["pressure_ratio"] for p in line["points"]])
            y = head(ratio)
            work = np.array([
                air.isentropic_work(self.t_ref, p["pressure_ratio"]) / p["efficiency"] for p in line["points"]
            ])
            largest_flow = max(largest_flow, w[-1])
            s = (w - w[0]) / (w[-1] - w[0])
            y_of_w = PchipInterpolator(w, y)
            slope = y_of_w.derivative()
            phi, l = w / n, work / n**2
            psi.append(PchipInterpolator(s, y / n**2)(s_grid))
            lam.append(PchipInterpolator(s, l)(s_grid))
            last = len(w) - 1
            reach = min(2, last)
            fine = np.linspace(w[np.argmax(y)], w[-1], 4001)[1:]
            steep = -slope(fine) * fine / y_of_w(fine)
            beyond = np.nonzero(steep >= CHOKE_SLOPE)[0]
            choke = fine[beyond[0]] if len(beyond) else w[-1]
            rows.append((
                w[0] / n,
                w[-1] / n,
                np.clip(slope(w[0]) * w[0] / y[0], -0.5, 1.0),
                # Share by which flow still grows from the last point to no head.
                min(0.5 * y[-1] / max(-slope(w[-1]), 1e-9) / w[-1], 0.25),
                min((l[reach] - l[0]) / (phi[reach] - phi[0]), 0.0),
                min((l[last] - l[last - reach]) / (phi[last] - phi[last - reach]), 0.0),
                choke / n,
            ))
        self.fine_speeds = np.concatenate(
            [np.linspace(a, b, BETWEEN, endpoint=False) for a, b in zip(speeds, speeds[1:])] + [speeds[-1:]]
        ).tolist()
        self._psi = PchipInterpolator(speeds, np.array(psi), axis=0)(self.fine_speeds).tolist()
        self._lam = PchipInterpolator(speeds, np.array(lam), axis=0)(self.fine_speeds).tolist()
        self._rows = PchipInterpolator(speeds, np.array(rows), axis=0)(self.fine_speeds).tolist()

        surge = [(0.0, 0.0)] + sorted((math.sqrt(head(l["points"][0]["pressure_ratio"])), l["points"][0]["flow_kg_s"]) for l in lines)
        # Flow over √head is level by similarity below the slowest line.
        self._surge = surge
        self._surge_curve = PchipInterpolator([r for r, _ in surge[1:]], [w for _, w in surge[1:]])

        sound = math.sqrt(air.gamma(self.t_ref) * air.gas_constant * self.t_ref)
        throat = 0.7 * sound / largest_flow
        self.k_locked = locked_rotor_loss * 0.5 * throat**2 / (air.heat_capacity(self.t_ref) * self.t_ref)

    def _cell(self, n):
        """Row of the table below n, and the share of the way to the next."""
        j = min(max(bisect_right(self.speeds, n) - 1, 0), len(self.speeds) - 2)
        place = (n - self.speeds[j]) / (self.speeds[j + 1] - self.speeds[j]) * BETWEEN
        i = min(max(int(place), 0), BETWEEN - 1)
        return j * BETWEEN + i, place - i

    def _line(self, n):
        """Line constants at a speed, held to the speeds measured."""
        i, t = self._cell(n)
        return i, t, [a + t * (b - a) for a, b in zip(self._rows[i], self._rows[i + 1])]

    @staticmethod
    def _along(table, i, t, s):
        place = s * ALONG
        k = min(int(place), ALONG - 1)
        f = place - k
        a, b = table[i], table[i + 1]
        low = a[k] + f * (a[k + 1] - a[k])
        high = b[k] + f * (b[k + 1] - b[k])
        return low + t * (high - low)

    def head_and_work(self, n, w):
        """Head y and work in J/kg at a corrected speed in rev/min and flow in kg/s."""
        held = min(max(n, self.speeds[0]), self.speeds[-1])
        i, t, (phi_s, phi_e, sigma, growth, left, right, _) = self._line(held)
        phi = w / n
        if phi < phi_s:
            u = phi / phi_s
            top = self._along(self._psi, i, t, 0.0)
            psi = top * (self.shutoff * (1 - u) ** 2 * (1 + 2 * u) + u * u * (3 - 2 * u) + sigma * u * u * (u - 1))
            lam = self._along(self._lam, i, t, 0.0) + left * (phi - phi_s)
        elif phi <= phi_e:
            s = (phi - phi_s) / (phi_e - phi_s)
            psi = self._along(self._psi, i, t, s)
            lam = self._along(self._lam, i, t, s)
        else:
            phi_zero = phi_e * (1 + growth)
            lam = self._along(self._lam, i, t, 1.0) + right * (phi - phi_e)
            if phi < phi_zero:
                psi = self._along(self._psi, i, t, 1.0) * math.sqrt((phi_zero - phi) / (phi_zero - phi_e))
            else:
                psi = -self.k_locked * (1 - phi_zero / phi) * phi * phi
        return psi * n * n, lam * n * n

    def speed_and_work(self, w, pressure_ratio):
        """Corrected speed and work at a corrected flow and pressure ratio; (0, 0) for a rotor that
        cannot but stand."""
        y = head(pressure_ratio)

        def excess(n):
            return self.head_and_work(n, w)[0] - y

        # Head rises with speed at every flow: any bracket will do; near the last answer is quickest.
        low, high = 0.98 * self._last, 1.02 * self._last
        if excess(low) >= 0.0 or excess(high) < 0.0:
            low, high = 0.02 * self.speeds[0], self.speeds[-1]
            if excess(low) >= 0.0:
                return 0.0, 0.0
            while excess(high) < 0.0:
                high *= 1.3
        n = self._last = brentq(excess, low, high, xtol=1e-4, rtol=1e-12)
        return n, self.head_and_work(n, w)[1]

    def surge_flow(self, pressure_ratio):
        root = math.sqrt(max(head(pressure_ratio), 0.0))
        (first, w_first), (last, w_last) = self._surge[1], self._surge[-1]
        if root <= first:
            return w_first * root / first
        if root >= last:
            return w_last * root / last
        return float(self._surge_curve(root))

    def choke_flow(self, n):
        return n * self._line(min(max(n, self.speeds[0]), self.speeds[-1]))[2][6]
