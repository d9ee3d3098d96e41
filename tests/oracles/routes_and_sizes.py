"""The least routes with which wires of the sizes that these routes need fit their raceways, by trying all.

Reads {"outside_mm": {gauge: diameter}, "boats": [{"locations": count, "raceways": [[location, location, meters, bore
in mm or 0], ...], "runs": [{"between": [location, location], "amperes", "limit_v"}, ...], "ways": [[raceway, ...],
...]}, ...]} on standard input; the ways are routes that were chosen elsewhere. Prints for each boat {"least": meters
or null, "sizes": [gauge, ...], "fits": bool, "meters"}: the least of all routes together, or null where none fit,
and the figures of the ways that were given.

Sizes: ABYC E-11, CM = K I L / E with K = 10.75 and L there and back, gauges by ASTM B258, the allowed amperes of
33 CFR 183.425 table 5 at 105 C, 16 AWG at least. Fill: NFPA 70 chapter 9 table 1. Two wires a run.
"""

import itertools
import json
import math
import sys

FEET = 0.3048
AMPERES = {16: 25, 14: 35, 12: 45, 10: 60, 8: 80, 6: 120, 4: 160, 2: 210}


def circular_mils(gauge):
    return (5 * 92 ** ((36 - gauge) / 39)) ** 2


def size(run, meters):
    needed = 10.75 * run["amperes"] * (2 * meters / FEET) / run["limit_v"]
    fitting = (g for g in AMPERES if circular_mils(g) >= needed and AMPERES[g] >= run["amperes"])
    return next(fitting, None)


def ways(boat, start, end):
    """All routes that come to no location twice."""
    found = []
    open_ways = [([start], [])]
    while open_ways:
        locations, raceways = open_ways.pop()
        if locations[-1] == end:
            found.append(raceways)
            continue
        for number, (one, other, _, _) in enumerate(boat["raceways"]):
            for here, there in ((one, other), (other, one)):
                if here == locations[-1] and there not in locations:
                    open_ways.append((locations + [there], raceways + [number]))
    return found


def length(boat, way):
    return sum(boat["raceways"][raceway][2] for raceway in way)


def fits(boat, chosen, sizes, outside):
    for number, (_, _, _, bore) in enumerate(boat["raceways"]):
        wires = [outside[gauge] for way, gauge in zip(chosen, sizes) if number in way for _ in range(2)]
        limit = {0: 1.0, 1: 0.53, 2: 0.31}.get(len(wires), 0.40)
        if bore and sum(wire**2 for wire in wires) > limit * bore**2 * (1 + 1e-9):
            return False
    return True


def answer(boat, outside):
    def sized(chosen):
        return [size(run, length(boat, way)) for run, way in zip(boat["runs"], chosen)]

    def total(chosen):
        return sum(length(boat, way) for way in chosen)

    least = math.inf
    every = [ways(boat, *run["between"]) for run in boat["runs"]]
    for chosen in itertools.product(*every):
        if total(chosen) < least:
            sizes = sized(chosen)
            if None not in sizes and fits(boat, chosen, sizes, outside):
                least = total(chosen)
    sizes = sized(boat["ways"])
    return {
        "least": least if least < math.inf else None,
        "sizes": sizes,
        "fits": None not in sizes and fits(boat, boat["ways"], sizes, outside),
        "meters": total(boat["ways"]),
    }


asked = json.load(sys.stdin)
outside = {int(gauge): diameter for gauge, diameter in asked["outside_mm"].items()}
print(json.dumps([answer(boat, outside) for boat in asked["boats"]]))
