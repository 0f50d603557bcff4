"""What leaves the cylinder."""

import cantera as ct
import numpy as np

import gases
from rowfile import RowFile

CASES = [
    ("iso-octane", (8, 18, 0), [0.75, 0.8, 0.85, 0.9, 1.0, 1.3]),
    ("petrol CH1.87", (1, 1.87, 0), [0.75, 0.8, 0.85, 0.9, 1.0, 1.3]),
    ("ethanol", (2, 6, 1), [0.75, 0.85, 0.9, 1.3]),
    ("methanol", (1, 4, 1), [0.75, 0.9, 1.0]),
    ("diesel CH1.8", (1, 1.8, 0), [1.1, 1.4, 1.6, 2.0, 3.0]),
    ("methane", (1, 4, 0), [1.0]),
]


def frozen(fuel, lam, t, p=2e5):
    """Composition of full equilibrium at t, then frozen (no methane: the exhaust's species only)."""
    names = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2"]
    gas = ct.Solution(thermo="ideal-gas", species=gases.species_list(names))
    gas.TPX = t, p, gases.products(fuel, lam).moles
    gas.equilibrate("TP")
    return gases.Gas({name: max(x, 0.0) for name, x in zip(gas.species_names, gas.X)})


def shift_constant(t):
    """[CO][H2O]/([CO2][H2]) in equilibrium at t."""
    gas = ct.Solution(thermo="ideal-gas", species=gases.species_list(["CO2", "H2O", "CO", "H2"]))
    gas.TP = t, ct.one_atm
    g = dict(zip(gas.species_names, gas.standard_gibbs_RT))
    return float(np.exp(g["CO2"] + g["H2"] - g["CO"] - g["H2O"]))


def rows():
    file = RowFile("10_combustion_products.json", "Station 3: what leaves the cylinder")
    file.source("cantera", gases.CANTERA + "; composition by a balance of atoms, complete when lean, water-gas constant 3.5 (Heywood 1988, section 4.9) when rich")
    file.source("equilibrium", "Cantera 3.2.0: equilibrium of the exhaust's species at 1700 K and 2 bar, then frozen")
    file.source("coolprop", "The same composition; heat capacity of each species' ideal gas by CoolProp 8.0.0")
    file.source("shift", "Cantera 3.2.0: water-gas equilibrium constant at 1740 K, the temperature that Heywood 1988, section 4.9, takes 3.5 from")
    file.reason("solver", "Another solver of the same balance, the same polynomials; the trace gases of the air, 3e-5 of it, left out here and counted as nitrogen in the core.")
    file.reason("trace", "Another solver of the same balance; the trace gases of the air, 3e-5 of it, left out here and counted as nitrogen in the core: 1.5e-5 of the whole.")
    file.reason("libraries", "How far two good libraries agree on the heat capacity of combustion products: 0.3 %.")
    file.reason("freezing", "Where the shift freezes is known to 100 K or so: the constant goes from 3.3 to 3.7 between 1690 and 1800 K, heat capacity moves by less than 0.1 %; beside it the libraries' 0.3 %.")
    file.reason("rounded", "Heywood rounds to two digits: half of the last is 1.4 %; polynomials of another edition 2 %.")
    file.add("water_gas_constant", {}, (shift_constant(1740.0), "1"), "shift", "rounded", relative=3.4e-2)
    for _, fuel, lambdas in CASES:
        for lam in lambdas:
            gas = gases.products(fuel, lam)
            inputs = gases.products_inputs(fuel, lam)
            for species, fraction in gas.fractions.items():
                if fraction > 1e-12:
                    file.add("products_fraction", {**inputs, "species": species}, (fraction, "1"), "cantera", "trace", absolute=1.5e-5)
            file.add("products_molar_mass", inputs, (gas.molar_mass, "kg/mol"), "cantera", "solver", relative=5e-6)
            file.add("products_gas_constant", inputs, (gas.gas_constant, "J/(kg K)"), "cantera", "solver", relative=5e-6)
            for t in [600, 800, 1000, 1200, 1400]:
                at = {**inputs, "temperature": (t, "K")}
                file.add("products_heat_capacity", at, (gas.cp(t), "J/(kg K)"), "cantera", "solver", relative=1e-5)
                file.add("products_gamma", at, (gas.gamma(t), "1"), "cantera", "solver", relative=1e-5)
                file.add("products_enthalpy", at, (gas.h(t), "J/kg"), "cantera", "solver", relative=2e-5)
            for t in [900, 1300]:
                at = {**inputs, "temperature": (t, "K")}
                file.add("products_entropy", at, (gas.s(t), "J/(kg K)"), "cantera", "solver", relative=2e-5)
            # Carbon monoxide's reference equation ends at 500 K: only lean products can be compared.
            if lam >= 1:
                for t in [700, 1000]:
                    at = {**inputs, "temperature": (t, "K")}
                    file.add("products_heat_capacity", at, (gas.cp_coolprop(t), "J/(kg K)"), "coolprop", "libraries", relative=3e-3)
            else:
                file.add("water_gas_quotient", inputs, (3.5, "1"), "cantera", "solver", relative=1e-6)
            other = frozen(fuel, lam, 1700.0)
            for t in [800, 1200]:
                at = {**inputs, "temperature": (t, "K")}
                file.add("products_heat_capacity", at, (other.cp(t), "J/(kg K)"), "equilibrium", "freezing", relative=4e-3)
                file.add("products_gamma", at, (other.gamma(t), "1"), "equilibrium", "freezing", relative=4e-3)
    for fuel, lam, humidity in [((1, 1.87, 0), 0.85, 0.012), ((1, 1.87, 0), 1.0, 0.02), ((1, 1.8, 0), 1.6, 0.015)]:
        gas = gases.products(fuel, lam, humidity)
        inputs = {**gases.products_inputs(fuel, lam), "humidity_ratio": (humidity, "1")}
        for species in ["CO2", "H2O", "N2"]:
            file.add("products_fraction", {**inputs, "species": species}, (gas.fractions[species], "1"), "cantera", "trace", absolute=1.5e-5)
        for t in [800, 1200]:
            at = {**inputs, "temperature": (t, "K")}
            file.add("products_heat_capacity", at, (gas.cp(t), "J/(kg K)"), "cantera", "solver", relative=1e-5)
    return file
