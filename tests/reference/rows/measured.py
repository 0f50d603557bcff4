"""Measured compressor points: efficiency, outlet temperature, power.

The tables in tests/rows/measured hold the figures, in SI and with columns of our own.
"""

import json

import psychrolib

from rowfile import ROWS, RowFile

psychrolib.SetUnitSystem(psychrolib.SI)


def rows():
    file = RowFile("19_measured.json", "Station 1 to 2: measured compressor points")
    file.reason("other gas model", "NASA worked its efficiencies out with a real-gas model of humid air; Cantera's ideal gas agrees with them within 0.001 over both tables.")
    file.reason("temperature", "The same 0.001 of efficiency is 0.06 % of the temperature; the readings have five to six digits.")
    file.reason("power", "How far two good libraries agree on an enthalpy rise, ideal against real gas: 0.3 %.")
    file.reason("humid", "NASA corrects with the gas constant and heat capacities of the humid air, the core with temperature and pressure alone: 0.1 % in dry and 0.5 % in humid air, half of the humidity's effect on the gas constant.")
    for name, key in [("vaned_stage.json", "vaned"), ("vaneless_stage.json", "vaneless")]:
        table = json.loads((ROWS / "measured" / name).read_text(encoding="utf-8"))
        file.source(key, f"{table['source']}; {table['what'].split(': ')[0]}")
        for number, point in enumerate(table["points"]):
            at = dict(zip(table["columns"], point))
            if number % 6 == 0:
                inputs = {
                    "flow": (at["flow_kg_s"], "kg/s"),
                    "temperature": (at["inlet_temperature_k"], "K"),
                    "pressure": (at["inlet_pressure_pa"], "Pa"),
                    "reference_temperature": (table["reference_temperature_k"], "K"),
                    "reference_pressure": (table["reference_pressure_pa"], "Pa"),
                }
                expected = (at["corrected_flow_kg_s"], "kg/s")
                file.add("corrected_flow", inputs, expected, key, "humid", relative=6e-3, note=f"reading {at['reading']}")
            ratio = psychrolib.GetHumRatioFromRelHum(at["inlet_temperature_k"] - 273.15, at["relative_humidity"], at["inlet_pressure_pa"])
            note = f"reading {at['reading']}"
            base = {
                "gas": "air",
                "humidity_ratio": (ratio, "1"),
                "temperature": (at["inlet_temperature_k"], "K"),
                "pressure_ratio": (at["pressure_ratio"], "1"),
            }
            outlet = {**base, "outlet_temperature": (at["outlet_temperature_k"], "K")}
            file.add("compressor_efficiency", outlet, (at["efficiency"], "1"), key, "other gas model", absolute=1.5e-3, note=note)
            efficient = {**base, "efficiency": (at["efficiency"], "1")}
            file.add("compressor_outlet_temperature", efficient, (at["outlet_temperature_k"], "K"), key, "temperature", relative=1e-3, note=note)
            power = {**efficient, "flow": (at["flow_kg_s"], "kg/s")}
            file.add("compressor_power", power, (at["flow_kg_s"] * at["enthalpy_rise_j_kg"], "W"), key, "power", relative=3e-3, note=note)
    return file
