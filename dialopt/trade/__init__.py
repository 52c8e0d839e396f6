"""The trade: beans, kit, recipes, shots, freshness, water, milk, caffeine. Knows no statistics."""
