"""A dyno's correction factors."""

from rowfile import RowFile


def rows():
    file = RowFile("16_power_correction.json", "Power correction")
    file.source("iso", "ISO 1585 / 80/1269/EEC, spark ignition: (99/pd)^1.2 (T/298)^0.6 (form read in worked examples)")
    file.source("sae", "SAE J1349 (JUN90 to AUG04), spark ignition: 1.18 (990/pd) sqrt((t + 273)/298) - 0.18, pd in mbar")
    file.source("sae us", "SAE J1349 in US units: 1.18 (29.23/pd) sqrt((t + 460)/537) - 0.18, pd in inHg, t in degF")
    file.source("iso diesel", "ISO 1585:1992, compression ignition: fa = (99/pd)^0.7 (T/298)^n, n = 1.2 (air-cooled charge or none) or 0.7 (water-cooled) (exponents from memory); fm = 0.036 qc - 1.14 between 0.3 (qc up to 40) and 1.2 (qc from 65) (limits read in worked examples)")
    file.source("mathur", "Mathur & Sharma, Internal Combustion Engine, example 27.5: 640 kW at 98 kPa, 303 K, 80 % humidity become 683 kW")
    file.reason("formula", "The published formula: only rounding differs.")
    file.reason("zero of celsius", "The standard adds 273 and not 273.15: half of 5e-4 of the temperature, times 1.18.")
    file.reason("us constants", "The US form rounds 99 kPa to 29.23 inHg, 273 K to 460 degR and 298 K to 537 degR: 3e-4 in pressure, 4e-4 in temperature.")
    file.reason("limits", "Between the limits the formula itself; at qc = 40 it gives 0.30 and at 65 1.20, where the limits take over.")
    file.reason("printed and reference", "Half of the last printed digit is 0.08 %; the example's dry reference is 99.04 kPa and not 99: 0.05 %.")
    points = [(25, 99.0), (25, 95.0), (20, 98.0), (35, 97.0), (15, 100.0), (38, 94.0), (10, 101.0), (30, 90.0), (5, 99.5)]
    for celsius, kilopascal in points:
        kelvin = celsius + 273
        inputs = {"temperature": (kelvin, "K"), "dry_pressure": (kilopascal, "kPa")}
        file.add("iso_1585_spark", inputs, ((99 / kilopascal) ** 1.2 * (kelvin / 298) ** 0.6, "1"), "iso", "formula", relative=1e-9)
        factor = 1.18 * (990 / (10 * kilopascal)) * ((celsius + 273) / 298) ** 0.5 - 0.18
        real = {"temperature": (celsius, "degC"), "dry_pressure": (kilopascal, "kPa")}
        file.add("sae_j1349", real, (factor, "1"), "sae", "zero of celsius", relative=3.5e-4)
        fahrenheit = celsius * 1.8 + 32
        factor = 1.18 * (29.23 / (kilopascal / 3.386389)) * ((fahrenheit + 460) / 537) ** 0.5 - 0.18
        file.add("sae_j1349", real, (factor, "1"), "sae us", "us constants", relative=1e-3)
        for qc in [30, 37.2, 40, 45, 50, 60, 65, 80]:
            if (celsius, kilopascal) not in points[1:6:2]:
                continue
            fm = min(max(0.036 * qc - 1.14, 0.3), 1.2)
            for cooler, exponent in [("air", 1.2), ("water", 0.7)]:
                fa = (99 / kilopascal) ** 0.7 * (kelvin / 298) ** exponent
                diesel = {**inputs, "cooler": cooler, "fuel_per_cycle": (qc, "1")}
                file.add("iso_1585_compression", diesel, (fa**fm, "1"), "iso diesel", "limits", relative=1e-9)
    dry = 98 - 0.8 * 4.2
    file.add("iso_1585_spark", {"temperature": (303, "K"), "dry_pressure": (dry, "kPa")}, (683 / 640, "1"), "mathur", "printed and reference", relative=1.3e-3)
    return file
