"""Recomputes a quote from a plan folder's CSV files alone: exact decimals, to the cent.

Usage: python3 recompute_quote.py FOLDER [NAME OF AN UNTAXED LINE ...] [--through=GROUP ...]
Boards, cloth, consumables and extra lines: quantity times price. Operations: settings and units are
counted again from doors.csv, boards.csv, rips.csv, slats.csv and cloth_bolts.csv. Then burden, overhead, contingency, markup
or margin by group, discount, least charge, rounding and taxes in their order, and the shares of doors. Prints the total; status 1 on any
difference.
"""
import csv
import os
import sys
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, getcontext

getcontext().prec = 40
CENT = Decimal("0.01")
FOURTH = Decimal("0.0001")
wrong = []


def table(name):
    with open(os.path.join(sys.argv[1], name + ".csv"), newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def half_up(amount, step=CENT):
    return amount.quantize(step, ROUND_HALF_UP)


def expect(what, claimed, right):
    if Decimal(claimed) != right:
        wrong.append(f"{what}: {claimed} is claimed, {right} is right")


doors, rips, slats, boards = table("doors"), table("rips"), table("slats"), table("boards")
cloth, costs, hours = table("cloth_bolts"), table("costs"), table("hours")
summary = {row["figure"]: row for row in table("summary")}


def built(row):
    return int(row["count"])


def blanks():
    """Rows of rips.csv by board and blank."""
    groups = {}
    for row in rips:
        groups.setdefault((row["board"], row["blank"]), []).append(row)
    return groups


def rip_first(rows):
    return rows[0]["order"] == "rip-first"


METRIC = summary["cloth_length"]["unit"] == "mm"
FOOT, YARD = (Decimal("304.8"), Decimal("914.4")) if METRIC else (Decimal(12), Decimal(36))
# What slats, cloth and faces are worked by: metres and square metres in a metric job.
RUN, CLOTH, FACE = (Decimal(1000),) * 3 if METRIC else (FOOT, YARD, FOOT)
CUBIC_METRES_OF_A_FOOT = Decimal("0.002359737216")
panels = sum(built(d) for d in doors)
templates = len({(d["cabinet"], d["cover"], d["travel"]) for d in doors})
forms = len({d["slat_length"] for d in doors})
tongues = len({d["tongue"] for d in doors})
faces = sum((Decimal(d["slat_length"]) * Decimal(d["door_length"]) * built(d) for d in doors), Decimal(0))
faces = half_up(faces / (FACE * FACE), FOURTH) if METRIC else (faces / (FACE * FACE)).quantize(FOURTH)
groups = list(blanks().values())
cuts = sum(
    (0 if rip_first(g) else 1)
    + sum(int(r["rips"]) * int(r["pieces_per_rip"]) for r in g if rip_first(g) or int(r["pieces_per_rip"]) > 1)
    for g in groups
)
first_boards = {g[0]["board"] for g in groups if rip_first(g)}
edges = sum(1 for g in groups if not rip_first(g)) + len(first_boards)
off_the_saw = sum(int(g[0]["rips"]) if rip_first(g) else sum(int(r["rips"]) for r in g) for g in groups)


def actual(thickness):
    """Actual thickness in the job's unit: `4/4 rough`, `27 rough`, `4/4 s2s 0.8125`, or a plain figure."""
    over, _, under = thickness.replace(" rough", "").split()[-1].partition("/")
    return Decimal(over) / Decimal(under) * FOOT / 12 if under else Decimal(over)


def up(figure):
    return int(figure.to_integral_value(ROUND_CEILING))


depth = next((Decimal(h["pass_depth"]) for h in hours if h["pass_depth"]), None)
rough = {b["stock"]: actual(b["thickness"]) for b in boards}
passes = 0
planed = []
for g in groups:
    leaves = int(g[0]["leaves"])
    each = 1
    if depth:
        off = rough[g[0]["stock"]] - leaves * Decimal(g[0]["planed_thickness"])
        each = max(0, up(off / (leaves * depth)))
    passes += (int(g[0]["rips"]) if rip_first(g) else 1) * leaves * each
    if each:
        planed.append(g[0]["planed_thickness"])
sawn = [r for g in groups for r in sorted(g, key=lambda r: -Decimal(r["rip_width"]))]
fence = [r["rip_width"] for r in sawn]
blank_stop = [g[0]["blank_length"] for g in groups if not rip_first(g)]
piece_stop = [r["strip_length"] for r in sawn if r["order"] == "rip-first" or int(r["pieces_per_rip"]) > 1]


def moved(places):
    """Settings made board after board, and setting after setting."""
    return sum(1 for at, place in enumerate(places) if at == 0 or places[at - 1] != place), len(set(places))


in_panels = sum((int(d["slats"]) + 1) * built(d) for d in doors)
slat_feet = sum(((int(d["slats"]) + 1) * built(d) * Decimal(d["slat_length"]) for d in doors), Decimal(0)) / RUN
strips = sum(int(r["total"]) for r in slats)
washed = sum((Decimal(b["bought_length"]) for b in cloth if b["wash"] == "yes"), Decimal(0)) / CLOTH
washed = half_up(washed, FOURTH)

COUNTED = {
    "washing cloth": (1, washed),
    "template": (templates, templates),
    "test corner": (templates, templates),
    "glue-up form": (forms, forms),
    "grooves": (templates, 2 * panels),
    "jointing": (1, 2 * edges),
    "sorting": (1, strips),
    "glue-up": (forms, panels),
    "trimming": (forms, panels),
    "rabbets": (tongues, 2 * panels),
    "sanding": (1, half_up(slat_feet, FOURTH)),
    "hanging": (1, panels),
}

BY_SLATS = ("glue-up", "trimming", "rabbets")
# Settings by the shop's flow: board after board, or setting after setting; one of them for all machines.
stops = [a + b for a, b in zip(moved(blank_stop), moved(piece_stop))]
BY_FLOW = {"crosscutting": (stops, cuts), "planing": (moved(planed), passes), "ripping": (moved(fence), off_the_saw)}
claimed = {row["operation"]: int(row["settings"]) for row in hours}
flow = next((f for f in (0, 1) if all(claimed.get(n, s[f]) == s[f] for n, (s, _) in BY_FLOW.items())), 0)
COUNTED.update({name: (settings[flow], units) for name, (settings, units) in BY_FLOW.items()})

labour = {}
for row in hours:
    name = row["operation"]
    settings, units = Decimal(row["settings"]), Decimal(row["quantity"])
    if name in COUNTED:
        expect(f"settings of {name}", row["settings"], Decimal(COUNTED[name][0]))
        expect(f"units of {name}", row["quantity"], Decimal(COUNTED[name][1]))
        settings, units = (Decimal(figure) for figure in COUNTED[name])
    elif name == "finishing":
        expect("square feet and coats", row["quantity"], faces * settings)
    minutes = settings * Decimal(row["setup_minutes"]) + units * Decimal(row["unit_minutes"])
    slats_here = in_panels if name in BY_SLATS else 0
    expect(f"slats of {name}", row["slats"], Decimal(slats_here))
    minutes += slats_here * Decimal(row["slat_minutes"])
    labour[f"{name}, {row['person']}"] = (half_up(minutes / 60, FOURTH), Decimal(row["rate"]))

# Every operation with something to do is there, once the shop prices operations at all.
if hours:
    said = {row["operation"] for row in hours}
    for name, (_, units) in COUNTED.items():
        if units and name not in said:
            wrong.append(f"{name} is missing")

UPPER = (
    "burden", "overhead", "contingency", "markup", "margin", "discount", "least charge", "rounding", "tax",
)
total = materials = worked_hours = wages = Decimal(0)
untaxed_names = set(sys.argv[2:])
untaxed = {}
groups_cost = {}
feet_of = {b["stock"]: Decimal(b["board_feet"]) for b in boards}
for row in (row for row in costs if row["group"] not in UPPER):
    quantity, price = Decimal(row["quantity"]), Decimal(row["unit_price"])
    if row["group"] == "labour" and row["item"] in labour:
        quantity, price = labour.pop(row["item"])
        expect(f"hours of {row['item']}", row["quantity"], quantity)
    if row["group"] == "rack":
        if METRIC:
            # The list has two places of a board foot, the bill four of a cubic metre.
            off = abs(quantity - feet_of[row["item"]] * CUBIC_METRES_OF_A_FOOT)
            if off > Decimal("0.0001"):
                wrong.append(f"cubic metres of {row['item']}: {quantity} is claimed, off by {off}")
        else:
            expect(f"board feet of {row['item']}", row["quantity"], feet_of[row["item"]])
    cost = half_up(quantity * price)
    if row["group"] == "cloth":
        # The length is rounded for the list; its cost comes from the exact one.
        bolt = next(b for b in cloth if b["bolt"] == row["item"])
        per = YARD if bolt["unit"] == "yard" else YARD * Decimal(1000) / Decimal("914.4")
        cost = half_up(Decimal(bolt["bought_length"]) * Decimal(bolt["price"]) / per)
    expect(f"cost of {row['item']}", row["cost"], cost)
    total += cost
    groups_cost[row["group"]] = groups_cost.get(row["group"], Decimal(0)) + cost
    if row["group"] == "labour":
        worked_hours += quantity
        wages += cost
    elif row["item"] in untaxed_names:
        untaxed[row["group"]] = untaxed.get(row["group"], Decimal(0)) + cost
    elif row["group"] != "rack":
        materials += cost
wrong += [f"{name} is not on the bill" for name in labour]

upper = [row for row in costs if row["group"] in UPPER]


def take(group, item=None):
    """The next upper line, if it is this one."""
    if upper and upper[0]["group"] == group and item in (None, upper[0]["item"]):
        return upper.pop(0)
    return None


def add(row, amount):
    global total
    if row:
        expect(row["item"], row["cost"], amount)
        total += amount


def percent(row, of):
    add(row, half_up(of * Decimal(row["quantity"]) / 100)) if row else None


def gain(row, of):
    """A markup on so much cost, or a margin of the price that leaves it."""
    if row and row["group"] == "margin":
        of = half_up(of / (1 - Decimal(row["quantity"]) / 100))
    percent(row, of)
    return half_up(of * Decimal(row["quantity"]) / 100) if row else Decimal(0)


percent(take("burden"), wages)
direct = total
row = take("overhead", "overhead by the hour")
if row:
    expect("hours under overhead", row["quantity"], worked_hours)
    add(row, half_up(worked_hours * Decimal(row["unit_price"])))
percent(take("overhead"), direct)
percent(take("contingency"), total)
cost = total
gains = []
while upper and upper[0]["group"] in ("markup", "margin"):
    gains.append(upper.pop(0))
own = [row for row in gains if row["item"].startswith("on ")]
# A group passed through has no line: its name is an argument of its own, `--through GROUP`.
through = [a.split("=")[1] for a in sys.argv[2:] if a.startswith("--through=")]
owned = {row["item"][3:] for row in own} | set(through)
owned_cost = sum((groups_cost.get(group, Decimal(0)) for group in owned), Decimal(0))
exempt = sum(untaxed.values(), Decimal(0))
spread = (cost - direct) / direct * exempt if direct else Decimal(0)
inside = exempt + spread
rest = inside - sum((untaxed.get(group, Decimal(0)) for group in owned), Decimal(0))
for row in gains:
    if row in own:
        group = row["item"][3:]
        of = groups_cost.get(group, Decimal(0))
        inside += gain(row, of) * (untaxed.get(group, Decimal(0)) / of if of else 0)
    else:
        inside += gain(row, cost - owned_cost) * (rest / (cost - owned_cost))
price = total
row = take("discount")
if row:
    add(row, -half_up(total * Decimal(row["quantity"]) / 100))


def is_share_of(row, of):
    return row and half_up(of * Decimal(row["quantity"]) / 100) == Decimal(row["cost"])


while upper and upper[0]["group"] == "tax" and is_share_of(upper[0], materials):
    percent(upper.pop(0), materials)
row = take("least charge")
if row:
    add(row, Decimal(row["unit_price"]))
row = take("rounding")
if row:
    if Decimal(row["cost"]) <= 0:
        wrong.append("rounding takes something off")
    add(row, Decimal(row["unit_price"]))
base = total - half_up(inside / price * total) if price else total
while upper and upper[0]["group"] == "tax":
    percent(upper.pop(0), base)
wrong += [f"{row['group']} {row['item']} is out of its order" for row in upper]

expect("total", summary["total_cost"]["value"], total)
parts = sum((Decimal(row["total"]) for row in table("shares")), Decimal(0))
expect("sum of the shares", str(parts), total)
for row in wrong:
    print(row)
print("total", total)
sys.exit(1 if wrong else 0)
