"""Pareto sets by paretoset 1.2 (`pip install paretoset==1.2.5`), printed as TOML: small tables of digits with many ties and equal rows."""

import numpy as np
from heads import head
from paretoset import paretoset

print(head(__file__, "paretoset", "Pareto sets: stored results of paretoset"))
print('''
[sources.hotels]
authors = "T. Odland and paretoset contributors"
title = "paretoset, documentation: hotels that are cheap and close to the beach, after Börzsönyi et al. 2001"
seen = "read"
kind = "derived by hand"
working = "(39, 22), (50, 13), (83, 5): each dearer and nearer than the last; every other hotel is no cheaper and no nearer than one of them"''')


def case(name, source, where, costs, best):
    expected = ", ".join(f'row_{i + 1} = "{int(b)}"' for i, b in enumerate(best))
    print(f"""
[[case]]
name = "{name}"
source = "{source}"
where = "{where}"
function = "pareto_set"
inputs = {{ costs = {[[float(x) for x in row] for row in costs]} }}
expected = {{ {expected} }}""")

hotels = [(50, 13), (53, 21), (62, 19), (87, 13), (83, 5), (39, 22), (60, 22), (44, 25)]
case("pareto_hotels", "hotels", "example of the documentation; the set worked by hand", hotels, [h in ((50, 13), (83, 5), (39, 22)) for h in hotels])
random = np.random.default_rng(3)
for criteria, digits in ((1, 4), (2, 5), (3, 4), (4, 4), (5, 3)):
    costs = random.integers(0, digits, (12, criteria))
    # distinct=False keeps all of several equal rows
    case(f"paretoset_{criteria}_criteria", "paretoset", "paretoset(costs, distinct=False)", costs, paretoset(costs, distinct=False))
