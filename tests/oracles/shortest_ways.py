"""The lengths of the shortest ways between all places of some maps.

Reads {"boats": [{"places": count, "passages": [[place, place, metres], ...]}, ...]} on standard input and prints,
for each boat, a list with one length for every ordered pair of places, from 0-0, 0-1, ... on; null where no way
leads there. Parallel passages are kept apart; the lengths are found by NetworkX's Dijkstra.
"""

import json
import sys

import networkx as nx


def lengths(boat):
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(boat["places"]))
    for one, other, metres in boat["passages"]:
        graph.add_edge(one, other, weight=metres)
    found = dict(nx.all_pairs_dijkstra_path_length(graph, weight="weight"))
    places = range(boat["places"])
    return [found[start].get(end) for start in places for end in places]


print(json.dumps([lengths(boat) for boat in json.load(sys.stdin)["boats"]]))
