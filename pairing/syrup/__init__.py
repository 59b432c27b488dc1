"""The pot: sugar physics, mass balance, doses, plan, keeping."""
