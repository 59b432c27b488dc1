"""What smells: odour activity, the coffee, what an infusion leaves, the graph of it all."""
