"""Friction and pumping."""

from rowfile import RowFile


def rows():
    file = RowFile("12_friction.json", "Station m to 3: friction and pumping")
    file.source("barnes-moss", "Barnes-Moss 1975, as in Heywood 1988, eq. 13.6: 0.97 + 0.15 n + 0.05 n^2 bar, n in 1000 rev/min; motored engines of 845 to 2000 cm3, wide open, pumping included (from memory)")
    file.source("chen-flynn", "Chen & Flynn 1965, SAE 650733: 0.137 + 0.005 pmax + 0.162 Up bar (coefficients from memory)")
    file.source("chen-flynn form", "The form of Chen & Flynn 1965 with the common defaults 0.4 + 0.005 pmax + 0.09 Up + 0.0009 Up^2 bar (coefficients from memory)")
    file.source("geometry", "Heywood 1988, eq. 2.9: mean piston speed 2 L N")
    file.source("pumping", "Pressure difference across the engine, and loss in the valves as dynamic head, V^2 times density (Heywood 1988, section 13.4; constants of no source)")
    file.reason("formula", "The published formula: only rounding differs.")
    file.reason("band", "Motored engines of that time lie within 20 % of the formula, and a modern engine has up to 25 % less (a judgement, no source): a band of 30 %.")
    for rev, expected in [(1000, 1.17), (2000, 1.47), (3000, 1.87), (4000, 2.37), (5000, 2.97), (6000, 3.67)]:
        # With a stroke of 30 mm the mean piston speed in m/s is the speed in 1000 rev/min.
        inputs = {
            "constant": (0.97, "bar"),
            "peak": (0.0, "1"),
            "linear": (0.15, "1"),
            "square": (0.05, "1"),
            "peak_pressure": (50.0, "bar"),
            "piston_speed": (rev / 1000, "m/s"),
        }
        file.add("friction", inputs, (expected, "bar"), "barnes-moss", "formula", relative=1e-9)
        file.add("mean_piston_speed", {"speed": (rev, "rev/min"), "stroke": (30.0, "mm")}, (rev / 1000, "m/s"), "geometry", "formula", relative=1e-9)
    for pmax, up, coefficients, source in [
        (100.0, 18.0, (0.4, 0.005, 0.09, 0.0009), "chen-flynn form"),
        (120.0, 12.0, (0.4, 0.005, 0.09, 0.0009), "chen-flynn form"),
        (80.0, 6.0, (0.4, 0.005, 0.09, 0.0009), "chen-flynn form"),
        (140.0, 22.0, (0.4, 0.005, 0.09, 0.0009), "chen-flynn form"),
        (120.0, 12.0, (0.137, 0.005, 0.162, 0.0), "chen-flynn"),
        (60.0, 8.0, (0.137, 0.005, 0.162, 0.0), "chen-flynn"),
    ]:
        c0, c1, c2, c3 = coefficients
        inputs = {
            "constant": (c0, "bar"),
            "peak": (c1, "1"),
            "linear": (c2, "1"),
            "square": (c3, "1"),
            "peak_pressure": (pmax, "bar"),
            "piston_speed": (up, "m/s"),
        }
        file.add("friction", inputs, (c0 + c1 * pmax + c2 * up + c3 * up**2, "bar"), source, "formula", relative=1e-9)
    for rev, expected in [(2000, 1.47), (3000, 1.87), (4000, 2.37), (5000, 2.97), (6000, 3.67)]:
        # Motored with the throttle open: compression alone, about 20 bar.
        inputs = {
            "speed": (rev, "rev/min"),
            "stroke": (80.0, "mm"),
            "peak_pressure": (20.0, "bar"),
            "density": (1.15, "kg/m3"),
        }
        file.add("default_friction", inputs, (expected, "bar"), "barnes-moss", "band", relative=0.3, disagrees="The formula is that of engines of the 1970s, motored with pumping; the core has the common defaults of Chen & Flynn's form times 0.88 for a modern engine (a judgement), and lies about 40 % lower")
    for up, pm, p3, rho in [(17.0, 200e3, 250e3, 2.0), (10.0, 180e3, 160e3, 1.9), (20.0, 100e3, 110e3, 1.1), (8.0, 250e3, 400e3, 2.6)]:
        inputs = {
            "valve_loss": (0.2, "bar"),
            "valve_speed": (17.0, "m/s"),
            "valve_density": (1.2, "kg/m3"),
            "piston_speed": (up, "m/s"),
            "manifold_pressure": (pm, "Pa"),
            "exhaust_pressure": (p3, "Pa"),
            "density": (rho, "kg/m3"),
        }
        head = lambda density, speed: 0.5 * density * speed**2
        expected = p3 - pm + 0.2e5 * head(rho, up) / head(1.2, 17.0)
        file.add("pumping", inputs, (expected, "Pa"), "pumping", "formula", relative=1e-9)
    return file
