"""What everything rests on: quantities, recipes, species, scenarios, standards, stock, errors."""
