"""Coffee, spice and citrus: pairings with reasons, trial syrup formulas, batch arithmetic."""
