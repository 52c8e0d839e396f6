"""The trade: beans, kit, recipes, shots, water. Knows no statistics."""
