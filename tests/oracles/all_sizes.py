"""Every combination of sizes of a small boat's open wires, each with its network solved.

Reads a list of boats on standard input, one as {"nominal_v", "ambient_c", "insulation_c", "sources": [{"plus",
"minus", "volts", "ohm"}], "wires": [{"id", "from", "to", "length_m", "design_a", "of": feeder or circuit,
"size": name or null}], "loads": [{"circuit", "plus", "minus", "a", "limit_pct", "from_plus", "from_minus",
"source"}], "chosen": {id: name}}. Wires of one circuit share its id and size. Prints for each boat {"least_kg": the least
copper within every limit or null, "chosen_ok": whether the sizes under "chosen" keep every limit, "chosen_kg"}.

The rules, written again here: table 5 of 33 CFR 183.425 at 105 C; at least 16 AWG; E = K I L / CM with K = 10.75 against
3 % for feeders and the limit of each circuit; the solved drop of each circuit against the same limit; the solved drop
from the posts of the battery against 3 % more. Resistances are of NEC chapter 9 table 8 (coated, stranded, 75 C),
at the temperature of the warm conductor.
"""

import itertools
import json
import math
import sys

import numpy as np

# Gauge, number for the area, ohm per 1000 ft at 75 C, ampacity at 105 C.
SIZES = {
    "16 AWG": (16, 5.29, 25), "14 AWG": (14, 3.26, 35), "12 AWG": (12, 2.05, 45),
    "10 AWG": (10, 1.29, 60), "8 AWG": (8, 0.809, 80), "6 AWG": (6, 0.51, 120),
    "4 AWG": (4, 0.321, 160), "2 AWG": (2, 0.201, 210), "1 AWG": (1, 0.16, 245),
    "1/0 AWG": (0, 0.127, 285), "2/0 AWG": (-1, 0.101, 330), "3/0 AWG": (-2, 0.0797, 385),
    "4/0 AWG": (-3, 0.0626, 445),
}
FOOT = 0.3048
BATCH = 20000


def mils(size):
    return (5 * 92 ** ((36 - SIZES[size][0]) / 39)) ** 2


def square_mm(size):
    return math.pi / 4 * (0.0254**2) * mils(size)


def ohm(size, wire, boat):
    _, per_1000_ft, ampacity = SIZES[size]
    share = min(1.0, (wire["design_a"] / ampacity) ** 2)
    celsius = boat["ambient_c"] + (boat["insulation_c"] - boat["ambient_c"]) * share
    return per_1000_ft / 1000 / FOOT * wire["length_m"] * (234.5 + celsius) / (234.5 + 75)


def calculated(size, amperes, round_trip_m, nominal):
    return 100 * 10.75 * amperes * round_trip_m / FOOT / mils(size) / nominal


def may(name, boat):
    """The sizes that the rules of a wire by itself allow."""
    wires = [wire for wire in boat["wires"] if wire["id"] == name]
    first = wires[0]
    if first["of"] == "circuit":
        round_trip = sum(wire["length_m"] for wire in wires)
        limit = next(load["limit_pct"] for load in boat["loads"] if load["circuit"] == name)
    else:
        round_trip, limit = 2 * first["length_m"], 3.0
    fits = lambda size: (
        SIZES[size][2] >= first["design_a"]
        and calculated(size, first["design_a"], round_trip, boat["nominal_v"]) <= limit + 1e-9
    )
    return [size for size in SIZES if fits(size)]


def kept(boat, sizes):
    """Which of the combinations keep the limits of the network; sizes: id to a list of size names."""
    count = len(next(iter(sizes.values())))
    nodes = {}
    at = lambda node: nodes.setdefault(node, len(nodes))
    edges = []
    for wire in boat["wires"]:
        table = {size: 1 / ohm(size, wire, boat) for size in set(sizes[wire["id"]])}
        siemens = np.array([table[size] for size in sizes[wire["id"]]])
        edges.append((at(wire["from"]), at(wire["to"]), siemens))
    rest = [(at(s["plus"]), at(s["minus"]), s) for s in boat["sources"]]
    drawn = [(at(load["plus"]), at(load["minus"]), load) for load in boat["loads"]]
    total = len(nodes)
    matrix, right = np.zeros((count, total, total)), np.zeros((count, total))
    for one, other, siemens in edges + [(p, m, np.full(count, 1 / s["ohm"])) for p, m, s in rest]:
        matrix[:, one, one] += siemens
        matrix[:, other, other] += siemens
        matrix[:, one, other] -= siemens
        matrix[:, other, one] -= siemens
    for plus, minus, source in rest:
        right[:, plus] += source["volts"] / source["ohm"]
        right[:, minus] -= source["volts"] / source["ohm"]
    for plus, minus, load in drawn:
        right[:, plus] -= load["a"]
        right[:, minus] += load["a"]
    ground = rest[0][1]
    matrix[:, ground, :], right[:, ground] = 0, 0
    matrix[:, ground, ground] = 1
    volts = np.linalg.solve(matrix, right[..., None])[..., 0]
    across = lambda plus, minus: volts[:, nodes[plus]] - volts[:, nodes[minus]]
    keeps = np.ones(count, dtype=bool)
    for _, _, load in drawn:
        at_device = across(load["plus"], load["minus"])
        source = boat["sources"][load["source"]]
        own = 100 * (across(load["from_plus"], load["from_minus"]) - at_device) / boat["nominal_v"]
        whole = 100 * (across(source["plus"], source["minus"]) - at_device) / boat["nominal_v"]
        keeps &= own <= load["limit_pct"] + 1e-9
        keeps &= whole <= 3 + (3 if load["limit_pct"] <= 3 else 10) + 1e-9
    return keeps


def kilograms(boat, pick):
    return sum(8960e-6 * wire["length_m"] * square_mm(pick[wire["id"]]) for wire in boat["wires"])


def answer(boat):
    names = list(dict.fromkeys(wire["id"] for wire in boat["wires"]))
    given = {wire["id"]: wire["size"] for wire in boat["wires"]}
    options = [[given[name]] if given[name] else may(name, boat) for name in names]
    every = itertools.product(*options)
    least = None
    while batch := list(itertools.islice(every, BATCH)):
        columns = {name: [combination[at] for combination in batch] for at, name in enumerate(names)}
        for at in np.flatnonzero(kept(boat, columns)):
            kg = kilograms(boat, dict(zip(names, batch[at])))
            least = kg if least is None else min(least, kg)
    chosen = {**{name: size for name, size in given.items() if size}, **boat["chosen"]}
    complete = all(name in chosen for name in names)
    allowed = complete and all(chosen[name] in list_ for name, list_ in zip(names, options))
    return {
        "least_kg": least,
        "chosen_ok": bool(allowed and kept(boat, {name: [chosen[name]] for name in names})[0]),
        "chosen_kg": kilograms(boat, chosen) if complete else None,
    }


print(json.dumps([answer(boat) for boat in json.load(sys.stdin)]))
