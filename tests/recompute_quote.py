"""Recomputes a quote from a plan folder's CSV files alone: exact decimals, to the cent.

Usage: python3 recompute_quote.py FOLDER
Boards, cloth, consumables and extra lines: quantity times price. Operations: settings and units are
counted again from doors.csv, rips.csv, slats.csv and cloth_bolts.csv. Then overhead, contingency, markup or
margin, discount and tax in their order, and the shares of doors. Prints the total; status 1 on any
difference.
"""
import csv
import os
import sys
from decimal import ROUND_HALF_UP, Decimal, getcontext

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


doors, rips, slats = table("doors"), table("rips"), table("slats")
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


def inches_or_mm_per_foot():
    unit = summary["cloth_length"]["unit"]
    return (Decimal(12), Decimal(36)) if unit == "in" else (Decimal("304.8"), Decimal("914.4"))


FOOT, YARD = inches_or_mm_per_foot()
panels = sum(built(d) for d in doors)
templates = len({(d["cabinet"], d["cover"], d["travel"]) for d in doors})
forms = len({d["slat_length"] for d in doors})
tongues = len({d["tongue"] for d in doors})
faces = sum((Decimal(d["slat_length"]) * Decimal(d["door_length"]) * built(d) for d in doors), Decimal(0))
faces = (faces / (FOOT * FOOT)).quantize(FOURTH)
groups = list(blanks().values())
cuts = sum(
    (0 if rip_first(g) else 1)
    + sum(int(r["rips"]) * int(r["pieces_per_rip"]) for r in g if rip_first(g) or int(r["pieces_per_rip"]) > 1)
    for g in groups
)
first_boards = {g[0]["board"] for g in groups if rip_first(g)}
edges = sum(1 for g in groups if not rip_first(g)) + len(first_boards)
passes = sum((int(g[0]["rips"]) if rip_first(g) else 1) * int(g[0]["leaves"]) for g in groups)
off_the_saw = sum(int(g[0]["rips"]) if rip_first(g) else sum(int(r["rips"]) for r in g) for g in groups)
thicknesses = len({r["planed_thickness"] for r in rips})
widths = len({r["rip_width"] for r in rips})
strips = sum(int(r["total"]) for r in slats)
washed = sum((Decimal(b["bought_length"]) for b in cloth if b["wash"] == "yes"), Decimal(0)) / YARD
washed = half_up(washed, FOURTH)

COUNTED = {
    "washing cloth": (1, washed),
    "template": (templates, templates),
    "test corner": (templates, templates),
    "glue-up form": (forms, forms),
    "grooves": (templates, 2 * panels),
    "crosscutting": (1, cuts),
    "jointing": (1, edges),
    "planing": (thicknesses, passes),
    "ripping": (widths, off_the_saw),
    "sorting": (1, strips),
    "glue-up": (forms, panels),
    "trimming": (forms, panels),
    "rabbets": (tongues, 2 * panels),
    "sanding": (1, faces),
    "hanging": (1, panels),
}

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
    labour[f"{name}, {row['person']}"] = (half_up(minutes / 60, FOURTH), Decimal(row["rate"]))

# Every operation with something to do is there, once the shop prices operations at all.
if hours:
    said = {row["operation"] for row in hours}
    for name, (_, units) in COUNTED.items():
        if units and name not in said:
            wrong.append(f"{name} is missing")

UPPER = ("overhead", "contingency", "markup", "margin", "discount", "tax")
total = materials = Decimal(0)
untaxed_names = set(sys.argv[2:])
untaxed = Decimal(0)
for row in (row for row in costs if row["group"] not in UPPER):
    quantity, price = Decimal(row["quantity"]), Decimal(row["unit_price"])
    if row["group"] == "labour" and row["item"] in labour:
        quantity, price = labour.pop(row["item"])
        expect(f"hours of {row['item']}", row["quantity"], quantity)
    cost = half_up(quantity * price)
    if row["group"] == "cloth":
        # The length is rounded for the list; its cost comes from the exact one.
        bolt = next(b for b in cloth if b["bolt"] == row["item"])
        per = YARD if bolt["unit"] == "yard" else YARD * Decimal(1000) / Decimal("914.4")
        cost = half_up(Decimal(bolt["bought_length"]) * Decimal(bolt["price"]) / per)
    expect(f"cost of {row['item']}", row["cost"], cost)
    total += cost
    if row["group"] != "labour" and row["item"] not in untaxed_names:
        materials += cost
    elif row["group"] != "labour":
        untaxed += cost
wrong += [f"{name} is not on the bill" for name in labour]

upper = {row["group"]: row for row in costs if row["group"] in UPPER}


def share(group):
    return Decimal(upper[group]["quantity"]) if group in upper else None


def add(group, amount):
    global total
    if group in upper:
        expect(group, upper[group]["cost"], amount)
        total += amount


if share("overhead"):
    add("overhead", half_up(total * share("overhead") / 100))
if share("contingency"):
    add("contingency", half_up(total * share("contingency") / 100))
if share("markup"):
    add("markup", half_up(total * share("markup") / 100))
if share("margin"):
    price = half_up(total / (1 - share("margin") / 100))
    add("margin", half_up(price * share("margin") / 100))
if share("discount"):
    add("discount", -half_up(total * share("discount") / 100))
if share("tax"):
    at_cost = half_up(materials * share("tax") / 100)
    on_price = half_up((total - untaxed) * share("tax") / 100)
    add("tax", on_price if Decimal(upper["tax"]["cost"]) == on_price else at_cost)

expect("total", summary["total_cost"]["value"], total)
parts = sum((Decimal(row["total"]) for row in table("shares")), Decimal(0))
expect("sum of the shares", str(parts), total)
for row in wrong:
    print(row)
print("total", total)
sys.exit(1 if wrong else 0)
