"""Bands: percentiles, ranks, regression on ranks, spreads, evenly filled boxes."""

import numpy
from rowfile import RowFile
from scipy.stats import qmc, rankdata, triang, uniform

# Numbers that both sides make alike: i times a factor, modulo a prime; small primes give equals.
SETS = [(60, 37, 101), (200, 113, 23), (333, 7, 997), (17, 5, 7)]


def numbers(count, factor, modulus):
    return numpy.array([i * factor % modulus for i in range(count)], dtype=float)


def standard(values):
    ranks = rankdata(values)
    return (ranks - ranks.mean()) / ranks.std()


def rows():
    file = RowFile("20_statistics.json", "Bands: percentiles, ranks, regression on ranks")
    file.source("numpy", "numpy 2.4.6, percentile (method linear)")
    file.source("scipy_rank", "scipy 1.17.1, stats.rankdata (average)")
    file.source("lstsq", "numpy 2.4.6, linalg.lstsq on standardised ranks of scipy 1.17.1, stats.rankdata")
    file.source("scipy_spread", "scipy 1.17.1, stats.triang.ppf and stats.uniform.ppf")
    file.source("scipy_qmc", "scipy 1.17.1, stats.qmc.Sobol (scrambled) and stats.qmc.discrepancy (centred): mean over 64 seeds")
    file.reason("arithmetic", "The same arithmetic: only rounding differs.")
    file.reason("digits", "The same arithmetic; rows carry ten digits.")
    file.reason(
        "scrambling",
        "Another scrambling of the same sequence, one seed against the mean of many; random points lie 7 to 340 times higher.",
    )
    data = lambda count, factor, modulus: {"count": (count, "1"), "factor": (factor, "1"), "modulus": (modulus, "1")}
    for name in SETS:
        values = numbers(*name)
        for share in [0.0, 0.05, 0.1, 0.333, 0.5, 0.9, 0.95, 1.0]:
            inputs = {**data(*name), "share": (share, "1")}
            file.add("percentile", inputs, (float(numpy.percentile(values, 100 * share)), "1"), "numpy", "arithmetic", absolute=1e-9)
        for place in [0, 3, len(values) // 2, len(values) - 1]:
            inputs = {**data(*name), "place": (place, "1")}
            file.add("rank", inputs, (float(rankdata(values)[place]), "1"), "scipy_rank", "arithmetic", absolute=1e-9)

    # y = 4 x0 - 2 x1 + x2 + bend x0², inputs by factor, all modulo 997; the last set holds inputs that
    # go together. The bends are powers of two, so that equals are equal on both sides.
    for factors, bend in [((37, 113, 401), 0.0), ((37, 113, 401), 2**-7), ((5, 6, 7), 0.0), ((1, 2, 3), 2**-9)]:
        columns = [numbers(500, factor, 997) for factor in factors]
        outcome = 4 * columns[0] - 2 * columns[1] + columns[2] + bend * columns[0] ** 2
        matrix = numpy.column_stack([standard(c) for c in columns])
        target = standard(outcome)
        found = numpy.linalg.lstsq(matrix, target, rcond=None)[0]
        inputs = {f"factor{i}": (factor, "1") for i, factor in enumerate(factors)} | {"bend": (bend, "1")}
        for which, coefficient in enumerate(found):
            one = {**inputs, "which": (which, "1")}
            file.add("rank_regression", one, (float(coefficient), "1"), "lstsq", "arithmetic", absolute=1e-9)
        left = target - matrix @ found
        file.add("rank_r_squared", inputs, (float(1 - left @ left / (target @ target)), "1"), "lstsq", "arithmetic", absolute=1e-9)

    # A triangle of which a twentieth lies beyond each end named; scipy finds how wide it is.
    beyond = float(triang.ppf(0.05, 0.5, loc=-1, scale=2))
    for low, high in [(4.0, 10.0), (-3.0, 1.0)]:
        middle, side = 0.5 * (low + high), 0.5 * (high - low) / -beyond
        for share in [0.0, 0.01, 0.05, 0.3, 0.5, 0.8, 0.95, 0.999]:
            inputs = {"shape": "peaked", "low": (low, "1"), "high": (high, "1"), "share": (share, "1")}
            value = float(triang.ppf(share, 0.5, loc=middle - side, scale=2 * side))
            file.add("spread_value", inputs, (value, "1"), "scipy_spread", "digits", absolute=1e-8)
        inputs = {"shape": "even", "low": (low, "1"), "high": (high, "1"), "share": (0.2, "1")}
        file.add("spread_value", inputs, (float(uniform.ppf(0.2, loc=low, scale=high - low)), "1"), "scipy_spread", "digits", absolute=1e-8)

    for dimensions in [2, 4, 8]:
        for count in [256, 1024]:
            seeds = range(64)
            sobol = [qmc.discrepancy(qmc.Sobol(dimensions, scramble=True, rng=seed).random(count)) for seed in seeds]
            inputs = {"dimensions": (dimensions, "1"), "count": (count, "1")}
            file.add("centred_discrepancy", inputs, (float(numpy.mean(sobol)), "1"), "scipy_qmc", "scrambling", relative=0.1)
    return file
