"""What can hurt: allergens, limits, hazards, rules, one engine for every answer."""
