"""A second judge of proposed plans, with no code of the program.

Reads a list of job files on standard input and prints for each a list of what is wrong with it. It judges the rules for
proposing a plan that can be read off the job file, and sums of its own: the load of each feeder, the drop of each wire
and circuit, and the fuse of each wire.

Sources: table 5 of 33 CFR 183.425 at 105 C; the 150 % of 183.455 (c)(1); E = K I L / CM with K = 10.75 of ABYC E-11 and
E = 0.0164 I L / S of ISO 10133, both from memory, against 3 and 10 %; ASTM B258 for circular mils; at most four terminals
on a stud by ABYC E-11, read second hand. Everything else is common practice without a source.
"""

import json
import sys
from collections import defaultdict

# Number of the gauge, and ampacity at 105 C outside engine spaces.
GAUGES = {
    "18 AWG": (18, 20), "16 AWG": (16, 25), "14 AWG": (14, 35), "12 AWG": (12, 45), "10 AWG": (10, 60),
    "8 AWG": (8, 80), "6 AWG": (6, 120), "4 AWG": (4, 160), "2 AWG": (2, 210), "1 AWG": (1, 245),
    "1/0 AWG": (0, 285), "2/0 AWG": (-1, 330), "3/0 AWG": (-2, 385), "4/0 AWG": (-3, 445),
}
FOOT = 0.3048
# What may be fed ahead of the battery switch.
AHEAD = {"automatic-bilge-pump", "high-water-alarm", "carbon-monoxide-alarm", "charging", "memory"}
ALWAYS_ON = {"automatic-bilge-pump", "high-water-alarm", "carbon-monoxide-alarm"}
# What a wire needs at its two ends at least, m.
ENDS_M = 0.5
# Rounding of lengths and sizes.
TOLERANCE = 1.02


def ohm_per_m(size):
    if size in GAUGES:
        mils = (5 * 92 ** ((36 - GAUGES[size][0]) / 39)) ** 2
        return 10.75 / mils / FOOT
    return 0.0164 / float(size.split()[0])


def amperes(device, volts):
    load = device.get("load")
    if not load:
        return 0.0
    return load.get("a") or load.get("w", 0.0) / volts or volts / load["ohm"]


class Job:
    def __init__(self, job):
        self.job = job
        self.wrong = []
        self.points = {point["id"]: point for point in job["points"]}
        self.devices = {device["id"]: device for device in job["devices"]}
        self.circuits = job["circuits"]
        self.feeders = job["feeders"]
        self.nominal = job["job"]["nominal_v"]
        self.raceways = defaultdict(list)
        for raceway in job["raceways"]:
            one, other = raceway["between"]
            self.raceways[one].append((other, raceway))
            self.raceways[other].append((one, raceway))
        self.positive = defaultdict(list)
        for feeder in self.feeders:
            if feeder["polarity"] == "positive":
                self.positive[feeder["to"]].append(feeder)

    def say(self, *words):
        self.wrong.append(" ".join(str(word) for word in words))

    def kind(self, point):
        return self.points[point]["kind"] if point in self.points else None

    def location(self, thing):
        return (self.points.get(thing) or self.devices.get(thing))["location"]

    def apart(self, one, other):
        """The length of the raceways between two things, with half a meter for their ends."""
        start, end = self.location(one), self.location(other)
        best, open_ends = {start: 0.0}, [start]
        while open_ends:
            here = open_ends.pop()
            for there, raceway in self.raceways[here]:
                length = best[here] + raceway.get("length_m", 0.0)
                if length < best.get(there, float("inf")):
                    best[there] = length
                    open_ends.append(there)
        if end not in best:
            self.say("no raceway leads from", one, "to", other)
            return 0.0
        return best[end] + ENDS_M

    def volts(self, point):
        """The nominal voltage of the side that a point is on."""
        seen = set()
        while point not in seen:
            seen.add(point)
            if self.kind(point) in ("battery", "converter"):
                return self.points[point].get("nominal_v", self.nominal)
            feeders = self.positive[point]
            if not feeders:
                return self.nominal
            point = feeders[0]["from"]
        return self.nominal

    def upstream(self, point):
        """The points from a point up to its source, itself first."""
        path = [point]
        while self.kind(path[-1]) not in ("battery", "converter"):
            feeders = [feeder for feeder in self.positive[path[-1]] if self.kind(feeder["from"]) != "charger"]
            if not feeders or feeders[0]["from"] in path:
                return path
            path.append(feeders[0]["from"])
        return path

    def current(self, circuit):
        volts = self.volts(circuit["from"])
        return sum(amperes(self.devices[leg["device"]], volts) for leg in circuit["legs"])

    def judge(self):
        self.everything_is_fed_once()
        self.sides_of_the_switch()
        self.sources()
        self.blocks_and_bars()
        self.panels()
        self.lights()
        self.fuses()
        self.drops()
        self.loads_of_feeders()
        self.vapor()
        self.boards()
        return self.wrong

    def everything_is_fed_once(self):
        feeds = defaultdict(list)
        for circuit in self.circuits:
            for leg in circuit["legs"]:
                feeds[leg["device"]].append(circuit)
        plugged = {cable["to"].get("device") for device in self.devices.values() for cable in device.get("cables", [])}
        for name, device in self.devices.items():
            fed = feeds[name]
            if device.get("load") and len(fed) != device.get("inputs", 1) and len(fed) != 1:
                self.say("P6", name, "has", len(fed), "feeds")
            if device.get("load") and not fed:
                self.say("P8", name, "draws current and has no circuit")
            idle = not fed and not device.get("cables") and name not in plugged
            if idle and not device.get("needs_no_wire"):
                self.say("P14", name, "has neither a circuit nor a cable")

    def sides_of_the_switch(self):
        for circuit in self.circuits:
            path = self.upstream(circuit["from"])
            ahead = self.kind(path[-1]) == "battery" and not any(self.kind(at) == "battery-switch" for at in path)
            for leg in circuit["legs"]:
                purpose = self.devices[leg["device"]].get("purpose")
                if ahead and purpose not in AHEAD:
                    self.say("P3", circuit["id"], leg["device"], "is ahead of the battery switch")
                if not ahead and purpose in ALWAYS_ON:
                    self.say("P3", circuit["id"], leg["device"], "is behind the battery switch")
                if purpose == "automatic-bilge-pump" and not circuit.get("float_switch"):
                    self.say("P10", circuit["id"], "has no float switch")
                fuse = circuit["protection"].get("rating_a")
                if purpose == "automatic-bilge-pump" and fuse != self.devices[leg["device"]].get("max_fuse_a"):
                    self.say("P10", circuit["id"], "does not have the fuse of the pump's maker")

    def sources(self):
        for feeder in self.feeders:
            fuse = feeder.get("protection")
            if feeder["polarity"] == "negative":
                if fuse:
                    self.say("P6", feeder["id"], "is a negative with a fuse")
                continue
            if feeder.get("cranking") and fuse:
                self.say("P4", feeder["id"], "is a starter cable with a fuse")
            if self.kind(feeder["from"]) == "battery" and not feeder.get("cranking"):
                if not fuse:
                    self.say("P3", feeder["id"], "leaves a battery without a fuse")
                elif "blade" in fuse["kind"]:
                    self.say("P3", feeder["id"], "has a blade fuse at the post of a battery")
            if self.kind(feeder["from"]) == "charger" and self.kind(feeder["to"]) == "battery" and not fuse:
                self.say("P4", feeder["id"], "is a charge lead without a fuse at its bank")
            if fuse and fuse.get("from_source_m", 9.0) > 7 * 0.0254:
                self.say("P4", feeder["id"], "has its fuse too far from its source")

    def blocks_and_bars(self):
        terminals = defaultdict(int)
        for feeder in self.feeders:
            for end in ("from", "to"):
                if self.kind(feeder[end]) in ("battery", "charger"):
                    terminals[feeder[end], feeder["polarity"]] += 1
                if self.kind(feeder[end]) == "battery-switch" and end == "from":
                    terminals[feeder[end], "out"] += 1
        for circuit in self.circuits:
            if self.kind(circuit["from"]) in ("battery", "charger"):
                terminals[circuit["from"], "positive"] += 1
            if self.kind(circuit["from"]) == "battery-switch":
                terminals[circuit["from"], "out"] += 1
            if self.kind(circuit["return"]) in ("battery", "charger"):
                terminals[circuit["return"], "negative"] += 1
        for stud, held in terminals.items():
            if held > 4:
                self.say("P6", held, "terminals on", stud)
        for point in self.points.values():
            if point["kind"] != "fuse-block":
                continue
            own = [circuit for circuit in self.circuits if circuit["from"] == point["id"]]
            spare = point["positions"] - len(own)
            if spare < max(2, 0.2 * len(own) - 1e-9):
                self.say("P11", point["id"], "has", spare, "spare positions")
            if len(self.positive[point["id"]]) != 1:
                self.say("P7", point["id"], "has", len(self.positive[point["id"]]), "feeders")
            for circuit in own:
                if circuit["protection"].get("rating_a", 0) > point.get("position_a", 30):
                    self.say("P7", circuit["id"], "has a fuse over the rating of its position")
                ends = {self.location(point["id"]), self.location(circuit["return"])}
                if len(ends) != 1:
                    self.say("P6", circuit["id"], "does not return to the bar at its block")

    def panels(self):
        works = defaultdict(list)
        for circuit in self.circuits:
            at = circuit.get("switch")
            if at:
                works[at["panel"], at["position"]].append(circuit)
        for point in self.points.values():
            if point["kind"] != "switch-panel":
                continue
            used = 0
            for number, position in enumerate(point["positions"], 1):
                own = works[point["id"], number]
                used += bool(own)
                if len(own) > 1 and not position.get("throws"):
                    self.say("P8", position["label"], "works several circuits")
                for throw in range(1, 1 + max(1, len(position.get("throws", [])))):
                    on = [one for one in own if throw in (one["switch"].get("throws") or [throw])]
                    if len(on) > position.get("poles", 1):
                        self.say("P9", position["label"], "has too few poles")
                    if sum(map(self.current, on)) > position["rating_a"] * TOLERANCE:
                        self.say("P11", position["label"], "switches more than its rating")
            spare = len(point["positions"]) - used
            if spare < max(2, 0.2 * used - 1e-9):
                self.say("P11", point["id"], "has", spare, "spare positions")

    def lights(self):
        """Each throw of each switch alone, by rules 23, 25 and 30."""
        kinds = {name: device["light"] for name, device in self.devices.items() if device.get("light")}
        if not kinds:
            return
        throws = defaultdict(list)
        for circuit in self.circuits:
            lit = [kinds[leg["device"]] for leg in circuit["legs"] if leg["device"] in kinds]
            if not lit:
                continue
            at = circuit.get("switch")
            if not at:
                self.say("P9", circuit["id"], "is on without a switch")
                continue
            for throw in at.get("throws") or [1]:
                throws[at["panel"], at["position"], throw] += lit
        sails = self.job["boat"].get("sails", False)
        length = self.job["boat"]["length_m"]
        shown = set()
        for lit in throws.values():
            sides = sorted(set(lit) & {"sides", "port", "starboard"})
            has_sides = sides in (["sides"], ["port", "starboard"])
            rest = sorted(kind for kind in lit if kind not in ("sides", "port", "starboard"))
            if not sides and rest == ["all-round"]:
                shown.add("anchor")
            elif not sides and rest == ["tricolor"] and sails and length < 20:
                shown.add("sail")
            elif has_sides and rest == ["all-round"] and length < 12:
                shown.add("power")
            elif has_sides and rest == ["masthead", "stern"] and length < 50:
                shown.add("power")
            elif has_sides and rest == ["stern"] and sails:
                shown.add("sail")
            else:
                self.say("P9", "shows", sides, rest)
        for needed in ["anchor", "power"] + ["sail"] * sails:
            if needed not in shown:
                self.say("P9", "shows nothing for", needed)

    def ampacity(self, size):
        return GAUGES[size][1] if size in GAUGES else None

    def fuses(self):
        for wire in self.circuits + self.feeders:
            fuse, size = wire.get("protection"), wire.get("size")
            if not size:
                self.say("P15", wire["id"], "has no size")
                continue
            carries = self.ampacity(size)
            if fuse and carries and fuse["rating_a"] > 1.5 * carries:
                self.say("P8", wire["id"], "has a fuse of", fuse["rating_a"], "on", size)
        for circuit in self.circuits:
            current, fuse = self.current(circuit), circuit["protection"]["rating_a"]
            if current > fuse:
                self.say("P8", circuit["id"], "draws", current, "through", fuse)
            for leg in circuit["legs"]:
                largest = self.devices[leg["device"]].get("max_fuse_a")
                if largest and fuse > largest:
                    self.say("P8", circuit["id"], "has a fuse over that of", leg["device"])
            carries = circuit.get("size") and self.ampacity(circuit["size"])
            if carries and current > carries:
                self.say("P8", circuit["id"], "draws more than its wire carries")

    def drops(self):
        for circuit in self.circuits:
            volts, at = self.volts(circuit["from"]), circuit["from"]
            path = [self.points[end]["id"] for end in (circuit.get("switch", {}).get("panel"), circuit.get("junction")) if end]
            length = 0.0
            for there in path + [leg["device"] for leg in circuit["legs"]]:
                length += self.apart(at, there)
                at = there
            if not circuit.get("size"):
                continue
            lost = self.current(circuit) * length * 2 * ohm_per_m(circuit["size"])
            if len(circuit["legs"]) > 1:
                # The current of a chain falls along it: half of it is a lower bound.
                lost /= 2
            limits = [self.devices[leg["device"]].get("drop_limit_pct", 3) for leg in circuit["legs"]]
            if lost > TOLERANCE * volts * min(limits) / 100:
                self.say("P15", circuit["id"], "loses", round(100 * lost / volts, 2), "% over", round(length, 1), "m")

    def loads_of_feeders(self):
        short = self.short_circuits()
        for feeder in self.feeders:
            if feeder["polarity"] == "negative" or feeder.get("cranking") or self.kind(feeder["from"]) == "charger":
                continue
            fed = [circuit for circuit in self.circuits if feeder in self.on_path(circuit["from"])]
            steady = sum(self.current(circuit) for circuit in fed if circuit["id"] not in short)
            brief = [self.current(circuit) for circuit in fed if circuit["id"] in short]
            load = steady + max([0.0, *brief, 0.1 * sum(brief)])
            if not feeder.get("size"):
                continue
            carries = self.ampacity(feeder["size"])
            if carries and load > carries:
                self.say("P15", feeder["id"], "has a design load of", round(load, 1), "on", feeder["size"])
            fuse = feeder.get("protection")
            if fuse and load > fuse["rating_a"]:
                self.say("P15", feeder["id"], "has a design load of", round(load, 1), "behind", fuse["rating_a"])
            block = self.kind(feeder["to"]) == "fuse-block"
            lost = load * self.apart(feeder["from"], feeder["to"]) * 2 * ohm_per_m(feeder["size"])
            if block and lost > 0.03 * TOLERANCE * self.volts(feeder["from"]):
                self.say("P15", feeder["id"], "loses", round(lost, 2), "V")

    def on_path(self, point):
        path = self.upstream(point)
        return [feeder for at in path for feeder in self.positive[at] if feeder["from"] in path]

    def short_circuits(self):
        """Circuits that are on for less than three hours in every mode, and not navigation lights."""
        longest = defaultdict(float)
        for mode in self.job.get("modes", []):
            for used in mode["on"]:
                share = used.get("share", 1.0)
                hours = 24.0 if share >= 1.0 else share * mode["hours"]
                longest[used["circuit"]] = max(longest[used["circuit"]], hours)
        lit = {c["id"] for c in self.circuits if any(self.devices[leg["device"]].get("light") for leg in c["legs"])}
        return {circuit for circuit, hours in longest.items() if hours < 3.0 and circuit not in lit}

    def vapor(self):
        boat = self.job["boat"]
        if boat.get("fuel") != "gasoline" and not boat.get("propane"):
            return
        gathers = {place["id"] for place in self.job["locations"] if place.get("vapor") == "gathers"}
        for point in self.points.values():
            if point["location"] in gathers and point["kind"] in ("fuse-block", "positive-bus", "negative-bus", "battery-switch"):
                self.say("P1", point["id"], "is where vapor can gather")

    def boards(self):
        """No part on a board covers another or its edge."""
        boards = {board["id"]: board for board in self.job.get("boards", [])}
        laid = defaultdict(list)
        for thing in list(self.points.values()) + list(self.devices.values()):
            mounting = thing.get("mounting")
            if not mounting:
                continue
            at, foot = mounting.get("at"), thing["footprint"]
            if not at:
                self.say("a part on a board has no position:", thing["id"])
                continue
            width, height = foot["width_mm"], foot["height_mm"]
            if at.get("turned"):
                width, height = height, width
            laid[mounting["board"]].append((thing["id"], at["x_mm"], at["y_mm"], width, height))
        for name, parts in laid.items():
            for index, (part, x, y, width, height) in enumerate(parts):
                if x < 0 or y < 0 or x + width > boards[name]["width_mm"] + 0.01 or y + height > boards[name]["height_mm"] + 0.01:
                    self.say(part, "extends beyond", name)
                for other, x2, y2, width2, height2 in parts[index + 1:]:
                    if x < x2 + width2 and x2 < x + width and y < y2 + height2 and y2 < y + height:
                        self.say(part, "covers", other)


def main():
    print(json.dumps([Job(job).judge() for job in json.load(sys.stdin)]))


main()
