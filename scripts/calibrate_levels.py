"""How far below the coffee do the usual bar doses lie? Prints what pairing.formula is set to.

Run: python scripts/calibrate_levels.py
"""

import math
from statistics import median

from pairing.aroma import coffee as coffee_room
from pairing.aroma import odour as aroma
from pairing.aroma.serve import serve_for
from pairing.evidence.catalog import load
from pairing.syrup import dose

shipped = load()
coffee = coffee_room.plain_coffee(shipped)
glass = serve_for(shipped, "iced", coffee.brew)
offsets = []
for form in shipped.forms.values():
    usual = aroma.usual_dose(form)
    if usual is None or shipped.kind(form) != "spice":
        continue
    how = form.method or "hot-steep"
    asked, low, high = dose._asked(shipped, form, coffee, glass, "balanced", usual, how, 0)
    if asked > 0:
        offsets.append(math.log10(asked / usual))
print(f"spices: {len(offsets)}; balanced is set to {dose.BALANCED_BELOW_COFFEE} below the coffee")
print(f"median of log10(dose the model asks for / usual dose): {median(offsets):+.2f}")
offsets.sort()
print(f"quartiles: {offsets[len(offsets) // 4]:+.2f} {offsets[3 * len(offsets) // 4]:+.2f}")
