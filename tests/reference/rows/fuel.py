"""Fuel: what burns, how much air it takes, what it gives."""

import CoolProp.CoolProp as cp

import gases
from rowfile import RowFile

# Fuels given by their atoms, and the stoichiometric ratio printed in Heywood 1988, table D.4 (from
# memory) where there is one.
FUELS = [
    ("iso-octane", (8, 18, 0), 15.13),
    ("ethanol", (2, 6, 1), 9.00),
    ("methanol", (1, 4, 1), 6.47),
    ("n-dodecane", (12, 26, 0), None),
    ("methane", (1, 4, 0), 17.23),
    ("propane", (3, 8, 0), 15.67),
    ("toluene", (7, 8, 0), 13.50),
    ("petrol CH1.87", (1, 1.87, 0), 14.6),
    ("petrol CH1.85", (1, 1.85, 0), None),
    ("diesel CH1.80", (1, 1.80, 0), 14.5),
]


def rows():
    file = RowFile("09_fuel.json", "Fuel")
    file.source("elements", "Balance of atoms; atomic weights of IUPAC as in Cantera 3.2.0; dry air of the US Standard Atmosphere 1976")
    file.source("weights", "Cantera 3.2.0: molecular weights")
    file.source("heywood", "Heywood, Internal Combustion Engine Fundamentals (1988), table D.4 (from memory)")
    file.source("heywood 3.6", "Heywood 1988, eq. 3.6: 34.56 (4 + y)/(12.011 + 1.008 y)")
    file.source("formation", "Heats of formation of vapour and products by Cantera 3.2.0 (NASA TM-4513), of the liquid by chemicals 1.5.2")
    file.source("coolprop", "CoolProp 8.0.0: ethanol (Schroeder et al. 2014)")
    file.source("mixing", "Ideal mixing by volume of ethanol 0.7937 kg/L (15 °C) and petrol CH1.87 0.745 kg/L, balance of atoms")
    file.source("market", "JEC Well-to-Tank report v5 (2020): market petrol E10 41.5 MJ/kg, petrol without ethanol 43.2 MJ/kg, ethanol 26.8 MJ/kg, diesel 43.1 MJ/kg (from memory)")
    file.reason("atoms", "The same balance; the trace gases of the air, 3e-5 of it, left out here and counted as nitrogen in the core.")
    file.reason("weights", "Atomic weights of another edition, rounded: five digits.")
    file.reason("mixing", "The same law of mixing: only rounding differs.")
    file.reason("handbook", "Heating values and stoichiometric ratios of handbooks agree within 0.4 %.")
    file.reason("handbook of a mean molecule", "A mean molecule rounds a range of fuels: the handbook prints three digits, half of the last is 0.35 %, and handbooks agree within 0.4 %.")
    file.reason("rounded constant", "The formula's constant has four digits.")
    file.reason("mean molecule", "The core's petrol has 1.90 hydrogen to carbon against 1.87 here: 0.25 % in the stoichiometric ratio; handbooks agree within 0.4 %.")
    file.reason("market", "Market fuels vary by 1 %.")
    file.reason("vaporisation", "Heats of vaporisation of libraries and handbooks agree within 1 %.")
    file.reason("density", "Densities of a pure liquid agree within 0.1 %.")
    for _, atoms, printed in FUELS:
        inputs = gases.fuel_inputs(atoms)
        file.add("stoichiometric_ratio", inputs, (gases.stoichiometric_ratio(atoms), "1"), "elements", "atoms", relative=4e-5)
        if printed:
            reason = "handbook of a mean molecule" if atoms[0] == 1 and atoms[1] < 2 else "handbook"
            file.add("stoichiometric_ratio", inputs, (printed, "1"), "heywood", reason, relative=7.5e-3 if reason != "handbook" else 4e-3)
        if not atoms[2]:
            y = atoms[1] / atoms[0]
            value = 34.56 * (4 + y) / (12.011 + 1.008 * y)
            file.add("stoichiometric_ratio", inputs, (value, "1"), "heywood 3.6", "rounded constant", relative=5e-4)
    for name, mass in [("CH4", (1, 4, 0)), ("CH3OH", (1, 4, 1)), ("C2H5OH", (2, 6, 1)), ("C3H8", (3, 8, 0)), ("C8H18,isooctane", (8, 18, 0))]:
        weight = gases.ct.Solution(thermo="ideal-gas", species=gases.species_list([name])).molecular_weights[0]
        file.add("molar_mass_of_fuel", gases.fuel_inputs(mass), (weight * 1e-3, "kg/mol"), "weights", "weights", relative=1e-6)

    ethanol = {"fuel": "petrol", "ethanol_share": (1.0, "1")}
    file.add("fuel_stoichiometric_ratio", ethanol, (gases.stoichiometric_ratio((2, 6, 1)), "1"), "elements", "atoms", relative=4e-5)
    file.add("fuel_heating_value", ethanol, (lower_heating_value_ethanol(), "J/kg"), "formation", "handbook", relative=4e-3)
    file.add("fuel_heating_value", ethanol, (26.9, "MJ/kg"), "heywood", "handbook", relative=4e-3)
    heat = cp.PropsSI("H", "T", 298.15, "Q", 1, "Ethanol") - cp.PropsSI("H", "T", 298.15, "Q", 0, "Ethanol")
    file.add("fuel_vaporisation_heat", ethanol, (heat, "J/kg"), "coolprop", "vaporisation", relative=1e-2)
    density = cp.PropsSI("D", "T", 288.15, "P", 101325.0, "Ethanol")
    file.add("fuel_density", ethanol, (density, "kg/m3"), "coolprop", "density", relative=1e-3)
    file.add("fuel_vapour_molar_mass", ethanol, (cp.PropsSI("M", "Ethanol"), "kg/mol"), "coolprop", "weights", relative=1e-4)

    petrol = {"fuel": "petrol", "ethanol_share": (0.0, "1")}
    file.add("fuel_heating_value", petrol, (43.2, "MJ/kg"), "market", "market", relative=1e-2)
    file.add("fuel_heating_value", petrol, (44.0, "MJ/kg"), "heywood", "handbook", relative=4e-3, disagrees="The handbook's petrol of 1988 has 44.0 MJ/kg; the core takes 43.45, so that pump petrol with 10 % ethanol has 41.7, and market petrol of today has 43.2")
    file.add("fuel_stoichiometric_ratio", petrol, (14.6, "1"), "heywood", "handbook of a mean molecule", relative=7.5e-3)
    for share in [0.05, 0.10, 0.20, 0.30, 0.50, 0.70, 0.85]:
        ethanol_mass, petrol_mass = share * 0.7937, (1 - share) * 0.745
        e, p = ethanol_mass / (ethanol_mass + petrol_mass), petrol_mass / (ethanol_mass + petrol_mass)
        ratio = e * gases.stoichiometric_ratio((2, 6, 1)) + p * gases.stoichiometric_ratio((1, 1.87, 0))
        blend = {"fuel": "petrol", "ethanol_share": (share, "1")}
        file.add("fuel_stoichiometric_ratio", blend, (ratio, "1"), "mixing", "mean molecule", relative=4e-3)
        file.add("fuel_density", blend, (1000 * (share * 0.7937 + (1 - share) * 0.745), "kg/m3"), "mixing", "mixing", relative=1e-9)
        file.add("fuel_heating_value", blend, (e * 26.8 + p * 43.2, "MJ/kg"), "market", "market", relative=1e-2)
    e10 = {"fuel": "petrol", "ethanol_share": (0.10, "1")}
    file.add("fuel_heating_value", e10, (41.5, "MJ/kg"), "market", "market", relative=1e-2)

    diesel = {"fuel": "diesel"}
    file.add("fuel_heating_value", diesel, (42.5, "MJ/kg"), "heywood", "handbook", relative=4e-3)
    file.add("fuel_heating_value", diesel, (43.1, "MJ/kg"), "market", "market", relative=1e-2, disagrees="The core has the handbook's light diesel of 1988, 42.5 MJ/kg; market diesel of today is lighter and has 1.4 % more")
    file.add("fuel_stoichiometric_ratio", diesel, (14.5, "1"), "heywood", "handbook of a mean molecule", relative=7.5e-3)
    file.add("fuel_stoichiometric_ratio", diesel, (gases.stoichiometric_ratio((1, 1.8, 0)), "1"), "elements", "atoms", relative=4e-5)
    return file


def lower_heating_value_ethanol():
    """J/kg of the liquid at 298.15 K: C2H6O + 3 O2 -> 2 CO2 + 3 H2O vapour."""
    import chemicals

    gas = gases.ct.Solution(thermo="ideal-gas", species=gases.species_list(["CO2", "H2O"]))
    gas.TP = 298.15, gases.ct.one_atm
    enthalpy = gas.standard_enthalpies_RT * gases.ct.gas_constant * 298.15 * 1e-3
    products = 2 * enthalpy[gas.species_index("CO2")] + 3 * enthalpy[gas.species_index("H2O")]
    return (chemicals.Hfl("64-17-5") - products) / 0.046069
