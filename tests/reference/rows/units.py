"""Units, as typed and as shown."""

import pint

from rowfile import RowFile

registry = pint.UnitRegistry()

# What is measured, the unit as it may be typed, pint's name for it, a value, the SI unit.
TYPED = [
    ("AbsolutePressure", "kPa", "kPa", 97.3, "Pa"),
    ("AbsolutePressure", "psi", "psi", 14.7, "Pa"),
    ("AbsolutePressure", "mbar", "mbar", 987.0, "Pa"),
    ("AbsolutePressure", "atm", "atm", 1.0, "Pa"),
    ("AbsolutePressure", "inHg", "inHg", 29.92, "Pa"),
    ("GaugePressure", "psi", "psi", 20.0, "Pa"),
    ("GaugePressure", "bar", "bar", 1.25, "Pa"),
    ("GaugePressure", "kgf/cm²", "kgf/cm**2", 0.9, "Pa"),
    ("PressureDifference", "inH2O", "inH2O", 12.0, "Pa"),
    ("PressureDifference", "psi", "psi", 1.5, "Pa"),
    ("PressureDifference", "mbar", "mbar", 35.0, "Pa"),
    ("TemperatureDifference", "°F", "delta_degF", 45.0, "delta_degC"),
    ("Length", "in", "inch", 2.756, "m"),
    ("Length", "mm", "mm", 76.2, "m"),
    ("Length", "cm", "cm", 9.4, "m"),
    ("Altitude", "ft", "ft", 5280.0, "m"),
    ("Volume", "in³", "inch**3", 350.0, "m**3"),
    ("Volume", "litre", "liter", 2.2, "m**3"),
    ("Volume", "cm³", "cm**3", 1998.0, "m**3"),
    ("EngineSpeed", "rev/min", "rpm", 6500.0, "rad/s"),
    ("ShaftSpeed", "rev/min", "rpm", 118000.0, "rad/s"),
    ("ShaftSpeed", "k rev/min", "krpm", 100.0, "rad/s"),
    ("MassFlow", "lb/min", "lb/min", 38.5, "kg/s"),
    ("MassFlow", "kg/h", "kg/hour", 950.0, "kg/s"),
    ("MassFlow", "g/s", "g/s", 185.0, "kg/s"),
    ("MassFlowPerVolume", "lb/min per litre", "lb/min/liter", 14.0, "kg/s/m**3"),
    ("VolumeFlow", "cm³/min", "cm**3/min", 850.0, "m**3/s"),
    ("VolumeFlow", "litre/h", "liter/hour", 255.0, "m**3/s"),
    ("Power", "hp", "horsepower", 300.0, "W"),
    ("Power", "PS", "metric_horsepower", 300.0, "W"),
    ("Power", "kW", "kW", 220.0, "W"),
    ("Torque", "lb ft", "foot*force_pound", 310.0, "N*m"),
    ("Torque", "kgf m", "kgf*m", 42.0, "N*m"),
    ("SpecificEnergy", "BTU/lb", "Btu_it/lb", 18500.0, "J/kg"),
    ("SpecificEnergy", "MJ/kg", "MJ/kg", 41.7, "J/kg"),
    ("SpecificConsumption", "lb/(hp h)", "lb/horsepower/hour", 0.5, "kg/J"),
    ("SpecificConsumption", "g/kWh", "g/kilowatt_hour", 265.0, "kg/J"),
    ("Density", "lb/ft³", "lb/ft**3", 46.5, "kg/m**3"),
    ("Density", "lb/US gal", "lb/gallon", 6.2, "kg/m**3"),
    ("Density", "kg/litre", "kg/liter", 0.745, "kg/m**3"),
    ("Area", "in²", "inch**2", 1.8, "m**2"),
    ("Area", "cm²", "cm**2", 11.0, "m**2"),
    ("Speed", "ft/s", "ft/s", 1690.0, "m/s"),
    ("Speed", "km/h", "km/hour", 160.0, "m/s"),
    ("Speed", "mph", "mph", 100.0, "m/s"),
    ("Mass", "lb", "lb", 2.5, "kg"),
    ("Inertia", "lb in²", "lb*inch**2", 0.35, "kg*m**2"),
    ("Inertia", "g cm²", "g*cm**2", 250.0, "kg*m**2"),
]
TEMPERATURES = [("°F", "degF", [-40, 0, 59, 60, 77, 85, 212, 1500, 1650]), ("°C", "degC", [-40, 0, 15, 25, 950])]
# One unit into another, as when a page is switched from metric to US units.
SHOWN = [
    ("MassFlow", "kg/s", "lb/min", "kg/s", "lb/min", 1.0),
    ("MassFlow", "lb/min", "g/s", "lb/min", "g/s", 1.0),
    ("AbsolutePressure", "bar", "psi", "bar", "psi", 1.0),
    ("AbsolutePressure", "atm", "psi", "atm", "psi", 1.0),
    ("GaugePressure", "psi", "kPa", "psi", "kPa", 14.7),
    ("GaugePressure", "inHg", "psi", "inHg", "psi", 10.0),
    ("Power", "hp", "kW", "horsepower", "kW", 300.0),
    ("Power", "PS", "hp", "metric_horsepower", "horsepower", 300.0),
    ("Torque", "N m", "lb ft", "N*m", "foot*force_pound", 1.0),
    ("Length", "in", "mm", "inch", "mm", 1.0),
    ("Volume", "litre", "in³", "liter", "inch**3", 1.0),
    ("Volume", "in³", "litre", "inch**3", "liter", 350.0),
    ("SpecificEnergy", "BTU/lb", "kJ/kg", "Btu_it/lb", "kJ/kg", 1.0),
    ("SpecificConsumption", "lb/(hp h)", "g/kWh", "lb/horsepower/hour", "g/kilowatt_hour", 0.5),
    ("Altitude", "ft", "m", "ft", "m", 2950.0),
    ("Speed", "m/s", "ft/s", "m/s", "ft/s", 1.0),
    ("Speed", "km/h", "mph", "km/hour", "mph", 100.0),
    ("PressureDifference", "inH2O", "kPa", "inH2O", "kPa", 8.0),
]


def rows():
    file = RowFile("17_units.json", "Units at the edge")
    file.source("pint", "pint 0.25.3; factors of NIST Special Publication 811 (2008), appendix B")
    file.source("gauge", "pint 0.25.3; absolute pressure is ambient plus gauge pressure")
    file.reason("exact", "Both follow from exact definitions: only rounding differs.")
    file.reason("water and mercury", "Conventional columns of mercury and water: NIST prints seven digits.")
    for measured, typed, named, value, si in TYPED:
        expected = registry.Quantity(value, named).to(si).magnitude
        loose = named in ("inHg", "inH2O")
        inputs = {"measured": measured, "text": f"{value:g} {typed}"}
        file.add("read_text", inputs, (expected, "SI"), "pint", "water and mercury" if loose else "exact", relative=2e-6 if loose else 1e-9)
    for typed, named, values in TEMPERATURES:
        for value in values:
            expected = registry.Quantity(float(value), named).to("kelvin").magnitude
            file.add("read_text", {"measured": "Temperature", "text": f"{value} {typed}"}, (expected, "SI"), "pint", "exact", relative=1e-9)
    for measured, start, end, start_name, end_name, value in SHOWN:
        expected = registry.Quantity(value, start_name).to(end_name).magnitude
        loose = "inHg" in (start_name, end_name) or "inH2O" in (start_name, end_name)
        inputs = {"measured": measured, "from": start, "to": end, "value": (value, "SI")}
        file.add("convert", inputs, (expected, "SI"), "pint", "water and mercury" if loose else "exact", relative=2e-6 if loose else 1e-9)
    for psi, ambient in [(14.5, 101325.0), (20.0, 101325.0), (15.0, 83500.0), (30.0, 99000.0)]:
        expected = ambient + registry.Quantity(psi, "psi").to("Pa").magnitude
        inputs = {"unit": "psi", "value": (psi, "SI"), "ambient": (ambient, "Pa")}
        file.add("absolute_from_gauge", inputs, (expected, "Pa"), "gauge", "exact", relative=1e-9)
    return file
