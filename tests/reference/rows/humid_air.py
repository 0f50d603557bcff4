"""Station 0: humidity of the air outside."""

import CoolProp.CoolProp as cp
import psychrolib

from rowfile import RowFile

psychrolib.SetUnitSystem(psychrolib.SI)

# °C, relative humidity, Pa
STATES = [
    (-10, 0.7, 101325.0),
    (0.5, 0.8, 101325.0),
    (5, 0.95, 70109.0),
    (10, 0.7, 84556.0),
    (14, 0.7, 90970.0),
    (15, 0.0, 101325.0),
    (15, 0.6, 101325.0),
    (20, 0.3, 79495.0),
    (20, 0.5, 101325.0),
    (25, 0.0, 99000.0),
    (25, 0.35, 100000.0),
    (25, 0.5, 101325.0),
    (25, 0.9, 99000.0),
    (29.4444, 0.6, 98000.0),
    (30, 0.3, 100000.0),
    (30, 0.8, 101325.0),
    (35, 0.4, 95000.0),
    (35, 0.9, 101325.0),
    (40, 0.2, 101325.0),
    (40, 0.6, 101325.0),
    (45, 0.5, 90000.0),
]


def rows():
    file = RowFile("02_humid_air.json", "Station 0: the air outside, its humidity")
    file.source("psychrolib", "PsychroLib 2.5.0 (ASHRAE Handbook, Fundamentals, 2017, chapter 1)")
    file.source("water", "CoolProp 8.0.0: saturated water, IAPWS-95")
    file.source("humid", "CoolProp 8.0.0: HAPropsSI, moist air as a real gas (ASHRAE RP-1485)")
    file.source("table", "ISO 3046-1 / ISO 15550, as worked in Mathur & Sharma, chapter 27: saturation pressures of 3.2, 4.2 and 9.6 kPa at 25, 30 and 45 °C (printed as 298, 303 and 318 K)")
    file.reason("equation", "Hyland & Wexler's equation with the printed coefficients: only rounding differs.")
    file.reason("molar masses", "The library has the handbook's rounded ratio of molar masses, 0.621945, against 0.62195 of today's atomic weights; and gas constants of 287.042 against 287.051.")
    file.reason("iapws", "Hyland & Wexler (1983) and IAPWS-95 (2002) differ by up to 0.06 % between 0 and 100 °C.")
    file.reason("real", "Real moist air holds 0.3 to 0.5 % more water than Dalton's law says (enhancement factor), beside the rounded ratio of molar masses.")
    file.reason("real density", "Compressibility and enhancement factor: below 0.1 %.")
    file.reason("real heat", "Ideal-gas against real-gas heat capacity: within 0.5 %.")
    file.reason("printed", "Half of the last printed digit.")
    for celsius in [-40, -30, -20, -10, -5, 0.01, 5, 10, 15, 20, 25, 29.4444, 30, 35, 40, 45, 50, 60, 80, 100, 150]:
        p = psychrolib.GetSatVapPres(celsius)
        file.add("saturation_pressure", {"temperature": (celsius, "degC")}, (p, "Pa"), "psychrolib", "equation", relative=2e-6)
    for celsius in [0.01, 10, 20, 25, 30, 40, 50, 70, 100]:
        p = cp.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
        file.add("saturation_pressure", {"temperature": (celsius, "degC")}, (p, "Pa"), "water", "iapws", relative=1e-3)
    for celsius, kilopascal in [(25, 3.2), (30, 4.2), (45, 9.6)]:
        file.add("saturation_pressure", {"temperature": (celsius, "degC")}, (kilopascal, "kPa"), "table", "printed", absolute=0.05)
    for celsius, humidity, p in STATES:
        inputs = {"pressure": (p, "Pa"), "temperature": (celsius, "degC"), "relative_humidity": (humidity, "1")}
        # The library never goes below a humidity ratio of 1e-7.
        ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, p)
        if humidity > 0:
            file.add("humidity_ratio", inputs, (ratio, "1"), "psychrolib", "molar masses", relative=2e-4)
            vapour = psychrolib.GetVapPresFromRelHum(celsius, humidity)
            file.add("dry_pressure", inputs, (p - vapour, "Pa"), "psychrolib", "equation", relative=2e-6)
            real = cp.HAPropsSI("W", "T", celsius + 273.15, "R", humidity, "P", p)
            file.add("humidity_ratio", inputs, (real, "1"), "humid", "real", relative=5.5e-3)
        share = 1 - psychrolib.GetSpecificHumFromHumRatio(ratio)
        file.add("dry_share", inputs, (share, "1"), "psychrolib", "molar masses", relative=1e-5)
        density = psychrolib.GetMoistAirDensity(celsius, ratio, p)
        file.add("humid_air_density", inputs, (density, "kg/m3"), "psychrolib", "molar masses", relative=1e-4)
        real = 1 / cp.HAPropsSI("Vha", "T", celsius + 273.15, "R", humidity, "P", p)
        file.add("humid_air_density", inputs, (real, "kg/m3"), "humid", "real density", relative=1e-3)
        heat = cp.HAPropsSI("Cha", "T", celsius + 273.15, "R", humidity, "P", p)
        file.add("humid_air_heat_capacity", inputs, (heat, "J/(kg K)"), "humid", "real heat", relative=5e-3)
    return file
