"""The lengths of the shortest ways between all locations of some maps.

Reads {"boats": [{"locations": count, "raceways": [[location, location, meters], ...]}, ...]} on standard input and prints,
for each boat, a list with one length for every ordered pair of locations, from 0-0, 0-1, ... on; null where no route
leads there. Parallel raceways are kept apart; the lengths are found by NetworkX's Dijkstra.
"""

import json
import sys

import networkx as nx


def lengths(boat):
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(boat["locations"]))
    for one, other, meters in boat["raceways"]:
        graph.add_edge(one, other, weight=meters)
    found = dict(nx.all_pairs_dijkstra_path_length(graph, weight="weight"))
    locations = range(boat["locations"])
    return [found[start].get(end) for start in locations for end in locations]


print(json.dumps([lengths(boat) for boat in json.load(sys.stdin)["boats"]]))
