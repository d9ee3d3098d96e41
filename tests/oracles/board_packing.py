"""Layouts of parts on boards by rectpack, and whether given layouts are sound.

Reads {"boards": [{"board": [width, height], "turn": bool, "parts": [[width, height], ...], "laid": layout or null},
...]} on standard input, everything in whole millimeters; a layout is one [x, y, width, height] for each part.
Prints for each board {"fits": bool, "wrong": text or null}: whether rectpack lays all parts on it by any of its
offline methods, and what is wrong with the layout that was given.
"""

import itertools
import json
import sys

import rectpack

METHODS = [
    rectpack.MaxRectsBssf,
    rectpack.MaxRectsBaf,
    rectpack.MaxRectsBl,
    rectpack.SkylineBlWm,
    rectpack.GuillotineBssfSas,
]
ORDERS = [rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI]


def packed(case, method, order):
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=method, sort_algo=order, rotation=case["turn"]
    )
    for width, height in case["parts"]:
        packer.add_rect(width, height)
    packer.add_bin(*case["board"])
    packer.pack()
    return len(packer.rect_list()) == len(case["parts"])


def fits(case):
    return any(packed(case, method, order) for method, order in itertools.product(METHODS, ORDERS))


def wrong(case):
    if case["laid"] is None:
        return None
    if len(case["laid"]) != len(case["parts"]):
        return "not every part has its position"
    board_width, board_height = case["board"]
    for (x, y, width, height), part in zip(case["laid"], case["parts"]):
        if [width, height] != part and not (case["turn"] and [height, width] == part):
            return f"{part} became {width} x {height}"
        if x < 0 or y < 0 or x + width > board_width or y + height > board_height:
            return f"{part} leaves the board"
    # Two parts overlap where they have a whole square millimeter in common.
    taken = set()
    for x, y, width, height in case["laid"]:
        cells = {(column, row) for column in range(x, x + width) for row in range(y, y + height)}
        if cells & taken:
            return f"the part at {x}, {y} lies on another"
        taken |= cells
    return None


boards = json.load(sys.stdin)["boards"]
print(json.dumps([{"fits": fits(case), "wrong": wrong(case)} for case in boards]))
