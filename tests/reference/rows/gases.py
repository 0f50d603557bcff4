"""Air and combustion products by Cantera and CoolProp, made without the project's own code."""

import cantera as ct
import CoolProp.CoolProp as cp
from scipy.optimize import brentq

CANTERA = f"Cantera {ct.__version__}, nasa_gas.yaml (McBride, Gordon & Reno, NASA TM-4513, 1993)"
COOLPROP = "CoolProp 8.0.0"

# Cantera's name for each species of the exhaust.
SPECIES = {"N2": "N2", "O2": "O2", "Ar": "Ar", "CO2": "CO2", "H2O": "H2O", "CO": "CO", "H2": "H2"}
# CoolProp's.
FLUIDS = {
    "N2": "Nitrogen",
    "O2": "Oxygen",
    "Ar": "Argon",
    "CO2": "CarbonDioxide",
    "H2O": "Water",
    "CO": "CarbonMonoxide",
    "H2": "Hydrogen",
}

# Mole fractions of dry air, US Standard Atmosphere 1976, table 3, without the trace gases.
DRY_AIR = {"N2": 0.78084, "O2": 0.209476, "Ar": 0.00934, "CO2": 0.000314}

FUELS = {
    "iso-octane": (8.0, 18.0, 0.0),
    "petrol CH1.87": (1.0, 1.87, 0.0),
    "ethanol": (2.0, 6.0, 1.0),
    "methanol": (1.0, 4.0, 1.0),
    "n-dodecane": (12.0, 26.0, 0.0),
    "methane": (1.0, 4.0, 0.0),
    "propane": (3.0, 8.0, 0.0),
}

_everything = ct.Species.list_from_file("nasa_gas.yaml")
_chosen = [species for species in _everything if species.name in SPECIES.values()]
_gas = ct.Solution(thermo="ideal-gas", species=_chosen)

REFERENCE = 298.15


def species_list(names):
    return [species for species in _everything if species.name in names]


def molar_mass(moles):
    """kg/mol."""
    total = sum(moles.values())
    return sum(n * _gas.molecular_weights[_gas.species_index(s)] for s, n in moles.items()) / total * 1e-3


class Gas:
    """A mixture of fixed composition by Cantera."""

    def __init__(self, moles):
        self.moles = moles
        total = sum(moles.values())
        self.fractions = {species: n / total for species, n in moles.items()}
        self.molar_mass = molar_mass(moles)
        self.gas_constant = ct.gas_constant * 1e-3 / self.molar_mass

    def _at(self, t, p=ct.one_atm):
        _gas.TPX = t, p, self.moles
        return _gas

    def cp(self, t):
        return self._at(t).cp_mass

    def gamma(self, t):
        gas = self._at(t)
        return gas.cp_mass / gas.cv_mass

    def h(self, t, start=REFERENCE):
        return self._at(t).enthalpy_mass - self._at(start).enthalpy_mass

    def s(self, t, start=REFERENCE):
        return self._at(t).entropy_mass - self._at(start).entropy_mass

    def isentropic(self, t, ratio):
        """Temperature and enthalpy change of an isentropic change by a pressure ratio."""
        _gas.TPX = t, 1e5, self.moles
        h1, s1 = _gas.enthalpy_mass, _gas.entropy_mass
        _gas.SP = s1, 1e5 * ratio
        return _gas.T, _gas.enthalpy_mass - h1

    def after(self, t, enthalpy_change):
        _gas.TPX = t, 1e5, self.moles
        _gas.HP = _gas.enthalpy_mass + enthalpy_change, 1e5
        return _gas.T

    def cp_coolprop(self, t):
        """Heat capacity of the ideal gas by CoolProp, species by species."""
        parts = 0.0
        for species, fraction in self.fractions.items():
            parts += fraction * ideal_molar_heat_capacity(species, t)
        return parts / self.molar_mass


def ideal_molar_heat_capacity(species, t):
    """J/(mol K) of the ideal gas by CoolProp's reference equation of the fluid."""
    return cp.PropsSI("CP0MOLAR", "T", t, "P", 1000.0, FLUIDS[species])


def air(humidity_ratio=0.0):
    """Humid air with a mass of water for each mass of dry air."""
    moles = dict(DRY_AIR)
    dry = sum(moles.values()) * molar_mass(DRY_AIR)
    moles["H2O"] = humidity_ratio * dry / molar_mass({"H2O": 1.0})
    return Gas(moles)


def oxygen_demand(fuel):
    c, h, o = fuel
    return c + h / 4 - o / 2


def stoichiometric_ratio(fuel):
    c, h, o = fuel
    mass = (c * 12.011 + h * 1.008 + o * 15.999) * 1e-3
    air_moles = oxygen_demand(fuel) / DRY_AIR["O2"]
    return air_moles * sum(DRY_AIR.values()) * molar_mass(DRY_AIR) / mass


def products(fuel, lam, humidity_ratio=0.0, constant=3.5):
    """Products of one mole of CcHhOo: complete when lean, frozen water-gas shift when rich."""
    c, h, o = fuel
    demand = oxygen_demand(fuel)
    air_moles = lam * demand / DRY_AIR["O2"]
    vapour = air_moles * sum(DRY_AIR.values()) * molar_mass(DRY_AIR) * humidity_ratio / molar_mass({"H2O": 1.0})
    moles = {"N2": air_moles * DRY_AIR["N2"], "Ar": air_moles * DRY_AIR["Ar"]}
    carbon = c + air_moles * DRY_AIR["CO2"]
    hydrogen = h / 2 + vapour
    if lam >= 1:
        moles.update({"CO2": carbon, "H2O": hydrogen, "O2": (lam - 1) * demand})
        return Gas(moles)
    # Oxygen atoms that are left for CO2, CO and H2O.
    atoms = o + 2 * lam * demand + vapour + 2 * air_moles * DRY_AIR["CO2"]

    def shift(co2):
        co = carbon - co2
        water = atoms - 2 * co2 - co
        return co * water - constant * co2 * (hydrogen - water)

    low = max(0.0, atoms - carbon - hydrogen)
    co2 = brentq(shift, low + 1e-12, min(carbon, atoms - carbon) - 1e-12, xtol=1e-15)
    water = atoms - carbon - co2
    moles.update({"CO2": co2, "CO": carbon - co2, "H2O": water, "H2": hydrogen - water})
    return Gas(moles)


def fuel_inputs(fuel):
    c, h, o = fuel
    return {"carbon": (c, "1"), "hydrogen": (h, "1"), "oxygen": (o, "1")}


def products_inputs(fuel, lam):
    return {"gas": "products", **fuel_inputs(fuel), "lambda": (lam, "1")}
