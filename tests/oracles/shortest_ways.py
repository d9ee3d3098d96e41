"""The lengths of the shortest ways between all places of some maps.

Reads {"boats": [{"places": count, "raceways": [[place, place, meters], ...]}, ...]} on standard input and prints,
for each boat, a list with one length for every ordered pair of places, from 0-0, 0-1, ... on; null where no way
leads there. Parallel raceways are kept apart; the lengths are found by NetworkX's Dijkstra.
"""

import json
import sys

import networkx as nx


def lengths(boat):
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(boat["places"]))
    for one, other, meters in boat["raceways"]:
        graph.add_edge(one, other, weight=meters)
    found = dict(nx.all_pairs_dijkstra_path_length(graph, weight="weight"))
    places = range(boat["places"])
    return [found[start].get(end) for start in places for end in places]


print(json.dumps([lengths(boat) for boat in json.load(sys.stdin)["boats"]]))
