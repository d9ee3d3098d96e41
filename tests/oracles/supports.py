"""How many supports the routes of a boat need, by laying them out.

Reads {"boats": [{"raceways": {id: {"kind", "length_m"}}, "subjects": {subject: {"battery": bool, "routes": [[id,
...], ...]}}}, ...]} on standard input. Prints for each boat {"each": {subject: count}, "whole": count, "gap": ratio}:
the supports of each subject by itself, those of the boat, where what runs in one raceway shares them, and the longest
piece between two supports of a route, as a ratio to what the rule allows.

ISO 10133, 7.3: individual conductors outside conduit, trunking or tray every 450 mm; 7.4: battery conductors every
300 mm. Each raceway gets its supports in the middle of equal parts, the fewest with which no piece is too long.
"""

import json
import sys

EVERY_M = 0.450
BATTERY_EVERY_M = 0.300


def layout(length, every):
    """Where the supports are along a raceway. Parts may be as long as the spacing: half of one is at each mouth."""
    count = 0
    while count * every < length - 1e-9:
        count += 1
    return [length * (2 * number + 1) / (2 * count) for number in range(count)]


def longest_gap(route, every):
    """The longest piece without support. Holes, tubes and trays support what is in them."""
    longest = 0.0
    since = 0.0
    for raceway in route:
        if raceway["kind"] != "gunwale":
            longest, since = max(longest, since), 0.0
            continue
        at = 0.0
        for position in layout(raceway["length_m"], every):
            since += position - at
            longest, since, at = max(longest, since), 0.0, position
        since += raceway["length_m"] - at
    return max(longest, since)


def answer(boat):
    raceways = boat["raceways"]
    each, gap, spacing = {}, 0.0, {}
    for subject, laid in boat["subjects"].items():
        every = BATTERY_EVERY_M if laid["battery"] else EVERY_M
        each[subject] = 0
        for route in laid["routes"]:
            along = [raceways[raceway] for raceway in route]
            open_ones = [raceway for raceway in along if raceway["kind"] == "gunwale"]
            each[subject] += sum(len(layout(raceway["length_m"], every)) for raceway in open_ones)
            gap = max(gap, longest_gap(along, every) / every)
            for raceway in route:
                spacing[raceway] = min(every, spacing.get(raceway, every))
    shared = (name for name in spacing if raceways[name]["kind"] == "gunwale")
    whole = sum(len(layout(raceways[name]["length_m"], spacing[name])) for name in shared)
    return {"each": each, "whole": whole, "gap": gap}


print(json.dumps([answer(boat) for boat in json.load(sys.stdin)["boats"]]))
