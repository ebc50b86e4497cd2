"""The same work by general-purpose libraries, beside the program's own figures.

    python3 -m venv .venv && .venv/bin/pip install numpy scipy pint
    .venv/bin/python tests/benches/libraries.py

Runs `cargo bench --bench speed` for the groups compared, does the same work here, and
prints a table of ratios, all from one run on one machine:

- recompute: a chain of entries over exact decimals with units (pint over decimal)
- draws: 200 entries over 10 000 draws, drawn before (numpy arrays)
- draw_down: a day of a cylinder in level air, to the same accuracy (scipy, RK45)

It checks first that the worked values agree with a plain loop.
"""

import re
import statistics
import subprocess
import sys
import time
from decimal import Decimal, getcontext

import numpy
import pint
import scipy
from scipy.integrate import solve_ivp

REPEATS = 7


class Random:
    """SplitMix64, as in sheets.rs."""

    def __init__(self, seed):
        self.state = seed

    def below(self, bound):
        mask = (1 << 64) - 1
        self.state = (self.state + 0x9E3779B97F4A7C15) & mask
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & mask
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & mask
        return (z ^ (z >> 31)) % bound


def median(work):
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


# ---- recompute ----


def chain(entries):
    random = Random(11)
    inputs = [5 + random.below(990) for _ in range(100)]
    links = []
    for place in range(entries - 100):
        links.append((random.below(5), random.below(max(place, 1)), random.below(50), random.below(50)))
    return inputs, links


def work_chain(inputs, links, eight):
    values = []
    for place, (kind, early, one, other) in enumerate(links):
        before, earlier = (values[place - 1], values[early]) if place else (inputs[0], inputs[1])
        if kind == 0:
            value = before + inputs[one] - inputs[other]
        elif kind == 1:
            value = max(before, earlier) - inputs[one]
        elif kind == 2:
            value = inputs[one] * inputs[other + 50] - before
        elif kind == 3:
            value = inputs[one] / eight + earlier
        else:
            value = before - inputs[one] + inputs[other]
        values.append(value)
    return values


def recompute():
    getcontext().prec = 28
    tenths, links = chain(2_000)
    plain = [Decimal(tenth) / 10 for tenth in tenths]
    units = pint.UnitRegistry(non_int_type=Decimal)
    with_units = [units.Quantity(value, "pound" if place < 50 else "") for place, value in enumerate(plain)]
    eight = Decimal(8)
    wanted = work_chain(plain, links, eight)
    found = work_chain(with_units, links, eight)
    assert all(value.magnitude == want for value, want in zip(found, wanted))
    return median(lambda: work_chain(with_units, links, eight)) / len(links) * 1e9


# ---- draws ----


def work_draws(links, inputs):
    before = inputs[0]
    for kind, place in links:
        if kind == 0:
            before = before + inputs[place]
        elif kind == 1:
            before = before - inputs[place]
        elif kind == 2:
            before = before * 0.99
        elif kind == 3:
            before = before / 1.01
        else:
            before = numpy.maximum(before, inputs[place])
    return before


def draws():
    count, inputs, entries = 10_000, 30, 200
    random = Random(23)
    links = [(random.below(5), random.below(inputs)) for _ in range(entries - inputs)]
    nominal = [1 + place % 3 + place % 10 / 10 for place in range(inputs)]
    generator = numpy.random.default_rng(5)
    deviates = generator.uniform(-1.7, 1.7, (inputs, count))

    def work():
        lanes = [mean + 0.2 * deviate for mean, deviate in zip(nominal, deviates)]
        return work_draws(links, lanes).mean()

    by_draw = [work_draws(links, [m + 0.2 * d for m, d in zip(nominal, deviates[:, draw])]) for draw in range(50)]
    lanes = [mean + 0.2 * deviate for mean, deviate in zip(nominal, deviates)]
    assert numpy.allclose(work_draws(links, lanes)[:50], by_draw, rtol=0, atol=1e-12)
    return median(work) / (count * entries) * 1e9


# ---- draw-down ----

# Propane by the correlations that the program's reference page gives; SI units.


def draw_down():
    contents, diameter, steel, film, air, rate = 9.07, 0.305, 7.7 * 490.0, 14.0, 275.15, 0.3 / 3600

    def fit(coefficients, kelvin):
        # any smooth curve of the right size costs the same here
        return sum(c * (1 - kelvin / 369.89) ** power for power, c in enumerate(coefficients))

    density = (260.0, 700.0, -300.0, 150.0)
    latent = (90e3, 1200e3, -1500e3, 900e3)
    heat = (3600.0, -4000.0, 3000.0)

    def slope(seconds, state):
        kelvin = state[0]
        left = contents - rate * seconds
        wetted = 4 * left / (fit(density, kelvin) * diameter)
        surplus = film * wetted * (air - kelvin) - rate * fit(latent, kelvin)
        return [surplus / (left * fit(heat, kelvin) + steel)]

    rows = numpy.arange(0, 86_401, 600)

    def work():
        return solve_ivp(slope, (0, 86_400), [air], method="RK45", t_eval=rows, rtol=1e-7, atol=1e-5)

    found = work()
    assert found.success and len(found.t) == 145
    return median(work) * 1e3


def own_figures():
    asked = ["cargo", "bench", "--bench", "speed", "--", "recompute", "draws", "draw_down"]
    said = subprocess.run(asked, capture_output=True, text=True).stdout
    figures = {}
    for line in said.splitlines():
        found = re.match(r"  (.+?)\s{2,}([\d.]+) ?", line)
        if found:
            figures[found[1]] = float(found[2])
    return figures


def main():
    own = own_figures()
    rows = [
        ("an entry recomputed, with its unit", own["Short: recompute, an entry"], recompute(), "ns",
         f"pint {pint.__version__} over decimal", own["Short: by hand over decimals, checked, an entry"]),
        ("an entry and draw", own["an entry and draw, over blocks"], draws(), "ns",
         f"numpy {numpy.__version__}", own["an entry and draw, by hand over arrays"]),
        ("a cylinder drawn down for a day", own["a day, level air, rows every 10 min"], draw_down(), "ms",
         f"scipy {scipy.__version__}, RK45",
         own["a day, level air, in fixed steps of 60 s"]),
    ]
    print("| work | here | by hand in Rust | by a library | here : by hand | library : here |")
    print("|---|---|---|---|---|---|")
    for work, here, library, unit, name, hand in rows:
        print(f"| {work} | {here:.3g} {unit} | {hand:.3g} {unit} | {library:.3g} {unit} ({name}) "
              f"| {here / hand:.2f} | {library / here:.1f} |")
    print(f"\nPython {sys.version.split()[0]}")


if __name__ == "__main__":
    main()
