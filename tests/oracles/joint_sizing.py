"""The least cost of sizing a tree of conductors jointly, by a mixed-integer programme.

Reads {"stretches": [...]} on standard input, one stretch as {"above": place or null, "length_m", "current_a",
"choices": [{"ohm_per_m", "ampacity_a", "cost_per_m"}], "fixed": place or null, "limit_v": volts or null}, and
prints {"cost": ...}, or {"cost": null} where no sizes keep every limit. One binary a choice, one choice a
stretch, one row a limit; solved by HiGHS to no gap.
"""

import json
import sys

import highspy


def usable(stretch, place, choice):
    if stretch["fixed"] is not None:
        return place == stretch["fixed"]
    return choice["ampacity_a"] >= stretch["current_a"]


def path(stretches, place):
    while place is not None:
        yield place
        place = stretches[place]["above"]


def least_cost(stretches):
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    for name, value in [
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 1e-9),
        ("mip_feasibility_tolerance", 1e-9),
        ("primal_feasibility_tolerance", 1e-9),
    ]:
        model.setOptionValue(name, value)

    cost = 0
    lost = []
    for stretch in stretches:
        taken = 0
        volts = 0
        for place, choice in enumerate(stretch["choices"]):
            if not usable(stretch, place, choice):
                continue
            takes = model.addBinary()
            taken += takes
            volts += choice["ohm_per_m"] * stretch["length_m"] * stretch["current_a"] * takes
            cost += choice["cost_per_m"] * stretch["length_m"] * takes
        if isinstance(taken, int):
            return None
        model.addConstr(taken == 1)
        lost.append(volts)

    for place, stretch in enumerate(stretches):
        limit = stretch["limit_v"]
        if limit is not None:
            share = sum(lost[leg] for leg in path(stretches, place)) * (1 / limit)
            model.addConstr(share <= 1)

    model.minimize(cost)
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return model.getObjectiveValue()


print(json.dumps({"cost": least_cost(json.load(sys.stdin)["stretches"])}))
