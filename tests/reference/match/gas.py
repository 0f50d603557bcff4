"""Air and combustion products: ideal-gas properties from Cantera's NASA data.

Enthalpy counts from 298.15 K, in J/kg; entropy is its temperature-dependent part, in J/(kg K).
Cantera is asked once for a table, evenly spaced in ln T; the table is read between its rows by a
straight line in ln T (rows 0.1 % apart: error below 1e-6 of the enthalpy).
"""

import math
from bisect import bisect_right

import cantera as ct
import numpy as np
from scipy.optimize import brentq

# US Standard Atmosphere 1976, table 3, trace gases counted as nitrogen.
DRY_AIR = {"N2": 0.78087, "O2": 0.209476, "Ar": 0.00934, "CO2": 0.000314}
# The water-gas shift is frozen at this constant (Heywood 1988, section 4.9).
WATER_GAS_CONSTANT = 3.5

LOWEST_T, HIGHEST_T, LOG_STEP = 120.0, 3800.0, 1e-3

_NAMES = ("N2", "O2", "Ar", "CO2", "H2O", "CO", "H2")
_SPECIES = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in _NAMES}
_PHASE = ct.Solution(thermo="ideal-gas", species=[_SPECIES[n] for n in _NAMES])


def molar_mass(name):
    """kg/mol."""
    return _PHASE.molecular_weights[_PHASE.species_index(name)] * 1e-3


DRY_AIR_MOLAR_MASS = sum(x * molar_mass(n) for n, x in DRY_AIR.items()) / sum(DRY_AIR.values())


class Gas:
    """A mixture of ideal gases, from mole amounts by name."""

    def __init__(self, moles):
        _PHASE.X = moles
        composition = _PHASE.X
        self.molar_mass = _PHASE.mean_molecular_weight * 1e-3
        self.gas_constant = ct.gas_constant * 1e-3 / self.molar_mass
        count = int(math.log(HIGHEST_T / LOWEST_T) / LOG_STEP) + 1
        temperatures = LOWEST_T * np.exp(LOG_STEP * np.arange(count))
        _PHASE.TPX = 298.15, 101325.0, composition
        h_zero = _PHASE.enthalpy_mass
        h, s, cp = [], [], []
        for t in temperatures:
            _PHASE.TP = t, 101325.0
            h.append(_PHASE.enthalpy_mass - h_zero)
            s.append(_PHASE.entropy_mass)
            cp.append(_PHASE.cp_mass)
        self._h, self._s, self._cp = h, s, cp

    @staticmethod
    def _read(table, t):
        place = math.log(t / LOWEST_T) / LOG_STEP
        i = min(max(int(place), 0), len(table) - 2)
        return table[i] + (place - i) * (table[i + 1] - table[i])

    @staticmethod
    def _inverse(table, value):
        i = min(max(bisect_right(table, value) - 1, 0), len(table) - 2)
        place = i + (value - table[i]) / (table[i + 1] - table[i])
        return LOWEST_T * math.exp(LOG_STEP * place)

    def enthalpy(self, t):
        return self._read(self._h, t)

    def heat_capacity(self, t):
        return self._read(self._cp, t)

    def gamma(self, t):
        cp = self.heat_capacity(t)
        return cp / (cp - self.gas_constant)

    def temperature(self, h):
        """K, from enthalpy."""
        return self._inverse(self._h, h)

    def isentropic_work(self, t, ratio):
        """Enthalpy change at constant entropy from t by the pressure ratio (outlet over inlet)."""
        s = self._read(self._s, t) + self.gas_constant * math.log(ratio)
        return self.enthalpy(self._inverse(self._s, s)) - self.enthalpy(t)


def saturation_pressure(t):
    """Pa, over water from Cantera's equation of state for water, over ice after IAPWS R14-08."""
    if t >= 273.16:
        water = ct.Water()
        water.TQ = t, 0.0
        return water.P
    theta = t / 273.16
    a = (-0.212144006e2, 0.273203819e2, -0.610598130e1)
    b = (0.333333333e-2, 0.120666667e1, 0.170333333e1)
    return 611.657 * math.exp(sum(x * theta**y for x, y in zip(a, b)) / theta)


def humidity_ratio(p, t, relative_humidity):
    """Water over dry air, by mass."""
    vapour = min(relative_humidity * saturation_pressure(t), 0.5 * p)
    return molar_mass("H2O") / DRY_AIR_MOLAR_MASS * vapour / (p - vapour)


def humid_air(ratio):
    total = sum(DRY_AIR.values())
    moles = {n: x / total for n, x in DRY_AIR.items()}
    moles["H2O"] = ratio * DRY_AIR_MOLAR_MASS / molar_mass("H2O")
    return Gas(moles)


def stoichiometric_ratio(c, h, o):
    """Dry air over fuel of formula CcHhOo, by mass."""
    total = sum(DRY_AIR.values())
    air = (c + h / 4 - o / 2) * total / DRY_AIR["O2"]
    fuel = (ct.Element("C").weight * c + ct.Element("H").weight * h + ct.Element("O").weight * o) * 1e-3
    return air * DRY_AIR_MOLAR_MASS / fuel


def products(c, h, o, lam, ratio):
    """Products of fuel CcHhOo and air of humidity `ratio` at λ; rich: CO and H2 by the frozen shift."""
    total = sum(DRY_AIR.values())
    need = c + h / 4 - o / 2
    air = lam * need * total / DRY_AIR["O2"]
    part = {n: air * x / total for n, x in DRY_AIR.items()}
    water_in = air * ratio * DRY_AIR_MOLAR_MASS / molar_mass("H2O")
    carbon = c + part["CO2"]
    hydrogen = h / 2 + water_in  # as H2
    oxygen = o + 2 * part["O2"] + 2 * part["CO2"] + water_in  # atoms
    moles = {"N2": part["N2"], "Ar": part["Ar"]}
    if lam >= 1.0:
        moles |= {"CO2": carbon, "H2O": hydrogen, "O2": (oxygen - 2 * carbon - hydrogen) / 2}
    else:
        # H2O from the oxygen left after carbon has become CO and x of it CO2.
        def shift(x):
            water = oxygen - carbon - x
            return (carbon - x) * water - WATER_GAS_CONSTANT * x * (hydrogen - water)

        low = max(0.0, oxygen - carbon - hydrogen)
        high = min(carbon, oxygen - carbon)
        x = brentq(shift, low, high, xtol=1e-14)
        water = oxygen - carbon - x
        moles |= {"CO2": x, "CO": carbon - x, "H2O": water, "H2": hydrogen - water}
    return Gas(moles)
