"""The decisions: next shot, sweet spot, when to stop. Pure functions of a posterior."""
